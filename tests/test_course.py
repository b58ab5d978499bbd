"""The lessons read as one course: the same parts in the same order, links that lead on, one running example."""

import json
import re
from itertools import pairwise
from pathlib import Path

import pytest
from conftest import LESSONS

from barmath.glossary import TERMS
from barmath.practice.bets import bet_names

PARTS = ("After this lesson you can", "**Time:**", "**Read before:**", "## What we learned", "**Next:**")
COURSE = [path for path in LESSONS if "02" <= path.name[:2] <= "13"]
lesson = pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)
course = pytest.mark.parametrize("path", COURSE, ids=lambda path: path.stem)


def prose(path) -> list[str]:
    book = json.loads(path.read_text(encoding="utf-8"))
    return ["".join(cell["source"]) for cell in book["cells"] if cell["cell_type"] == "markdown"]


def sources(path) -> list[str]:
    return ["".join(cell["source"]) for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]]


def links(text: str) -> list[str]:
    return re.findall(r"\]\(([^)#]+)\)", text)


def code(path) -> str:
    book = json.loads(path.read_text(encoding="utf-8"))
    return "\n".join("".join(cell["source"]) for cell in book["cells"] if cell["cell_type"] == "code")


def test_lessons_are_numbered_without_a_gap():
    assert [int(path.name[:2]) for path in LESSONS] == list(range(len(LESSONS)))


@lesson
def test_a_lesson_has_its_parts_in_their_order(path):
    text = "\n".join(prose(path))
    places = [text.index(part) for part in PARTS]
    assert places == sorted(places)
    assert all(text.count(part) == 1 for part in PARTS)


@lesson
def test_its_title_has_its_number_and_asks_something(path):
    title = prose(path)[0].splitlines()[0]
    assert title.startswith(f"# {path.name[:2]} ")
    assert "?" in title


@lesson
def test_objectives_are_a_list_and_the_time_is_a_number(path):
    first = prose(path)[0]
    assert 2 <= len(re.findall(r"^- ", first.split("After this lesson you can")[1].split("**Time:**")[0], re.M)) <= 5
    assert re.search(r"minute|hour", first.split("**Time:**")[1])


@lesson
def test_stops_have_their_play_and_dies_what_was_calibrated(path):
    # a shop's file without a calibration shows no difference: a reader's own has one
    text = code(path)
    assert not re.findall(r"\b(?:die_bend_deg|finished_bend_deg)\(", text)
    # what a calibration begins with is the die without one
    bare = {
        "06": ["die = shop.dies[0]"],
        "09": ['record = demo_record(training_file("record.db"), shop.tubes[0], shop.dies[0])'],
    }
    assert re.findall(r".*\bshop\.(?:dies\b|die\().*", text) == bare.get(path.name[:2], [])


@lesson
def test_every_link_leads_to_something_that_is_there(path):
    for target in links("\n".join(prose(path))):
        assert (path.parent / target).exists(), target


@lesson
def test_what_to_read_before_comes_before(path):
    told = prose(path)[0].split("**Read before:**")[1].split("\n")[0]
    numbers = [Path(target).name[:2] for target in links(told)]
    assert numbers or path.name[:2] in {"00", "11"}
    assert all(number < path.name[:2] for number in numbers)


@pytest.mark.parametrize(("path", "after"), list(pairwise(LESSONS[:14])), ids=lambda p: p.stem)
def test_next_is_the_next_lesson(path, after):
    told = "\n".join(prose(path)).split("**Next:**")[1]
    assert (path.parent / links(told)[0]).resolve() == after


@course
def test_it_follows_order_7(path):
    assert "order 7" in "\n".join(prose(path)).lower()


@course
def test_it_asks_before_it_says(path):
    text = "\n".join(prose(path))
    if not path.name.startswith("11"):
        assert len(re.findall(r"\?", text)) + len(bet_names(path.name[:2])) >= 5


@course
def test_questions_at_the_end_have_answers(path):
    text = "\n".join(prose(path))
    if path.name[:2] in {"04", "05", "11"}:  # answered where they are asked; practice is nothing but questions
        return
    assert "our turn" in text
    if bet_names(path.name[:2]):  # each question is a bet then, and its answer comes after it
        everything = "\n".join(sources(path))
        assert "bet_box(" in everything.split("our turn")[-1]
        return
    questions, answers = text.split("our turn")[-1].split("<details><summary>Answers</summary>")
    answers = answers.split("</details>")[0]
    asked = re.findall(r"^\d\. ", questions, re.M)
    assert len(re.findall(r"^\d\. ", answers, re.M)) == len(asked)


@course
def test_an_apprentice_can_read_it(path):
    text = re.sub(r"\$[^$]*\$|`[^`]*`|\]\([^)]*\)|<[^>]+>", " ", "\n".join(prose(path)))
    sentences = [s.split() for s in re.split(r"[.?!:]\s|\n", text) if len(s.split()) > 2]
    assert sum(map(len, sentences)) / len(sentences) < 16.0
    assert max(map(len, sentences)) < 75


@pytest.mark.parametrize("path", [path for path in LESSONS if path.name[:2] != "14"], ids=lambda path: path.stem)
def test_a_lesson_names_its_new_words_and_points_to_their_pictures(path):
    head = prose(path)[0]
    assert "14_words_of_the_trade.ipynb) shows e" in head
    words = "; ".join(term.name for term in TERMS if term.lesson == path.name[:2])
    assert (f"**New words:** {words}. " in head) if words else ("New words" not in head)


def test_the_notebooks_keep_the_names_that_people_have_linked_to():
    assert [path.stem for path in LESSONS] == [
        "00_start_here",
        "01_order_to_bench",
        "02_where_the_formulas_come_from",
        "03_rise_against_die",
        "04_what_this_shop_can_make",
        "05_why_the_sequence_of_bends_matters",
        "06_springback_and_line_up",
        "07_check_the_finished_bar",
        "08_fit_the_crossbar",
        "09_keep_the_record",
        "10_print_the_wall_charts",
        "11_practice",
        "12_two_bars_compared",
        "13_will_it_hold",
        "14_words_of_the_trade",
        "15_for_the_teacher",
    ]
