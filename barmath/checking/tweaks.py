"""What to do with a finished bar: leave it, read again, tweak a bend or two, or scrap it, and what it should read then.

A tweak opens or closes one bend in its own plane, or turns one riser about the clamp flat. It is done cold and by hand.
Two at most are advised, the fewest that bring the bar surely within the builder's tolerance; an inner bend moves
everything beyond it, so it comes before an outer one.

No advice rests on a reading that nothing checks. While a reading does not fit the others it is to be read again; and
before anything is bent or scrapped, the bar must be out, and the tweak good. That must hold without each single reading
too. A reading that was taken twice is left in. A bar is scrapped only if no single reading is a little doubtful either.
How likely a bar is within, and drawn-in bounds: `barmath.checking.goal`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from barmath.arrays import Array
from barmath.checking.as_bent import MARKS, PARTS
from barmath.checking.bench_readings import BY_KEY, readings_of_parts
from barmath.checking.goal import SURE, SWEEPS, Judged, Truths, judged, slopes_of_goals
from barmath.checking.inspection import Inspection
from barmath.checking.tweak_words import (
    again_words,
    coarse_words,
    hanging_words,
    heat_words,
    left_words,
    more_words,
    once_words,
    out_words,
    rocking_words,
    unsure_words,
)
from barmath.closed_forms.records import Order, check_single
from barmath.fields import frozen, passing
from barmath.refusal import BendError, checked_choice
from barmath.shop.tolerance import MOST_TWEAK_DEG, MOST_TWIST_DEG, USUAL, Tolerance

LEAVE, NEAR, TOUCH, TWEAK, SCRAP = "leave it alone", "leave it, or read more", "worth a touch", "tweak it", "scrap"
READ = "read again first"

WITHIN = (LEAVE, NEAR, TOUCH)
"""Verdicts on a bar of which nothing that was read is outside what the shop accepts."""

MOST_HARM = 0.005
"""Chance that a tweak puts out what was within, beyond which it is not advised: our choice, no source."""

LEAST_GAIN = 0.25
"""By how much a tweak must raise the chance of a bar to be within: our choice, no source."""

DOUBTFUL = 2.575829
"""w beyond which one reading, taken once, is read again before a bar is scrapped: one good reading in 100."""

OUT_WITHOUT, HARM_WITHOUT = 0.8, 0.25
"""Without any single reading a bar must still be out with this chance, and its tweak harm with no more: our choice."""

_TWEAKED = (6, 1, 2, 0, 3)  # places in PARTS, as they are tweaked: twist, inner, then outer bends
# every one and every two of them
_PLANS = tuple(places for count in (1, 2) for places in combinations(_TWEAKED, count))
_MOST = np.array([MOST_TWIST_DEG if part == "twist" else MOST_TWEAK_DEG for part in PARTS])


@frozen
class Tweak:
    """One tweak: which of `PARTS`, by how many degrees (more closes a bend), and what to do in words.

    Raises
    ------
    BendError
        The part is none of `PARTS`.
    """

    part: str = passing(checked_choice, "part", choices=PARTS)
    by_deg: float

    @property
    def words(self) -> str:
        """What to do, for example "close the right outer bend by 0.8 deg"."""
        amount = f"by {abs(self.by_deg):.1f} deg"
        if self.part == "twist":
            way = "back" if self.by_deg > 0.0 else "forward"
            return f"turn the right riser {way} against the left one, about the clamp flat, {amount}"
        return f"{'close' if self.by_deg > 0.0 else 'open'} the {self.part} {amount}"


@dataclass(frozen=True)
class Advice:
    """What to do: `verdict` is LEAVE, NEAR, TOUCH, TWEAK, SCRAP or READ; `why` says so in a sentence.

    `tweaks` come first to last, and only where no reading is in doubt; `after` holds what the bar should read once
    tweaked, by the keys of `bench_readings.KINDS`; `notes` what else there is to know. `chance_after` is the least
    chance that the bar is then within the tolerance; without tweaks it is that of the bar now. `before` is said before
    the advice: which error the readings would not show, and what to read more.
    """

    verdict: str
    why: str
    tweaks: tuple[Tweak, ...]
    after: dict[str, float]
    notes: tuple[str, ...]
    chance_after: float
    before: str


@dataclass(frozen=True)
class _Bar:
    """A bar as it most likely is, and the order it is judged by: what every step below needs."""

    inspection: Inspection
    order: Order
    tolerance: Tolerance
    parts: Array
    covariance: Array

    def judged(self, parts: Array) -> Judged:
        return judged(self.inspection.recipe, self.order, self.tolerance, parts, self.covariance)

    def moved(self, steps: Array) -> Array:
        """Its parts moved by `steps` (..., 7), the marks where they are."""
        return self.parts + np.concatenate([steps, np.zeros((*steps.shape[:-1], MARKS))], -1)

    def without(self, key: str) -> _Bar:
        parts, covariance = self.inspection.without(key)
        return replace(self, parts=parts, covariance=covariance)


@dataclass(frozen=True)
class _Plan:
    tweaks: tuple[Tweak, ...]
    reached: Judged


def advice(inspection: Inspection, order: Order, tolerance: Tolerance = USUAL) -> Advice:
    """What to do with an inspected bar that was to be `order` (risers upright).

    Parameters
    ----------
    inspection : Inspection
    order : Order
        One order.
    tolerance : Tolerance

    Returns
    -------
    Advice

    Raises
    ------
    BendError
        The order holds arrays: take one order at a time.

    Examples
    --------
    >>> from barmath.checking import Reading, advice, inspect, wanted_readings
    >>> from barmath.shop import ORDER, order_seven_recipe
    >>> recipe = order_seven_recipe()
    >>> keys = ("backsweep_left", "backsweep_right", "rise_left", "rise_right")
    >>> readings = map(Reading, keys, wanted_readings(recipe, keys))
    >>> found = inspect(recipe, list(readings))
    >>> advice(found, ORDER).verdict
    'leave it, or read more'
    """
    check_single(order)
    bar = _Bar(inspection, order, tolerance, inspection.fitted, inspection.fitted_covariance)
    now = bar.judged(bar.parts)
    unknown = now.error > now.bound
    verdict, why, plan = _decided(bar, now, unknown)
    notes = rocking_words(inspection, tolerance)
    if inspection.agree:
        notes = (*coarse_words(inspection, tolerance), *notes, *once_words(inspection))
    after = {key: estimate.value for key, estimate in inspection.measures.items()}
    if plan is not None:
        values = readings_of_parts(inspection.recipe, bar.moved(_steps(plan.tweaks)), tuple(BY_KEY))[0]
        after = dict(zip(BY_KEY, map(float, values), strict=True))
        notes += heat_words(((tweak.part, tweak.by_deg) for tweak in plan.tweaks), tolerance.heat_deg)
        notes += unsure_words((tweak.part for tweak in plan.tweaks), inspection)
    return Advice(
        verdict, why, plan.tweaks if plan else (), after, notes,
        float((plan.reached if plan else now).chance), more_words(inspection, unknown),
    )  # fmt: skip


def _decided(bar: _Bar, now: Judged, unknown: Truths) -> tuple[str, str, _Plan | None]:
    if not bar.inspection.agree:
        return READ, again_words(bar.inspection), None
    wished = np.where(SWEEPS, bar.tolerance.touch_share, 1.0) * now.bound
    out = out_words(now.off, now.bound)
    touch = [] if out else out_words(now.off, wished)
    why = "; ".join(out or touch)
    if not why and now.chance >= SURE:
        return LEAVE, "everything is within your tolerance", None
    if not why:
        return NEAR, left_words(now, unknown), None
    plan = _best(bar, now, bool(touch))
    if plan is not None:
        hanging = _hanging(bar, plan, now.bound if out else wished)
        if not hanging:
            return TOUCH if touch else TWEAK, why, plan
        return TOUCH if touch else READ, hanging_words(why, hanging), None
    if touch:
        return TOUCH, f"{why}; no tweak is sure to do more good than harm", None
    if not _lost(bar):
        return READ, f"{why} by your readings, and these are not sure enough for a tweak", None
    single = [reading.key for reading in bar.inspection.readings if reading.times == 1]
    doubtful = [key for key in single if abs(bar.inspection.off[key]) > DOUBTFUL]
    hanging = doubtful or [key for key in single if not _lost(bar.without(key))]
    if hanging:
        return READ, hanging_words(why, hanging), None
    return SCRAP, f"{why}; no two tweaks by hand bring it within your tolerance: {_still(bar, now)}", None


def _best(bar: _Bar, now: Judged, touching: bool) -> _Plan | None:
    # the fewest tweaks that do no harm and make the bar surely within, else those that help most
    steps = _planned(bar, now)
    if not len(steps):
        return None
    reached = bar.judged(bar.moved(steps))
    good = now.harm(reached) <= MOST_HARM
    good &= reached.chance >= (max(SURE, float(now.chance)) if touching else float(now.chance) + LEAST_GAIN)
    if not good.any():
        return None
    # up to `SURE` the chance decides; among plans that are sure the fewest tweaks, then the nearest to the order
    score = np.minimum(reached.chance, SURE) - 0.01 * (steps != 0.0).sum(-1) - 1e-4 * reached.worst
    place = int(np.argmax(np.where(good, score, -np.inf)))
    tweaks = tuple(Tweak(PARTS[part], float(steps[place, part])) for part in _TWEAKED if steps[place, part])
    return _Plan(tweaks, _at(reached, place))


def _at(many: Judged, place: int) -> Judged:
    return Judged(many.off[place], many.error[place], many.bound)


def _planned(bar: _Bar, now: Judged) -> Array:
    # steps (plans, 7) of every one and two tweaks a hand can make: least squares of what is off over its bound
    pull = slopes_of_goals(bar.inspection.recipe, bar.parts) / now.bound[:, None]
    steps = np.zeros((len(_PLANS), len(PARTS)))
    for plan, places in enumerate(_PLANS):
        steps[plan, places] = -np.linalg.lstsq(pull[:, places], now.off / now.bound, rcond=None)[0]
    steps = steps.round(1)  # as finely as a hand bends
    return steps[np.all(np.abs(steps) <= _MOST, axis=-1) & steps.any(-1)]


def _hanging(bar: _Bar, plan: _Plan, bound: Array) -> list[str]:
    # readings, each taken once, without which the bar would not be out, or the tweak might harm it
    step, found = _steps(plan.tweaks), []
    for reading in bar.inspection.readings:
        if reading.times > 1:
            continue
        less = bar.without(reading.key)
        now = less.judged(less.parts)
        out = Judged(now.off, now.error, bound).out_one_way
        if out.max() < OUT_WITHOUT or now.harm(less.judged(less.moved(step))) > HARM_WITHOUT:
            found.append(reading.key)
    return found


def _lost(bar: _Bar) -> bool:
    # surely out now, and after any tweak
    now = bar.judged(bar.parts)
    if now.within.min() > 1.0 - SURE:
        return False
    steps = _planned(bar, now)
    return not len(steps) or bool((bar.judged(bar.moved(steps)).within.min(-1) <= 1.0 - SURE).all())


def _still(bar: _Bar, now: Judged) -> str:
    steps = _planned(bar, now)
    if not len(steps):
        return "it would take more than a hand can bend"
    reached = bar.judged(bar.moved(steps))
    best = _at(reached, int(np.argmin(reached.worst)))
    return f"at best {'; '.join(out_words(best.off, best.bound))}"


def _steps(tweaks: Iterable[Tweak]) -> Array:
    steps = np.zeros(len(PARTS))
    for tweak in tweaks:
        steps[PARTS.index(tweak.part)] += tweak.by_deg
    return steps


def applied(parts_deg: Array, tweaks: Iterable[Tweak]) -> Array:
    """The parts (7,) of a bar once tweaked, degrees.

    Parameters
    ----------
    parts_deg : array (7,)
        Sorted as `PARTS`.
    tweaks : sequence of Tweak

    Raises
    ------
    BendError
        The parts are not seven.

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.checking import Tweak, applied, parts_of_recipe
    >>> parts = parts_of_recipe(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105))
    >>> applied(parts, [Tweak("left outer bend", 0.8)]).tolist()
    [30.8, 30.0, 30.0, 30.0, 28.9, 28.9, 0.0]
    """
    if np.shape(parts_deg) != (len(PARTS),):
        raise BendError(
            f"parts must have shape ({len(PARTS)},), got {np.shape(parts_deg)}: give one number for each part"
        )
    return np.asarray(parts_deg, dtype=np.float64) + _steps(tweaks)
