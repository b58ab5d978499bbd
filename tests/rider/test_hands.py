"""Where a bar puts the hands, and bars for the same hands: by hand, by SciPy's rotations."""

import re
from dataclasses import replace

import numpy as np
import pytest
from conftest import ROOT
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from barmath import BendError, Order, Recipe, recipe_from_inner_bend, recipe_from_order, shape_from_recipe
from barmath.checking.as_bent import bends_from_parts, parts_of_recipe
from barmath.checking.bench_readings import KINDS, Reading, readings_of_parts
from barmath.checking.inspection import inspect
from barmath.panels.two_bars import TwoBarsPanel
from barmath.panels.two_bars_state import FIGURES, GIVEN, RECIPE, RECORD, moved_words
from barmath.pictures.two_bars import NAMES
from barmath.planning.candidates import BendPair
from barmath.records.bent_bar import BentBar, TestBend
from barmath.records.record import Record
from barmath.rider.hands import Hand, Stem, grip_along, hand_from_recipe, wrist_turn
from barmath.rider.mounted import ROLLS_DEG
from barmath.rider.other_bars import recipe_from_figures, recipe_from_inspection, recipe_from_record
from barmath.rider.same_hands import every_bend_that_keeps, same_hands
from barmath.shop.shop_file import shop_from_file
from barmath.space.centerline import bar_points, bends_from_recipe, cut_length_mm

SHOP = shop_from_file(ROOT / "notebooks" / "demo" / "shop.toml")
OLD = recipe_from_order(Order(78, 12, 780, controls_mm=180), 89.0, 25.0)
STEM = Stem(50.0, 6.0, 65.0)


def test_the_clamp_of_a_stem_worked_by_hand():
    # 50 mm, square to an axis at 65 deg: 50 sin 65 forward, 50 cos 65 up; at +6 deg the stem climbs 6 deg more
    assert Stem(50.0, 0.0, 65.0).clamp_mm() == pytest.approx((45.31539, 21.13091), abs=1e-5)
    assert Stem(50.0, 6.0, 65.0).clamp_mm() == pytest.approx(
        (50.0 * np.cos(np.radians(31.0)), 50.0 * np.sin(np.radians(31.0)))
    )
    assert Stem(40.0, 0.0, 90.0).clamp_mm() == pytest.approx((40.0, 0.0))


def test_the_sweeps_are_shown_by_whole_degrees_as_far_forward_as_rearward():
    np.testing.assert_allclose(ROLLS_DEG, -ROLLS_DEG[::-1])
    assert np.diff(ROLLS_DEG) == pytest.approx(np.ones(60))
    assert ROLLS_DEG[30] == 0.0


def test_a_hand_worked_by_hand():
    # bends of 90 deg are out of reach, so: no arcs to speak of, riser at 30 deg, grip level and straight back by 0
    recipe = Recipe(40.0, 30.0, 100.0, 0.0, 30.0, 200.0, 1e-9)
    hand = hand_from_recipe(recipe, Stem(60.0, 0.0, 90.0), 80.0)
    assert hand.forward_mm == pytest.approx(60.0)
    assert hand.up_mm == pytest.approx(50.0)
    assert hand.out_mm == pytest.approx(20.0 + 100.0 * np.sqrt(3.0) / 2.0 + 120.0)
    assert (hand.backsweep_deg, hand.upsweep_deg) == pytest.approx((0.0, 0.0), abs=1e-9)


@pytest.mark.parametrize("roll_deg", [-30.0, -7.5, 0.0, 12.0, 80.0])
def test_the_hand_is_where_a_rotation_of_the_centre_line_carries_it(roll_deg):
    hand = hand_from_recipe(replace(OLD, stem_roll_deg=roll_deg), STEM, 70.0)
    row = bends_from_recipe(OLD)
    points, frames = bar_points(OLD, [float(cut_length_mm(row)) - 70.0])
    turn = Rotation.from_euler("x", roll_deg, degrees=True)  # x right, y forward: plus carries tops to the rear
    right, ahead, above = turn.apply(points[0])
    forward, up = STEM.clamp_mm()
    assert (hand.forward_mm, hand.up_mm, hand.out_mm) == pytest.approx((ahead + forward, above + up, right))
    assert grip_along(hand) == pytest.approx(turn.apply(frames[0][:, 0]))


