"""The papers of an order in the book say for whom it is and when it is wanted; other papers have no gap there."""

from dataclasses import replace

import pytest
from every_sheet import BENCH, FITTED, ONE, TUBE
from printed import pages_of, text_of, words_of

from barmath.panels.bending import BendingPanel
from barmath.panels.by_number import ByNumber
from barmath.panels.chosen_way import best_way
from barmath.panels.order import OrderPanel
from barmath.paper.bench_sheet import bench_sheet_pdf
from barmath.paper.page import text_width
from barmath.paper.rider_page import RiderPage, rider_pdf
from barmath.paper.who import short_name
from barmath.records import order_book
from barmath.shop import shop_from_file

DAY = "2026-12-10"
SHORT, LONG = (
    "Noor Haddad",
    "Maximiliane Theodora van Houten-Brandstetter de la Fontaine Ruiz Y " + "Z" * 1800 + " Oosterhuis",
)
PAPERS = {
    ("bench", "mm"): lambda rider, wanted, size: bench_sheet_pdf(replace(BENCH, rider=rider, wanted=wanted), size),
    ("bench", "in"): lambda rider, wanted, size: bench_sheet_pdf(
        replace(BENCH, unit="in", rider=rider, wanted=wanted), size
    ),
    ("rider", "mm"): lambda rider, wanted, size: rider_pdf(
        RiderPage("order 7", ONE, TUBE, FITTED, None, "mm", rider, wanted), size
    ),
    ("rider", "in"): lambda rider, wanted, size: rider_pdf(
        RiderPage("order 7", ONE, TUBE, None, ONE, "in", rider, wanted), size
    ),
}


@pytest.mark.parametrize("size", ["A4", "Letter"])
@pytest.mark.parametrize("paper", PAPERS, ids=" in ".join)
def test_rider_and_day_are_on_the_paper_and_move_nothing_else(paper, size):
    def words(rider, wanted):
        return {(word.text, round(word.x, 2), round(word.y, 2)) for word in words_of(pages_of(pdf(rider, wanted))[0])}

    def pdf(rider, wanted):
        return PAPERS[paper](rider, wanted, size)

    without = words("", None)
    both = words(SHORT, DAY)
    assert {word[0] for word in both - without} == {f"for {SHORT}", f"wanted on {DAY}"}
    assert {word[0] for word in words("", DAY) - without} == {f"wanted on {DAY}"}
    assert without <= both


@pytest.mark.parametrize("size", ["A4", "Letter"])
@pytest.mark.parametrize("paper", PAPERS, ids=" in ".join)
def test_a_name_too_long_for_the_paper_keeps_its_first_and_its_last_word(paper, size):
    pdf = PAPERS[paper](LONG, DAY, size)
    said = text_of(pdf)
    assert len(pages_of(pdf)) == 1
    assert "for Maximiliane" in said
    assert "…Oosterhuis" in said.replace(" …", "…")
    assert f"wanted on {DAY}" in said


@pytest.mark.parametrize("name", ["", "Q", "W" * 300, "Bo " + "W" * 300, "W" * 300 + " Bo", "a b", "ж" * 90])
@pytest.mark.parametrize("width", [12.0, 30.0, 80.0])
def test_a_short_name_fits_and_begins_and_ends_as_the_whole_one(name, width):
    short = short_name(name, width, 8.0)
    assert text_width(short, 8.0) <= width
    if short != name:
        first, last = short.split("…")
        assert name.startswith(first)
        assert name.endswith(last)


@pytest.fixture
def book(demo_copy):
    book, shop = order_book(demo_copy), shop_from_file(demo_copy / "shop.toml")
    row = book.order(7)
    way = best_way(shop, row.order.wish)
    book.change(replace(row.order, state="planned", way=way, rider=SHORT, wanted=DAY), row)
    return book


@pytest.mark.parametrize("panel", [OrderPanel, BendingPanel])
def test_the_sheet_of_an_open_order_is_for_its_rider_and_that_of_a_bar_by_hand_for_nobody(
    panel, book, demo_copy, tmp_path
):
    shop_file = demo_copy / "shop.toml"
    below = panel(shop_file if panel is OrderPanel else shop_from_file(shop_file))
    above = ByNumber(below, book, tmp_path)
    assert "for " + SHORT not in text_of(below.bench_sheet("a bar", "A4")[0])
    above.number.value = 7
    for size in ("A4", "Letter"):
        said = text_of(below.bench_sheet("order 7", size)[0])
        assert f"for {SHORT}" in said
        assert f"wanted on {DAY}" in said
    if panel is OrderPanel:
        said = text_of(above.rider_page("order 7", "A4")[0])
        assert f"for {SHORT}" in said
        assert f"wanted on {DAY}" in said
    above.number.value = 0
    assert SHORT not in text_of(below.bench_sheet("a bar", "A4")[0])
