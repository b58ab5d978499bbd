"""What the record makes of springback and offsets, in words and tables, and what it changes in the shop's file."""

from __future__ import annotations

import datetime

from barmath.checking.inspection import Estimate
from barmath.lengths import MM_PER_INCH
from barmath.panels.markup import bullets, heading, paragraph, table
from barmath.panels.record_state import RecordState, tools
from barmath.records.bent_bar import BentBar, TestBend
from barmath.records.calibration import PARTS, Calibration, calibrate
from barmath.refusal import counted
from barmath.shop.die_calibration import DieCalibration
from barmath.shop.offsets import constant_from_play_deg, stop_from_bend_deg
from barmath.shop.shop_file import Shop
from barmath.shop.tooling import springback_from_tube

SCATTERS_MORE = 1.4
"""Times the usual scatter: beyond it the panel says so."""


def calibrations(
    shop: Shop, state: RecordState, bars: list[BentBar], bends: list[TestBend]
) -> tuple[Calibration, Calibration]:
    """The theory, and what the bars and bends make of it."""
    tube, die = tools(shop, state)
    return calibrate(tube, die), calibrate(tube, die, bends, bars)


def stop_in_use_deg(shop: Shop, state: RecordState, bend_deg: float) -> float:
    """What the stop is set to everywhere for that bend of the chosen bar, by what the shop's file holds."""
    die = state.bar.tools(shop)[1]
    return float(stop_from_bend_deg(bend_deg, state.bar.springback(shop), die))


def in_use(shop: Shop, state: RecordState) -> dict[str, float]:
    """The values that every panel and sheet works with, by the names of `calibration.PARTS`."""
    tube, die = state.bar.tools(shop)
    spring = springback_from_tube(tube, die)
    k = float(spring.ratio)
    constant = float(constant_from_play_deg(die.stop_offset_deg, k))
    values = (k, constant, float(die.line_up_offset_mm), float(spring.finished_radius_mm))
    return dict(zip(PARTS, values, strict=True))


def source_in_use(shop: Shop, state: RecordState) -> str:
    """Where those values come from, in words."""
    tube, die = state.bar.tools(shop)
    calibration = shop.calibration(tube, die)
    if calibration is not None:
        return f"calibrated on {_day(calibration.date)}"
    return "measured" if die.springback_ratio is not None else "theory"


def measured_in_file(shop: Shop, state: RecordState) -> list[str]:
    """What the shop's file holds that somebody measured for the chosen tube and die, in words; empty where nothing."""
    tube, die = state.bar.tools(shop)
    calibration = shop.calibration(tube, die)
    if calibration is not None:
        return [f"the calibration of {_day(calibration.date)}, {calibration.source}"]
    found = [] if die.springback_ratio is None else [f"a springback of {die.springback_ratio:.4g}"]
    if die.line_up_offset_mm:
        found.append(f"a line-up offset of {_length(float(die.line_up_offset_mm), state.unit)}")
    return found


def changes(shop: Shop, state: RecordState, calibration: DieCalibration) -> str:
    """What `calibration` changes in the shop's file, from what to what."""
    was = in_use(shop, state)
    after = calibration.on(state.bar.tools(shop)[1])
    spring = springback_from_tube(state.bar.tools(shop)[0], after)
    stops = "; ".join(
        f"{_stop_of(name)} for {bend:.1f} deg from {stop_in_use_deg(shop, state, bend):.1f} to "
        f"{float(stop_from_bend_deg(bend, spring, after)):.1f} deg"
        for name, bend in state.bar.named_bends_deg.items()
    )
    offset, radius = (
        f"{words} from {_length(was[name], state.unit)} to {_length(getattr(calibration, name), state.unit)}"
        for words, name in (("line-up offset", "offset_mm"), ("radius", "radius_mm"))
    )
    return (
        f"springback from {was['ratio']:.4f} to {calibration.ratio:.4f}, constant from {was['constant_deg']:.2f} to "
        f"{calibration.constant_deg:.2f} deg, {offset}, {radius}; {stops}"
    )


def drift_words(found: Calibration) -> str:
    """What a builder does about a springback that changed; empty where it did not."""
    if found.drift is None:
        return ""
    more = "more" if found.drift.after > found.drift.before else "less"
    last = (
        f"Your last {found.drift.entries} bars spring back" if found.drift.entries > 1 else "Your last bar springs back"
    )
    return f"{last} {more} than before (since {_day(found.drift.since)}): bend a test piece."


