"""Swept bars against published mathematics: spherical triangles, compound angles, rolling offsets and the take-up.

The directions of clamp flat, riser and grip are three points on a sphere. Their spherical triangle has the inner bend
and the outer bend as two sides and the roll as the angle between them, at the riser; its third side is the total turn.
So one bar can be held against books that know nothing of bars. Each check names its source and says how it was seen.
"""

from dataclasses import replace
from math import acos, asin, atan, atan2, cos, degrees, hypot, radians, sin, sqrt, tan

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from pyproj import Geod
from tolerances import ANGLE_DEG, LENGTH_MM

from barmath import (
    Die,
    Order,
    Recipe,
    Springback,
    clamp_reading_deg,
    marks_from_recipe,
    recipe_from_inner_bend,
    recipe_from_order,
    shape_from_recipe,
)
from barmath.bending.holds import LEFT, Hold
from barmath.bending.settings import settings_from_bends
from barmath.space.centerline import TubeBends

ARC_SECOND = 1.0 / 3600.0
BY_LIBRARY_DEG = 1e-7
"""What a geodesic library and this project may differ by: near the least bend a sweep moves fast with the roll."""


def dms(whole, minutes, seconds=0.0):
    return whole + minutes / 60.0 + seconds / 3600.0


def bar(inner_deg, roll_deg, outer_deg, stem_roll_deg=0.0):
    return Recipe(60.0, inner_deg, 120.0, roll_deg, outer_deg, 200.0, 105.0, stem_roll_deg)


def total_turn_deg(shape):
    """From the two sweeps: tan^2 C = tan^2 A + tan^2 B.

    Formulas for Compound Angles: Machinery's Handbook, 31st edition (Industrial Press, 2020), page 121, figures 4 and
    5: tan R = tan B / tan A and tan C = tan A / cos R. Seen. With sin^2 R + cos^2 R = 1 they give the sum of squares.
    """
    return degrees(atan(hypot(tan(radians(shape.backsweep_deg)), tan(radians(shape.upsweep_deg)))))


# ---- the cosine rule and the compound angle
# cos c = cos a cos b + sin a sin b cos C: I. Todhunter, Spherical Trigonometry (1886), article 37; relation seen,
# number of the article from memory.


@pytest.mark.parametrize("inner_deg", [17.0, 30.0, 41.0])
@pytest.mark.parametrize("outer_deg", [12.0, 30.0, 38.0])
@pytest.mark.parametrize("roll_deg", [-25.0, 8.0, 33.0, 70.0])
@pytest.mark.parametrize("stem_roll_deg", [0.0, 9.0])
def test_the_sweeps_of_a_bar_make_the_compound_angle_of_its_two_bends(inner_deg, outer_deg, roll_deg, stem_roll_deg):
    shape = shape_from_recipe(bar(inner_deg, roll_deg, outer_deg, stem_roll_deg))
    a, b, angle = map(radians, (inner_deg, outer_deg, roll_deg))
    third_side = degrees(acos(cos(a) * cos(b) + sin(a) * sin(b) * cos(angle)))
    assert total_turn_deg(shape) == pytest.approx(third_side, abs=ANGLE_DEG)


def test_a_quarter_turn_of_roll_is_the_right_angled_triangle_that_todhunter_works_out():
    """Todhunter, article 71 or near it: a = 37 48 12, b = 59 44 16, C = 90 deg give c = 66 32 6. From memory."""
    shape = shape_from_recipe(bar(dms(37, 48, 12), 90.0, dms(59, 44, 16)))
    assert total_turn_deg(shape) == pytest.approx(dms(66, 32, 6), abs=ARC_SECOND)


def test_the_angle_of_the_triangle_at_the_riser_is_the_roll_itself():
    """Not its supplement, which is by how much a walk from clamp flat over riser to grip turns there. Equal bends
    without roll are sides that fold back on each other, and the grip comes back to the clamp axis.
    """
    shape = shape_from_recipe(bar(30.0, 0.0, 30.0))
    assert total_turn_deg(shape) == pytest.approx(0.0, abs=ANGLE_DEG)
    there, _, _ = SPHERE.inv(0.0, 90.0, 0.0, 60.0)
    back, _, _ = SPHERE.inv(0.0, 90.0, 25.0, 60.0)
    assert abs(back - there) == pytest.approx(25.0)


