"""A recipe as a line of text comes back exactly, and a misread figure is noticed."""

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from barmath import BendError, Recipe
from barmath.bending import recipe_from_text, text_from_recipe, to_hundredths
from barmath.bending.recipe_text import WORDS, check_figures
from barmath.shop import order_seven_recipe

BAR = Recipe(60.0, 30.0, 100.5, 29.0, 27.5, 184.25, 105.0, stem_roll_deg=-1.25)
LINE = text_from_recipe(7, 22.225, 1.651, 101.6, BAR)

angles, lengths = st.floats(1.0, 170.0), st.floats(0.0, 500.0)
recipes = st.builds(Recipe, lengths, angles, lengths, st.floats(-180.0, 180.0), angles, lengths, st.floats(1.0, 500.0),
                    st.floats(-30.0, 30.0))  # fmt: skip


@given(st.integers(1, 999_999), st.floats(5.0, 60.0), st.floats(0.1, 2.4), st.floats(20.0, 500.0), recipes)
def test_a_recipe_comes_back_exactly(number, diameter, wall, die, recipe):
    found = recipe_from_text(text_from_recipe(number, diameter, wall, die, recipe))
    assert (found.number, found.tube_diameter_mm, found.tube_wall_mm, found.die_radius_mm) == (
        number, diameter, wall, die,
    )  # fmt: skip
    assert found.recipe == recipe


def test_a_line_is_plain_words_and_numbers():
    assert LINE[: LINE.index(" check")] == (
        "order 7 tube 22.225 x 1.651 die 101.6 clamp 60 inner 30 riser 100.5 roll 29 outer 27.5 grip 184.25 radius 105 "
        "stem -1.25"
    )
    assert re.fullmatch(r"\d\d", LINE[-2:])


def test_the_line_of_a_bar_of_no_order_has_no_order_s_number():
    line = text_from_recipe(0, 22.225, 1.651, 101.6, BAR)
    assert line.startswith("tube 22.225 x 1.651 ")
    assert "order" not in line
    assert recipe_from_text(line) == replace(recipe_from_text(LINE), number=0)
    before = f"order 0 {line.rpartition(' check')[0]}"  # as sheets had it once
    assert recipe_from_text(f"{before} check {check_figures(before)}") == recipe_from_text(line)


def test_capitals_and_spaces_do_not_matter():
    assert recipe_from_text(f"  {LINE.upper().replace(' ', '   ')}\n") == recipe_from_text(LINE)


def figures_of_line():
    return [place for place, letter in enumerate(LINE) if letter in "0123456789"]


def test_every_misread_figure_is_noticed():
    for place in figures_of_line():
        for other in "0123456789":
            if other != LINE[place]:
                with pytest.raises(BendError):
                    recipe_from_text(LINE[:place] + other + LINE[place + 1 :])


def test_two_neighbours_exchanged_are_noticed():
    for place in range(len(LINE) - 1):
        one, other = LINE[place], LINE[place + 1]
        if one != other:
            with pytest.raises(BendError):
                recipe_from_text(LINE[:place] + other + one + LINE[place + 2 :])


def test_numbers_given_to_the_wrong_words_are_noticed():
    swapped = LINE.replace("inner 30", "inner 27.5").replace("outer 27.5", "outer 30")
    assert swapped != LINE
    with pytest.raises(BendError, match="read the line again"):
        recipe_from_text(swapped)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "type \"order\" as word 1 of the line: got 'nothing more'"),
        ("tube wide", "type a number after \"tube\", with a point and no comma: got 'wide'"),
        ("order seven", "type a number after \"order\", with a point and no comma: got 'seven'"),
        (LINE.replace("1.651", "1,651"), "type a number after \"x\", with a point and no comma: got '1,651'"),
        (LINE.replace("riser", "rise"), "type \"riser\" as word 13 of the line: got 'rise'"),
        (LINE + " more", "end the line after its check figures: 'more' came after them"),
        (LINE.replace("7 ", "nan ", 1), "type a number after \"order\", with a point and no comma: got 'nan'"),
        ("x" * 401, "type one line only: a line has at most 400 letters, got 401"),
        (None, "type the line of a sheet, which begins with: order 7 tube; got None"),
    ],
)
def test_what_is_no_such_line_is_refused(text, sentence):
    with pytest.raises(BendError) as refusal:
        recipe_from_text(text)
    assert str(refusal.value) == sentence


@pytest.mark.parametrize("line", [LINE, LINE.removeprefix("order 7 ")], ids=["of an order", "of no order"])
def test_a_line_that_ends_early_or_has_another_word_is_refused_by_the_place_where_it_goes_wrong(line):
    parts = line.split()
    for place, word in enumerate(parts):
        before, after = parts[:place], parts[place + 1 :]
        first = place == 0  # of a line with another first word the whole of it is expected
        asked = f'type "{"order" if first else word}" as word {place + 1} of the line: got '
        if place % 2:
            asked = f'type a number after "{parts[place - 1]}", with a point and no comma: got '
        for text, got in ((before, "nothing" if place % 2 else "nothing more"), ([*before, "wide", *after], "wide")):
            with pytest.raises(BendError) as refusal:
                recipe_from_text(" ".join(text))
            assert str(refusal.value) == f"{asked}'{got}'"


def test_a_line_with_good_check_figures_and_an_impossible_bar_is_refused():
    line = LINE[: LINE.index(" check")].replace("inner 30", "inner 0")
    with pytest.raises(BendError, match="inner bend"):
        recipe_from_text(f"{line} check {check_figures(line)}")


def test_a_sheet_s_line_is_short_and_finer_than_any_bench():
    recipe = order_seven_recipe()
    short = to_hundredths(recipe)
    assert len(text_from_recipe(7, 22.225, 1.651, 101.6, short)) < 160
    for name in ("straight_mm", "roll_deg", "grip_mm", "radius_mm"):
        assert getattr(short, name) == pytest.approx(getattr(recipe, name), abs=0.005001)
    assert len(WORDS) == 12
    assert replace(short, straight_mm=1.0) != short


def test_a_huge_number_comes_back_too():
    line = text_from_recipe(7, 1e16, 1.651, 101.6, Recipe(60, 30, 100.5, 29, 30, 184.25, 105))
    assert recipe_from_text(line).tube_diameter_mm == 1e16
