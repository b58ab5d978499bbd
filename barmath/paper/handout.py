"""A lesson on paper: its questions with room to write, its answers apart; two pages, or more if it asks a lot."""

from __future__ import annotations

from typing import NamedTuple

from barmath.paper.page import SOFT, Page, broken, line_height, pages_pdf
from barmath.practice.bets import Bet, answer_words, bet_names, bet_of
from barmath.practice.exercise import Question
from barmath.refusal import BendError
from barmath.shop.cautions import PLANNING, in_one

MARGIN_MM = 14.0
_SIZE, _CHOICE, _BOX = 10.5, 5.4, 10.0
_LEAST_GAP, _MOST_GAP, _AFTER_ANSWER = 1.0, 24.0, 4.0


def handout_pages(lesson: str, size: str = "A4") -> list[Page]:
    """The pages of questions of a lesson, then its pages of answers; one of each unless it asks a lot.

    Raises
    ------
    BendError
        If the lesson asks nothing.
    """
    if not bet_names(lesson):
        raise BendError(f"choose a lesson with questions, got lesson {lesson}: it asks nothing yet")
    return [*question_pages(lesson, size), *answer_pages(lesson, size)]


def handout_pdf(lesson: str, size: str = "A4") -> bytes:
    """All pages as one PDF."""
    return pages_pdf(handout_pages(lesson, size), f"Lesson {lesson}")


def handout_png(lesson: str, size: str = "A4", dpi: float = 80.0) -> bytes:
    """The first page of questions as a picture for the screen."""
    return handout_pages(lesson, size)[0].png(dpi)


def _head(lesson: str, size: str, small: str, title: str) -> tuple[Page, float, float]:
    page = Page(size)
    page.text(MARGIN_MM, MARGIN_MM + 3.0, small, 8.0, colour=SOFT)
    page.text(MARGIN_MM, MARGIN_MM + 12.0, title, 16.0, bold=True)
    page.paragraph(MARGIN_MM, page.height - MARGIN_MM + 2.0, page.width - 2.0 * MARGIN_MM, in_one(*PLANNING), 6.0)
    return page, page.width - 2.0 * MARGIN_MM, MARGIN_MM + 22.0


def question_pages(lesson: str, size: str = "A4") -> list[Page]:
    """The questions, each with room to write or its choices to tick."""
    page, width, top = _question_head(lesson, size)
    asked = [(number, bet_of(lesson, name).question) for number, name in enumerate(bet_names(lesson), 1)]
    heights = [_height(one, number, width) + _LEAST_GAP for number, one in asked]
    pages = []
    for group in _groups(heights, _room(page, top)):
        page, width, y = _question_head(lesson, size)
        gap = (_room(page, top) - sum(heights[place] for place in group)) / len(group) + _LEAST_GAP
        for place in group:
            y = _question(page, y, width, *asked[place]) + min(gap, _MOST_GAP)
        pages.append(page)
    return pages


def _question_head(lesson: str, size: str) -> tuple[Page, float, float]:
    return _head(lesson, size, "Your bet first, before the lesson shows it", f"Lesson {lesson}: your bets")


def _room(page: Page, top: float) -> float:
    return page.height - MARGIN_MM - 6.0 - top


def _groups(heights: list[float], room: float) -> list[list[int]]:
    # which ones go on one page, in their order
    groups: list[list[int]] = [[]]
    for place, height in enumerate(heights):
        if groups[-1] and sum(heights[one] for one in groups[-1]) + height > room:
            groups.append([])
        groups[-1].append(place)
    return groups


def _question(page: Page, y: float, width: float, number: int, question: Question) -> float:
    y = page.paragraph(MARGIN_MM, y, width, f"{number}. {question.text}", _SIZE, bold=True)
    for place, words in enumerate(question.choices):
        left, top = MARGIN_MM + (place % 2) * width / 2.0, y + _CHOICE * (place // 2)
        page.box(left + 2.0, top - 2.6, 3.0, 3.0)
        page.text(left + 8.0, top, words, 9.0, within=width / 2.0 - 9.0)
    if not question.choices:
        page.box(MARGIN_MM, y - 2.5, 50.0, _BOX - 1.5)
        page.text(MARGIN_MM + 52.0, y + 2.5, question.unit, 10.0)
    return y + _answer_height(question)


def _height(question: Question, number: int, width: float) -> float:
    lines = broken(f"{number}. {question.text}", width, _SIZE, bold=True)
    return len(lines) * line_height(_SIZE) + _answer_height(question)


def _answer_height(question: Question) -> float:
    return _CHOICE * ((len(question.choices) + 1) // 2) if question.choices else _BOX


def answer_pages(lesson: str, size: str = "A4") -> list[Page]:
    """The answers, each with the habits behind wrong ones."""
    page, width, top = _answer_head(lesson, size)
    told = [_answer_lines(number, bet_of(lesson, name)) for number, name in enumerate(bet_names(lesson), 1)]
    heights = [_AFTER_ANSWER + sum(_line_height(one, width) for one in lines) for lines in told]
    pages = []
    for group in _groups(heights, _room(page, top)):
        page, width, y = _answer_head(lesson, size)
        for place in group:
            for line in told[place]:
                page.paragraph(MARGIN_MM + line.left, y, width - line.left, line.words, line.size, bold=line.bold)
                y += _line_height(line, width)
            y += _AFTER_ANSWER
        pages.append(page)
    return pages


def _answer_head(lesson: str, size: str) -> tuple[Page, float, float]:
    return _head(lesson, size, "FOR THE TEACHER", f"Lesson {lesson}: the answers")


class _Line(NamedTuple):
    words: str
    size: float
    bold: bool = False
    left: float = 0.0


def _line_height(line: _Line, width: float) -> float:
    return len(broken(line.words, width - line.left, line.size, bold=line.bold)) * line_height(line.size)


def _answer_lines(number: int, bet: Bet) -> list[_Line]:
    lines = [_Line(f"{number}. {bet.question.text}", 9.0), _Line(answer_words(bet), 10.0, bold=True)]
    for habit in bet.question.habits:
        said = habit.value if isinstance(habit.value, str) else f"{habit.value:.0f} {bet.question.unit}"
        lines.append(_Line(f"{said}: {habit.words}", 8.0, left=5.0))
    return lines
