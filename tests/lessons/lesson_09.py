"""The numbers in the prose of lesson 09, worked out again."""

from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

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
    yield f"But order 7 asks for {ORDER.rise_mm:.0f} mm and {ORDER.backsweep_deg:.0f} degrees"


GIVEN = {
    "chosen for an exercise": ["with both rises 10 mm too high"],
}
