"""The steps at the bench for the usual order of bends: both inner bends, then both outer ones.

The hook always holds a riser: for an inner bend the riser lies outboard of it, for an outer bend inboard, so that the
straight between the bends is the only one the tooling must hold, and the two marks a side are the two ends of the
riser. The bender bends in a level plane. `barmath.lying` works out how the bar lies in it; a test holds every reading
here against that geometry.
"""

from __future__ import annotations

from dataclasses import dataclass

from barmath.bar import Recipe
from barmath.marks import Marks, marks_from_recipe
from barmath.refusal import BendError
from barmath.shape import clamp_reading_deg
from barmath.tooling import Bender, Die, Springback

USUAL_ORDER = (("right", "inner"), ("left", "inner"), ("right", "outer"), ("left", "outer"))


@dataclass(frozen=True)
class Step:
    """One bend at the bench.

    `mark_mm` is the line that goes to the die's edge, along the straight tube from its middle, to `side`;
    `mark_from_end_mm` the same line from the tube's end on that side. `held` is the side of the bend that lies in the
    hook. `bend_deg` is what stays, `stop_deg` what the stop is set to. `reading_deg` is what the angle finder must show
    on `read_on` (None: nothing to read), positive where that flat climbs toward the bender.
    """

    number: int
    side: str
    bend: str
    held: str
    mark_mm: float
    mark_from_end_mm: float
    bend_deg: float
    stop_deg: float
    reading_deg: float | None
    read_on: str
    do: tuple[str, ...]
    check: tuple[str, ...]

    @property
    def title(self) -> str:
        """For example "1. Right inner bend"."""
        return f"{self.number}. {self.side.capitalize()} {self.bend} bend"

    @property
    def mark_name(self) -> str:
        """For example "right inner mark"."""
        return f"{self.side} {self.bend} mark"


def usual_steps(recipe: Recipe, springback: Springback, die: Die, bender: Bender = Bender()) -> tuple[Step, ...]:
    """The four bends of one `recipe` (no arrays) in the usual order.

    Parameters
    ----------
    recipe : Recipe
        Finished angles and radius.
    springback : Springback
        Of the tube on the die, for the angles on the stop.
    die : Die
        For its line-up offset.
    bender : Bender
        To which side the free end comes round; it decides the sign of the clamp reading.

    Returns
    -------
    tuple of four Step

    Raises
    ------
    BendError
        Where the stop would have to be set beyond the die's largest bend.
    """
    marks = marks_from_recipe(recipe)
    return tuple(
        _step(number, side, bend, recipe, marks, springback, die, bender)
        for number, (side, bend) in enumerate(USUAL_ORDER, 1)
    )


def bench_marks_mm(recipe: Recipe, die: Die) -> tuple[float, float]:
    """Inner and outer mark of one side, mm from the middle, moved by the die's line-up offset.

    The tangent point lies `line_up_offset_mm` ahead of the die's edge, toward the free end: inward for the inner bend,
    outward for the outer one.
    """
    marks = marks_from_recipe(recipe)
    return marks.inner_end_mm + die.line_up_offset_mm, marks.outer_start_mm - die.line_up_offset_mm


def _step(
    number: int, side: str, bend: str, recipe: Recipe, marks: Marks, springback: Springback, die: Die, bender: Bender
) -> Step:
    inner, outer = bench_marks_mm(recipe, die)
    mark = inner if bend == "inner" else outer
    angle = recipe.inner_bend_deg if bend == "inner" else recipe.outer_bend_deg
    stop = springback.die_bend_deg(angle)
    if stop > die.largest_bend_deg:
        raise BendError(
            f"bend on the die must be at most {die.largest_bend_deg:.1f} deg, the furthest stop, got {stop:.1f} deg: "
            "choose a smaller bend"
        )
    reading, read_on = _reading(number, side, recipe, bender)
    return Step(
        number=number,
        side=side,
        bend=bend,
        held="outboard" if bend == "inner" else "inboard",
        mark_mm=mark,
        mark_from_end_mm=marks.end_mm - mark,
        bend_deg=angle,
        stop_deg=stop,
        reading_deg=reading,
        read_on=read_on,
        do=_do(number, side, bend, mark, stop, angle, reading, bender),
        check=_check(number, side, recipe),
    )


def _reading(number: int, side: str, recipe: Recipe, bender: Bender) -> tuple[float | None, str]:
    if number == 1:
        return None, ""
    if number == 2:
        return 0.0, "bent arm"
    reading = clamp_reading_deg(recipe)
    return (reading if (side == "right") == (bender.turns == "left") else -reading), "clamp flat"


def _do(
    number: int, side: str, bend: str, mark: float, stop: float, angle: float, reading: float | None, bender: Bender
) -> tuple[str, ...]:
    other = "left" if side == "right" else "right"
    free = f"the {other} end" if bend == "inner" else f"the {side} end"
    hold = (
        f"Hook on the {side} riser: {free} is the free end and points straight ahead.",
        f"Bring the {side} {bend} mark, {mark:.1f} mm from the middle, to the die's edge.",
    )
    take_up = "Take up the slack in the hook, then look at the mark{} again."
    pull = (
        f"Bend to {stop:.1f} deg on the stop; {angle:.1f} deg will stay. "
        f"The free end comes round to the {bender.turns}."
    )
    if number == 1:
        return (*hold, "The tube is still straight: it may lie at any roll.", take_up.format(""), pull)
    if number == 2:
        return (
            *hold,
            f"Turn the tube until the bent {other} arm lies level, 0.0 deg on the angle finder, and points to the "
            f"{bender.turns}, the side the bend will turn to. Pointing to the other side it makes an S-shaped bar.",
            take_up.format(" and the angle finder"),
            pull,
        )
    assert reading is not None
    away = "right" if bender.turns == "left" else "left"
    return (
        *hold,
        f"The clamp flat trails off behind the hook to the {away}, away from the side the bend will turn to. "
        "Trailing off to the other side it makes a grip that turns up instead of out.",
        f"Lay the angle finder on the clamp flat and turn the tube until it shows {_slope(reading, other)}.",
        take_up.format(" and the angle finder"),
        pull,
    )


def _slope(reading: float, other: str) -> str:
    if abs(reading) < 0.05:
        return "0.0 deg (level)"
    way, place = ("downhill", "hangs low") if reading > 0.0 else ("uphill", "stands high")
    return (
        f"{abs(reading):.1f} deg, running {way} away from the bender, so that the {other} arm {place}; "
        "the other way up the grip sweeps forward"
    )


def _check(number: int, side: str, recipe: Recipe) -> tuple[str, ...]:
    if number == 1:
        return (f"The angle finder shows {recipe.inner_bend_deg:.1f} deg between the riser and the straight part.",)
    if number == 2:
        return (
            f"Each riser stands {recipe.inner_bend_deg:.1f} deg off the clamp flat.",
            "On a flat table both risers and the clamp flat touch at once: the bar does not rock. "
            "Put the two inner bends in phase before the outer ones.",
        )
    if number == 3:
        return (
            f"The grip stands {recipe.outer_bend_deg:.1f} deg off the riser.",
            f"With the riser level, the clamp flat still shows {abs(clamp_reading_deg(recipe)):.1f} deg.",
        )
    return ("Lay both grips on the table: they touch along their whole length and the clamp flat lies parallel to it.",)