def test_the_wrist_turns_by_the_angle_of_the_rotation_between_the_grips():
    before, after = Hand(0.0, 0.0, 300.0, 12.0, 3.0), Hand(0.0, 0.0, 300.0, 15.0, 1.0)
    turn = wrist_turn(before, after)
    carried, _ = Rotation.align_vectors(grip_along(after), grip_along(before))
    assert turn.whole_deg == pytest.approx(np.degrees(carried.magnitude()), abs=1e-5)
    assert (turn.above_deg, turn.front_deg) == pytest.approx((3.0, -2.0))
    assert wrist_turn(before, before).whole_deg == 0.0


def test_hands_take_arrays():
    rolls = np.linspace(-10.0, 10.0, 5)
    many = hand_from_recipe(replace(OLD, stem_roll_deg=rolls), STEM)
    for k, roll in enumerate(rolls):
        one = hand_from_recipe(replace(OLD, stem_roll_deg=float(roll)), STEM)
        assert [part[k] for part in many] == pytest.approx(list(one))
    assert wrist_turn(many, many).whole_deg == pytest.approx(np.zeros(5), abs=1e-6)


@pytest.mark.parametrize("sweep_deg", [9.0, 10.0, 11.5, 12.0, 13.0])
def test_a_bar_for_the_same_hands_leaves_them_in_place(sweep_deg):
    before = hand_from_recipe(OLD, STEM)
    for new_stem in (None, Stem(46.0, 0.0, 65.0)):
        new = same_hands(OLD, STEM, sweep_deg, 25.0, 89.0, new_stem)
        after = hand_from_recipe(new.recipe, new_stem or STEM)
        assert after[:3] == pytest.approx(before[:3], abs=1e-7)
        assert after.backsweep_deg == pytest.approx(sweep_deg, abs=1e-9)
        # and it is the bar that one would order so, rolled
        ordered = recipe_from_order(Order(new.rise_mm, new.backsweep_deg, new.width_mm), 89.0, 25.0)
        for name in ("straight_mm", "roll_deg", "grip_mm"):
            assert getattr(ordered, name) == pytest.approx(getattr(new.recipe, name), abs=1e-6), name
        assert new.recipe.stem_roll_deg == new.stem_roll_deg


def test_the_same_bar_keeps_its_hands_without_being_rolled():
    same = same_hands(OLD, STEM, 12.0, 25.0, 89.0)
    assert same.stem_roll_deg == pytest.approx(0.0, abs=1e-9)
    assert same.rise_mm == pytest.approx(78.0)
    assert same.wrist.whole_deg == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(("inner", "outer"), [(25.0, 27.5), (20.0, 18.0), (27.5, 30.0)])
def test_a_bar_of_two_stops_for_the_same_hands_leaves_them_in_place(inner, outer):
    before = hand_from_recipe(OLD, STEM)
    new = same_hands(OLD, STEM, 13.0, BendPair(inner, outer), 89.0)
    after = hand_from_recipe(new.recipe, STEM)
    assert after[:3] == pytest.approx(before[:3], abs=1e-7)
    assert after.backsweep_deg == pytest.approx(13.0, abs=1e-9)
    # and it is the bar that one would order so, rolled
    ordered = recipe_from_order(Order(new.rise_mm, new.backsweep_deg, new.width_mm), 89.0, inner, outer)
    for name in ("straight_mm", "roll_deg", "grip_mm"):
        assert getattr(ordered, name) == pytest.approx(getattr(new.recipe, name), abs=1e-6), name


