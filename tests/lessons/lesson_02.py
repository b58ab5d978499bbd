"""The numbers in the prose of lesson 02, worked out again."""

from collections.abc import Iterator
from dataclasses import replace
from math import acos, asin, atan, cos, pi, radians, sin, sqrt, tan

import numpy as np

from barmath.arrays import RADIAN
from barmath.closed_forms.forward import clamp_reading_deg, grips_level, shape_from_recipe
from barmath.closed_forms.inverse import least_bend_deg, recipe_from_order
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, order_seven_recipe

RECIPE = order_seven_recipe()
BAR = shape_from_recipe(RECIPE)
RADIUS = RECIPE.radius_mm


def said() -> Iterator[str]:
    yield from _the_order()
    yield from _forward()
    yield from _backward()
    yield from _two_bends()
    yield from _special()
    yield from _slips()


def _the_order() -> Iterator[str]:
    yield (
        f"a rise of {ORDER.rise_mm:.0f} mm, a backsweep of {ORDER.backsweep_deg:.0f} degrees and a width of "
        f"{ORDER.width_mm:.0f} mm, with the risers upright and {ORDER.controls_mm:.0f} mm of grip for the controls"
    )
    yield f"a clamp flat of {ORDER.clamp_flat_mm:.0f} mm and four bends of {BEND_DEG:.0f} degrees on {DIE.name}"
    yield f"whose centre-line radius is {DIE.centerline_radius_mm:.1f} mm. Let go, the tube springs open to a radius of {RADIUS:.1f} mm"
    yield f"the straight of {RECIPE.straight_mm:.2f} mm and the roll of {RECIPE.roll_deg:.2f} degrees"


def _forward() -> Iterator[str]:
    a, phi = radians(BEND_DEG), radians(RECIPE.roll_deg)
    yield f"turns it upward by {BEND_DEG:.0f} degrees"
    yield f"cosine and the sine of {BEND_DEG:.0f} degrees"
    yield f"cos {BEND_DEG:.0f}° parts of the old heading, and sin {BEND_DEG:.0f}° parts"
    yield f"an arc of {RADIUS:.1f} mm radius. How far has it climbed where the bend of {BEND_DEG:.0f} degrees ends?"
    whole = f"{RADIUS:.0f}"
    yield rf"${whole} \sin {BEND_DEG:.0f}°$ to the right and ${whole}\,(1 - \cos {BEND_DEG:.0f}°)$ up"
    yield f"{whole} mm above the start of the bend, and {BEND_DEG:.0f} degrees further round"
    yield rf"${whole} \cos {BEND_DEG:.0f}°$ below that centre"
    yield f"leaning {BEND_DEG:.0f} degrees from level"
    yield f"rolled by {RECIPE.roll_deg:.2f} degrees"
    yield f"both bends of {BEND_DEG:.0f} degrees and the roll of {RECIPE.roll_deg:.2f} degrees, by hand"
    yield f"the {BAR.upsweep_deg:.1f} degrees of upsweep"
    yield f"the most that bends of {BEND_DEG:.0f} degrees can give"
    rolls = np.radians(np.arange(0, 180.01, 0.01))
    sweeps = np.arctan2(sin(a) * np.sin(rolls), cos(a) ** 2 + sin(a) ** 2 * np.cos(rolls))
    most, at = np.degrees(sweeps.max()), np.degrees(rolls[sweeps.argmax()])
    assert most == float(np.clip(most, 35.0, 35.5))  # "a little over"
    yield f"at 180 the upsweep is {2 * BEND_DEG:.0f} degrees, twice the bend"
    yield f"a little over {most:.0f} degrees, at a roll of {at:.0f}"
    yield rf"$\sin {BEND_DEG:.0f}°$ a millimetre"
    take = RADIUS * tan(a / 2)
    grip_up = sin(a) * cos(a) * (1 - cos(phi))
    riser, grip = (RECIPE.straight_mm + 2 * take) * sin(a), (RECIPE.grip_mm + take) * grip_up
    yield f"About {riser:.0f} mm come from the riser and {grip:.0f} mm from the grip: {riser + grip:.0f} mm, as ordered"
    yield (
        f"{BAR.width_mm / 2:.0f} mm to the right is half the width of {BAR.width_mm:.0f} mm; the setback is "
        f"{BAR.setback_mm:.1f} mm and the rise {BAR.rise_mm:.0f} mm"
    )
    yield f"two rises: {BAR.rise_mm:.0f} mm and about {shape_from_recipe(grips_level(RECIPE)).rise_mm:.0f}"
    yield f"The roll of order 7 is {RECIPE.roll_deg:.2f} degrees"
    kappa = asin(sin(a) * sin(phi))
    lower = (ORDER.clamp_flat_mm / 2 + take) * sin(kappa)
    yield f"the middle is {lower:.2f} mm below the riser, at the end of a leg of {ORDER.clamp_flat_mm / 2:.0f} mm"
    assert round(asin(round(lower, 2) / (ORDER.clamp_flat_mm / 2 + take)) / RADIAN, 2) == round(kappa / RADIAN, 2)
    yield f"The two agree, although {lower:.2f} is rounded"
    yield f"must read {clamp_reading_deg(RECIPE):.2f} degrees. The backsweep ordered was {ORDER.backsweep_deg:.2f}"