# ---- Napier's rules: the clamp reading
# In a triangle with a right angle at C: sin a = sin c sin A. Todhunter, articles 62 to 65; relation seen, numbers from
# memory. The clamp flat leads off the riser by c, turned by A out of the level plane; its slope is the side a.


def test_the_clamp_reading_is_the_far_side_of_todhunters_right_angled_triangle():
    """The same worked triangle: c = 66 32 6 and A = 41 55 45 give a = 37 48 12. From memory."""
    recipe = bar(dms(66, 32, 6), dms(41, 55, 45), 30.0)
    assert clamp_reading_deg(recipe) == pytest.approx(dms(37, 48, 12), abs=2.0 * ARC_SECOND)


def test_the_clamp_reading_is_the_far_side_of_olneys_right_angled_triangle():
    """E. Olney, Elements of Trigonometry, Plane and Spherical, exercise 1 on page 81: hypotenuse 105 34, angle 80 40 at
    its end give the near side 149 47 37. Seen. Napier's cos c = cos a cos b then gives the far side.
    """
    reading = clamp_reading_deg(bar(dms(105, 34), dms(80, 40), 30.0))
    far_side = degrees(acos(cos(radians(dms(105, 34))) / cos(radians(dms(149, 47, 37)))))
    assert reading == pytest.approx(far_side, abs=ARC_SECOND)


# ---- the same triangle by a library of geodesics
# pyproj's Geod on a unit sphere (PROJ's geodesics: C. F. F. Karney, Algorithms for geodesics, Journal of Geodesy 87,
# 2013). The riser is the north pole, the clamp flat lies on longitude 0, and the grip on the longitude of the roll.

SPHERE = Geod(a=1.0, b=1.0)


def sweeps_by_geodesics(recipe):
    """Backsweep and upsweep, degrees: how far the grip is from the clamp flat, and in which direction."""
    azimuth, _, distance = SPHERE.inv(0.0, 90.0 - recipe.inner_bend_deg, recipe.roll_deg, 90.0 - recipe.outer_bend_deg)
    # north of the clamp flat is the riser, which the stem roll carries rearward; east is the rider's back
    toward = radians(azimuth + recipe.stem_roll_deg)
    return tuple(degrees(atan2(sin(distance) * part, cos(distance))) for part in (sin(toward), cos(toward)))


def reading_by_geodesics(recipe):
    """Distance of the clamp flat from the great circle of riser and grip, degrees: the plane that the bend needs level.

    The foot of the perpendicular is found by walking from the riser along that circle.
    """
    flat = (0.0, 90.0 - recipe.inner_bend_deg)
    near = degrees(atan(tan(radians(recipe.inner_bend_deg)) * cos(radians(recipe.roll_deg))))
    # walking down the meridian of the grip, which is longitude roll
    foot = SPHERE.fwd(0.0, 90.0, 180.0 - recipe.roll_deg, radians(near))[:2]
    away, _, distance = SPHERE.inv(*foot, *flat)
    along, _, _ = SPHERE.inv(*foot, 0.0, 90.0)
    assert abs(sin(radians(away - along))) == pytest.approx(1.0, abs=1e-9)  # the two circles meet at a right angle
    return degrees(distance)


angles = st.floats(8.0, 60.0)


@given(angles, st.floats(3.0, 80.0), angles, st.floats(-20.0, 20.0))
def test_both_sweeps_are_those_of_the_geodesic_library(inner_deg, roll_deg, outer_deg, stem_roll_deg):
    recipe = bar(inner_deg, roll_deg, outer_deg, stem_roll_deg)
    backsweep, upsweep = sweeps_by_geodesics(recipe)
    assume(max(abs(backsweep), abs(upsweep)) < 80.0)  # a grip that points away from the middle
    shape = shape_from_recipe(recipe)
    assert (shape.backsweep_deg, shape.upsweep_deg) == pytest.approx((backsweep, upsweep), abs=BY_LIBRARY_DEG)


