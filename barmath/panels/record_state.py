"""From what is typed in the panel of the record to entries, look-ups and charts: pure functions, no widgets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

from barmath.bending.stops import not_the_sweep
from barmath.checking.bench_readings import KINDS
from barmath.lengths import MM_PER_INCH, in_unit, length_text
from barmath.panels.fetched import READ, Fetched
from barmath.panels.markup import bullets, heading, paragraph, table
from barmath.panels.ordered_bar_state import OrderedBar
from barmath.panels.record_boxes import SETTINGS, TEXTS, check_typed, entry_number
from barmath.planning.ways import LEVEL, ORDERED, UPRIGHT
from barmath.records.bent_bar import BentBar, TestBend, day_from_text
from barmath.records.calibration import Calibration, predicted_and_read
from barmath.records.lookup import SCATTER, Setting, aimed_words, differs, model_setting, nearest_bars
from barmath.records.record import Record
from barmath.records.record_entry import BAR, BEND, Entry, readable
from barmath.records.record_sheet import SheetRead
from barmath.refusal import BendError, Number, counted, quoted
from barmath.shop.shop_file import Shop
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die, springback_from_tube

ALL_BATCHES = "all batches"


@dataclass(frozen=True)
class RecordState:
    """Everything that can be set in the panel; what is typed, as it was typed, by field or reading."""

    bar: OrderedBar = OrderedBar()
    batch: str = ALL_BATCHES
    typed: dict[str, str] = field(default_factory=dict)
    corrects: str = ""
    unit: str = "mm"
    fetched: Fetched | None = None


def tools(shop: Shop, state: RecordState) -> tuple[Tube, Die]:
    """The tube and the die that are chosen, as the shop's file has them: without what was calibrated."""
    tube, die = state.bar.tools(shop)
    return tube, shop.die(die.name)


def bar_from_state(shop: Shop, state: RecordState) -> BentBar:
    """The bar that is typed; raises BendError where something is missing or cannot be understood."""
    tube, die = tools(shop, state)
    fetched = state.fetched if state.fetched and state.corrects.strip() == str(state.fetched.number) else None
    same = fetched.untouched(state.typed) if fetched else {}
    values: dict[str, Any] = {key: same.get(key, state.typed.get(key, "").strip()) for key, _ in TEXTS}
    if not values["name"]:
        raise BendError("name must be given, got an empty box: type it, for example order 7")
    values["date"] = day_from_text(values["date"])
    for key, _ in SETTINGS:
        values[key] = same[key] if key in same else check_typed(key, state.typed.get(key, ""), state.unit)
    read = {kind.key: same.get(READ + kind.key) for kind in KINDS}
    for kind in KINDS:
        if READ + kind.key not in same:
            read[kind.key] = check_typed(READ + kind.key, state.typed.get(READ + kind.key, ""), state.unit)
    values |= {
        "tube": tube.name, "tube_diameter_mm": float(tube.outside_diameter_mm), "tube_wall_mm": float(tube.wall_mm),
        "die": die.name, "die_radius_mm": float(die.centerline_radius_mm),
    } | (fetched.tools(state.bar) if fetched else {})  # fmt: skip
    order = fetched.order(state.bar) if fetched else state.bar.order()
    values["piece"] = fetched.bar.piece if fetched else ""
    return BentBar(order=order, readings={key: value for key, value in read.items() if value is not None}, **values)


def typed_from_model(shop: Shop, state: RecordState) -> dict[str, str]:
    """The settings of the formulas for the order, as they would be typed, by field; of a bent bar those it had."""
    tube, die = state.bar.tools_as_bent(shop)
    model = model_setting(state.bar.order(), springback_from_tube(tube, die), die, *state.bar.bends_deg)
    return _settings_typed(
        (model.inner_mark_mm, model.outer_mark_mm, model.tube_length_mm, model.stop_deg, model.outer_stop_deg,
         model.clamp_reading_deg), state.unit,
    )  # fmt: skip