def _backward() -> Iterator[str]:
    a, sweep = radians(BEND_DEG), radians(ORDER.backsweep_deg)
    yield f"({BAR.upsweep_deg:.1f} degrees up and {ORDER.backsweep_deg:.0f} back)"
    yield f"The roll of {RECIPE.roll_deg:.2f} degrees is back"
    yield f"A rider wants {ORDER.backsweep_deg:.0f} degrees back and 5 degrees up on the same bends"
    more_up = recipe_from_order(replace(ORDER, upsweep_deg=5), RADIUS, BEND_DEG)
    assert more_up.roll_deg > RECIPE.roll_deg and more_up.stem_roll_deg < 0  # "A larger roll", "negative stem roll"
    delta = atan(tan(sweep) * sin(a))
    arcsine = asin(tan(sweep) * cos(a) ** 2 / (sin(a) * sqrt(1 + (tan(sweep) * sin(a)) ** 2)))
    yield f"two angles: {arcsine / RADIAN:.2f} degrees, and 180 less {arcsine / RADIAN:.2f}"
    other = shape_from_recipe(replace(RECIPE, roll_deg=180 - (arcsine - delta) / RADIAN))
    assert round(other.backsweep_deg, 6) == ORDER.backsweep_deg  # "the very same backsweep"
    yield f"Fourteen degrees of backsweep, and about {other.upsweep_deg:.0f} degrees of upsweep"
    yield f"How small may the bends be for {ORDER.backsweep_deg:.0f} degrees of backsweep"
    assert least_bend_deg(ORDER) > 13
    yield f"More than {least_bend_deg(ORDER) // 1:.0f} degrees"
    yield f"here for {BEND_DEG:.0f} degrees"
    yield f"The bends are 35 degrees instead of {BEND_DEG:.0f}"
    assert recipe_from_order(ORDER, RADIUS, 35).roll_deg < RECIPE.roll_deg  # "larger bends need less roll"
    at_the_least = 90 + atan(tan(sweep) * sin(radians(least_bend_deg(ORDER)))) / RADIAN
    yield f"with a roll near {round(at_the_least, -1):.0f} degrees"
    yield (
        rf"for an inner bend of 24 degrees, {ORDER.backsweep_deg:.0f} degrees of backsweep and level grips: the ordered "
        rf"direction is $(\cos {ORDER.backsweep_deg:.0f}°, \sin {ORDER.backsweep_deg:.0f}°, 0)$"
    )
    yield f"must be {ORDER.width_mm / 2:.0f} mm to the right and {ORDER.rise_mm:.0f} mm up"
    yield f"so at a roll of {acos(0) / RADIAN:.0f} degrees no straight sets the rise"
    yield f"the straight of {RECIPE.straight_mm:.2f} mm and the grip of {RECIPE.grip_mm:.2f} mm"


def _two_bends() -> Iterator[str]:
    two = recipe_from_order(ORDER, RADIUS, BEND_DEG, 27.5)
    yield (
        f"inner bends of {BEND_DEG:.0f} and outer bends of {two.outer_bend_deg} degrees. Must the tube be rolled by more than "
        f"{RECIPE.roll_deg:.2f} degrees"
    )
    yield f"By more, {two.roll_deg:.2f} degrees"
    for bend in (20.0, 25.0, 30.0, 35.0):  # "Very nearly where the two bends are equal"
        readings = [clamp_reading_deg(recipe_from_order(ORDER, 60.0, bend, bend + off)) for off in (-1.0, 0.0, 1.0)]
        assert readings[0] > ORDER.backsweep_deg > readings[2]
        assert abs(readings[1] - ORDER.backsweep_deg) < 0.1
    yield f"all for {ORDER.backsweep_deg:.0f} degrees of backsweep"
    yield f"Where does a line pass {ORDER.backsweep_deg:.0f} degrees?"
    yield f"{clamp_reading_deg(two):.2f} degrees, for a backsweep of {ORDER.backsweep_deg:.0f}"


