"""A lesson on paper: a page of questions with a picture and room to write, and a page of answers."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from barmath.glossary.terms import TERMS
from barmath.paper.page import RULE, SOFT, Page, broken, line_height, pages_pdf, text_width
from barmath.paper.sketch import LETTERS_PT, draw_sketch
from barmath.practice.bets import Bet, Line, answer_words, bet_names, bet_of
from barmath.refusal import BendError
from barmath.shop.cautions import PLANNING, in_one

MARGIN_MM = 14.0
LEAST_PT = 9.0
"""No letter of a handout is smaller."""

PICTURES = {
    "00": ("rise", "width", "clamp flat"),
    "01": ("rise", "mark", "clamp reading"),
    "02": ("inner bend", "corner, take-out", "roll"),
    "03": ("die", "centre-line radius", "least straight"),
    "04": ("rise", "backsweep", "width"),
    "05": ("hook", "follower", "clamp reading"),
    "06": ("stop", "springback", "line-up offset"),
    "07": ("rise", "backsweep", "twist"),
    "08": ("crossbar", "joint angle", "cope"),
    "09": ("mark", "stop", "clamp reading"),
    "10": ("mark", "stop", "rise"),
    "12": ("stem", "head angle", "setback"),
    "13": ("bending moment", "yield", "crossbar"),
    "14": ("rise", "width", "clamp flat"),
}
"""The terms with the sketches that a handout shows: none of them gives an answer away."""

LEFT_OUT = {
    "02": (
        "from the riser", "larger bends", "smaller outer", "two-stop straight", "more upsweep", "end of the habit",
        "less sweep", "unequal reading",
    ),
    "03": ("thinner wall", "orders added", "two tubes"),
    "04": (
        "combinations", "nearest edge", "end of the green", "largest die", "more upsweep", "roll for a setback",
        "worst marks", "own stop",
    ),
    "05": ("plans that can",),
}  # fmt: skip
"""Bets that do not fit on the paper of a lesson. The others carry it; these are on the screen only."""

_LAYOUTS = ((1, 11.0), (1, 10.0), (2, 10.0), (2, 9.5), (2, LEAST_PT))
"""Columns and points, tried in turn until all fits."""

_PICTURE_MM, _RULED_MM, _MOST_RULED, _BETWEEN_MM = 32.0, 7.5, 9, 7.0
_CHART_MM = (42.0, 36.0)

Block = Callable[["Page | None", float, float, float], float]
"""What draws itself at x, y in a width, mm, and returns where it ends; without a page it is only measured."""


def bets_on_paper(lesson: str) -> tuple[str, ...]:
    """The names of the bets that are on the handout of a lesson.

    Examples
    --------
    >>> from barmath.paper.handout import bets_on_paper
    >>> bets_on_paper("01")
    ('reading and sweep', 'old mark')
    """
    return tuple(name for name in bet_names(lesson) if name not in LEFT_OUT.get(lesson, ()))


def handout_pages(lesson: str, size: str = "A4") -> list[Page]:
    """The page of questions of a lesson, and the page of answers.

    Raises
    ------
    BendError
        The lesson asks nothing.
    """
    if not bet_names(lesson):
        raise BendError(f"choose a lesson with questions, got lesson {lesson}: it asks nothing yet")
    return [_question_page(lesson, size), _answer_page(lesson, size)]


def handout_pdf(lesson: str, size: str = "A4") -> bytes:
    """Both pages as one PDF."""
    return pages_pdf(handout_pages(lesson, size), f"Lesson {lesson}")


def handout_png(lesson: str, size: str = "A4", dpi: float = 80.0) -> bytes:
    """The page of questions as a picture for the screen."""
    return handout_pages(lesson, size)[0].png(dpi)


def _question_page(lesson: str, size: str) -> Page:
    page, top = _head(size, "Bet here first, before the lesson shows the result", f"Lesson {lesson}: your bets")
    named = {term.name: term for term in TERMS}
    wide = (page.width - 2.0 * MARGIN_MM) / 3.0
    for place, name in enumerate(PICTURES[lesson]):
        corner = (MARGIN_MM + place * wide, top - 6.0)
        draw_sketch(page, corner, (wide, _PICTURE_MM), named[name].sketch(), LEAST_PT / LETTERS_PT)
    bets = [bet_of(lesson, name) for name in bets_on_paper(lesson)]
    _fill(
        page, top + _PICTURE_MM + 2.0, lambda points: [_asked(*one, points) for one in enumerate(bets, 1)], ruled=True
    )
    return page


def _answer_page(lesson: str, size: str) -> Page:
    small = "For the teacher. Below each answer: a wrong bet, and the usual mistake behind it"
    page, top = _head(size, small, f"Lesson {lesson}: the answers")
    bets = [bet_of(lesson, name) for name in bets_on_paper(lesson)]
    _fill(page, top, lambda points: [_answered(*one, points) for one in enumerate(bets, 1)], ruled=False)
    return page


def _head(size: str, small: str, title: str) -> tuple[Page, float]:
    page = Page(size)
    page.text(MARGIN_MM, MARGIN_MM + 3.0, small, LEAST_PT, colour=SOFT)
    page.text(MARGIN_MM, MARGIN_MM + 11.0, title, 16.0, bold=True)
    wide = page.width - 2.0 * MARGIN_MM
    lines = len(broken(in_one(*PLANNING), wide, LEAST_PT))
    page.paragraph(MARGIN_MM, _foot(page, lines), wide, in_one(*PLANNING), LEAST_PT)
    return page, MARGIN_MM + 20.0


def _foot(page: Page, lines: int) -> float:
    return page.height - MARGIN_MM + 4.0 - (lines - 1) * line_height(LEAST_PT)


def _fill(page: Page, top: float, blocks_of: Callable[[float], list[Block]], *, ruled: bool) -> None:
    # in the first layout that holds all; what is left between the blocks becomes lines to write on
    wide = page.width - 2.0 * MARGIN_MM
    room = _foot(page, len(broken(in_one(*PLANNING), wide, LEAST_PT))) - 4.0 - top
    least = _BETWEEN_MM - 3.0 + (_RULED_MM if ruled else 0.0)
    for count, points in _LAYOUTS:
        width, blocks = (wide - (count - 1) * _BETWEEN_MM) / count, blocks_of(points)
        heights = [block(None, 0.0, 0.0, width) + least for block in blocks]
        groups = _split(heights, count)
        if max(sum(heights[one] for one in group) for group in groups) <= room:
            break
    else:
        raise BendError("leave more bets out of the handout: they do not fit on one page")
    for place, group in enumerate(groups):
        x, y = MARGIN_MM + place * (width + _BETWEEN_MM), top
        gap = (room - sum(heights[one] for one in group)) / len(group)
        lines = min(1 + int(gap // _RULED_MM), _MOST_RULED) if ruled else 0
        for one in group:
            y = _rules(page, blocks[one](page, x, y, width), lines, x, width) + _BETWEEN_MM - 3.0
            y += min(gap % _RULED_MM, 4.0)


def _split(heights: Sequence[float], count: int) -> list[list[int]]:
    # into one column, or into two that are as equally long as their order allows
    every = list(range(len(heights)))
    if count == 1 or len(every) < 2:
        return [every]
    first = min(every[1:], key=lambda at: max(sum(heights[:at]), sum(heights[at:])))
    return [every[:first], every[first:]]


def _rules(page: Page, y: float, lines: int, x: float, width: float) -> float:
    for _ in range(lines):
        y += _RULED_MM
        page.line([(x, y - 3.0), (x + width, y - 3.0)], 0.15, colour=RULE)
    return y


def _words(page: Page | None, x: float, y: float, width: float, words: str, points: float, bold: bool = False) -> float:
    if page:
        return page.paragraph(x, y, width, words, points, bold=bold)
    return y + len(broken(words, width, points, bold)) * line_height(points)


def _asked(number: int, bet: Bet, points: float) -> Block:
    def block(page: Page | None, x: float, y: float, width: float) -> float:
        y = _words(page, x, y, width, f"{number}. {bet.question.text}", points, bold=True)
        if bet.given:
            y = _words(page, x, y, width, bet.given, points)
        if bet.line is not None:
            return _empty_chart(page, x, y, bet.line)
        if bet.question.choices:
            return _choices(page, x, y, width, bet.question.choices, points)
        if page:
            page.box(x, y - 3.2, 34.0, 7.0)
            page.text(x + 36.0, y + 1.6, bet.question.unit, points)
        return y + 7.0

    return block


def _choices(page: Page | None, x: float, y: float, width: float, choices: Sequence[str], points: float) -> float:
    # two on a line if all are short
    half = width / 2.0
    short = all(text_width(words, points) <= half - 8.0 for words in choices)
    y += 0.8
    for place, words in enumerate(choices):
        left, room = (x + (place % 2) * half, half) if short else (x, width)
        if page:
            page.box(left + 1.0, y - 2.7, 3.0, 3.0)
        below = _words(page, left + 6.0, y, room - 6.0, words, points) + 0.5
        if not short or place % 2 or place == len(choices) - 1:
            y = below
    return y


def _empty_chart(page: Page | None, x: float, y: float, line: Line) -> float:
    # axes to draw the line on
    wide, tall = _CHART_MM
    left, low = x + 10.0, y + tall
    if page:
        page.box(left, y, wide, tall, colour=RULE)
        for share, height in zip((1.0, 0.5, 0.0), (line.span[1], sum(line.span) / 2.0, line.span[0]), strict=True):
            page.text(left - 2.0, low - share * tall + 1.2, f"{height:g}", LEAST_PT, align="right")
            page.line([(left, low - share * tall), (left + wide, low - share * tall)], 0.15, colour=RULE)
        for place, where in enumerate(line.places):
            across = left + (place + 0.5) * wide / len(line.places)
            page.line([(across, y), (across, low)], 0.15, colour=RULE)
            page.text(across, low + 4.0, f"{where:g}", LEAST_PT, align="center")
        page.text(left + wide + 2.0, low + 4.0, f"{line.place_name}, {line.place_unit}", LEAST_PT)
        page.text(left + wide + 2.0, y + 1.2, f"{line.height_name}, {line.height_unit}", LEAST_PT)
    return low + 6.0


def _answered(number: int, bet: Bet, points: float) -> Block:
    def block(page: Page | None, x: float, y: float, width: float) -> float:
        y = _words(page, x, y, width, f"{number}. {answer_words(bet)}", points + 0.5, bold=True)
        for given, words in bet.habit_texts:
            y = _words(page, x + 4.0, y, width - 4.0, f"{_wrong(bet, given)}: {words}", points)
        return y

    return block


def _wrong(bet: Bet, given: str) -> str:
    # a wrong answer as short as the right one is written
    if bet.line is not None:
        return ", ".join(f"{float(height):.0f}" for height in given.split(";")) + f" {bet.line.height_unit}"
    if bet.question.choices:
        return given
    value = float(given)
    number = f"{value:.0f}" if abs(value) >= 100.0 else f"{value:.3g}"
    return f"{number} {bet.question.unit}".strip()
