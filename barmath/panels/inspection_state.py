"""From the readings typed in the panel of the finished bar to what it says: pure functions, no widgets."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from barmath.checking.as_bent import PARTS, bends_from_parts, parts_of_recipe
from barmath.checking.bench_readings import KINDS, Kind, Reading, wanted_readings
from barmath.checking.inspection import Estimate, Inspection, inspect
from barmath.checking.reading_checks import FAR_OFF
from barmath.checking.tweak_words import after_words
from barmath.checking.tweaks import LEAVE, Advice, advice
from barmath.closed_forms.records import Recipe
from barmath.lengths import angle_deg, length_mm, length_text
from barmath.panels.markup import bullets, heading, paragraph, table
from barmath.panels.ordered_bar_state import OrderedBar
from barmath.refusal import BendError
from barmath.shop.shop_file import Shop
from barmath.shop.tolerance import USUAL, Tolerance
from barmath.space.drawing import Drawing, drawing_from_bends, drawing_from_recipe

SAID = ("backsweep_left", "backsweep_right", "rise_left", "rise_right")
"""The measures of a measured bar that are said with its picture in space."""

_PLUS_MINUS = re.compile(r"\+\s*/?\s*-")


@dataclass(frozen=True)
class InspectionState:
    """Everything that can be set in the panel. Lengths in mm, angles in degrees.

    `typed` holds what is in the box of each kind of reading, in their sequence, as it was typed. An uncertainty that is
    not the usual one is after "±" or "+-" (one standard deviation); the values of a reading taken more than once with
    ";" between them; empty: not taken.
    """

    bar: OrderedBar = OrderedBar()
    typed: tuple[str, ...] = ("",) * len(KINDS)
    sweep_tolerance_deg: float = USUAL.sweep_deg
    rise_tolerance_mm: float = USUAL.rise_mm
    rock_tolerance_mm: float = USUAL.rock_mm
    unit: str = "mm"

    def tolerance(self, shop: Shop) -> Tolerance:
        """What is accepted: as set here, the rest as the shop's file says."""
        return replace(
            shop.accepted, sweep_deg=self.sweep_tolerance_deg, rise_mm=self.rise_tolerance_mm,
            rock_mm=self.rock_tolerance_mm,
        )  # fmt: skip


def first_state(shop: Shop) -> InspectionState:
    """The panel as it opens: nothing read yet, and accepted is what the shop's file says."""
    accepted = shop.accepted
    return InspectionState(
        sweep_tolerance_deg=accepted.sweep_deg, rise_tolerance_mm=accepted.rise_mm, rock_tolerance_mm=accepted.rock_mm
    )


@dataclass(frozen=True)
class InspectionReadout:
    """What the panel shows: the fit and the advice, or why there is none yet.

    `refused` has, by key, why what was typed was not taken; `wanted`, by key, what the bar that was ordered reads.
    """

    recipe: Recipe | None
    inspection: Inspection | None
    advice: Advice | None
    wanted: dict[str, float]
    refused: dict[str, str]
    refusal: str


def inspection_readout(shop: Shop, state: InspectionState) -> InspectionReadout:
    """Work out what the panel shows. A refusal is part of the readout, never raised."""
    try:
        order, recipe = state.bar.order(), state.bar.recipe(shop)
        wanted = dict(zip((kind.key for kind in KINDS), map(float, wanted_readings(recipe)), strict=True))
    except BendError as refusal:
        return InspectionReadout(None, None, None, {}, {}, str(refusal))
    readings, refused = readings_of(state)
    try:
        found = inspect(recipe, readings)
        return InspectionReadout(recipe, found, advice(found, order, state.tolerance(shop)), wanted, refused, "")
    except BendError as refusal:
        return InspectionReadout(recipe, None, None, wanted, refused, str(refusal))


def readings_of(state: InspectionState) -> tuple[list[Reading], dict[str, str]]:
    """What was read, and by key why what was typed was not taken."""
    taken, refused = [], {}
    for kind, text in zip(KINDS, state.typed, strict=True):
        if not text.strip():
            continue
        try:
            taken.append(_reading(kind, text, state.unit))
        except BendError as refusal:
            refused[kind.key] = str(refusal)
    return taken, refused


def _reading(kind: Kind, text: str, unit: str) -> Reading:
    # one value, or several of one reading with ";" between them; then its uncertainty, where it is not the usual one
    typed, _, error = _PLUS_MINUS.sub("±", text).partition("±")
    given = None if not error.strip() else _parsed(kind, error, unit)
    values = [_parsed(kind, value, unit) for value in typed.split(";")]
    reading = Reading(kind.key, float(np.mean(values)), given, len(values))
    assert reading.error is not None
    apart = max(values) - min(values)
    if apart > FAR_OFF * np.sqrt(2.0) * reading.error:
        raise BendError(
            f"{kind.name.lower()} must come out alike when it is read twice, got values {apart:.1f} {kind.unit} apart: "
            "read it again, and leave out the one that was wrong"
        )
    return reading


