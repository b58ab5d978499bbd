"""The rack in a shop's file: what can be bought of a tube, the pieces that are there, and what the saw takes."""

import pytest

from barmath import BendError
from barmath.shop import Rack, shop_from_file, shop_from_toml

SMALL = """
[[tube]]
name = "thin"
outside_diameter = "7/8 in"
wall = "0.065 in"
[[die]]
name = "die 102"
centerline_radius = "4 in"
least_straight = "65 mm"
"""


def test_the_training_shop_says_what_it_buys_and_has():
    shop = shop_from_file("notebooks/demo/shop.toml")
    rack = shop.rack(shop.tubes[0])
    assert (rack.buy_mm, rack.offcuts_mm, rack.price_a_metre) == ((2000.0, 3000.0), (1000.0, 870.0), 9.5)
    assert shop.kerf_mm == 2.0


def test_a_file_without_a_rack_buys_its_longest_stock():
    shop = shop_from_toml(SMALL + '[stock]\nlongest = "1200 mm"\n')
    assert shop.rack(shop.tubes[0]) == Rack("thin", (1200.0,))
    assert shop.kerf_mm == 2.0


@pytest.mark.parametrize(
    ("lines", "line", "sentence"),
    [
        ('[[rack]]\ntube = "thick"\nbuy = [2000]', 11, "tube must be one of these, got 'thick'"),
        ('[[rack]]\ntube = "thin"', 10, "lengths to buy must be at least one, got none"),
        (
            '[[rack]]\ntube = "thin"\nbuy = 2000',
            12,
            "buy must be lengths in brackets, got 2000",
        ),
        ('[[rack]]\ntube = "thin"\nbuy = ["long"]', 12, "buy must be one length, got"),
        (
            '[[rack]]\ntube = "thin"\nbuy = [0]',
            12,
            "length to buy must be above 0.0 mm, got 0.0 mm",
        ),
        (
            '[[rack]]\ntube = "thin"\nbuy = [2000]\nprice_a_metre = -1',
            13,
            "price a metre must be at least 0.0, got -1.0",
        ),
        ('[[rack]]\ntube = "thin"\nbuy = [2000]\n' * 2, 14, "each tube must have one rack, got 'thin' twice"),
        ("[stock]\nkerf = 25", 11, "saw kerf must be at most 20.0 mm, got 25.0 mm"),
        ('[[rack]]\ntube = "thin"\nbuy = [2000]\nprise = 2', 13, "a name here must be one of these, got 'prise'"),
    ],
)
def test_what_is_no_rack_is_refused_with_its_line(lines, line, sentence):
    with pytest.raises(BendError) as refusal:
        shop_from_toml(SMALL + lines)
    assert f": {sentence}" in str(refusal.value)
    assert str(refusal.value).endswith(f" (shop file, line {line})")


def test_a_rack_made_by_hand_is_checked_too():
    with pytest.raises(BendError, match="offcut must be lengths in a row, got 'long'"):
        Rack("thin", (2000.0,), "long")
