"""Values in a shop's file or a list of orders that can hardly be meant are asked about, in their own line."""

import math
from dataclasses import fields, replace

import pytest
from conftest import ROOT
from hypothesis import given
from hypothesis import strategies as st

from barmath import BendError
from barmath.lengths import length_mm
from barmath.refusal import remedy_first
from barmath.shop.die_calibration import DieCalibration
from barmath.shop.orders import orders_from_file, orders_from_toml
from barmath.shop.plausible import PLAUSIBLE, question
from barmath.shop.shop_file import shop_from_file, shop_from_toml
from barmath.shop.stock import CHROMOLY_4130, Material, Tube
from barmath.shop.tolerance import Tolerance
from barmath.shop.tooling import Die

SHOP = """name = "a shop"
[stock]
longest = 1000
[stem]
width = 45
[bender]
finder_foot = 45
[[tube]]
name = "tube"
outside_diameter = "7/8 in"
wall = "0.058 in"
[[die]]
name = "die"
centerline_radius = "3 1/2 in"
least_straight = 65
line_up_offset = 1
largest_bend_deg = 90
springback_ratio = 0.03
tube_diameter = "7/8 in"
[[material]]
name = "steel"
elastic_modulus_mpa = 205000
density_kg_m3 = 7850
yield_mpa = 500
yield_low_mpa = 400
yield_high_mpa = 600
tensile_mpa = 700
elongation_percent = 15
[[calibration]]
die = "die"
tube = "tube"
date = "2026-03-14"
source = "5 bars"
ratio = 0.03
constant_deg = 0.1
offset_mm = 1
radius_mm = 92
kept_error_deg = 0.1
offset_error_mm = 0.5
"""
ORDER = """[[order]]
name = "an order"
rise = 78
backsweep = 12
width = 780
clamp_flat = 50
controls = 180
"""


def asked(reader, text: str, key: str, value: str) -> str:
    """The refusal of the text with the line of `key` changed, less the name of the file; the line is the key's own."""
    lines = text.splitlines()
    place = next(number for number, line in enumerate(lines) if line.startswith(f"{key} ="))
    lines[place] = f"{key} = {value}"
    with pytest.raises(BendError) as refusal:
        reader("\n".join(lines), "file.toml")
    end = f" (file.toml, line {place + 1})"
    assert str(refusal.value).endswith(end)
    return str(refusal.value).removesuffix(end)


