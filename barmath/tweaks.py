"""What to do with a finished bar: leave it alone, tweak a bend or two, or scrap it, and what it should read afterwards.

A tweak opens or closes one bend in its own plane, or turns one riser about the clamp flat, cold and by hand. Two at
most are advised, the fewest that bring the bar within the builder's tolerance; an inner bend moves everything beyond
it, so it comes before an outer one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from barmath.as_bent import PARTS, Array
from barmath.bar import Order, check_single
from barmath.bench_readings import BY_KEY, readings_of_parts
from barmath.inspection import Inspection
from barmath.mistakes import MOST_TWEAK_DEG, MOST_TWIST_DEG
from barmath.refusal import BendError
from barmath.tolerance import USUAL, Tolerance

LEAVE, TOUCH, TWEAK, SCRAP = "leave it alone", "worth a touch", "tweak it", "scrap"

TOUCH_SHARE = 0.85
"""Share of the tolerance of a sweep from which a touch of tweak is worth while: common practice, no source."""

AIM_SHARE = 0.5
"""Share of each tolerance that a tweak should leave the bar within, so that a small slip of the tweak does no harm."""

HEAT_DEG = 0.5
"""By how much brazing heat may close a bend beside the joint: common practice, no source, and not promised."""

SMALLEST_TWEAK_DEG = 0.1

_TWEAKED = (6, 1, 2, 0, 3)  # places in PARTS, in the order in which they are tweaked: twist, inner, then outer bends
_KEYS = ("backsweep_left", "backsweep_right", "rise_left", "rise_right", "risers_gap")


@dataclass(frozen=True)
class Tweak:
    """One tweak: the part, by how many degrees (more closes a bend), and what to do in words."""

    part: str
    by_deg: float

    @property
    def words(self) -> str:
        """For example "close the right outer bend by 0.8 deg"."""
        amount = f"by {abs(self.by_deg):.1f} deg"
        if self.part == "twist":
            way = "back" if self.by_deg > 0.0 else "forward"
            return f"turn the right riser {way} against the left one, about the clamp flat, {amount}"
        return f"{'close' if self.by_deg > 0.0 else 'open'} the {self.part} {amount}"


@dataclass(frozen=True)
class Advice:
    """What to do: `verdict` is one of LEAVE, TOUCH, TWEAK, SCRAP; `why` says so in a sentence; `tweaks` in their order.

    `after` holds what the bar should read once tweaked, by the keys of `bench_readings.KINDS`; `notes` what else there
    is to know.
    """

    verdict: str
    why: str
    tweaks: tuple[Tweak, ...]
    after: dict[str, float]
    notes: tuple[str, ...]


def advice(inspection: Inspection, order: Order, tolerance: Tolerance = USUAL) -> Advice:
    """What to do with an inspected bar that was to be `order` (risers upright); raises BendError for several orders."""
    check_single(order)
    parts = inspection.parts_deg
    now = _deviations(inspection, parts, order)
    out = _out_of(now, tolerance)
    after = {key: estimate.value for key, estimate in inspection.measures.items()}
    notes = (*_vague(inspection, tolerance), *rocking_words(inspection, tolerance))
    if not out:
        return Advice(LEAVE, "everything is within your tolerance", (), after, notes)
    tweaks, reached = _fewest(inspection, order, tolerance)
    worst = _worst(reached, tolerance)
    if not tweaks or worst > 1.0 + 1e-9:
        if _only_touch(now, tolerance):
            return Advice(LEAVE, "everything is within your tolerance", (), after, notes)
        why = f"{'; '.join(out)}; no two tweaks by hand bring it within: {_still(reached, tolerance)}"
        return Advice(SCRAP, why, (), after, notes)
    moved = parts + _steps(tweaks)
    values = readings_of_parts(inspection.recipe, moved, tuple(BY_KEY))[0]
    after = dict(zip(BY_KEY, map(float, values), strict=True))
    verdict = TOUCH if _only_touch(now, tolerance) else TWEAK
    return Advice(verdict, "; ".join(out), tweaks, after, (*notes, *_heat(tweaks), *_unsure(tweaks, inspection)))


def rocking_words(inspection: Inspection, tolerance: Tolerance = USUAL) -> tuple[str, ...]:
    """Where the bar rocks on a flat table: on which side, by how much, and which bend does it."""
    risers, grips = (inspection.measures[key].value for key in ("risers_gap", "grips_gap"))
    said = []
    twist = inspection.parts["twist"].value
    if abs(risers) > tolerance.rock_mm:
        side = "right" if risers > 0.0 else "left"
        said.append(
            f"front down on the table the {side} riser stands {abs(risers):.1f} mm off: the inner bends are "
            f"{abs(twist):.1f} deg out of phase"
        )
    if abs(grips) > tolerance.rock_mm:
        said.append(
            f"upside down on its grips the right grip's {'inner end' if grips > 0.0 else 'end'} stands "
            f"{abs(grips):.1f} mm off: {_grips_cause(inspection)}"
        )
    return tuple(said)


def _grips_cause(inspection: Inspection) -> str:
    # the part whose being off explains most of the gap
    wanted = np.array([0.0 if name == "twist" else np.nan for name in PARTS])
    recipe = inspection.recipe
    wanted[:6] = [recipe.outer_bend_deg, recipe.inner_bend_deg, recipe.inner_bend_deg, recipe.outer_bend_deg,
                  recipe.roll_deg, recipe.roll_deg]  # fmt: skip
    slopes = readings_of_parts(recipe, inspection.parts_deg, ("grips_gap",))[1][0]
    share = slopes * (inspection.parts_deg - wanted) * np.sign(inspection.measures["grips_gap"].value)
    name = PARTS[int(np.argmax(share))]
    return "the risers are out of phase" if name == "twist" else f"the {name} does most of it"


def _deviations(inspection: Inspection, parts: Array, order: Order) -> Array:
    values = readings_of_parts(inspection.recipe, parts, _KEYS)[0]
    left, right, rise_left, rise_right, rock = np.moveaxis(values, -1, 0)
    return np.stack(
        [left - order.backsweep_deg, right - order.backsweep_deg, right - left, rise_left - order.rise_mm,
         rise_right - order.rise_mm, rock],
        -1,
    )  # fmt: skip


def _bounds(tolerance: Tolerance) -> Array:
    return np.array([tolerance.sweep_deg] * 3 + [tolerance.rise_mm] * 2 + [tolerance.rock_mm])


def _worst(deviations: Array, tolerance: Tolerance) -> float:
    return float(np.max(np.abs(deviations) / _bounds(tolerance)))


_NAMES = ("left backsweep", "right backsweep", "backsweep", "left rise", "right rise", "riser on the table")


def _out_of(deviations: Array, tolerance: Tolerance) -> list[str]:
    # what is out, and sweeps so near to it that a touch is worth while
    said = []
    for name, off, bound in zip(_NAMES, deviations, _bounds(tolerance), strict=True):
        unit = "deg" if "sweep" in name else "mm"
        if abs(off) <= bound * (TOUCH_SHARE if unit == "deg" else 1.0) + 1e-9:
            continue
        if name == "backsweep":
            said.append(f"the sides are {abs(off):.1f} deg apart in backsweep")
        elif name == "riser on the table":
            said.append(f"a riser stands {abs(off):.1f} mm off the table")
        else:
            said.append(f"{name} is {abs(off):.1f} {unit} too {'large' if off > 0.0 else 'small'}")
    return said


def _only_touch(deviations: Array, tolerance: Tolerance) -> bool:
    return bool(np.all(np.abs(deviations) <= _bounds(tolerance) + 1e-9))


def _still(deviations: Array, tolerance: Tolerance) -> str:
    out = _out_of(deviations, tolerance)
    return f"at best {'; '.join(out)}" if out else "it would take more than a hand can bend"


def _fewest(inspection: Inspection, order: Order, tolerance: Tolerance) -> tuple[tuple[Tweak, ...], Array]:
    # one tweak where one will do, else the best two; and the deviations they leave
    best: tuple[tuple[Tweak, ...], Array, float] = ((), _deviations(inspection, inspection.parts_deg, order), np.inf)
    for count in (1, 2):
        for places in combinations(_TWEAKED, count):
            tweaks = _solved(inspection, order, tolerance, places)
            if any(abs(t.by_deg) > (MOST_TWIST_DEG if t.part == "twist" else MOST_TWEAK_DEG) for t in tweaks):
                continue
            reached = _deviations(inspection, inspection.parts_deg + _steps(tweaks), order)
            worst = _worst(reached, tolerance)
            if worst < best[2] - 0.05:
                best = tweaks, reached, worst
        if best[2] <= AIM_SHARE:
            break
    return best[0], best[1]


def _solved(inspection: Inspection, order: Order, tolerance: Tolerance, places: tuple[int, ...]) -> tuple[Tweak, ...]:
    # least squares in tolerances, two steps of it: the slopes hardly change over a few degrees
    step = np.zeros(len(PARTS))
    for _ in range(2):
        here = inspection.parts_deg + step
        slopes = readings_of_parts(inspection.recipe, here, _KEYS)[1][:, places]
        pull = np.stack([slopes[0], slopes[1], slopes[1] - slopes[0], slopes[2], slopes[3], slopes[4]])
        weight = 1.0 / _bounds(tolerance)
        off = _deviations(inspection, here, order)
        step[list(places)] -= np.linalg.lstsq(pull * weight[:, None], off * weight, rcond=None)[0]
    return tuple(
        Tweak(PARTS[place], round(float(step[place]), 1))
        for place in places
        if abs(step[place]) >= 0.5 * SMALLEST_TWEAK_DEG
    )


def _steps(tweaks: Iterable[Tweak]) -> Array:
    steps = np.zeros(len(PARTS))
    for tweak in tweaks:
        steps[PARTS.index(tweak.part)] += tweak.by_deg
    return steps


def _vague(inspection: Inspection, tolerance: Tolerance) -> tuple[str, ...]:
    bounds = {"deg": tolerance.sweep_deg, "mm": tolerance.rise_mm}
    said = [
        f"{BY_KEY[key].name.lower()} (give or take {2.0 * inspection.measures[key].error:.1f} {BY_KEY[key].unit})"
        for key in _KEYS[:4]
        if 2.0 * inspection.measures[key].error > bounds[BY_KEY[key].unit]
    ]
    return (f"the readings are too coarse for your tolerance of {', '.join(said)}: read again",) if said else ()


def _heat(tweaks: tuple[Tweak, ...]) -> tuple[str, ...]:
    closing = [t.part for t in tweaks if t.part.endswith("outer bend") and 0.0 < t.by_deg <= HEAT_DEG]
    if not closing:
        return ()
    return (
        f"if a crossbar is to be brazed at the outer marks, the heat may close the {' and the '.join(closing)} by "
        f"about {HEAT_DEG:.1f} deg (common practice, no source, and not promised): braze first, then read again",
    )


def _unsure(tweaks: tuple[Tweak, ...], inspection: Inspection) -> tuple[str, ...]:
    unknown = [tweak.part for tweak in tweaks if not np.isfinite(inspection.parts[tweak.part].error)]
    if not unknown:
        return ()
    return (
        f"the readings do not tell whether the {' or the '.join(unknown)} itself came out wrong; the tweak puts the "
        "measures right all the same",
    )


def applied(parts_deg: Array, tweaks: Iterable[Tweak]) -> Array:
    """The parts (7,) of a bar once tweaked, degrees."""
    if np.shape(parts_deg) != (len(PARTS),):
        raise BendError(f"parts must have shape ({len(PARTS)},), got {np.shape(parts_deg)}")
    return np.asarray(parts_deg, dtype=np.float64) + _steps(tweaks)