def test_a_pair_of_equal_bends_keeps_the_hands_as_one_bend_does():
    assert same_hands(OLD, STEM, 13.0, BendPair(25.0, 25.0), 89.0) == same_hands(OLD, STEM, 13.0, 25.0, 89.0)
    with pytest.raises(
        BendError, match=r"must keep the hands.* inner bends of 25[.]0 deg and outer bends of 10[.]0 deg"
    ):
        same_hands(OLD, STEM, 13.0, BendPair(25.0, 10.0), 89.0)


def test_two_degrees_more_sweep_wants_a_gentler_bend_or_another_stem():
    stem = Stem(50.0, 0.0, 65.0)
    with pytest.raises(BendError, match="must keep the hands in place, got none"):
        same_hands(OLD, stem, 14.0, 25.0, 89.0)
    kept = every_bend_that_keeps(OLD, stem, 14.0, (18.0, 20.0, 22.0, 25.0), 89.0)
    assert sorted(one.recipe.inner_bend_deg for one in kept) == pytest.approx([18.0, 20.0, 22.0])
    rolls = [abs(one.stem_roll_deg) for one in kept]
    assert rolls == sorted(rolls)
    longer = same_hands(OLD, stem, 14.0, 25.0, 89.0, Stem(58.0, 0.0, 65.0))
    assert hand_from_recipe(longer.recipe, Stem(58.0, 0.0, 65.0))[:3] == pytest.approx(hand_from_recipe(OLD, stem)[:3])


def test_no_sweep_at_all_can_be_kept_too():
    straight = recipe_from_order(Order(60.0, 0.0, 760.0), 89.0, 25.0)
    same = same_hands(straight, STEM, 0.0, 25.0, 89.0)
    assert same.recipe.roll_deg == pytest.approx(0.0, abs=1e-9)
    assert same.rise_mm == pytest.approx(60.0)


@given(
    sweep=st.floats(6.0, 20.0), bend=st.floats(12.0, 40.0), length=st.floats(30.0, 70.0), angle=st.floats(-10.0, 20.0)
)
def test_what_is_found_always_keeps_the_hands(sweep, bend, length, angle):
    new_stem = Stem(length, angle, 65.0)
    refused, new = None, None
    try:
        new = same_hands(OLD, STEM, sweep, bend, 89.0, new_stem)
    except BendError as refusal:
        refused = str(refusal)
    if new is None:
        assert re.search(r"must keep the hands|riser straight must be|grip inside the hand must be", refused)
        return
    hand = hand_from_recipe(new.recipe, new_stem)
    assert hand[:3] == pytest.approx(hand_from_recipe(OLD, STEM)[:3], abs=1e-5)
    assert hand.backsweep_deg == pytest.approx(sweep, abs=1e-6)
    assert new.recipe.straight_mm >= 0.0


