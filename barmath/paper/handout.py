"""A lesson on paper: its questions with room to write, and a page of answers apart."""

from __future__ import annotations

from barmath.paper.page import SOFT, Page, broken, line_height, pages_pdf
from barmath.practice.bets import answer_words, bet_names, bet_of
from barmath.practice.exercise import Question
from barmath.refusal import BendError
from barmath.shop.cautions import PLANNING, in_one

MARGIN_MM = 14.0
_SIZE, _CHOICE, _BOX = 10.5, 5.4, 10.0


def handout_pages(lesson: str, size: str = "A4") -> list[Page]:
    """The page of questions and the page of answers of a lesson.

    Raises
    ------
    BendError
        If the lesson asks nothing.
    """
    if not bet_names(lesson):
        raise BendError(f"choose a lesson with questions, got lesson {lesson}: it asks nothing yet")
    return [_questions(lesson, size), _answers(lesson, size)]


def handout_pdf(lesson: str, size: str = "A4") -> bytes:
    """Both pages as one PDF."""
    return pages_pdf(handout_pages(lesson, size), f"Lesson {lesson}")


def handout_png(lesson: str, size: str = "A4", dpi: float = 80.0) -> bytes:
    """The page of questions as a picture for the screen."""
    return handout_pages(lesson, size)[0].png(dpi)


def _head(lesson: str, size: str, small: str, title: str) -> tuple[Page, float, float]:
    page = Page(size)
    page.text(MARGIN_MM, MARGIN_MM + 3.0, small, 8.0, colour=SOFT)
    page.text(MARGIN_MM, MARGIN_MM + 12.0, title, 16.0, bold=True)
    page.paragraph(MARGIN_MM, page.height - MARGIN_MM + 2.0, page.width - 2.0 * MARGIN_MM, in_one(*PLANNING), 6.0)
    return page, page.width - 2.0 * MARGIN_MM, MARGIN_MM + 22.0


def _questions(lesson: str, size: str) -> Page:
    page, width, y = _head(lesson, size, "Your bet first, before the lesson shows it", f"Lesson {lesson}: your bets")
    asked = [bet_of(lesson, name).question for name in bet_names(lesson)]
    room = page.height - MARGIN_MM - 6.0 - y - sum(_height(one, number, width) for number, one in enumerate(asked, 1))
    for number, question in enumerate(asked, 1):
        y = page.paragraph(MARGIN_MM, y, width, f"{number}. {question.text}", _SIZE, bold=True)
        for place, words in enumerate(question.choices):
            left, top = MARGIN_MM + (place % 2) * width / 2.0, y + _CHOICE * (place // 2)
            page.box(left + 2.0, top - 2.6, 3.0, 3.0)
            page.text(left + 8.0, top, words, 9.0, within=width / 2.0 - 9.0)
        if not question.choices:
            page.box(MARGIN_MM, y - 2.5, 50.0, _BOX - 1.5)
            page.text(MARGIN_MM + 52.0, y + 2.5, question.unit, 10.0)
        y += _answer_height(question) + room / len(asked)
    return page


def _height(question: Question, number: int, width: float) -> float:
    lines = broken(f"{number}. {question.text}", width, _SIZE, bold=True)
    return len(lines) * line_height(_SIZE) + _answer_height(question)


def _answer_height(question: Question) -> float:
    return _CHOICE * ((len(question.choices) + 1) // 2) if question.choices else _BOX


def _answers(lesson: str, size: str) -> Page:
    page, width, y = _head(lesson, size, "FOR THE TEACHER", f"Lesson {lesson}: the answers")
    for number, name in enumerate(bet_names(lesson), 1):
        bet = bet_of(lesson, name)
        y = page.paragraph(MARGIN_MM, y, width, f"{number}. {bet.question.text}", 9.0)
        y = page.paragraph(MARGIN_MM, y + 0.6, width, answer_words(bet), 10.0, bold=True)
        for habit in bet.question.habits:
            said = habit.value if isinstance(habit.value, str) else f"{habit.value:.0f} {bet.question.unit}"
            y = page.paragraph(MARGIN_MM + 5.0, y, width - 5.0, f"{said}: {habit.words}", 8.0, most=2)
        y += 4.0
    return page
