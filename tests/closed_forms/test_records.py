"""Order, Recipe and Shape are frozen records of numbers or arrays, and refuse in whole sentences."""

from dataclasses import FrozenInstanceError

import numpy as np
import pytest

from barmath import BendError, Die, Order, Recipe, Shape, Tube
from barmath.closed_forms.records import check_single, checked_bend, checked_radius, checked_stop
from barmath.refusal import remedy_first

ORDER = {"rise_mm": 75.0, "backsweep_deg": 12.0, "width_mm": 780.0}
RECIPE = {
    "clamp_flat_mm": 55.0,
    "inner_bend_deg": 28.0,
    "straight_mm": 90.0,
    "roll_deg": 31.0,
    "outer_bend_deg": 28.0,
    "grip_mm": 200.0,
    "radius_mm": 100.0,
}
SHAPE = {
    "rise_mm": 78.5,
    "backsweep_deg": 14.0,
    "upsweep_deg": 3.0,
    "width_mm": 770.0,
    "setback_mm": 50.0,
    "cut_length_mm": 860.0,
}
RECORDS = pytest.mark.parametrize(
    ("record", "fields"), [(Order, ORDER), (Recipe, RECIPE), (Shape, SHAPE)], ids=["order", "recipe", "shape"]
)

NO_PLANE = "choose a larger bend, because nobody can find the plane of this one at the bench"
NO_RISE = "give a rise, because without one there is no riser to bend"
FROM_THE_AXIS = "measure the sweep from the clamp axis, not from straight ahead"
ISO_WIDTH = "the range of ISO 4210-2 4.7.1"


def said(make, **fields) -> str:
    with pytest.raises(BendError) as refusal:
        make(**fields)
    return str(refusal.value)


@RECORDS
def test_numbers_stay_floats(record, fields):
    made = record(**{name: np.float32(value) for name, value in fields.items()})
    assert all(type(getattr(made, name)) is float for name in fields)


@RECORDS
def test_arrays_stay_arrays_and_may_broadcast(record, fields):
    column, row = np.ones((3, 1)), np.ones(4)
    first, second = list(fields)[:2]
    made = record(**fields | {first: fields[first] * column, second: fields[second] * row})
    assert getattr(made, first).shape == (3, 1)
    assert getattr(made, second).shape == (4,)


@RECORDS
def test_a_record_cannot_be_changed(record, fields):
    made = record(**fields)
    with pytest.raises(FrozenInstanceError):
        made.rise_mm = 80.0


@RECORDS
def test_a_record_refuses_what_is_no_number(record, fields):
    for name in fields:
        for nonsense in ("12", None, True, float("nan"), float("inf"), [1.0, [2.0]]):
            with pytest.raises(BendError, match=r" must be a (finite )?number "):
                record(**fields | {name: nonsense})


@RECORDS
def test_a_record_refuses_shapes_that_do_not_broadcast(record, fields):
    first, second = list(fields)[:2]
    asked = fields | {first: np.full(2, fields[first]), second: np.full(3, fields[second])}
    assert said(record, **asked) == remedy_first(
        f"the {record.__name__.lower()} must have arrays that fit together, got shapes (2,) and (3,): "
        "give one number, or one for each bar"
    )


def test_an_order_without_upsweep_has_none():
    assert Order(**ORDER).upsweep_deg is None
    assert (Order(**ORDER).clamp_flat_mm, Order(**ORDER).controls_mm) == (50.0, 200.0)


def test_a_recipe_has_its_risers_upright_unless_said_otherwise():
    assert Recipe(**RECIPE).stem_roll_deg == 0.0


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("rise_mm", 0.0, f"rise must be above 0.0 mm, got 0.0 mm: {NO_RISE}"),
        ("rise_mm", -5.0, f"rise must be above 0.0 mm, got -5.0 mm: {NO_RISE}"),
        ("backsweep_deg", 90.0, f"backsweep must be at most 85.0 deg, got 90.0 deg: {FROM_THE_AXIS}"),
        ("backsweep_deg", -86.0, f"backsweep must be at least -85.0 deg, got -86.0 deg: {FROM_THE_AXIS}"),
        ("upsweep_deg", 85.5, f"upsweep must be at most 85.0 deg, got 85.5 deg: {FROM_THE_AXIS}"),
        ("width_mm", 349.9,
         f"width must be at least 350.0 mm, {ISO_WIDTH}, got 349.9 mm: order a width from 350 to 1000 mm"),
        ("width_mm", [780.0, 1001.0],
         f"width must be at most 1000.0 mm, {ISO_WIDTH}, got 1001.0 mm (element 1 of (2,)): "
         "order a width from 350 to 1000 mm"),
        ("clamp_flat_mm", 0.0, "clamp flat must be above 0.0 mm, got 0.0 mm: type a number above 0.0 mm"),
        ("controls_mm", -1.0, "room for controls must be at least 0.0 mm, got -1.0 mm: type a number from 0.0 mm up"),
    ],
)  # fmt: skip
def test_an_order_outside_its_range_is_refused_in_these_words(field, value, sentence):
    assert said(Order, **ORDER | {field: value}) == remedy_first(sentence)


