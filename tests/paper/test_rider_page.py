"""The rider's page holds what the bar will measure, the old bar beside it, the cautions, and room to agree."""

from dataclasses import replace

import pytest
from printed import pages_of, text_of

from barmath import Order, recipe_from_order, shape_from_recipe
from barmath.closed_forms.forward import risers_upright
from barmath.crossbars import crossbar
from barmath.paper.rider_page import RiderPage, rider_pdf, rider_png, rider_rows
from barmath.paper.side_view import WORDS, side_path_mm
from barmath.shop import CROSSBAR, TUBE, order_seven_recipe
from barmath.shop.cautions import RIDING

BAR = order_seven_recipe()
OLD = recipe_from_order(Order(78.0, 9.0, 780.0, None, 60.0, 170.0), BAR.radius_mm, 30.0)
FITTED = crossbar(BAR, TUBE.outside_diameter_mm, CROSSBAR)
PAGES = {
    "alone": RiderPage("order 7", BAR, TUBE),
    "with crossbar and old bar": RiderPage("order 7", BAR, TUBE, FITTED, OLD),
    "in inches": RiderPage("order 7", BAR, TUBE, FITTED, OLD, "in"),
}


def flat(words: str) -> str:
    return "".join(words.split())


@pytest.mark.parametrize("rider", PAGES.values(), ids=PAGES)
@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_everything_is_on_one_page(rider, size):
    pdf = rider_pdf(rider, size)
    assert len(list(pages_of(pdf))) == 1
    words = flat(text_of(pdf))
    for name, *values in rider_rows(rider):
        for value in (name, *values):
            assert flat(value) in words
    for caution in RIDING:
        assert flat(caution) in words
    assert "Agreed:" in words
    assert "Date" in words


def test_the_rows_are_what_the_bar_measures():
    rows = {name: values for name, *values in rider_rows(PAGES["alone"])}
    shape = shape_from_recipe(BAR)
    assert rows["Rise, as clamped"][0] == f"{shape.rise_mm:.1f} mm" == "90.0 mm"
    assert rows["Width"][0] == "800.0 mm"
    assert rows["Backsweep"][0] == "14.0°"
    assert rows["Mass, bare bar"][0] == f"{TUBE.mass_g(shape.cut_length_mm):.0f} g"
    assert all(not any(values[1:]) for values in rows.values())


def test_a_bar_turned_in_its_stem_has_the_rise_that_it_will_have():
    rolled = replace(BAR, stem_roll_deg=10.0)
    rows = {name: values for name, *values in rider_rows(RiderPage("rolled", rolled, TUBE))}
    assert rows["Rise, as clamped"][0] == f"{shape_from_recipe(rolled).rise_mm:.1f} mm"
    assert shape_from_recipe(rolled).rise_mm < shape_from_recipe(risers_upright(rolled)).rise_mm - 1.0


def test_the_old_bar_is_beside_it_with_what_changes():
    rows = {name: values for name, *values in rider_rows(PAGES["with crossbar and old bar"])}
    assert rows["Rise, as clamped"] == ["90.0 mm", "78.0 mm", "12.0 mm more"]
    assert rows["Width"] == ["800.0 mm", "780.0 mm", "20.0 mm more"]
    assert rows["Backsweep"] == ["14.0°", "9.0°", "5.0° more"]
    assert "over the clamp" in rows["Crossbar"][0]
    same = {name: values for name, *values in rider_rows(RiderPage("same", BAR, TUBE, old=BAR))}
    assert {values[2] for name, values in same.items() if values[1]} == {"the same"}
    assert same["Clamp flat"][1] == "60.0 mm"


@pytest.mark.parametrize("roll_deg", [0.0, 10.0, -4.0])
def test_the_third_view_is_from_the_side_with_the_end_where_the_bar_has_it(roll_deg):
    bar = replace(BAR, stem_roll_deg=roll_deg)
    shape, path = shape_from_recipe(bar), side_path_mm(bar)
    assert path[0] == pytest.approx([0.0, 0.0], abs=1e-9)
    assert path[-1] == pytest.approx([-shape.setback_mm, -shape.rise_mm])
    words = flat(text_of(rider_pdf(RiderPage("order 7", bar, TUBE))))
    assert flat(WORDS) in words
    assert words.count(flat(f"rise {shape.rise_mm:.1f} mm")) == 2  # from the front and from the side
    assert words.count(flat(f"setback {shape.setback_mm:.1f} mm")) == 2
    assert "square" not in words


def test_the_mass_with_a_crossbar_is_that_of_both():
    alone, both = (
        next(float(values[0].split()[0]) for name, *values in rider_rows(PAGES[one]) if name.startswith("Mass"))
        for one in ("alone", "with crossbar and old bar")
    )
    assert both - alone == pytest.approx(FITTED.mass_g, abs=1.0)


def test_equal_pages_give_equal_bytes_and_a_picture():
    assert rider_pdf(PAGES["alone"]) == rider_pdf(PAGES["alone"])
    assert rider_png(PAGES["alone"]).startswith(b"\x89PNG")


def test_any_name_a_user_types_remains_on_the_page():
    for name in ("$x^2$", "<b>x</b>", "ж" * 300, ""):
        assert rider_pdf(replace(PAGES["alone"], name=name)).startswith(b"%PDF")