def _special() -> Iterator[str]:
    straight = 60 - 2 * 20
    spacing = straight + 20 * pi / 2
    yield (
        f"two quarter arcs take {2 * 20} of the 60 inches of height, so the straight is {straight} inches long, and "
        r"the first arc is $20 \cdot \pi/2$ inches"
    )
    assert abs(spacing - (51 + 7 / 16)) < 1 / 16
    yield "the same to a sixteenth"
    assert abs(60 - spacing - 8.5) < 1 / 8
    yield "is 8 1/2 inches off"
    a = radians(BEND_DEG)

    def off(reading_deg: float) -> float:
        roll = asin(sin(radians(reading_deg)) / sin(a))
        return atan(sin(radians(reading_deg)) / (cos(a) ** 2 + sin(a) ** 2 * cos(roll))) / RADIAN - reading_deg

    readings = np.arange(0.1, 25, 0.1)
    good = np.interp(0.1, [off(reading) for reading in readings], readings)
    yield f"with bends of {BEND_DEG:.0f} degrees?"
    yield f"For equal bends of {BEND_DEG:.0f} degrees the habit is right to a tenth of a degree up to a backsweep of about {good:.0f}"
    sweep = f"{ORDER.backsweep_deg:.0f}"
    yield f"The inner bends are {BEND_DEG:.0f} degrees, the outer 40, and the angle finder is set to {sweep} for a backsweep of {sweep}"
    roll = asin(sin(radians(ORDER.backsweep_deg)) / sin(a)) / RADIAN
    wrong = shape_from_recipe(replace(RECIPE, roll_deg=roll, outer_bend_deg=40))
    assert wrong.backsweep_deg - ORDER.backsweep_deg > 3  # "Too much sweep by several degrees"


def _slips() -> Iterator[str]:
    small = 1e-4

    def slope(**change: float) -> tuple[float, float, float]:
        bar = shape_from_recipe(replace(RECIPE, **{name: getattr(RECIPE, name) + by for name, by in change.items()}))
        return tuple(
            (getattr(bar, name) - getattr(BAR, name)) / small for name in ("rise_mm", "backsweep_deg", "upsweep_deg")
        )

    arc = RADIUS * RADIAN
    inner = slope(inner_bend_deg=small, clamp_flat_mm=-2 * arc * small)
    outer = slope(outer_bend_deg=small, grip_mm=-arc * small)
    roll = slope(roll_deg=small)
    assert abs(inner[1]) < 0.05 and round(inner[2], 1) == 1.0
    yield f"A degree of inner bend is worth {inner[0]:.2f} mm of rise and a full degree of upsweep"
    yield f"A degree of outer bend is worth {-outer[0]:.2f} mm of rise, the other way, and {outer[1]:.2f} degrees of backsweep"
    yield f"A degree of roll is worth {roll[1]:.2f} degrees of backsweep"
    inner_mark = slope(clamp_flat_mm=2 * small, straight_mm=-small)[0]
    outer_mark = slope(straight_mm=small, grip_mm=-small)[0]
    assert max(abs(inner_mark), abs(outer_mark)) < 0.51  # "costs half a millimetre of rise or less"
    more = BEND_DEG + 1
    yield f"make the inner bend {more:.0f} degrees, and take the arc of that degree out of the clamp flat"
    held_end = replace(RECIPE, inner_bend_deg=more, clamp_flat_mm=RECIPE.clamp_flat_mm - 2 * arc)
    held_start = replace(RECIPE, inner_bend_deg=more, straight_mm=RECIPE.straight_mm - arc)
    end, start = (shape_from_recipe(bar).rise_mm - ORDER.rise_mm for bar in (held_end, held_start))
    yield f"With the end held the bar is {end:.2f} mm too high, as the table says. With the start held it is only {start:.2f} mm"
    assert round(end, 2) == round(inner[0], 2)
    yield f"shorter by the arc of one degree, {arc:.2f} mm"
    less = recipe_from_order(replace(ORDER, backsweep_deg=9), RADIUS, BEND_DEG)
    yield f"Order 7 with a backsweep of 9 degrees instead of {ORDER.backsweep_deg:.0f}"
    yield f"all four bends {BEND_DEG:.0f} degrees without any roll"
    yield f"The inner bends are 35, the outer {BEND_DEG:.0f} degrees"
    yield (
        f"The roll gets smaller, {less.roll_deg:.1f} degrees instead of {RECIPE.roll_deg:.1f}. The straight gets longer, "
        f"{less.straight_mm:.1f} mm instead of {RECIPE.straight_mm:.1f}"
    )


GIVEN = {
    "limits where the formula is known": [
        "With $a = 0$ there is no bend",
        "With $a = 90°$ it is (0, 0, 1)",
        "a roll of 0 and for a roll of 180 degrees",
        "At 0 the outer bend undoes the inner one",
        "At 180 degrees it adds to the inner one",
        "from 0 to 180 degrees before you draw it",
        "At a roll of 0 both sweeps are 0",
        "tan(upsweep) up for each 1 to the right",
        "If you now go 1 mm along the riser",
        "a sine cannot be above 1",
        "the sine must not pass 1. Set it equal to 1, square",
    ],
    "conduit worked example, seen: R 20 in, offset 60 in, 51 7/16 in": [
        "Two bends of 90 degrees on a radius of 20 inches make an offset of 60 inches. Their corners are 60 inches apart",
        "A printed example for conduit has 51 7/16 inches",
    ],
    "algebra in letters": ["by $1 - ", "(\\sin a, 0, -\\cos a)", "old trick: $1 - "],
    "the middle of the clamp flat": ["is (0, 0, 0)"],
}
