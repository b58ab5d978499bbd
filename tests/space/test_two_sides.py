"""Each side of a bar measured by itself."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from barmath import BendError, Recipe, shape_from_recipe
from barmath.space.centerline import TubeBends, bends_from_recipe, points_at, sample_stations
from barmath.space.drawing import drawing_from_bends
from barmath.space.two_sides import two_sides_from_bends

halves = st.builds(
    Recipe,
    clamp_flat_mm=st.just(50.0),
    inner_bend_deg=st.floats(5.0, 60.0),
    straight_mm=st.floats(0.0, 150.0),
    roll_deg=st.floats(-60.0, 60.0),
    outer_bend_deg=st.floats(5.0, 60.0),
    grip_mm=st.floats(100.0, 250.0),
    radius_mm=st.floats(60.0, 200.0),
)
stem_rolls = st.floats(-40.0, 40.0)


def joined(left: Recipe, right: Recipe, twist_deg: float = 0.0) -> TubeBends:
    """A bar whose halves are those of two recipes, the right riser turned about the clamp axis."""
    one, other = bends_from_recipe(left), bends_from_recipe(right)
    rolls = np.concatenate([one.rolls_deg[:2], [twist_deg], other.rolls_deg[3:]])
    return TubeBends(
        np.concatenate([one.straights_mm[:3], other.straights_mm[3:]]),
        np.concatenate([one.bends_deg[:2], other.bends_deg[2:]]),
        rolls,
        np.concatenate([one.radii_mm[:2], other.radii_mm[2:]]),
    )


@given(halves, halves, stem_rolls)
def test_each_side_measures_what_a_whole_bar_of_its_recipe_measures(left, right, psi):
    sides = two_sides_from_bends(joined(left, right), psi)
    for side, recipe in enumerate((left, right)):
        fields = {name: getattr(recipe, name) for name in recipe.__dataclass_fields__} | {"stem_roll_deg": psi}
        try:
            shape = shape_from_recipe(Recipe(**fields))
        except BendError:  # folded back on itself
            continue
        assert sides.rise_mm[side] == pytest.approx(shape.rise_mm, abs=1e-9)
        assert sides.setback_mm[side] == pytest.approx(shape.setback_mm, abs=1e-9)
        assert 2.0 * sides.half_width_mm[side] == pytest.approx(shape.width_mm, abs=1e-9)
        assert sides.backsweep_deg[side] == pytest.approx(shape.backsweep_deg, abs=1e-9)
        assert sides.upsweep_deg[side] == pytest.approx(shape.upsweep_deg, abs=1e-9)
    assert sides.twist_deg == pytest.approx(0.0, abs=1e-9)


@given(halves, st.floats(-60.0, 60.0))
def test_a_twist_turns_the_two_halves_apart_about_the_clamp_axis(recipe, twist):
    # second route: the straight bar's own points, each half turned by half the twist with SciPy
    plain, twisted = two_sides_from_bends(joined(recipe, recipe)), two_sides_from_bends(joined(recipe, recipe, twist))
    assert twisted.twist_deg == pytest.approx(twist, abs=1e-9)
    for side, sign in ((0, -1.0), (1, 1.0)):
        turned = Rotation.from_euler("x", sign * 0.5 * twist, degrees=True)
        forward_up = turned.apply([0.0, -plain.setback_mm[side], plain.rise_mm[side]])[1:]
        assert forward_up == pytest.approx([-twisted.setback_mm[side], twisted.rise_mm[side]], abs=1e-9)
        assert twisted.half_width_mm[side] == pytest.approx(plain.half_width_mm[side], abs=1e-9)


@given(halves, halves, st.floats(-179.0, 179.0), stem_rolls)
def test_a_bar_is_drawn_like_it_is_measured(left, right, twist, psi):
    bends = joined(left, right, twist)
    sides, drawing = two_sides_from_bends(bends, psi), drawing_from_bends(bends, 22.2, psi)
    for side, end in ((0, 0), (1, -1)):
        across, forward, up = drawing.points[end]
        assert (abs(across), -forward, up) == pytest.approx(
            (abs(sides.half_width_mm[side]), sides.setback_mm[side], sides.rise_mm[side]), abs=1e-6
        )


@given(halves, st.floats(90.5, 180.0), st.sampled_from((-1.0, 1.0)))
def test_where_one_riser_hangs_down_the_right_one_is_upright(recipe, twist, sign):
    plain, turned = (
        two_sides_from_bends(joined(recipe, recipe)),
        two_sides_from_bends(joined(recipe, recipe, sign * twist)),
    )
    assert turned.rise_mm[1] == pytest.approx(plain.rise_mm[1], abs=1e-9)
    assert turned.setback_mm[1] == pytest.approx(plain.setback_mm[1], abs=1e-9)


@given(halves, halves, st.floats(-40.0, 40.0))
def test_many_bars_at_once_measure_what_each_measures_alone(one, other, twist):
    rows = [joined(one, other, twist), joined(other, one), joined(one, one)]
    many = TubeBends(*(np.stack([getattr(bends, f) for bends in rows]) for f in TubeBends.__dataclass_fields__))
    together = two_sides_from_bends(many)
    for place, bends in enumerate(rows):
        alone = two_sides_from_bends(bends)
        for name in alone.__dataclass_fields__:
            np.testing.assert_allclose(getattr(together, name)[place], getattr(alone, name), atol=1e-9)


def test_the_width_is_the_distance_of_the_ends_along_the_clamp_axis():
    recipe = Recipe(50.0, 25.0, 90.0, 30.0, 28.0, 180.0, 91.5)
    bends = bends_from_recipe(recipe)
    points, _ = points_at(bends, sample_stations(bends))
    clamp = np.diff(points[len(points) // 2 - 1 : len(points) // 2 + 1], axis=0)[0]
    across = (points[-1] - points[0]) @ (clamp / np.linalg.norm(clamp))
    assert two_sides_from_bends(bends).width_mm == pytest.approx(across)


def test_a_tube_that_is_no_bar_is_refused():
    with pytest.raises(BendError, match="a bar must have 4 bends, got 2"):
        two_sides_from_bends(TubeBends(np.ones(3), np.ones(2), np.ones(2), np.array(90.0)))
    with pytest.raises(BendError, match="stem roll must be"):
        two_sides_from_bends(bends_from_recipe(Recipe(50, 25, 90, 30, 28, 180, 91.5)), "steep")
