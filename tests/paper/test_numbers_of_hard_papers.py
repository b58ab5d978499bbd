"""Numbers of papers with hard data, read back from their PDF against the panel or the record that made them."""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from every_sheet import SHEETS
from hard_sheets import (
    FLAT,
    FOREIGN,
    FORWARD,
    HARD,
    LONG_DIE,
    LONG_NAME,
    LONG_TUBE,
    NAMES,
    RADIUS,
    STEEP,
    TWO_STOPS,
    charts,
    class_of_many,
    week_of,
    week_plan,
)
from printed import pages_of, text_of, words_of

from barmath.checking.bench_readings import KINDS
from barmath.closed_forms.forward import risers_upright, shape_from_recipe
from barmath.lengths import length_mm, length_text
from barmath.panels.inspection import InspectionPanel
from barmath.paper.bench_parts import tube_size
from barmath.paper.check_sheet import CheckSheet
from barmath.paper.class_overview import overview_pages
from barmath.paper.full_size import FullSize, full_size_pdf
from barmath.paper.page import pages_pdf, text_width
from barmath.paper.rider_page import RiderPage, rider_rows
from barmath.shop.shop_file import shop_from_file

SHOP_FILE = Path(__file__).parents[2] / "notebooks" / "demo" / "shop.toml"


def rows_of(page):
    """Words of a page by their baseline, from left to right; the parts of a word with a ligature are put together."""
    rows = {}
    for word in words_of(page):
        rows.setdefault(round(word.y, 1), []).append(word)
    return [joined(sorted(row, key=lambda word: word.x)) for _, row in sorted(rows.items())]


def joined(row):
    found, end = [], -np.inf
    for word in row:
        near = word.x - end < 1.2
        found = (
            [*found[:-1], f"{found[-1]}{' ' if word.x - end > 0.5 else ''}{word.text}"] if near else [*found, word.text]
        )
        end = word.x + text_width(word.text, word.points)
    return found


@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize("backsweep", [-10.0, 0.0, 12.0])
def test_the_check_sheet_of_the_panel_wants_what_the_panel_wants(tmp_path, backsweep, unit):
    panel = InspectionPanel(shop_from_file(SHOP_FILE), sheets_folder=tmp_path)
    panel.become(replace(panel.state, unit=unit, bar=replace(panel.state.bar, backsweep_deg=backsweep, bend_deg=25.0)))
    (page,) = pages_of(panel.check_sheet("order 7", "A4")[0])
    rows = {" ".join(row[:-1]): row[-1] for row in rows_of(page)}
    for kind in KINDS:
        value = panel.readout.wanted[kind.key]
        said = CheckSheet("", panel.readout.recipe, 22.2, unit=unit).shown(kind, value)
        assert rows[kind.name] == said
        assert (said == "none") == np.isnan(value)
        assert f"wanted {said.replace('°', ' deg')}<" in panel.wanted[KINDS.index(kind)].value
    rise = length_text(float(shape_from_recipe(risers_upright(panel.readout.recipe)).rise_mm), unit)
    assert rows["Rise left"] == rows["Rise right"] == rise


def number(words):
    """A length in mm or an angle in degrees of a paper; nan for words."""
    if words.endswith("°"):
        return float(words.rstrip("°"))
    return length_mm(words, allow_negative=True) if re.match(r"-?\d", words) else np.nan


@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize(("new", "old"), [(STEEP, FLAT), (FORWARD, TWO_STOPS), (TWO_STOPS, FORWARD)])
def test_the_change_on_the_riders_page_is_the_difference_of_the_two_numbers_before_it(new, old, unit):
    for name, now, before, change in rider_rows(RiderPage("", new, LONG_TUBE, None, old, unit))[:6]:
        shown, less = change != "the same", change.endswith("less")
        off = (-1.0 if less else 1.0) * number(change.rsplit(" ", 1)[0]) if shown else 0.0
        assert number(now) - number(before) == pytest.approx(off, abs=1e-6), name
        assert not re.match(r"-0(\.0)?\D", now)


