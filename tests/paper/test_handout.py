"""A lesson on paper: a page of questions, a page of answers, and no answer on the first."""

import re
from functools import cache
from itertools import pairwise

import pytest
from printed import pages_of

from barmath import BendError
from barmath.checking.bench_readings import BY_KEY
from barmath.panels.teacher import TeacherPanel
from barmath.paper.handout import LEAST_PT, LEFT_OUT, PICTURES, bets_on_paper, handout_pages, handout_pdf
from barmath.paper.page import text_width
from barmath.practice.bets import answer_words, bet_names, bet_of, lessons_with_bets
from barmath.practice.bets.lesson_07 import ANOTHER_BAR, readings_of_spoiled_bar

ASKING = lessons_with_bets()
made = cache(handout_pages)
both_sizes = pytest.mark.parametrize("size", ["A4", "Letter"])


def said(page):
    return " ".join(line.get_text() for line in page.axes.texts)


@both_sizes
@pytest.mark.parametrize("lesson", ASKING)
def test_a_lesson_prints_as_a_page_of_questions_and_a_page_of_answers_with_nothing_cut(lesson, size):
    asking, answering = made(lesson, size)
    asked, answered = said(asking), said(answering)
    for number, name in enumerate(bets_on_paper(lesson), 1):
        bet = bet_of(lesson, name)
        assert f"{number}. {bet.question.text}" in asked
        assert all(choice in asked for choice in bet.question.choices)
        assert f"{number}. {answer_words(bet)}" in answered
        assert all(words in answered for _, words in bet.habit_texts)
    assert "…" not in asked + answered
    for page in (asking, answering):
        for line in page.axes.texts:
            (x, y), points = line.get_position(), line.get_fontsize()
            assert points >= LEAST_PT - 0.01
            wide = text_width(line.get_text(), points, line.get_fontproperties().get_weight() == "bold")
            left = x - {"left": 0.0, "center": 0.5, "right": 1.0}[line.get_horizontalalignment()] * wide
            assert 6.0 <= left <= left + wide <= page.width - 6.0, line
            assert 6.0 <= y <= page.height - 6.0, line


def test_a_handout_is_a_pdf_of_two_pages():
    assert len(pages_of(handout_pdf("01"))) == 2


@pytest.mark.parametrize("lesson", ASKING)
def test_no_answer_is_on_the_page_of_questions(lesson):
    asked = said(made(lesson, "A4")[0])
    bets = [bet_of(lesson, name) for name in bets_on_paper(lesson)]
    questions = " ".join(f"{bet.question.text} {bet.given}" for bet in bets)
    for name in bets_on_paper(lesson):
        bet = bet_of(lesson, name)
        words = answer_words(bet)
        assert words not in asked
        number = words.removeprefix("It is ").rstrip(".")
        if not bet.question.choices and bet.question.unit:
            assert asked.count(number) == questions.count(number)


@both_sizes
@pytest.mark.parametrize("lesson", ASKING)
def test_a_page_of_questions_has_pictures_and_a_line_to_write_on_for_each(lesson, size):
    page = made(lesson, size)[0]
    ends = [line.get_xdata() for line in page.axes.lines if len(line.get_xdata()) == 2]
    assert sum(abs(one[1] - one[0]) > 80.0 for one in ends) >= len(bets_on_paper(lesson))
    assert len(PICTURES[lesson]) == 3
    assert max(len(line.get_xdata()) for line in page.axes.lines) > 20  # the tube of a sketch


@both_sizes
@pytest.mark.parametrize("lesson", ASKING)
def test_lines_of_type_on_a_handout_keep_clear_of_each_other(lesson, size):
    for page in made(lesson, size):
        below = [line.get_position() for line in page.axes.texts if line.get_position()[1] > 66.0]
        for column in (False, True):
            places = sorted({round(y, 2) for x, y in below if (x > page.width / 2.0 - 1.0) == column})
            assert all(low - high > 2.6 or low - high < 0.05 for high, low in pairwise(places))


def test_what_is_left_out_of_a_handout_is_a_bet_of_its_lesson_and_the_most_are_in():
    for lesson, names in LEFT_OUT.items():
        assert set(names) < set(bet_names(lesson))
        assert len(bets_on_paper(lesson)) >= 11
    assert set(PICTURES) == set(ASKING)


def test_a_lesson_that_asks_nothing_has_no_handout():
    with pytest.raises(BendError, match="choose a lesson with questions, got lesson 11"):
        handout_pdf("11")


def test_the_teacher_prints_a_handout(tmp_path):
    panel = TeacherPanel(tmp_path, tmp_path / "sheets")
    for lesson in ("00", "03"):
        panel.lesson.value = lesson
        panel.handout.write.click()
        assert (tmp_path / "sheets" / f"handout {lesson}.pdf").read_bytes().startswith(b"%PDF")


def test_every_row_of_a_sheet_is_below_its_heading(tmp_path):
    panel = TeacherPanel(tmp_path, tmp_path / "sheets")
    first, second = panel.handout.box.children[1:3]  # below the care of the page
    assert "Print the handout" in first.value
    assert panel.lesson in second.children
    assert panel.box.children[panel.box.children.index(panel.handout.box) - 1] is panel.writer.box


POINTS = re.compile(r"\b(?:[Tt]his|[Tt]hese|[Tt]hose|(?:with|on|at|holds|does|of) that) (?:old )?(\w+)")
"""What a question points at, as in "this bar"."""


@pytest.mark.parametrize("lesson", ASKING)
def test_a_question_on_paper_points_only_at_what_it_names_itself(lesson):
    for name in bets_on_paper(lesson):
        bet = bet_of(lesson, name)
        for found in POINTS.finditer(bet.question.text):
            before = bet.question.text[: found.start()].lower()
            chosen = bet.question.choices and before.endswith("of ")
            assert chosen or found[1].rstrip("s")[:4] in before, bet.question.text


def test_the_readings_of_a_bar_that_is_asked_about_are_on_the_paper():
    asked = said(made("07", "A4")[0])
    for name, read in (("puzzle: the bend that is off", BY_KEY), ("another bar", filter(None, ANOTHER_BAR))):
        given = bet_of("07", name).given
        assert given in asked
        assert given.count(";") + 1 == len(list(read))
    assert f"rise left {readings_of_spoiled_bar()[4].value:.1f} mm (90.0)" in asked
    assert f"rise right {ANOTHER_BAR[5]} mm (90.0)" in asked
