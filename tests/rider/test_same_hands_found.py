"""Of all bars for the same hands the most upright is found: the old bar is one of them, at the limit of each length."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from barmath import BendError, Order, Recipe, shape_from_recipe
from barmath.closed_forms.forward import risers_upright
from barmath.planning.candidates import BendPair
from barmath.rider.hands import Stem, hand_from_recipe
from barmath.rider.same_hands import HandsWanted, recipes_that_keep, same_hands
from barmath.rider.shop_hands import _can_be_ordered

clamped = st.builds(
    Recipe,
    clamp_flat_mm=st.floats(40.0, 70.0),
    inner_bend_deg=st.floats(15.0, 40.0),
    straight_mm=st.floats(20.0, 140.0),
    roll_deg=st.floats(-40.0, 60.0),
    outer_bend_deg=st.floats(15.0, 40.0),
    grip_mm=st.floats(100.0, 220.0),
    radius_mm=st.floats(60.0, 130.0),
    stem_roll_deg=st.floats(-38.0, 38.0),
)
stems = st.builds(Stem, st.floats(0.0, 80.0), st.floats(-10.0, 20.0), st.floats(60.0, 75.0))


def kept(old, stem, from_end=65.0, **limits):
    """The bar of the old one's own bends, radius and sweep that leaves the hands in place."""
    bends = BendPair(float(old.inner_bend_deg), float(old.outer_bend_deg))
    sweep = float(hand_from_recipe(old, stem, from_end).backsweep_deg)
    return same_hands(old, stem, sweep, bends, float(old.radius_mm), None, from_end, **limits)


@settings(max_examples=60)
@given(clamped, stems, st.floats(30.0, 90.0))
def test_a_bar_keeps_its_own_hands_with_its_own_lengths_as_the_least_ones(old, stem, from_end):
    least = {"least_straight_mm": float(old.straight_mm), "controls_mm": float(old.grip_mm)}
    found = kept(old, stem, from_end, **least)
    assert abs(found.stem_roll_deg) <= abs(old.stem_roll_deg) + 1e-6  # the old bar is one of those it is chosen from
    assert found.recipe.straight_mm >= least["least_straight_mm"] - 1e-6
    assert found.recipe.grip_mm >= least["controls_mm"] - 1e-6
    hand, was = (hand_from_recipe(recipe, stem, from_end) for recipe in (found.recipe, old))
    assert hand == pytest.approx(was, abs=1e-6)


UPRIGHT = Recipe(60.0, 25.0, 90.0, 25.0, 25.0, 200.0, 90.0, 3.0)


OWN = {"least_straight_mm": 90.0, "controls_mm": 200.0}


@pytest.mark.parametrize(("limit", "words"), [
    ("least_straight_mm", "riser straight must be 90.1 mm or more, got 90.0 mm with inner bends of 25.0 deg"),
    ("controls_mm", "grip inside the hand must be 135.1 mm or more, got 135.0 mm with inner bends of 25.0 deg"),
])  # fmt: skip
def test_a_tenth_of_a_millimetre_more_than_the_old_bar_has_is_refused_with_what_it_has(limit, words):
    stem = Stem()
    assert kept(UPRIGHT, stem, **OWN).stem_roll_deg == pytest.approx(3.0, abs=1e-6)
    with pytest.raises(BendError) as refused:
        kept(UPRIGHT, stem, **OWN | {limit: OWN[limit] + 0.1})
    assert words in str(refused.value)
    assert "a stem roll of 3.0 deg" in str(refused.value)


@pytest.mark.parametrize("roll", [-39.9, 39.9])
def test_a_stem_roll_of_nearly_40_deg_is_found_and_one_beyond_is_not(roll):
    stem, old = Stem(), replace(UPRIGHT, stem_roll_deg=roll)
    assert kept(old, stem, **OWN).stem_roll_deg == pytest.approx(roll, abs=1e-6)
    with pytest.raises(BendError, match=r"^Choose another bend, less change of sweep or another stem: "):
        kept(replace(old, stem_roll_deg=roll * 40.1 / 39.9), stem, **OWN)


