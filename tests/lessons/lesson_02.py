"""The numbers in the prose of lesson 02, worked out again. Those in its steps are worked out where they are shown."""

from collections.abc import Iterator

from barmath.closed_forms.forward import clamp_reading_deg
from barmath.closed_forms.inverse import least_bend_deg
from barmath.shop.order_seven import BEND_DEG, ORDER, order_seven_recipe

RECIPE = order_seven_recipe()


def said() -> Iterator[str]:
    yield f"a rise of {ORDER.rise_mm:.0f} mm, a backsweep of {ORDER.backsweep_deg:.0f} degrees and a width of {ORDER.width_mm:.0f} mm"
    yield f"turns it upward by {BEND_DEG:.0f} degrees"
    yield f"leaning {BEND_DEG:.0f} degrees from level"
    yield f"must be {ORDER.width_mm / 2:.0f} mm to the right and {ORDER.rise_mm:.0f} mm up"
    assert round(ORDER.backsweep_deg - clamp_reading_deg(RECIPE), 2) == 0.02  # "right to two hundredths of a degree"
    turn = 14.33  # the total turn of order 7: tan^2 = tan^2 14 + tan^2 3.18
    assert abs(least_bend_deg(ORDER) / (turn / 2) - 2.0) < 0.2  # "about half of what upright risers need"


GIVEN = {
    "limits where the formula is known": [
        "With $a = 0$ there is no bend",
        "With $a = 90°$ it is (0, 0, 1)",
        "over the roll, from 0 to 180 degrees",
        "A sine cannot be above 1",
    ],
    "directions along an axis": ["$d_1$ is (1, 0, 0)", "heads to the right, (1, 0, 0)"],
    "the middle of the clamp flat": ["is (0, 0, 0)"],
}
