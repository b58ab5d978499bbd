"""Limits: each told in a whole sentence, each at its very bound, one recipe or an array of them."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from tolerances import LENGTH_MM

from barmath import (
    BendError,
    Die,
    Order,
    Recipe,
    Tube,
    marks_from_recipe,
    recipe_from_order,
    rise_window_mm,
    springback_from_tube,
)
from barmath.planning.limits import Window
from barmath.planning.recipe_limits import limits_from_recipe, refusals, refuse_unmakeable, warnings
from barmath.planning.rules import RULES
from barmath.refusal import plain, shown_bounds, tenths

TUBE = Tube(22.225, 1.4732)
DIE = Die(88.9, least_straight_mm=65.0, tube_diameter_mm=22.225)
RADIUS = springback_from_tube(TUBE, DIE).finished_radius_mm
BEND = 27.5
ORDER = Order(78.0, 12.0, 780.0, controls_mm=180.0)
REFUSING = [
    "radius", "springback", "turn", "apart", "roll", "upsweep", "droop", "stop", "groove", "straight", "controls",
    "stock",
]  # fmt: skip
WARNING = ["tightness", "spare straight", "spare grip", "lean", "stance"]


def limits_for(order=ORDER, bend=BEND, tube=TUBE, die=DIE, stock_mm=np.inf, **recipe):
    radius = springback_from_tube(tube, die).finished_radius_mm
    made = replace(recipe_from_order(order, radius, bend), **recipe)
    return limits_from_recipe(made, order, tube, die, stock_mm)


def by_key(limits):
    return {limit.key: limit for limit in limits}


def test_a_bar_well_inside_every_limit_gets_no_refusal_and_no_warning():
    limits = limits_for(die=Die(90.0))
    assert refusals(limits) == []
    assert warnings(limits) == []
    refuse_unmakeable(limits)


def test_the_limits_come_in_the_order_in_which_a_builder_meets_them():
    limits = limits_for()
    assert [limit.key for limit in limits if limit.refuses] == REFUSING
    assert [limit.key for limit in limits if not limit.refuses] == WARNING


# ---- whole sentences


NARROW = replace(ORDER, controls_mm=240.0)
HERE = "the rise must be from {low} to {high} mm here, ordered 78.0 mm"


@pytest.mark.parametrize(
    ("key", "case", "sentence"),
    [
        ("stop", {"die": replace(DIE, largest_bend_deg=28.0)},
         "stop must be at most 28.0 deg, the furthest that it can be set, got {stop} deg: choose a smaller bend"),
        ("groove", {"tube": Tube(25.4, 1.4732)},
         "difference between tube and groove must be at most 0.3 mm, what a groove forgives, got 3.2 mm: "
         "choose a die cut for this tube"),
        ("straight", {"straight_mm": 48.5},
         "straight between bends must be at least 65.0 mm, what the tooling can hold, got 48.5 mm: "
         f"choose a tighter die, which lowers the least rise, or another bend; {HERE}"),
        ("controls", {"grip_mm": 161.5},
         "grip straight must be at least 180.0 mm, the room ordered for the controls, got 161.5 mm: "
         f"choose a wider bar, less room for controls or another bend; {HERE}"),
        ("straight", {"order": NARROW, "straight_mm": 64.5},
         "straight between bends must be at least 65.0 mm, what the tooling can hold, got 64.5 mm: "
         "choose a tighter die, which lowers the least rise, or another bend; no rise fits here, because it must be at "
         "least {low:.1f} mm (straight between bends) and at most {high:.1f} mm (grip straight)"),
        ("stock", {"stock_mm": 700.5},
         "cut length must be at most 700.5 mm, the longest tube in the rack, got {cut} mm: "
         "buy longer tube or make a narrower bar; no rise fits here, because none is low enough (cut length)"),
        ("tightness", {"die": Die(77.7875)},
         "die radius divided by tube diameter must be at least 4.0, "
         "tighter bends dimple without a mandrel (common practice, no source), got 3.5: try it on scrap first"),
        ("spare straight", {"straight_mm": 66.25},
         "spare straight must be at least 3.0 mm, so that a small error leaves something to hold, got 1.2 mm: "
         "choose another bend or die"),
        ("spare grip", {"grip_mm": 181.25},
         "spare grip must be at least 3.0 mm, so that a small error leaves room for the controls, got 1.2 mm: "
         "choose another bend or die"),
        ("lean", {"roll_deg": -83.5},
         "roll between the bend planes must be at most 80.0 deg, so that the straight still sets the rise, "
         "got 83.5 deg: choose a larger bend"),
        ("stance", {"stem_roll_deg": -33.5},
         "lean of the risers in the stem must be at most 30.0 deg, so that the risers are nearly upright, "
         "got 33.5 deg: choose another bend or order no upsweep"),
    ],
)  # fmt: skip
def test_a_broken_limit_is_said_in_these_words(key, case, sentence):
    limits = limits_for(**case)
    limit = by_key(limits)[key]
    assert limit.broken
    order = case.get("order", ORDER)
    low, high = rise_window_mm(order, RADIUS, BEND, DIE.least_straight_mm)
    if low < high:
        low, high = map(plain, shown_bounds(low, high))
    recipe = recipe_from_order(ORDER, RADIUS, BEND)
    cut = tenths(2 * marks_from_recipe(recipe).end_mm)
    assert limit.sentence() == sentence.format(low=low, high=high, cut=cut, stop=tenths(BEND * RADIUS / 88.9))
    assert limit.sentence() in (refusals(limits) if limit.refuses else warnings(limits))


FEW_WORDS = {
    # what a table says of a limit, and a narrow table
    "radius": ("die too small for the tube", "die too small"),
    "springback": ("tube springs back straight", "springs back"),
    "turn": ("bend too small for the sweep", "bend too small"),
    "apart": ("inner and outer bend too far apart", "too far apart"),
    "roll": ("rolled beyond a quarter turn", "bend too small"),
    "upsweep": ("more upsweep than accepted", "too much upsweep"),
    "droop": ("less upsweep than accepted", "too little upsweep"),
    "stop": ("beyond the furthest stop", "beyond the stop"),
    "groove": ("cut for another tube", "other tube"),
    "straight": ("too little straight to hold", "too low"),
    "controls": ("no room for the controls", "too high"),
    "stock": ("longer than the stock", "stock too short"),
}
TOO_MUCH, TOO_LITTLE = (
    ("beyond", "more", "longer", "too far", "too much"),
    ("too small", "less", "too little", "no room"),
)


@pytest.mark.parametrize("rule", [rule for rule in RULES if rule.refuses], ids=lambda rule: rule.key)
def test_the_few_words_of_a_limit_say_on_which_side_of_its_bound_the_bar_is(rule):
    assert (rule.short, rule.cell) == FEW_WORDS[rule.key]
    wrong_side = TOO_MUCH if rule.at_least else TOO_LITTLE
    assert not [words for words in wrong_side if words in rule.short]


def test_a_bend_too_small_for_the_sweep_is_said_with_one_that_is_not_refused():
    recipe = Recipe(50.0, 11.0, 90.0, 40.0, 11.0, 200.0, RADIUS)
    (said,) = [words for words in refusals(limits_from_recipe(recipe, ORDER, TUBE, DIE)) if words.startswith("bend")]
    assert said.startswith("bend must be at least 11.8 deg, what the sweeps need, got 11.0 deg: choose a larger bend")


def test_the_first_refusal_is_raised():
    limits = limits_for(replace(ORDER, rise_mm=90.0), tube=Tube(25.4, 1.4732))
    assert len(refusals(limits)) == 2
    with pytest.raises(BendError) as refusal:
        refuse_unmakeable(limits)
    assert refusal.value.as_noted == refusals(limits)[0]
    assert refusal.value.why.startswith("difference between tube and groove")


# ---- at the very bound


def test_a_straight_and_a_grip_just_at_their_bounds_may_be_made():
    for place, rise in enumerate(rise_window_mm(ORDER, RADIUS, BEND, DIE.least_straight_mm)):
        limits = by_key(limits_for(replace(ORDER, rise_mm=rise)))
        assert not any(limits[key].broken for key in REFUSING)
        assert limits[("straight", "controls")[place]].margin == pytest.approx(0.0, abs=1e-9)


@given(st.floats(20.0, 160.0), st.floats(14.0, 45.0))
def test_a_rise_is_refused_just_where_it_is_outside_the_window(rise, bend):
    order = replace(ORDER, rise_mm=rise)
    lowest, highest = rise_window_mm(order, RADIUS, bend, DIE.least_straight_mm)
    assume(min(abs(rise - lowest), abs(rise - highest)) > 1e-6)
    try:
        limits = by_key(limits_for(order, bend))
    except BendError:  # not even a straight of nothing gives it
        assert not lowest <= rise <= highest
    else:
        assert bool(limits["straight"].broken or limits["controls"].broken) == (not lowest <= rise <= highest)


def test_the_margins_are_what_is_left():
    limits, recipe = by_key(limits_for(stock_mm=1000.0)), recipe_from_order(ORDER, RADIUS, BEND)
    assert limits["straight"].margin == pytest.approx(recipe.straight_mm - 65.0, abs=LENGTH_MM)
    assert limits["controls"].margin == pytest.approx(recipe.grip_mm - 180.0, abs=LENGTH_MM)
    assert limits["stop"].margin == pytest.approx(90.0 - BEND * RADIUS / 88.9, abs=LENGTH_MM)


def test_a_die_without_a_noted_groove_is_not_held_against_the_tube():
    limits = by_key(limits_for(die=Die(88.9), tube=Tube(25.4, 1.4732)))
    assert not limits["groove"].broken


@pytest.mark.parametrize("misfit", [-0.3, 0.3])
def test_a_groove_forgives_three_tenths(misfit):
    assert not by_key(limits_for(die=replace(DIE, tube_diameter_mm=22.225 + misfit)))["groove"].broken
    assert by_key(limits_for(die=replace(DIE, tube_diameter_mm=22.225 + 1.01 * misfit)))["groove"].broken


# ---- arrays and words


def test_an_array_of_recipes_passes_the_same_limits_place_by_place():
    order = replace(ORDER, rise_mm=np.array([52.0, 78.0, 90.0]))
    table = by_key(limits_from_recipe(recipe_from_order(order, RADIUS, BEND), order, TUBE, DIE))
    for place, rise in enumerate(order.rise_mm):
        for key, limit in by_key(limits_for(replace(ORDER, rise_mm=rise))).items():
            assert np.broadcast_to(table[key].margin, 3)[place] == pytest.approx(limit.margin, abs=1e-9)
    assert table["straight"].broken.tolist() == [True, False, False]
    assert table["straight"].sentence(0) == by_key(limits_for(replace(ORDER, rise_mm=52.0)))["straight"].sentence()


def test_a_window_is_said_inward_so_that_what_it_says_fits():
    assert (
        Window(60.41, 80.69, 90.0, 10, 11).sentence() == "the rise must be from 60.5 to 80.6 mm here, ordered 90.0 mm"
    )


def test_a_window_that_begins_below_the_clamp_flat_says_its_upper_end_alone():
    assert Window(-58.7, 10.71, 80.0, 10, 11).sentence() == "the rise must be at most 10.7 mm here, ordered 80.0 mm"
    said = Window(-58.7, -3.2, 80.0, 10, 11).sentence()
    assert said == "no rise fits here, because none is low enough (grip straight)"


def test_a_window_without_a_highest_rise_says_its_lower_end_alone():
    said = Window(60.41, np.inf, 50.0, 10, 0).sentence()
    assert said == "the rise must be at least 60.5 mm here, ordered 50.0 mm"


def test_a_die_smaller_than_the_tube_has_no_limits_to_tell():
    with pytest.raises(BendError, match=r": die radius must be above half the tube's diameter"):
        limits_from_recipe(recipe_from_order(ORDER, RADIUS, BEND), ORDER, TUBE, Die(11.0))


def test_a_length_from_the_shop_file_keeps_three_decimals_and_an_angle_one():
    die = replace(DIE, least_straight_mm=65.1234, largest_bend_deg=27.96)
    limits = by_key(limits_for(die=die, straight_mm=48.5))
    assert limits["straight"].sentence().startswith("straight between bends must be at least 65.124 mm,")
    assert limits["stop"].sentence().startswith("stop must be at most 27.9 deg,")


def test_without_a_bar_the_limit_is_broken_with_any_margin():
    limit = by_key(limits_for())["straight"]
    assert not limit.broken
    assert replace(limit, no_bar=True).broken
    assert replace(limit, no_bar=np.array([True, False])).broken.tolist() == [True, False]