def state_from_entry(shop: Shop, state: RecordState, entry: Entry, corrects: int | None = None) -> RecordState:
    """The panel's state with everything that a bar's `entry` holds, ready to be corrected.

    The correction will name the entry numbered `corrects`, None for the entry itself. A tube or die that is no longer
    in the shop's file is kept: see `gone_words`.

    Raises BendError where the entry is no bar.
    """
    bar = entry.holds
    if not isinstance(bar, BentBar):
        raise BendError(f"entry to correct must be a bar, got a test bend, number {entry.number}: choose another one")
    typed = {key: str(getattr(bar, key)) for key, _ in TEXTS}
    typed |= _settings_typed([getattr(bar, key) for key, _ in SETTINGS], state.unit)
    for kind in KINDS:
        if kind.key in bar.readings:
            typed[READ + kind.key] = _typed(bar.readings[kind.key], kind.unit == "mm", state.unit)
    order, stance = bar.order, _upsweep_kind(bar.order.upsweep_deg)
    tube, die = tools(shop, state)
    ordered = replace(
        state.bar,
        rise_mm=float(order.rise_mm),
        backsweep_deg=float(order.backsweep_deg),
        width_mm=float(order.width_mm),
        upsweep=stance,
        upsweep_deg=float(order.upsweep_deg or 0.0) if stance == ORDERED else state.bar.upsweep_deg,
        clamp_flat_mm=float(order.clamp_flat_mm),
        controls_mm=float(order.controls_mm),
        tube=bar.tube if bar.tube in _names(shop.tubes) else tube.name,
        die=bar.die if bar.die in _names(shop.dies) else die.name,
    )
    number = entry.number if corrects is None else corrects
    return replace(state, bar=ordered, typed=typed, corrects=str(number), fetched=Fetched(number, bar, typed, ordered))


def gone_words(shop: Shop, bar: BentBar) -> list[str]:
    """What to say of the tube and the die of `bar` that are no longer in the shop's file."""
    both = (("tube", bar.tube, shop.tubes), ("die", bar.die, shop.dies))
    return [
        f"Choose another {what} only if the entry names the wrong one: it keeps {quoted(name)}, which is no longer in "
        "the shop's file"
        for what, name, known in both
        if name not in _names(known)
    ]


def _names(known: Sequence[Tube] | Sequence[Die]) -> list[str]:
    return [one.name for one in known]


def _upsweep_kind(upsweep_deg: Number | None) -> str:
    if upsweep_deg is None:
        return UPRIGHT
    return ORDERED if upsweep_deg else LEVEL


IN_THE_HOOK = (
    "Both marks are for the riser in the hook. With the grip in the hook, the outer mark is at the other end of its "
    "bend: take it from the bench sheet."
)
"""Said below the settings: a sheet can have its outer mark elsewhere, and a bar in the record never has."""


def corrected_number(state: RecordState) -> int | None:
    """The number of the entry to correct, or None; raises BendError where it is no number."""
    return entry_number(state.corrects)


def lookup_html(record: Record, shop: Shop, state: RecordState) -> str:
    """The nearest bars bent before, what to change from each, and the model's own settings."""
    tube, die = state.bar.tools(shop)
    order, springback, (inner, outer) = state.bar.order(), state.bar.springback(shop), state.bar.bends_deg
    model = model_setting(order, springback, die, inner, outer)
    rows = [_setting_row("the model", "", model, "from the formulas alone", state.unit)]
    said = []
    for neighbour in nearest_bars(record, order, die, tube.name, springback, inner, outer_bend_deg=outer):
        bar = neighbour.bar
        missed = ", ".join(_miss(name, off, state.unit) for name, off in neighbour.missed.items())
        was = f"rise {length_text(float(bar.order.rise_mm), state.unit)}, sweep {bar.order.backsweep_deg:.1f}"
        was += f"; {missed}" if missed else ""
        change = "; ".join(words for words in (neighbour.change, aimed_words(neighbour)) if words)
        rows.append(_setting_row(f"{neighbour.entry.number}. {bar.name}", was, neighbour.setting,
                                 in_unit(change, state.unit), state.unit))  # fmt: skip
        words = differs(neighbour, model, SCATTER)
        said += [in_unit(words, state.unit)] if words else []
    columns = ("Bar", "ordered; missed by", "what to change", f"to set: inner mark, {state.unit}", "outer mark", "tube",
               "stop, deg", "reading, deg")  # fmt: skip
    shown = table(rows, columns, words=(0, 1, 2), caption="Bent before, nearest first")
    habit = not_the_sweep(state.bar.recipe(shop))
    far = [f"{words}: that is more than the bench's usual slips" for words in said]
    notes = bullets([IN_THE_HOOK, *([habit] if habit else []), *far])
    return heading("Bent before, nearest first") + shown + notes


def usual_of(shop: Shop, state: RecordState) -> dict[str, str]:
    """What is taken of a sheet that has no column for it: the chosen tube and die."""
    tube, die = tools(shop, state)
    return {
        "tube": tube.name, "die": die.name, "tube_diameter_mm": f"{tube.outside_diameter_mm:.6g} mm",
        "tube_wall_mm": f"{tube.wall_mm:.6g} mm", "die_radius_mm": f"{die.centerline_radius_mm:.6g} mm",
    }  # fmt: skip