@pytest.mark.parametrize(
    ("key", "value", "sentence"),
    [
        ("wall", "0.049", 'wall must be in the usual range, got 0.049 mm, thinner than any tube: '
         'write "0.049 in" if you mean that'),
        ("wall", '"0.049 mm"', 'wall must be in the usual range, got 0.049 mm, thinner than any tube: '
         'write "0.049 in" if you mean that'),
        ("wall", "9",
         "wall must be in the usual range, got 9.0 mm, thicker than any tube: check the number and its unit"),
        ("wall", "19",
         "tube wall must be at most half the diameter of 22.225 mm, got 19.0 mm: give the wall, not the bore"),
        ("wall", '"1.5 in"', "wall must be in the usual range, got 38.1 mm, thicker than any tube: "
         "write 1.5 if you mean that"),
        ("outside_diameter", "0.875",
         'outside diameter must be in the usual range, got 0.875 mm, thinner than any tube of a handlebar: '
         'write "0.875 in" if you mean that'),
        ("outside_diameter", '"22.2 in"',
         "outside diameter must be in the usual range, got 563.88 mm, thicker than any tube of a handlebar: "
         "write 22.2 if you mean that"),
        ("centerline_radius", "3", 'centre-line radius must be in the usual range, got 3.0 mm, smaller than any die: '
         'write "3 in" if you mean that'),
        ("centerline_radius", '"88.9 in"',
         "centre-line radius must be in the usual range, got 2258.06 mm, larger than any die: "
         "write 88.9 if you mean that"),
        ("least_straight", "2.5", 'least straight must be in the usual range, got 2.5 mm, shorter than any die needs: '
         'write "2.5 in" if you mean that'),
        ("springback_ratio", "4",
         "springback ratio must be in the usual range, got 4.0, more than any tube springs back: "
         "write 0.04 (4 %) if you mean that"),
        ("springback_ratio", "0.97",
         "springback ratio must be in the usual range, got 0.97, more than any tube springs back: "
         "write 0.03 (a bend keeps 0.97 of its angle) if you mean that"),
        ("springback_ratio", "1.0",
         "springback ratio must be in the usual range, got 1.0, more than any tube springs back: "
         "write 0.01 (1 %) if you mean that"),
        ("springback_ratio", "97",
         "springback ratio must be in the usual range, got 97.0, more than any tube springs back: "
         "write 0.03 (a bend keeps 97 %) if you mean that"),
        ("springback_ratio", "300",
         "springback ratio must be in the usual range, got 300.0, more than any tube springs back: "
         "check the number and its unit"),
        *(("ratio", value,
           f"ratio of the calibration must be in the usual range, got {float(value)}, more than any tube springs back: "
           f"write {meant} if you mean that")
          for value, meant in (("0.97", "0.03 (a bend keeps 0.97 of its angle)"), ("1.0", "0.01 (1 %)"),
                               ("3", "0.03 (3 %)"), ("97", "0.03 (a bend keeps 97 %)"))),
        ("radius_mm", "3.62",
         "radius of the calibration must be in the usual range, got 3.62 mm, smaller than any die: "
         "write 91.9 if you mean that"),
        ("largest_bend_deg", "1.57",
         "largest bend must be in the usual range, got 1.57 deg, less than any bender reaches: "
         "write 90 if you mean that"),
        ("longest", "1", "longest stock must be in the usual range, got 1.0 mm, shorter than any tube in a rack: "
         "write 1000 if you mean that"),
        ("longest", "72", 'longest stock must be in the usual range, got 72.0 mm, shorter than any tube in a rack: '
         'write "72 in" if you mean that'),
        ("width", "4.5", 'width of the stem must be in the usual range, got 4.5 mm, narrower than any stem: '
         'write "4.5 in" if you mean that'),
        ("finder_foot", "1.75",
         'foot of the angle finder must be in the usual range, got 1.75 mm, shorter than any bender has: '
         'write "1.75 in" if you mean that'),
        ("elastic_modulus_mpa", "205",
         "elastic modulus must be in the usual range, got 205.0 MPa, softer than any metal: "
         "write 205000 (205 GPa) if you mean that"),
        ("elastic_modulus_mpa", "29e6",
         "elastic modulus must be in the usual range, got 2.9e+07 MPa, stiffer than any metal: "
         "write 199948 (2.9e+07 psi) if you mean that"),
        ("yield_mpa", "75000", "yield must be in the usual range, got 75000.0 MPa, stronger than any tube: "
         "write 517 (75000 psi) if you mean that"),
        ("density_kg_m3", "7.85", "density must be in the usual range, got 7.85 kg/m3, lighter than any metal: "
         "write 7850 if you mean that"),
        ("elongation_percent", "0.15",
         "elongation must be in the usual range, got 0.15 %, more brittle than any tube: "
         "write 15 if you mean that"),
    ],
)  # fmt: skip
def test_a_shop_is_asked_about_what_can_hardly_be_meant(key, value, sentence):
    assert asked(shop_from_toml, SHOP, key, value) == remedy_first(sentence)


@pytest.mark.parametrize(
    ("key", "value", "sentence"),
    [
        (
            "rise",
            "750",
            "rise must be in the usual range, got 750.0 mm, higher than any handlebar: write 75 if you mean that",
        ),
        (
            "rise",
            "0.3",
            'rise must be in the usual range, got 0.3 mm, lower than any handlebar: write "0.3 in" if you mean that',
        ),
        (
            "width",
            "30.7",
            "width must be in the usual range, got 30.7 mm, narrower than any handlebar: "
            'write "30.7 in" if you mean that',
        ),
        (
            "width",
            "78",
            "width must be in the usual range, got 78.0 mm, narrower than any handlebar: write 780 if you mean that",
        ),
        (
            "clamp_flat",
            "2",
            "clamp flat must be in the usual range, got 2.0 mm, shorter than any handlebar has: "
            'write "2 in" if you mean that',
        ),
        (
            "controls",
            "7",
            "controls must be in the usual range, got 7.0 mm, less room than any handlebar needs: "
            'write "7 in" if you mean that',
        ),
        (
            "backsweep",
            "84",
            "backsweep must be in the usual range, got 84.0 deg, more than any handlebar: write 8.4 if you mean that",
        ),
    ],
)
def test_an_order_is_asked_about_what_can_hardly_be_meant(key, value, sentence):
    assert asked(orders_from_toml, ORDER, key, value) == remedy_first(sentence)


def test_what_may_be_meant_is_read_without_a_question():
    assert shop_from_toml(SHOP).tubes[0].wall_mm == pytest.approx(0.058 * 25.4)
    assert orders_from_toml(ORDER)[0].order.rise_mm == 78.0
    demo = ROOT / "notebooks" / "demo"
    assert shop_from_file(demo / "shop.toml").dies
    assert orders_from_file(demo / "orders.toml")


@given(st.sampled_from(sorted(PLAUSIBLE)), st.floats(1e-6, 1e6))
def test_a_question_is_asked_just_outside_the_range_and_what_it_guesses_is_not_asked_about(key, value):
    known, words = PLAUSIBLE[key], question(key, value)
    assert bool(words) == (not known.least <= value <= known.most)
    if "if you mean that" in words and known.unit == "mm":
        guess = words.partition(": write ")[2].removesuffix(" if you mean that").strip('"')
        meant = length_mm(guess)
        assert question(key, meant) == "" or math.isclose(meant, known.least) or math.isclose(meant, known.most)