@given(angles, st.floats(3.0, 80.0))
def test_the_clamp_reading_is_that_of_the_geodesic_library(inner_deg, roll_deg):
    recipe = bar(inner_deg, roll_deg, 30.0)
    assert clamp_reading_deg(recipe) == pytest.approx(reading_by_geodesics(recipe), abs=BY_LIBRARY_DEG)


ORDERS = [
    Order(90.0, backsweep, 800.0, upsweep, 60.0, 150.0)
    for backsweep in (4.0, 9.0, 14.0, 21.0)
    for upsweep in (None, 0.0, 3.0, 6.0)
]


def said(order):
    upsweep = "risers upright" if order.upsweep_deg is None else f"upsweep {order.upsweep_deg:g}"
    return f"backsweep {order.backsweep_deg:g}, {upsweep}"


@pytest.mark.parametrize("bend_deg", [27.5, 34.0, 41.0])
@pytest.mark.parametrize("order", ORDERS, ids=said)
def test_the_recipe_of_an_order_has_the_sweeps_ordered_by_the_geodesic_library(order, bend_deg):
    recipe = recipe_from_order(order, 105.0, bend_deg)
    backsweep, upsweep = sweeps_by_geodesics(recipe)
    assert backsweep == pytest.approx(order.backsweep_deg, abs=BY_LIBRARY_DEG)
    if order.upsweep_deg is None:
        assert recipe.stem_roll_deg == 0.0
    else:
        assert upsweep == pytest.approx(order.upsweep_deg, abs=BY_LIBRARY_DEG)


@pytest.mark.parametrize("stem_roll_deg", [-4.0, 0.0, 7.0])
@pytest.mark.parametrize("order", [order for order in ORDERS if order.upsweep_deg is not None], ids=said)
def test_the_recipe_of_a_chosen_inner_bend_has_the_sweeps_ordered_too(order, stem_roll_deg):
    recipe = recipe_from_inner_bend(order, 105.0, 33.0, stem_roll_deg)
    expected = (order.backsweep_deg, order.upsweep_deg)
    assert sweeps_by_geodesics(recipe) == pytest.approx(expected, abs=BY_LIBRARY_DEG)


def test_a_worked_order_agrees_with_the_cosine_rule_by_hand():
    """Backsweep 14, upsweep 4, four bends of 30: tan^2 C = tan^2 14 + tan^2 4 gives C = 14.5178 deg, and the cosine
    rule with two sides of 30 gives the roll, cos phi = (cos C - cos^2 30)/sin^2 30 = 0.87228. Worked by hand.
    """
    recipe = recipe_from_order(Order(95.0, 14.0, 800.0, 4.0, 60.0, 150.0), 105.0, 30.0)
    total = atan(sqrt(tan(radians(14.0)) ** 2 + tan(radians(4.0)) ** 2))
    assert degrees(total) == pytest.approx(14.5178, abs=5e-5)
    cos_phi = (cos(total) - cos(radians(30.0)) ** 2) / sin(radians(30.0)) ** 2
    assert cos_phi == pytest.approx(0.87228, abs=5e-6)
    assert recipe.roll_deg == pytest.approx(degrees(acos(cos_phi)), abs=ANGLE_DEG)
    assert clamp_reading_deg(recipe) == pytest.approx(degrees(asin(0.5 * sqrt(1.0 - cos_phi**2))), abs=ANGLE_DEG)


# ---- rolling offsets, with their roll