def theory_words(found: Calibration) -> str:
    """That record and theory disagree, and what to look at; empty where they agree."""
    if not found.disagrees_with_theory:
        return ""
    theory, lost = found.lost
    return (
        f"Record and theory disagree. A bend of 25 deg springs back {lost.value:.1f} ± {lost.error:.1f} deg, and "
        f"theory says {theory.value:.1f}. Check the tube's wall and the play of the stop. The record counts."
    )


def scatter_words(found: Calibration) -> str:
    """By how much the shop's bends and readings scatter more than usual; empty where they do not."""
    said = [
        f"{words} scatter {times:.1f} times as much as usual"
        for words, times in (("your bends", found.spread.slips), ("your readings", found.spread.readings))
        if times > SCATTERS_MORE
    ]
    return f"{' and '.join(said)}: the ± here allows for that" if said else ""


def calibration_html(found: Calibration, shop: Shop, state: RecordState) -> str:
    """What was found, how surely, what is in use, and which entries disagree."""
    unit, bend = state.unit, state.bar.bend_deg
    used = in_use(shop, state)
    rows = [
        (
            _PART_WORDS[name].replace(", mm", f", {unit}"),
            _estimate_words(found.theory, name, unit),
            _value(used[name], name, unit),
            _estimate_words(found.estimates, name, unit),
        )
        for name in PARTS
    ]
    kept = found.kept_deg(bend)
    more = found.bends_to_reach(0.1, bend)
    words = [
        f"from {counted(found.bars, 'bar')} and {counted(found.bends, 'test bend')}; ± is one standard error",
        *(
            _stop_words(name, one, found.stop_deg(one), stop_in_use_deg(shop, state, one))
            for name, one in state.bar.named_bends_deg.items()
        ),
        f"{bend:.1f} deg on the stop keeps {kept.value:.1f} ± {kept.error:.1f}",
        _more_words(more, found.bars_to_reach(0.1, bend)),
        scatter_words(found),
        _one_side_words(found.one_sided),
        *(f"{one.name} disagrees with the others, by {one.off:.1f} standard deviations" for one in found.disagree),
    ]
    heads = ("Value", "theory", f"in use: {source_in_use(shop, state)}", "with the record")
    warned = "".join(paragraph(one) for one in (drift_words(found), theory_words(found)) if one)
    shown = table(rows, heads, caption="Calibration")
    return heading("Calibration") + warned + shown + bullets([one for one in words if one])


def _stop_of(bend: str) -> str:
    return f"stop of the {bend} bends" if bend else "stop"


def _stop_words(bend: str, bend_deg: float, found: Estimate, in_use_deg: float) -> str:
    # one bend has one stop on the page: another one is said to be another, and from when on it counts
    then = f"{found.value:.1f} ± {found.error:.1f} deg"
    if abs(found.value - in_use_deg) < 0.05:
        return f"for {bend_deg:.1f} deg the {_stop_of(bend)} is at {then}, as in the shop's file"
    return (
        f"for {bend_deg:.1f} deg the shop's file sets the {_stop_of(bend)} to {in_use_deg:.1f} deg, here and on "
        "every sheet; "
        f"once these values are in the file it will be {then}"
    )


def _more_words(bends: int, bars: int | None) -> str:
    if not bends:
        return "that is known to ± 0.1 deg or better: more bends would help little"
    also = "" if bars is None else f" or {counted(bars, 'more bar')} like these"
    return f"{counted(bends, 'more test bend')}{also} would make that ± 0.1 deg"


def _one_side_words(bars: int) -> str:
    if not bars:
        return ""
    of_them = "one bar was" if bars == 1 else f"{bars} of the bars were"
    return f"read both sides: {of_them} read on one side only, which says half as much"


_PART_WORDS = {
    "ratio": "Springback, share of the bend", "constant_deg": "Constant, deg", "offset_mm": "Line-up offset, mm",
    "radius_mm": "Finished radius, mm",
}  # fmt: skip


def _estimate_words(values: dict[str, Estimate], name: str, unit: str) -> str:
    return f"{_value(values[name].value, name, unit)} ± {_value(values[name].error, name, unit)}"


def _value(value: float, name: str, unit: str) -> str:
    inches = unit == "in" and name.endswith("_mm")
    figures, scale = 4 if name == "ratio" else 3 if inches else 2, MM_PER_INCH if inches else 1.0
    return f"{value / scale:.{figures}f}"


def _length(value_mm: float, unit: str) -> str:
    return f"{_value(value_mm, '_mm', unit)} {unit}"


def _day(text: str) -> str:
    day = datetime.date.fromisoformat(text)
    return f"{day.day} {day:%B %Y}"
