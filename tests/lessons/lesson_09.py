"""The numbers in the prose of lesson 09, worked out again."""

from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from barmath.records.calibration import calibrate
from barmath.records.demo_record import demo_bars, demo_bends, demo_record
from barmath.records.lookup import nearest_bars
from barmath.shop.offsets import stop_from_bend_deg
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, TUBE
from barmath.shop.tooling import springback_from_tube

SPRING = springback_from_tube(TUBE, DIE)


def said() -> Iterator[str]:
    bars, bends = demo_bars(TUBE, DIE), demo_bends(TUBE, DIE)
    assert (len(bars), len(bends)) == (40, 3)  # "forty bars and three test bends"
    with TemporaryDirectory() as folder:
        nearest, *_ = nearest_bars(
            demo_record(Path(folder) / "record.db", TUBE, DIE), ORDER, DIE, TUBE.name, SPRING, BEND_DEG
        )
    old = nearest.bar
    assert old.order.width_mm == ORDER.width_mm
    assert old.inner_stop_deg == stop_from_bend_deg(BEND_DEG, SPRING, DIE) or "same stop" in nearest.change
    assert abs(nearest.missed["rise"]) < 1  # "within a millimetre"
    yield f"{old.name}, with a rise of {old.order.rise_mm:.0f} mm, a backsweep of {old.order.backsweep_deg:.1f} degrees and the same width"
    yield f"But order 7 wants {ORDER.rise_mm:.0f} mm and {ORDER.backsweep_deg:.0f} degrees"
    mark, reading = (
        next(part for part in nearest.change.split(", ") if part.startswith(what)) for what in ("outer", "clamp")
    )
    yield f"the outer mark goes {mark.removeprefix('outer mark ')}, and the reading grows by {reading.split()[2]} degrees"
    now = calibrate(TUBE, DIE, bends, bars).estimates["offset_mm"].error
    more = [
        bar for bar in demo_bars(TUBE, DIE, count=60, seed=99) if abs(bar.inner_stop_deg - old.inner_stop_deg) < 0.1
    ][:10]
    assert len(more) == 10
    with_bars = calibrate(TUBE, DIE, bends, [*bars, *more]).estimates["offset_mm"].error
    with_bends = calibrate(TUBE, DIE, [*bends, *demo_bends(TUBE, DIE, seed=5)], bars).estimates["offset_mm"].error
    assert 0.01 < 1 - with_bars / now < 0.03  # "by a fiftieth"
    assert 0.2 < 1 - with_bends / now < 0.3  # "by a quarter"
    yield (
        f"ten more bars at {BEND_DEG:.0f} degrees, or three test bends to "
        + ", ".join(f"{one.stop_deg:.0f}" for one in bends[:-1])
        + f" and {bends[-1].stop_deg:.0f}"
    )


GIVEN = {
    "chosen for an exercise": ["with both rises 10 mm too high"],
}