@pytest.mark.parametrize(
    ("rise", "aside", "true_offset", "within"),
    [
        (12.0, 8.0, 14.42, 5e-3),  # "How to Figure a Rolling Offset in Piping", a how-to article: 8 and 12; seen
        (30.625, 17.625, 35.33456, 5e-6),  # "Rolling Offsets", a page for pipefitters' apprentices, January 2011; seen
        (16.0, 12.0, 20.0, LENGTH_MM),  # four times the 3-4-5 triangle
    ],
)
def test_a_flat_bar_rolled_in_its_stem_is_a_rolling_offset(rise, aside, true_offset, within):
    """The true offset is the rise with the risers upright; rolled by atan(aside/rise) it shows as rise and setback."""
    upright = Recipe(60.0, 45.0, 1.0, 0.0, 45.0, 60.0, 3.0)
    per_mm = shape_from_recipe(replace(upright, straight_mm=2.0)).rise_mm - shape_from_recipe(upright).rise_mm
    straight = 1.0 + (hypot(rise, aside) - shape_from_recipe(upright).rise_mm) / per_mm
    flat = replace(upright, straight_mm=straight)
    assert shape_from_recipe(flat).rise_mm == pytest.approx(true_offset, abs=within)
    rolled = shape_from_recipe(replace(flat, stem_roll_deg=degrees(atan(aside / rise))))
    assert (rolled.rise_mm, rolled.setback_mm) == pytest.approx((rise, aside), abs=LENGTH_MM)


def test_a_45_offset_runs_as_far_as_it_rises_so_its_width_is_known():
    """Run = offset for 45 degree fittings, constant 1.000: tables of offset constants in pipefitters' handbooks (W. V.
    Graves, The Pipe Fitters Blue Book; from memory). The take-out of a fitting is R tan(22.5 deg) before and after it.
    """
    recipe = Recipe(60.0, 45.0, 120.0, 0.0, 45.0, 200.0, 100.0)
    shape, take_out = shape_from_recipe(recipe), 100.0 * tan(radians(22.5))
    assert shape.width_mm == pytest.approx(60.0 + 2.0 * (take_out + shape.rise_mm + take_out + 200.0), abs=LENGTH_MM)


# ---- the take-up: on which side of the mark the bend starts


@pytest.mark.parametrize(
    ("size", "outside_in", "radius_in", "take_up_in"),
    [("1/2 in", 0.706, 4.0, 5.0), ("3/4 in", 0.922, 4.5, 6.0), ("1 in", 1.163, 5.75, 8.0)],
)
@pytest.mark.parametrize("stub_in", [10.0, 14.0])
def test_a_bend_that_starts_ahead_of_the_edge_needs_its_mark_so_much_nearer(
    size, outside_in, radius_in, take_up_in, stub_in
):
    """Electricians' take-up rule for thin-wall conduit: mark = stub height - take-up, 5, 6 and 8 in, with the hook at
    the end that rises. Trade training tables; seen. Diameters: ANSI C80.3; radii: NEC chapter 9, table 2, for one-shot
    benders; both from memory.

    The stub's straight part ends at stub - (R + D/2), and the mark is nearer its end than that. So the bend starts
    ahead of the edge, toward the free tube: a positive line-up offset, taken off the tangent point.
    """
    to_back = radius_in + outside_in / 2.0
    row = TubeBends([stub_in - to_back, 60.0], [90.0], [0.0], radius_in)
    die = Die(radius_in, least_straight_mm=0.0, line_up_offset_mm=take_up_in - to_back)
    (setting,) = settings_from_bends(row, (Hold(0, LEFT),), Springback(0.0, radius_in), die)
    assert die.line_up_offset_mm > 0.0, size
    assert setting.mark_mm == pytest.approx(stub_in - take_up_in, abs=LENGTH_MM)


def test_the_marks_of_a_swept_bar_add_up_to_its_developed_length():
    """Developed length = radius x angle in radians for each bend: Machinery's Handbook, from memory. Roll and stem roll
    change no length."""
    recipe = bar(28.0, 27.0, 33.0, 5.0)
    marks, shape = marks_from_recipe(recipe), shape_from_recipe(recipe)
    half = 30.0 + 105.0 * radians(28.0) + 120.0 + 105.0 * radians(33.0) + 200.0
    assert marks.end_mm == pytest.approx(half, abs=LENGTH_MM)
    assert shape.cut_length_mm == pytest.approx(2.0 * half, abs=LENGTH_MM)