@pytest.mark.parametrize("width", [350.0, 1000.0])
def test_the_widths_at_the_ends_of_the_standards_range_may_be_ordered(width):
    assert Order(**ORDER | {"width_mm": width}).width_mm == width


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("clamp_flat_mm", -1.0, "clamp flat must be at least 0.0 mm, got -1.0 mm: type a number from 0.0 mm up"),
        ("inner_bend_deg", 0.0, f"inner bend must be at least 0.1 deg, got 0.0 deg: {NO_PLANE}"),
        ("inner_bend_deg", -28.0, f"inner bend must be at least 0.1 deg, got -28.0 deg: {NO_PLANE}"),
        ("outer_bend_deg", 0.09, f"outer bend must be at least 0.1 deg, got 0.09 deg: {NO_PLANE}"),
        ("outer_bend_deg", 180.0, "outer bend must be at most 179.0 deg, got 180.0 deg: split the bend into two"),
        ("straight_mm", -0.5, "straight between bends must be at least 0.0 mm, got -0.5 mm: "
         "type a number from 0.0 mm up"),
        ("grip_mm", -0.5, "grip straight must be at least 0.0 mm, got -0.5 mm: type a number from 0.0 mm up"),
        ("radius_mm", 0.0, "centre-line radius must be above 0.0 mm, got 0.0 mm: type a number above 0.0 mm"),
        ("roll_deg", 181.0, "roll between bends must be at most 180.0 deg, got 181.0 deg: "
         "give the same turn as an angle from -180 to 180 deg"),
        ("roll_deg", -200.0,
         "roll between bends must be at least -180.0 deg, got -200.0 deg: "
         "give the same turn as an angle from -180 to 180 deg"),
        ("stem_roll_deg", 360.0, "stem roll must be at most 180.0 deg, got 360.0 deg: "
         "give the same turn as an angle from -180 to 180 deg"),
    ],
)  # fmt: skip
def test_a_recipe_outside_its_range_is_refused_in_these_words(field, value, sentence):
    assert said(Recipe, **RECIPE | {field: value}) == remedy_first(sentence)


def test_a_shape_with_ends_that_crossed_over_is_refused():
    assert said(Shape, **SHAPE | {"width_mm": -20.0}) == remedy_first(
        "width must be above 0.0 mm, with each bar end on its own side, got -20.0 mm: "
        "choose smaller bends or a longer clamp flat"
    )


def test_equal_bends_stop_short_of_an_upright_riser():
    assert checked_stop(89.9) == 89.9
    assert said(lambda: checked_stop(90.0)) == (
        "Choose a smaller bend, because a steeper riser leans inward: bend must be below 90.0 deg, got 90.0 deg"
    )
    assert said(lambda: checked_stop(0.0)) == remedy_first(f"bend must be at least 0.1 deg, got 0.0 deg: {NO_PLANE}")


def test_one_bend_and_one_radius_pass_their_checks():
    assert (checked_bend("bend", 0.1), checked_bend("bend", 179.0), checked_radius(1e-3)) == (0.1, 179.0, 1e-3)


def test_what_takes_one_bar_at_a_time_says_which_record_holds_more():
    check_single(Order(**ORDER), Tube(22.2, 1.5), Die(88.9))
    assert said(lambda: check_single(Order(**ORDER | {"rise_mm": [70.0, 80.0]}))) == remedy_first(
        "order must be a single one, got an array of shape (2,) as its rise: give one order at a time"
    )