@pytest.mark.parametrize(("unit", "size"), [("mm", "A4"), ("in", "Letter")])
def test_each_page_of_the_week_has_its_heads_its_number_and_all_settings_in_its_first_row(unit, size):
    week, pages = week_of(unit), pages_of(pages_pdf(week_plan(unit, size), "week"))
    bars, seen = {f"order {bar.order.number}": bar for bar in week.bars}, []
    assert len(pages) >= 3
    for place, page in enumerate(pages, 1):
        rows = rows_of(page)
        assert place == 1 or f"THE WEEK, page {place}" in [row[0] for row in rows]
        orders = [row for row in rows if row[0] in bars]
        seen += [row[0] for row in orders]
        if orders:
            assert [row for row in rows if row[0] == "order" and row[-1] == "done"]
            assert "as before" not in orders[0]
        for row in orders:
            bar = bars[row[0]]
            assert {length_text(length, unit) for length in (*bar.marks_mm, bar.cut_mm)} <= set(row)
            assert f"{bar.mass_g:.0f} g" in row
    assert seen == [f"order {bar.order.number}" for bar in week.bars]


def test_no_head_of_the_week_is_alone_at_the_foot_of_a_page():
    for unit, size in (("mm", "A4"), ("in", "Letter")):
        for page in pages_of(pages_pdf(week_plan(unit, size), "week")):
            words = words_of(page)
            heads = [word for word in words if word.points > 10.0 and word.y > 40.0]
            assert all(any(head.y < word.y < head.y + 8.0 for word in words) for head in heads)


def test_a_class_of_more_than_one_page_has_numbered_pages_and_each_apprentice_once():
    pages = pages_of(HARD["overview, full"]())
    assert len(pages) == 3
    for place, page in enumerate(pages, 1):
        said = " ".join(word.text for word in words_of(page))
        assert f"page {place} of 3" in said
        assert "on one page" not in said
    names = [word.text for page in pages for word in words_of(page) if word.along[1] < -0.9]
    plain = [f"a {place}" for place in range(5)]
    assert [name for name in names if name in plain] == plain
    assert len(class_of_many().names) == len(NAMES) + 1


def test_letters_of_other_languages_are_on_each_paper_of_their_order():
    shown = FOREIGN.replace("車把", "").replace("  ", " ")
    for name in ("bench, foreign", "check, forward", "rider, forward", "long sheet, forward"):
        said = "".join(text_of(HARD[name]()).split())
        assert all(part in said for part in shown.replace("ﬁ", " ").split()), name


@pytest.mark.parametrize("name", [name for name in HARD if name.startswith("bench")])
def test_a_long_name_of_tube_or_die_hides_none_of_its_numbers(name):
    unit = "in" if "inches" in name else "mm"
    said = text_of(HARD[name]())
    assert tube_size(LONG_TUBE, unit) in said
    for radius in (LONG_DIE.centerline_radius_mm, RADIUS):
        assert length_text(float(radius), unit) in said
    assert "after springback" in said


@pytest.mark.parametrize("kind", ["pair", "settings", "which die"])
def test_dies_with_long_names_that_begin_alike_are_still_different_on_the_wall(kind):
    pages = pages_of(HARD[f"wall {kind}, mm, A4"]())
    said = "".join("".join(page.extract_text().split()) for page in pages)
    last = range(len(charts())) if kind == "which die" else [2]
    assert all(f"…{place}" in said for place in last)


def test_the_shade_of_a_cell_is_dark_enough_to_be_seen():
    greys = [patch.get_facecolor() for page in overview_pages(class_of_many()) for patch in page.axes.patches]
    assert greys
    assert all(max(grey[:3]) < 0.9 for grey in greys if grey[3])


def test_the_foot_of_a_tile_has_both_ends_of_a_long_name():
    for page in pages_of(full_size_pdf(FullSize(LONG_NAME, FLAT, 22.225), "A3")):
        (foot,) = {round(word.y, 1) for word in words_of(page) if word.text.endswith("must meet.")}
        said = "".join(word.text for word in words_of(page) if abs(word.y - foot) < 0.5)
        assert said.startswith("Mária")
        assert "spring, row" in said


IN_INCHES = [name for name in (*HARD, *SHEETS) if "inches" in name or ", in," in name or name.endswith("_in.pdf")]


@pytest.mark.parametrize("name", IN_INCHES)
def test_a_paper_in_inches_has_no_length_in_mm(name):
    said = text_of((HARD | SHEETS)[name]())
    assert re.search(r"\d in\b", said)
    assert not re.findall(r"\S+ mm\b", said)