def sheet_name(record_file: Path) -> str:
    """The name offered for a record's sheet: its own, or another where that is the record itself."""
    return record_file.stem + (" sheet" if record_file.suffix.lower() == ".csv" else "")


def preview_html(read: SheetRead, unit: str = "mm") -> str:
    """The first bars of a sheet as they would be taken, and every row that is refused."""
    rows = [
        (
            bar.name,
            bar.date,
            length_text(float(bar.order.rise_mm), unit),
            f"{bar.order.backsweep_deg:.1f}",
            length_text(float(bar.order.width_mm), unit),
        )
        for bar in read.bars[:5]
    ]
    head = ("Name", "Date", "Rise", "Backsweep, deg", "Width")
    refused = [f"line {line}: {why}" for line, why in read.refused[:MOST_REFUSED]]
    if len(read.refused) > MOST_REFUSED:
        refused.append(f"and {len(read.refused) - MOST_REFUSED} more")
    return "".join(
        (
            paragraph(f"{counted(len(read.bars), 'bar')} can be taken, {counted(len(read.refused), 'row')} cannot."),
            table(rows, head, words=(0, 1), caption="The first bars of the sheet"),
            bullets(refused),
        )
    )


def entries_of(record: Record, shop: Shop, state: RecordState) -> tuple[list[BentBar], list[TestBend], list[str]]:
    """The latest bars and test bends of the chosen tube, die and batch, and which of them cannot be read."""
    tube, die = tools(shop, state)
    batch = None if state.batch == ALL_BATCHES else state.batch
    faults: list[str] = []
    bars, bends = (readable(record.recent(kind, die.name, tube.name, batch), faults) for kind in (BAR, BEND))
    return (
        [one for one in bars if isinstance(one, BentBar)],
        [one for one in bends if isinstance(one, TestBend)],
        faults,
    )


@dataclass(frozen=True)
class RecordChart:
    """Values for the two charts; see `pictures.record.update_record`."""

    read: np.ndarray
    theory: np.ndarray
    calibrated: np.ndarray
    days: list[str]
    missed_rise: list[float]
    missed_sweep: list[float]
    names: list[str]


def chart(bars: list[BentBar], theory: Calibration, found: Calibration) -> RecordChart:
    """What the charts of these bars show."""
    by_theory, read, _ = predicted_and_read(bars, theory)
    by_record, _, _ = predicted_and_read(bars, found)

    def missed(name: str, ordered: str) -> list[float]:
        off = []
        for bar in bars:
            sides = [bar.readings[key] for key in (f"{name}_left", f"{name}_right") if key in bar.readings]
            alike = bool(sides) and bar.order.upsweep_deg is None  # else the bar is for a stem roll, and read upright
            off.append(float(np.mean(sides) - getattr(bar.order, ordered)) if alike else np.nan)
        return off

    return RecordChart(
        read[:, 0], by_theory[:, 0], by_record[:, 0], [bar.date for bar in bars], missed("rise", "rise_mm"),
        missed("backsweep", "backsweep_deg"), [bar.name for bar in bars],
    )  # fmt: skip


MOST_REFUSED = 20
"""Refused rows of a sheet that are listed one by one."""


def _miss(name: str, off: float, unit: str) -> str:
    if name != "rise":
        return f"{name} {round(off, 1) + 0.0:+.1f}"
    return f"{name} {round(off, 1) + 0.0:+.1f} mm" if unit == "mm" else f"{name} {off / MM_PER_INCH:+.2f} in"


def _setting_row(name: str, was: str, setting: Setting | None, change: str, unit: str) -> list[str]:
    cells = [name, was, change]
    if setting is None:
        return [*cells, *[""] * 5]
    lengths = (setting.inner_mark_mm, setting.outer_mark_mm, setting.tube_length_mm)
    texts = [length_text(length, unit).removesuffix(f" {unit}") for length in lengths]
    return [*cells, *texts, _stops(setting), f"{setting.clamp_reading_deg:.1f}"]


def _stops(setting: Setting) -> str:
    inner, outer = f"{setting.stop_deg:.1f}", f"{setting.outer_stop_deg:.1f}"
    return inner if inner == outer else f"inner {inner}, outer {outer}"


def _settings_typed(values: Sequence[float | None], unit: str) -> dict[str, str]:
    return {
        key: "" if value is None else _typed(value, key.endswith("_mm"), unit)
        for (key, _), value in zip(SETTINGS, values, strict=True)
    }


def _typed(value: float, length: bool, unit: str) -> str:
    return length_text(value, unit) if length else f"{value:.1f}"