@pytest.mark.parametrize("value", [0.0, -1.0])
def test_what_cannot_be_at_all_is_left_to_the_refusals(value):
    assert question("tube.wall", value) == ""


@pytest.mark.parametrize(
    ("key", "value", "asks"),
    [
        ("tube.wall", 8.0, False),
        ("tube.wall", 8.5, True),
        ("die.line_up_offset", 100.0, False),
        ("die.line_up_offset", 105.0, True),
        ("die.line_up_offset", -100.0, False),
        ("die.line_up_offset", -105.0, True),
    ],
)
def test_a_thick_wall_and_a_far_line_up_are_asked_about_from_where_the_trade_ends(key, value, asks):
    # bounds: common practice, no source
    assert bool(question(key, value)) == asks


def test_the_bounds_of_what_may_be_meant_are_round_numbers_of_the_trade():
    rounded = {0.0, 1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 4.5, 5.0, 6.0, 8.0}
    for key, known in PLAUSIBLE.items():
        assert known.least < known.most, key
        for bound in (known.least, known.most):
            digits = abs(bound) / 10.0 ** math.floor(math.log10(abs(bound))) if bound else 0.0
            assert round(digits, 9) in rounded or bound in (180.0, 1100.0), (key, bound)


USUAL_RANGE = {
    # by table and key: the smallest and the largest value that is read without a question (common practice, no source)
    "accepted.rise": (0.5, 15.0), "accepted.rock": (0.5, 15.0), "accepted.sweep_deg": (0.1, 5.0),
    "accepted.roll_deg": (0.1, 10.0), "accepted.touch_share": (0.1, 1.0), "accepted.heat_deg": (0.0, 3.0),
    "tube.outside_diameter": (8.0, 80.0), "tube.wall": (0.3, 8.0), "tube.tightest_in_diameters": (1.0, 12.0),
    "die.centerline_radius": (15.0, 600.0), "die.least_straight": (5.0, 400.0), "die.line_up_offset": (-100.0, 100.0),
    "die.tube_diameter": (8.0, 80.0), "die.largest_bend_deg": (5.0, 180.0), "die.springback_ratio": (0.0, 0.5),
    "calibration.ratio": (0.0, 0.5), "calibration.radius_mm": (15.0, 1000.0),
    "stock.longest": (300.0, 10_000.0), "stem.width": (15.0, 120.0),
    "material.elastic_modulus_mpa": (1e4, 5e5), "material.density_kg_m3": (1e3, 2.5e4),
    **{f"material.{key}_mpa": (30.0, 3000.0) for key in ("yield", "yield_low", "yield_high", "tensile")},
    "material.elongation_percent": (1.0, 100.0),
    **{f"bender.{key}": (5.0, 4000.0) for key in (
        "hook", "follower", "finder_foot", "table_below", "floor_below", "frame_below", "table_reach", "frame_reach",
        "handle_reach")},
    "order.rise": (3.0, 350.0), "order.width": (350.0, 1100.0), "order.clamp_flat": (15.0, 200.0),
    "order.controls": (20.0, 400.0), "order.backsweep": (-30.0, 80.0), "order.upsweep": (-30.0, 45.0),
}  # fmt: skip


def test_every_value_that_a_file_may_question_has_its_usual_range():
    assert set(USUAL_RANGE) == set(PLAUSIBLE)


@pytest.mark.parametrize("key", sorted(USUAL_RANGE))
def test_both_ends_of_a_usual_range_are_read_and_what_is_just_beyond_is_questioned(key):
    least, most = USUAL_RANGE[key]
    step = (most - least) / 1e4
    assert question(key, least) == question(key, most) == ""
    assert question(key, most + step)
    beyond = least - step
    assert bool(question(key, beyond)) == (beyond > 0.0 or least < 0.0)  # no number below 0 is left to the refusals


CALLED_OTHERWISE = {
    # in a file a quantity is under the heading of its thing, so its name leaves that thing out
    "outside diameter": "tube diameter", "wall": "tube wall", "centre-line radius": "die radius",
    "tube diameter": "tube diameter of the die", "tightest bend in diameters": "tightest bend of the tube in diameters",
    "accepted rise": "tolerance of the rise", "accepted rocking": "tolerance of the rock",
    "accepted sweep": "tolerance of the sweep", "accepted roll": "tolerance of the roll",
    "share worth a touch": "share of the tolerance worth a touch",
}  # fmt: skip
CALIBRATION = DieCalibration("small", "any", "2026-03-14", "5 bars", 0.03, 0.0, 0.0, 92.0, 0.1, 0.5)
MADE_OF = {"tube": Tube, "die": Die, "accepted": Tolerance, "material": Material, "calibration": DieCalibration}
MADE_FROM = {
    "tube": lambda **one: Tube(**{"outside_diameter_mm": 22.0, "wall_mm": 1.5, **one}),
    "die": lambda **one: Die(**{"centerline_radius_mm": 90.0, **one}),
    "accepted": Tolerance,
    "material": lambda **one: replace(CHROMOLY_4130, **one),
    "calibration": lambda **one: replace(CALIBRATION, **one),
}