def test_a_riser_too_short_for_the_hook_is_said():
    free = same_hands(OLD, STEM, 13.0, 25.0, 89.0)
    with pytest.raises(BendError, match=r"riser straight must be 400\.0 mm or more, got \d+\.\d mm"):
        same_hands(OLD, STEM, 13.0, 25.0, 89.0, least_straight_mm=400.0)
    with pytest.raises(BendError, match=r"grip inside the hand must be 435\.0 mm or more, got \d+\.\d mm"):
        same_hands(OLD, STEM, 13.0, 25.0, 89.0, controls_mm=500.0)
    assert free.recipe.straight_mm < 400.0


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: Stem(300.0), "length of the stem must be at most 200.0 mm, got 300.0 mm"),
        (lambda: Stem(50.0, 60.0), "angle of the stem must be at most 45.0 deg, got 60.0 deg"),
        (lambda: Stem(50.0, 0.0, 30.0), "head angle must be at least 45.0 deg, got 30.0 deg"),
        (lambda: Stem(np.zeros(2), np.zeros(3)), "the stem must have arrays that fit together"),
        (lambda: hand_from_recipe(OLD, STEM, 500.0), "middle of the hand must be on the grip of "),
        (lambda: hand_from_recipe(OLD, STEM, -1.0), "middle of the hand from the bar's end must be at least 0.0 mm"),
        (lambda: same_hands(OLD, STEM, 90.0, 25.0, 89.0), "backsweep wanted must be at most 85.0 deg"),
        (lambda: same_hands(OLD, STEM, 12.0, 95.0, 89.0), "bend must be below 90.0 deg"),
        (lambda: same_hands(OLD, STEM, 12.0, np.array([20.0, 25.0]), 89.0), "bend must be one number"),
        (lambda: same_hands(replace(OLD, grip_mm=np.full(2, 99.0)), STEM, 12.0, 25.0, 89.0), "recipe must be a single"),
        (lambda: every_bend_that_keeps(OLD, STEM, 12.0, (), 89.0), "bends must be at least one, got none"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(ask, words):
    with pytest.raises(BendError) as refused:
        ask()
    assert words in str(refused.value)


def test_published_figures_become_a_bar_that_has_them():
    for order in (Order(45.0, 8.0, 760.0, 5.0), Order(80.0, 12.0, 800.0), Order(40.0, 9.0, 740.0, 4.0)):
        shape = shape_from_recipe(recipe_from_figures(order, 89.0, 25.0))
        assert shape.rise_mm == pytest.approx(order.rise_mm)
        assert shape.backsweep_deg == pytest.approx(order.backsweep_deg)
        assert shape.width_mm == pytest.approx(order.width_mm)
        if order.upsweep_deg is not None:
            assert shape.upsweep_deg == pytest.approx(order.upsweep_deg)
    # the bend that was asked for where it can be, else the nearest
    assert recipe_from_figures(Order(78.0, 12.0, 780.0), 89.0, 25.0).inner_bend_deg == pytest.approx(25.0)
    assert recipe_from_figures(Order(22.0, 8.0, 760.0), 89.0, 25.0).inner_bend_deg != 25.0
    with pytest.raises(BendError, match="with bends of 25"):
        recipe_from_figures(Order(400.0, 8.0, 400.0), 89.0, 25.0)


def test_a_bar_that_was_inspected_is_the_mean_of_its_sides():
    parts = parts_of_recipe(OLD) + np.array([0.6, -0.4, 0.2, -0.2, 0.5, 0.1, 0.3])
    values, _ = readings_of_parts(OLD, parts, tuple(kind.key for kind in KINDS))
    found = inspect(OLD, [Reading(kind.key, float(value)) for kind, value in zip(KINDS, values, strict=True)])
    mean = recipe_from_inspection(found)
    # the wanted bar pulls a little (barmath.checking.inspection), by far less than the readings' errors
    assert mean.outer_bend_deg == pytest.approx(25.0 + 0.2, abs=0.01)
    assert mean.inner_bend_deg == pytest.approx(25.0 - 0.1, abs=0.01)
    assert mean.roll_deg == pytest.approx(OLD.roll_deg + 0.3, abs=0.02)
    whole = cut_length_mm(bends_from_recipe(OLD))
    assert cut_length_mm(bends_from_recipe(mean)) == pytest.approx(whole)
    # marks stay: the same bar as a row from parts with both sides alike
    alike = bends_from_parts(OLD, parts_of_recipe(OLD) + np.array([0.2, -0.1, -0.1, 0.2, 0.3, 0.3, 0.0]))
    assert bends_from_recipe(mean).straights_mm == pytest.approx(alike.straights_mm, abs=0.02)


def _bar(readings):
    return BentBar("order 7", "2025-03-04", Order(78, 12, 780), "7/8 x 0.058", "89", 22.225, 1.4732, 86.5,
                   inner_stop_deg=25.0, readings=readings)  # fmt: skip


def test_a_bar_of_the_record_is_what_was_read_or_else_what_was_ordered():
    ordered = recipe_from_record(_bar({"backsweep_left": 12.5}), 89.0, 20.0)
    assert shape_from_recipe(ordered).backsweep_deg == pytest.approx(12.0)
    assert ordered.inner_bend_deg == 25.0
    wanted = recipe_from_order(Order(78, 12, 780), 89.0, 25.0)
    parts = parts_of_recipe(wanted) + np.array([0.0, 0.5, 0.5, 0.0, 0.0, 0.0, 0.0])
    values, _ = readings_of_parts(wanted, parts, tuple(kind.key for kind in KINDS))
    readings = {kind.key: float(value) for kind, value in zip(KINDS, values, strict=True)}
    read = recipe_from_record(_bar(readings), 89.0, 20.0)
    assert read.inner_bend_deg == pytest.approx(25.5, abs=0.01)
    assert read.stem_roll_deg == 0.0


def test_the_panel_compares_two_orders_and_says_the_change():
    panel = TwoBarsPanel(SHOP)
    traces = {trace.name: trace for trace in panel.figure.data}
    assert all(thing.visible for thing in panel.picture.things.values())
    assert panel.view.care.says == f"Both bars in space: {moved_words(panel.readout, panel.state)}"
    assert len(traces["old bar backsweep"].x) == ROLLS_DEG.size
    grips = [grip_along(bar.hand) for bar in (panel.readout.a, panel.readout.b)]
    turn = np.degrees(np.arccos(grips[0] @ grips[1]))  # by the dot product, which the panel does not use
    assert f"the wrists turn by {turn:.1f} deg" in panel.message.value
    assert "2.0 deg more" in panel.hands.value
    assert traces["move of the hand"].x[1] == panel.readout.b.hand.forward_mm - panel.readout.a.hand.forward_mm
    first = panel.readout.keeping[0]
    assert f"<td>{first.bar.recipe.inner_bend_deg:.1f} for all<" in panel.keeping.value
    assert first.die.name in panel.keeping.value
    assert f">{first.stop_deg:.1f} for all<" in panel.keeping.value
    panel.unit.value = "in"
    assert " in<" in panel.hands.value


def test_the_panel_makes_the_new_bar_the_first_bar_that_keeps_the_hands():
    panel = TwoBarsPanel(SHOP)
    first = panel.readout.keeping[0].bar
    panel.take.click()
    assert panel.state.b.source == RECIPE
    assert panel.bars[1].groups[FIGURES].layout.display == "none"
    hand_a, hand_b = panel.readout.a.hand, panel.readout.b.hand
    assert hand_b[:3] == pytest.approx(hand_a[:3], abs=1e-6)
    assert hand_b.backsweep_deg - hand_a.backsweep_deg == pytest.approx(2.0)
    assert panel.state.b.recipe.straight_mm == pytest.approx(first.recipe.straight_mm)


def test_every_control_of_the_panel_goes_to_both_ends():
    panel = TwoBarsPanel(SHOP)
    for bar, source in zip(panel.bars, (FIGURES, RECIPE), strict=True):
        bar.source.value = source
        bar.upsweep.value = GIVEN
        for row in bar.rows:
            kept = row.value
            for value in (row.low, row.high):
                row.value = value
                assert "fault" not in panel.message.value
                refusals = (panel.readout.a.refusal, panel.readout.b.refusal)
                assert ("Cannot be compared" in panel.message.value) == any(refusals)
            row.value = kept
    for row in (panel.head, panel.from_end, panel.more):
        kept = row.value
        for value in (row.low, row.high):
            row.value = value
            assert "fault" not in panel.message.value
        row.value = kept
    panel.head.box.value = "steep"
    assert "head angle must be" in panel.message.value


def test_a_bar_that_cannot_be_is_said_and_the_other_one_remains():
    panel = TwoBarsPanel(SHOP)
    panel.bars[1].figures["rise_mm"].value = 200.0
    panel.bars[1].figures["width_mm"].value = 350.0
    assert panel.message.value.count("New bar:") == 1
    traces = {trace.name: trace for trace in panel.figure.data}
    things = panel.picture.things
    assert [name for name in NAMES if traces[f"{name} front"].visible] == ["old bar"]
    assert [name for name in NAMES if things[name].visible] == ["old bar"]
    assert not [name for name, thing in things.items() if thing.visible and "new" in name]
    assert panel.view.care.says == "The old bar in space"
    assert panel.hands.value == ""
    panel.bars[1].figures["rise_mm"].value = 90.0
    panel.bars[1].figures["width_mm"].value = 800.0
    assert traces["new bar front"].visible
    assert things["new bar"].visible


def test_the_collars_in_space_are_as_far_apart_as_the_hands_and_the_old_bar_is_see_through():
    panel = TwoBarsPanel(SHOP)
    panel.bars[1].mounting["stem_length_mm"].value = 90.0
    old, new = panel.readout.a.hand, panel.readout.b.hand
    moved = [new.out_mm - old.out_mm, new.forward_mm - old.forward_mm, new.up_mm - old.up_mm]

    def middle(name):  # of a rod of 1 mm along x that is carried there
        place = panel.picture.things[f"right hand on the {name}"].model_matrix
        return place[:3, 3] + 0.5 * place[:3, 0]

    np.testing.assert_allclose(middle("new bar") - middle("old bar"), moved, atol=1e-3)
    assert panel.picture.things["old bar"].opacity < 1.0 == panel.picture.things["new bar"].opacity


def test_each_stem_in_space_reaches_from_the_steering_axis_to_its_clamp():
    panel = TwoBarsPanel(SHOP)
    panel.bars[1].mounting["stem_length_mm"].value = 90.0
    panel.bars[1].mounting["stem_angle_deg"].value = 20.0
    ends = {}
    for name, bar in zip(NAMES, (panel.readout.a, panel.readout.b), strict=True):
        stem, steerer, clamp = (
            panel.picture.things[f"{part} of the {name}"].model_matrix for part in ("stem", "steerer", "clamp")
        )
        axis, along = stem[:3, 3] + stem[:3, 0], steerer[:3, 0] / np.linalg.norm(steerer[:3, 0])
        middle = clamp[:3, 3] + 0.5 * clamp[:3, 0]
        assert np.linalg.norm(middle - axis) == pytest.approx(bar.stem.length_mm, abs=1e-3)
        assert along[1:] == pytest.approx([-np.cos(np.radians(65.0)), np.sin(np.radians(65.0))], abs=1e-6)
        ends[name] = axis
    np.testing.assert_allclose(ends["old bar"], ends["new bar"], atol=1e-3)


def test_a_bar_of_the_record_can_be_chosen_as_soon_as_there_is_one(tmp_path):
    path = tmp_path / "record.db"
    panel = TwoBarsPanel(SHOP, path)
    panel.bars[1].source.value = RECORD
    assert "a bar of the record must be chosen, got none" in panel.message.value
    record = Record(path)
    record.add(TestBend("2025-03-04", "7/8 x 0.058", "89", 22.225, 1.4732, 86.5, 30.0, 29.0))
    number = record.add(_bar({}))
    panel.bars[1].source.value = FIGURES
    panel.bars[1].source.value = RECORD
    assert [value for _, value in panel.bars[1].entry.options] == [number]
    panel.bars[1].entry.value = number
    assert panel.readout.b.hand.backsweep_deg == pytest.approx(12.0)


def test_a_name_in_the_record_is_no_html(tmp_path):
    path = tmp_path / "record.db"
    record = Record(path)
    bar = replace(_bar({}), name="<b>order 7</b>")
    record.add(bar)
    panel = TwoBarsPanel(SHOP, path)
    panel.bars[0].source.value = RECORD
    assert "<b>order" not in panel.message.value + panel.hands.value + panel.keeping.value


def test_a_bar_made_by_the_inner_bend_has_hands_too():
    free = recipe_from_inner_bend(Order(70.0, 10.0, 760.0, 4.0), 89.0, 30.0, 5.0)
    hand = hand_from_recipe(free, STEM, 0.0)
    assert (hand.out_mm, hand.backsweep_deg, hand.upsweep_deg) == pytest.approx((380.0, 10.0, 4.0))


def test_the_usual_stem_is_50_mm_square_to_an_axis_at_65_deg():
    # 50 sin 65 forward, 50 cos 65 up; a usual mountain bike, common practice, no source
    assert Stem().clamp_mm() == pytest.approx((45.31539, 21.13091), abs=1e-5)
