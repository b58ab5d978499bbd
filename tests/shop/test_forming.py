"""What a bend costs: limits, order and refusals."""

import numpy as np
import pytest

from barmath import BendError, Tube
from barmath.refusal import remedy_first
from barmath.shop.forming import forming_from_bend, out_of_round, wall_before_bending

TUBE = Tube(22.225, 1.4732)


def test_a_gentle_bend_costs_nothing():
    forming = forming_from_bend(TUBE, 1e9)
    for ratio in (forming.index_inside, forming.index_outside, forming.rule_of_thumb_wall):
        assert ratio == pytest.approx(1.0, abs=1e-7)
    assert forming.outer_stretch == pytest.approx(0.0, abs=1e-7)


def test_every_cost_grows_as_the_die_gets_tighter():
    forming = forming_from_bend(TUBE, np.linspace(70, 200, 40))
    for falling in (forming.index_inside, forming.outer_stretch, forming.wall_before_bending):
        assert (np.diff(falling) <= 0).all()
    for rising in (forming.index_outside, forming.rule_of_thumb_wall):
        assert (np.diff(rising) > 0).all()


def test_the_index_keeps_the_metal_where_inside_and_outside_are_weighed_by_their_arcs():
    """The index written as a ratio of arcs: a quarter of a diameter off the axis over half of one."""
    radius, quarter = 88.9, TUBE.outside_diameter_mm / 4
    forming = forming_from_bend(TUBE, radius)
    assert forming.index_inside == pytest.approx((radius - quarter) / (radius - 2 * quarter))
    assert forming.index_outside == pytest.approx((radius + quarter) / (radius + 2 * quarter))


@pytest.mark.parametrize(
    ("act", "sentence"),
    [
        (
            lambda: forming_from_bend(TUBE, 11.0),
            "centre-line radius must be above half the tube's diameter of 22.225 mm, got 11.0 mm: "
            "measure the radius to the tube's centre line",
        ),
        (
            lambda: forming_from_bend(TUBE, -1),
            "centre-line radius must be above 0.0 mm, got -1.0 mm: type a number above 0.0 mm",
        ),
        (
            lambda: wall_before_bending("four"),
            "radius divided by diameter must be a number, got 'four': type a number, without quotes",
        ),
        (
            lambda: out_of_round(20, 22, 22),
            "smallest diameter must be at most the largest of 20.0 mm, got 22.0 mm: swap the two readings",
        ),
        (
            lambda: out_of_round(np.full(2, 22.6), np.full(3, 21.4), 22.2),
            "diameters must have arrays that fit together, got shapes (2,) and (3,): "
            "give one number, or one for each bar",
        ),
    ],
)
def test_refusals(act, sentence):
    with pytest.raises(BendError) as refusal:
        act()
    assert str(refusal.value) == remedy_first(sentence)