@pytest.mark.parametrize("key", [key for key in sorted(PLAUSIBLE) if key.partition(".")[0] in MADE_FROM])
def test_a_question_and_a_refusal_call_a_quantity_by_one_name(key):
    table, _, field = key.partition(".")
    known = {one.name for one in fields(MADE_OF[table])}
    (field,) = known & {field, f"{field}_mm", f"{field}_deg", f"{field}_kg_m3"}
    with pytest.raises(BendError) as refusal:
        MADE_FROM[table](**{field: math.nan})
    name = PLAUSIBLE[key].name
    assert f": {CALLED_OTHERWISE.get(name, name)} must be a finite number" in str(refusal.value)


NOT_ALIKE = {
    # the two sides of these ranges are said each in its own words
    "tube.tightest_in_diameters": ("tighter than any tube bends", "gentler than any tube needs"),
    "accepted.touch_share": ("less than any builder touches", "more than all that is accepted"),
    "material.elongation_percent": ("more brittle than any tube", "more than any tube stretches"),
    "order.backsweep": ("further forward than any handlebar", "more than any handlebar"),
    "order.upsweep": ("further down than any handlebar", "more than any handlebar"),
}
OPPOSITES = {
    ("thinner", "thicker"), ("smaller", "larger"), ("shorter", "longer"), ("less", "more"), ("finer", "coarser"),
    ("narrower", "wider"), ("softer", "stiffer"), ("softer", "stronger"), ("lighter", "heavier"), ("lower", "higher"),
    ("less room", "more room"), ("further off", "further off"),
}  # fmt: skip


@pytest.mark.parametrize("key", sorted(PLAUSIBLE))
def test_too_small_and_too_large_are_said_alike_but_for_one_opposite(key):
    small, large = PLAUSIBLE[key].too_small, PLAUSIBLE[key].too_large
    if key in NOT_ALIKE:
        assert (small, large) == NOT_ALIKE[key]
    else:
        (one, _, of_what), (other, _, of_what_else) = small.partition(" than "), large.partition(" than ")
        assert (one, other) in OPPOSITES
        assert of_what == of_what_else != ""


@pytest.mark.parametrize(("key", "written", "guesses"), [
    ("die.line_up_offset", 150.0, ["15"]),  # a point that slipped by one place
    ("die.line_up_offset", 1500.0, ["15"]),  # and by two
    ("accepted.touch_share", 40.0, ["0.4 (40 %)"]),
    ("accepted.touch_share", 0.05, []),  # it is no share of a bend: nothing is lost from it
    ("die.springback_ratio", 3.0, ["0.03 (3 %)"]),
    ("die.springback_ratio", 0.03, [""]),  # nothing is asked
    ("die.springback_ratio", 0.97, ["0.03 (a bend keeps 0.97 of its angle)"]),
    ("die.springback_ratio", 0.625, ["0.375 (a bend keeps 0.625 of its angle)"]),
    ("die.springback_ratio", 1.0, ["0.01 (1 %)"]),
    ("die.springback_ratio", 97.0, ["0.03 (a bend keeps 97 %)"]),
    ("calibration.ratio", 0.03, [""]),
    ("calibration.ratio", 0.97, ["0.03 (a bend keeps 0.97 of its angle)"]),
    ("calibration.ratio", 1.0, ["0.01 (1 %)"]),
    ("calibration.ratio", 3.0, ["0.03 (3 %)"]),
    ("calibration.ratio", 97.0, ["0.03 (a bend keeps 97 %)"]),
    ("calibration.radius_mm", 4.13, ["104.9"]),  # inches, in a line that takes no unit
    ("tube.tightest_in_diameters", 30.0, ["3"]),
    ("accepted.heat_deg", 15.0, ["1.5"]),
    ("material.density_kg_m3", 7.85, ["7850"]),
    ("material.elongation_percent", 0.15, ["15"]),
    ("order.backsweep", 140.0, ["14"]),
])  # fmt: skip
def test_what_is_guessed_is_the_number_that_was_meant(key, written, guesses):
    said = question(key, written)
    assert said.partition(": write ")[2].removesuffix(" if you mean that") == " or ".join(guesses), said
