"""Values in a shop's file or a list of orders that can hardly be meant are asked about, in their own line."""

import math

import pytest
from conftest import ROOT
from hypothesis import given
from hypothesis import strategies as st

from barmath import BendError
from barmath.lengths import length_mm
from barmath.shop.orders import orders_from_file, orders_from_toml
from barmath.shop.plausible import PLAUSIBLE, question
from barmath.shop.shop_file import shop_from_file, shop_from_toml

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
    start = f"file.toml, line {place + 1}: "
    assert str(refusal.value).startswith(start)
    return str(refusal.value).removeprefix(start)


@pytest.mark.parametrize(
    ("key", "value", "sentence"),
    [
        ("wall", "0.049", 'wall 0.049 mm is thinner than any tube: did you mean "0.049 in"?'),
        ("wall", '"0.049 mm"', 'wall 0.049 mm is thinner than any tube: did you mean "0.049 in"?'),
        ("wall", "9", "wall 9.0 mm is thicker than any tube: check the number and its unit"),
        ("wall", "19",
         "tube wall must be at most half the diameter of 22.225 mm, got 19.0 mm: give the wall, not the bore"),
        ("wall", '"1.5 in"', "wall 38.1 mm is thicker than any tube: did you mean 1.5?"),
        ("outside_diameter", "0.875",
         'outside diameter 0.875 mm is thinner than any tube of a handlebar: did you mean "0.875 in"?'),
        ("outside_diameter", '"22.2 in"',
         "outside diameter 563.88 mm is thicker than any tube of a handlebar: did you mean 22.2?"),
        ("centerline_radius", "3", 'centre-line radius 3.0 mm is smaller than any die: did you mean "3 in"?'),
        ("centerline_radius", '"88.9 in"',
         "centre-line radius 2258.06 mm is larger than any die: did you mean 88.9?"),
        ("least_straight", "2.5", 'least straight 2.5 mm is shorter than any die needs: did you mean "2.5 in"?'),
        ("springback_ratio", "4",
         "springback ratio 4.0 is more than any tube springs back: did you mean 0.04, which is 4 %?"),
        ("springback_ratio", "0.97",
         "springback ratio 0.97 is more than any tube springs back: did you mean 0.0097, which is 0.97 %?"),
        ("largest_bend_deg", "1.57", "largest bend 1.57 deg is less than any bender reaches: did you mean 90?"),
        ("longest", "1", "longest stock 1.0 mm is shorter than any tube in a rack: did you mean 1000?"),
        ("longest", "72", 'longest stock 72.0 mm is shorter than any tube in a rack: did you mean "72 in"?'),
        ("width", "4.5", 'width of the stem 4.5 mm is narrower than any stem: did you mean "4.5 in"?'),
        ("finder_foot", "1.75",
         'finder foot of the bender 1.75 mm is shorter than any bender has: did you mean "1.75 in"?'),
        ("elastic_modulus_mpa", "205",
         "elastic modulus 205.0 MPa is softer than any metal: did you mean 205000 (205 GPa)?"),
        ("elastic_modulus_mpa", "29e6",
         "elastic modulus 2.9e+07 MPa is stiffer than any metal: did you mean 199948 (2.9e+07 psi)?"),
        ("yield_mpa", "75000", "yield 75000.0 MPa is stronger than any tube: did you mean 517 (75000 psi)?"),
        ("density_kg_m3", "7.85", "density 7.85 kg/m3 is lighter than any metal: did you mean 7850?"),
        ("elongation_percent", "0.15", "elongation 0.15 % is more brittle than any tube: did you mean 15?"),
    ],
)  # fmt: skip
def test_a_shop_is_asked_about_what_can_hardly_be_meant(key, value, sentence):
    assert asked(shop_from_toml, SHOP, key, value) == sentence


@pytest.mark.parametrize(
    ("key", "value", "sentence"),
    [
        ("rise", "750", "rise 750.0 mm is higher than any handlebar: did you mean 75?"),
        ("rise", "0.3", 'rise 0.3 mm is lower than any handlebar: did you mean "0.3 in"?'),
        ("width", "30.7", 'width 30.7 mm is narrower than any handlebar: did you mean "30.7 in"?'),
        ("width", "78", "width 78.0 mm is narrower than any handlebar: did you mean 780?"),
        ("clamp_flat", "2", 'clamp flat 2.0 mm is shorter than any handlebar has: did you mean "2 in"?'),
        ("controls", "7", 'controls 7.0 mm is less room than any handlebar needs: did you mean "7 in"?'),
        ("backsweep", "84", "backsweep 84.0 deg is more than any handlebar: did you mean 8.4?"),
    ],
)
def test_an_order_is_asked_about_what_can_hardly_be_meant(key, value, sentence):
    assert asked(orders_from_toml, ORDER, key, value) == sentence


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
    if "did you mean" in words and known.unit == "mm":
        guess = words.partition("did you mean ")[2].removesuffix("?").strip('"')
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
