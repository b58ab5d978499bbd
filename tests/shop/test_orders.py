"""A list of orders in a file: each line is read, and what is wrong is refused with its line."""

import pytest

from barmath import BendError, Order
from barmath.refusal import remedy_first
from barmath.shop.orders import NamedOrder, orders_from_file, orders_from_toml

WHOLE = """
[[order]]
name = "order 1"
rise = "3 in"
backsweep = 9
width = 760

[[order]]
name = "order 2"
rise = 90
backsweep = "12.5 deg"
width = "30 in"
upsweep = 5
clamp_flat = "2 in"
controls = 150
"""


def test_every_line_of_an_order_is_read():
    first, second = orders_from_toml(WHOLE)
    assert first == NamedOrder("order 1", Order(76.2, 9.0, 760.0, None, 50.0, 200.0))
    assert second == NamedOrder("order 2", Order(90.0, 12.5, 762.0, 5.0, 50.8, 150.0))


def test_a_file_is_read_like_its_text(tmp_path):
    path = tmp_path / "our orders.toml"
    path.write_text(WHOLE, encoding="utf-8")
    assert orders_from_file(path) == orders_from_toml(WHOLE)
    path.write_text("[[order]]\n", encoding="utf-8")
    with pytest.raises(BendError, match=r"\(our orders\.toml, line 1\)$"):
        orders_from_file(path)


@pytest.mark.parametrize(
    ("old", "new", "line", "sentence"),
    [
        ('"order 2"', "2", 9, "name must be a text, got 2: type 1 to 80 letters in quotes"),
        ('rise = 90', "", 8, "this order must have its rise: add a line that begins with rise ="),
        ('rise = 90', 'rise = "high"', 10,
         "rise must be one length, got 'high': type a number, for example 80, 80.5 mm or 3 1/8 in"),
        ('"30 in"', "true", 12, 'width must be a length, got True: type it as in 101.6 or "4 in"'),
        ('"12.5 deg"', '"steep"', 11,
         "backsweep must be one angle, got 'steep': type a number, for example 12 or 12.5 deg"),
        ('upsweep = 5', "upsweep = 500", 13,
         "upsweep must be at most 85.0 deg, got 500.0 deg: measure the sweep from the clamp axis, not from straight "
         "ahead"),
        ('upsweep = 5', 'upsweep = "5 °°"', 13,
         "upsweep must be one angle, got '5 °°': type a number, for example 12 or 12.5 deg"),
        ('clamp_flat = "2 in"', 'clamp_flat = "-2 in"', 14,
         "clamp flat must be at least 0, got '-2 in': type it without a minus"),
        ('controls = 150', 'controls = "much"', 15,
         "controls must be one length, got 'much': type a number, for example 80, 80.5 mm or 3 1/8 in"),
        ('controls = 150', 'grips = 150', 15,
         "a name here must be one of these, got 'grips': choose backsweep, clamp_flat, controls, "
         "least_upsweep, most_upsweep, name, rise, upsweep or width"),
        ('[[order]]', '[[bar]]', 2, "a name here must be one of these, got 'bar': choose order"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_with_its_line_after_what_to_do(old, new, line, sentence):
    with pytest.raises(BendError) as refusal:
        orders_from_toml(WHOLE.replace(old, new), "orders")
    assert str(refusal.value) == f"{remedy_first(sentence)} (orders, line {line})"


def test_a_file_without_orders_has_none():
    assert orders_from_toml("", "orders") == ()


def test_an_order_may_say_which_upsweep_it_accepts():
    text = '[[order]]\nname = "a"\nrise = 80\nbacksweep = 9\nwidth = 760\n'
    usual = orders_from_toml(text)[0].order
    assert (usual.least_upsweep_deg, usual.most_upsweep_deg) == (0.0, 8.0)
    order = orders_from_toml(text + "least_upsweep = 1\nmost_upsweep = 4.5\n")[0].order
    assert (order.least_upsweep_deg, order.most_upsweep_deg) == (1.0, 4.5)
    with pytest.raises(BendError, match=r"least upsweep must be at most 4\.5 deg"):
        orders_from_toml(text + "least_upsweep = 6\nmost_upsweep = 4.5\n")