def test_many_pairs_of_bends_at_once_are_answered_as_each_alone():
    stem, radius = Stem(), 90.0
    inner, outer = (each.ravel() for each in np.meshgrid([18.0, 22.0, 25.0, 30.0, 35.0], [20.0, 25.0, 27.5]))
    wanted = HandsWanted(UPRIGHT, stem, 13.0)
    every = recipes_that_keep(wanted, BendPair(inner, outer), radius)
    alone = {}
    for pair in zip(inner, outer, strict=True):
        try:
            alone[pair] = same_hands(UPRIGHT, stem, 13.0, BendPair(*pair), radius).recipe
        except BendError:
            continue
    assert 5 < len(alone) < len(inner)
    assert list(zip(every.inner_bend_deg, every.outer_bend_deg, strict=True)) == [*alone]
    for name in ("straight_mm", "roll_deg", "grip_mm", "stem_roll_deg"):
        np.testing.assert_allclose(getattr(every, name), [getattr(one, name) for one in alone.values()], atol=1e-6)


STEEP = Recipe(60.0, 60.0, 90.0, 100.0, 60.0, 200.0, 90.0)

NARROW = replace(UPRIGHT, clamp_flat_mm=40.0, straight_mm=70.0)

BOUNDS = [
    ("width_mm", 350.0, 1.0, NARROW, "grip_mm", (0.0, 600.0)),
    ("width_mm", 1000.0, -1.0, UPRIGHT, "grip_mm", (0.0, 600.0)),
    ("backsweep_deg", 85.0, -1.0, STEEP, "roll_deg", (60.0, 130.0)),
    ("backsweep_deg", -85.0, 1.0, STEEP, "roll_deg", (-130.0, -60.0)),
    ("upsweep_deg", 0.0, 1.0, UPRIGHT, "outer_bend_deg", (15.0, 35.0)),
    ("upsweep_deg", 8.0, -1.0, UPRIGHT, "outer_bend_deg", (12.0, 25.0)),
]


@pytest.mark.parametrize(("measure", "bound", "inward", "bar", "by", "span"), BOUNDS)
def test_what_no_order_may_ask_for_is_not_offered_from_its_bound_on(measure, bound, inward, bar, by, span):
    def upright(value):
        return shape_from_recipe(risers_upright(replace(bar, **{by: value})))

    for side in (1.0, -1.0):
        at = brentq(lambda value, side=side: getattr(upright(value), measure) - bound - side * inward * 0.02, *span)
        made, shape = replace(bar, **{by: at}), upright(at)
        if measure == "backsweep_deg":  # so steep a bar rises more than riders accept: all else is as it may be
            assert not 0.0 <= shape.upsweep_deg <= 8.0 or bool(_can_be_ordered(made)) == (side > 0.0)
        else:
            assert bool(_can_be_ordered(made)) == (side > 0.0), shape
        try:
            Order(shape.rise_mm, shape.backsweep_deg, shape.width_mm, shape.upsweep_deg)
        except BendError:
            assert not _can_be_ordered(made)


def test_a_hand_may_be_at_the_very_beginning_of_the_grip_and_no_further_in():
    stem, from_end = Stem(), float(UPRIGHT.grip_mm)
    at_the_bend = hand_from_recipe(UPRIGHT, stem, from_end)
    assert at_the_bend.out_mm == pytest.approx(0.5 * shape_from_recipe(replace(UPRIGHT, grip_mm=0.0)).width_mm)
    with pytest.raises(BendError, match=r"middle of the hand must be on the grip of 200\.0 mm"):
        hand_from_recipe(UPRIGHT, stem, from_end + 0.01)
    many = replace(UPRIGHT, grip_mm=np.array([200.0, 210.0]))
    assert hand_from_recipe(many, stem, 200.0).out_mm.shape == (2,)
    with pytest.raises(BendError, match=r"middle of the hand must be on the grip"):
        hand_from_recipe(many, stem, 205.0)
