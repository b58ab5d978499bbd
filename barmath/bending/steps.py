"""The steps at the bench, in the usual sequence (both inner bends, then both outer ones) or in another.

In the usual sequence the hook always holds a riser: for an inner bend the riser is outboard of it, for an outer bend
inboard. So the straight between the bends is the only one that the tooling must hold. The two marks a side are the two
ends of the riser. The bender bends in a level plane. `barmath.bending.holds` works out how the bar is in it,
`barmath.bending.finder` what the angle finder shows, `barmath.bending.step_words` says it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from barmath.bending.holds import RIGHT, STRAIGHTS, USUAL_HOLDS, Hold, Pose, made_so_far, poses_from_recipe
from barmath.bending.settings import settings_and_flats
from barmath.bending.step_words import Situation, check_words, do_words, hold_words, lie_words, measure_words
from barmath.closed_forms.marks import marks_from_recipe
from barmath.closed_forms.records import Recipe, check_single
from barmath.shop.bender import Bender
from barmath.shop.tooling import Die, Springback
from barmath.space.centerline import bends_from_recipe

HABITS = (
    "Write R and L on the tube's ends. The right riser, arm and end are those toward R. Look along the tube from the "
    "hook: to the left and to the right are as you see them then.",
    "Sharpen the pencil before you mark: a wide line hides where the bend starts.",
    "Zero the angle finder on the bed of the bender. Take up the slack in the hook before reading mark and finder.",
)
"""Habits for every bar: common practice, no source."""


@dataclass(frozen=True)
class Step:
    """One bend at the bench.

    `mark_mm` is the line that goes to the die's edge, along the straight tube from its middle, to `side`;
    `mark_from_end_mm` the same line from the tube's end on that side. `held` is the side of the bend that is in the
    hook. `bend_deg` is what remains, `stop_deg` the setting of the stop; `stop_for` says for which bends it is ("all
    bends", "inner bends", "outer bends"). `moves_stop` says whether it was another one for the bend before.
    `reading_deg` is what the angle finder must show on `read_on` (None: nothing to read), positive where that flat
    climbs toward the bender; `read_straight` is that one of `STRAIGHTS` in it which is nearest to the bender.

    `read_side` is the side of the bend, along the tube, to which that flat leads. `habit` says what to set the angle
    finder to where it is not the backsweep, and is empty elsewhere.

    Four fields are a few words each. `hold` says what the hook holds, `lie` how the tube is when the reading is right.
    `turns` says to which side the free end comes round, and `measure` what to measure then. `do` and `check` say all of
    it in sentences. Right and left riser, arm and end are the tube's own; "to the left" and "to
    the right" are seen along the tube from the hook. `pose` is the tube in the bender.
    """

    number: int
    side: str
    bend: str
    held: str
    mark_mm: float
    mark_from_end_mm: float
    bend_deg: float
    stop_deg: float
    stop_for: str
    moves_stop: bool
    reading_deg: float | None
    read_on: str
    read_straight: str
    read_side: str
    habit: str
    hold: str
    lie: str
    turns: str
    measure: str
    do: tuple[str, ...]
    check: tuple[str, ...]
    pose: Pose

    @property
    def title(self) -> str:
        """Its number and name, for example "1. Right inner bend"."""
        return f"{self.number}. {self.side.capitalize()} {self.bend} bend"

    @property
    def mark_name(self) -> str:
        """The name of its mark, for example "right inner mark"."""
        return f"{self.side} {self.bend} mark"


def bench_steps(
    recipe: Recipe,
    springback: Springback,
    die: Die,
    bender: Bender = Bender(),
    unit: str = "mm",
    holds: tuple[Hold, ...] = USUAL_HOLDS,
) -> tuple[Step, ...]:
    """The four bends of one `recipe` (no arrays), in the usual sequence or in that of `holds`.

    Parameters
    ----------
    recipe : Recipe
        Finished angles and radius.
    springback : Springback
        Of the tube on the die, for the angles on the stop.
    die : Die
        For its line-up offset.
    bender : Bender
        To which side the free end comes round; it decides the signs of the readings.
    unit : "mm" or "in"
        Of the lengths in the words.
    holds : tuple of four Hold

    Returns
    -------
    tuple of four Step

    Raises
    ------
    BendError
        The stop would be beyond the die's largest bend. A bend is missing or made twice, or there is no flat to read.

    Examples
    --------
    >>> from barmath import Die, Recipe, Springback
    >>> recipe = Recipe(60.0, 30.0, 100.8, 28.9, 30.0, 184.3, 105.0)
    >>> from barmath.bending import bench_steps
    >>> for step in bench_steps(recipe, Springback(0.032, 101.6), Die(101.6))[:2]:
    ...     print(f"{step.title}: stop {step.stop_deg:.1f} deg")
    1. Right inner bend: stop 31.0 deg
    2. Left inner bend: stop 31.0 deg
    """
    check_single(recipe, springback, die)
    bends = bends_from_recipe(recipe)
    poses = poses_from_recipe(recipe, bender, holds=holds)
    made = made_so_far(holds)
    settings = settings_and_flats(bends, holds, springback, die, bender)
    half = marks_from_recipe(recipe).end_mm
    steps, at = [], None
    for number, ((setting, flat), pose) in enumerate(zip(settings, poses, strict=True), 1):
        hold = setting.hold
        mark = (setting.mark_mm - half) * (1.0 if pose.side == RIGHT else -1.0)
        at = Situation(
            number=number,
            holds=holds,
            made=made[number - 1],
            pose=pose,
            flat=flat,
            recipe=recipe,
            bender=bender,
            mark_mm=mark,
            stop_deg=setting.stop_deg,
            angle_deg=float(bends.bends_deg[hold.number]),
            unit=unit,
            before=at,
        )
        steps.append(_step(at, half))
    return tuple(steps)


def marks_of_steps(steps: Sequence[Step]) -> tuple[float, float]:
    """Where the right side is marked for these steps, inner and outer, mm from the middle; the left side alike."""
    inner, outer = (
        next(step.mark_mm for step in steps if (step.side, step.bend) == (RIGHT, bend)) for bend in ("inner", "outer")
    )
    return float(inner), float(outer)


def _step(at: Situation, half_mm: float) -> Step:
    return Step(
        number=at.number,
        side=at.pose.side,
        bend=at.pose.bend,
        held="outboard" if at.hold.hooked == at.pose.side else "inboard",
        mark_mm=at.mark_mm,
        mark_from_end_mm=half_mm - at.mark_mm,
        bend_deg=at.angle_deg,
        stop_deg=at.stop_deg,
        stop_for=at.stop_for,
        moves_stop=at.moves_stop,
        reading_deg=None if at.flat is None else at.flat.reading_deg,
        read_on="" if at.flat is None else at.flat_name,
        read_straight="" if at.flat is None else STRAIGHTS[at.flat.straight if at.flat_side == RIGHT else at.flat.last],
        read_side="" if at.flat is None else at.flat_side,
        habit=at.habit,
        hold=hold_words(at),
        lie=lie_words(at),
        turns=f"the free end comes round to the {at.bender.turns}",
        measure=measure_words(at),
        do=do_words(at),
        check=check_words(at),
        pose=at.pose,
    )