def _parsed(kind: Kind, text: str, unit: str) -> float:
    if kind.unit == "deg":
        return angle_deg(text, name=kind.name.lower())
    return length_mm(text, name=kind.name.lower(), default_unit=unit, allow_negative=True)


def shown(kind: Kind, value: float, unit: str) -> str:
    """A value of that kind in words; "none" where a bar does not show it."""
    if np.isnan(value):
        return "none"
    return f"{value:.1f} deg" if kind.unit == "deg" else length_text(value, unit)


def verdict_words(readout: InspectionReadout) -> str:
    """The advice in a sentence; empty if there is none."""
    got = readout.advice
    if got is None:
        return ""
    what = ": " + ", then ".join(tweak.words for tweak in got.tweaks) if got.tweaks else ""
    said = f"{got.verdict}{what} ({got.why})"
    if got.tweaks or got.verdict == LEAVE:
        said += f". {after_words(got.chance_after)}"
    return f"{got.before} {said[:1].upper()}{said[1:]}" if got.before else said


def fit_html(readout: InspectionReadout, state: InspectionState) -> str:
    """The angles the readings point to, and what each measure is, was to be, and should be once tweaked."""
    found, got = readout.inspection, readout.advice
    if found is None or got is None or readout.recipe is None:
        return ""
    was = dict(zip(PARTS, parts_of_recipe(readout.recipe), strict=True))
    parts = [(name, f"{was[name]:.1f}", _estimate(found.parts[name])) for name in PARTS]
    head = ("Part, deg", "wanted", "most likely")
    rows = [_measure_row(kind, found, got, readout.wanted, state.unit) for kind in KINDS]
    top = ("Measure", "wanted", "the bar", "after the tweak", "a slip shows from", "its reading")
    return "".join(
        (
            heading("What the readings say"), table(parts, head, caption="What the readings say"),
            bullets([*got.notes, *found.not_shown]),
            heading("All measures"), table(rows, top, words=(0, 5), caption="All measures"),
            paragraph("± is one standard error. A tweak moves its bend by so many degrees, not to an angle."),
        )
    )  # fmt: skip


def _measure_row(kind: Kind, found: Inspection, got: Advice, wanted: Mapping[str, float], unit: str) -> tuple[str, ...]:
    now = found.measures[kind.key]
    bar = "not known" if np.isinf(now.error) else f"{shown(kind, now.value, unit)} ± {now.error:.1f}"
    after = shown(kind, got.after[kind.key], unit) if got.tweaks and not np.isinf(now.error) else ""
    misfit = "does not fit the others: read it again" if kind.key in found.misfits else ""
    least = found.shows.get(kind.key, np.nan)
    shows = "" if np.isnan(least) else "no size" if np.isinf(least) else shown(kind, least, unit)
    return kind.name, shown(kind, wanted[kind.key], unit), bar, after, shows, misfit


def _estimate(estimate: Estimate) -> str:
    if np.isinf(estimate.error):
        return "not known"
    return f"{estimate.value:.1f} ± {estimate.error:.1f}"


def drawings(readout: InspectionReadout, tube_diameter_mm: float) -> tuple[Drawing | None, Drawing | None]:
    """The bar that was wanted and the bar that came out, to be drawn over each other; None for what is not known."""
    if readout.recipe is None:
        return None, None
    wanted = drawing_from_recipe(readout.recipe, tube_diameter_mm)
    if readout.inspection is None:
        return wanted, None
    bends = bends_from_parts(readout.recipe, readout.inspection.parts_deg)
    return wanted, drawing_from_bends(bends, tube_diameter_mm, float(readout.recipe.stem_roll_deg))


def says_in_space(readout: InspectionReadout, unit: str) -> str:
    """What the picture in space shows, in words."""
    if readout.recipe is None:
        return "No bar: this order cannot be made"
    if readout.inspection is None:
        return "The bar as ordered in space, none measured yet"
    measures = readout.inspection.measures
    said = [
        f"{kind.name.lower()} {shown(kind, measures[kind.key].value, unit)}, "
        f"wanted {shown(kind, readout.wanted[kind.key], unit)}"
        for kind in KINDS
        if kind.key in SAID and not np.isinf(measures[kind.key].error)
    ]
    return f"The bar as ordered in space, and over it the bar as measured: {'; '.join(said)}"
