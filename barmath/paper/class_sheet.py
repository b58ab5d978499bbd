"""For a teacher: a page of seeds and answers for a class, and a page of questions for each apprentice."""

from __future__ import annotations

from barmath.fields import frozen, passing
from barmath.glossary.of_the_bar import views_of_bar
from barmath.paper.page import RULE, SOFT, Page, broken, line_height, pages_pdf, text_width
from barmath.paper.sketch import draw_sketch
from barmath.practice.class_seeds import class_exercises
from barmath.practice.course import code_of, exercise
from barmath.practice.exercise import Exercise, answer_text
from barmath.refusal import checked_count
from barmath.shop.cautions import PLANNING, in_one

MARGIN_MM = 14.0
MOST_APPRENTICES = 24
ANSWER_SIZES = (9.0, 8.0, 7.2, 6.4)
ROOMS_MM = ((34.0, 20.0), (26.0, 16.0), (26.0, 12.0), (22.0, 9.0), (0.0, 9.0))
"""Heights of the two views of the bar and of each box to work in: the first pair with which a page holds all."""

_CODES_MM, _LEAST_COLUMN_MM = 46.0, 24.0


@frozen
class ClassSheet:
    """One kind of exercise at one level for a class of 1 to 24, from one seed.

    Raises BendError where a number is outside its range.
    """

    kind: str
    seed: int
    level: int = 1
    apprentices: int = passing(checked_count, "apprentices", least=1, most=MOST_APPRENTICES, default=12)

    def _check_together(self) -> None:
        exercise(self.kind, self.seed, self.level)

    def exercises(self) -> tuple[Exercise, ...]:
        """One exercise for each apprentice, with as few answers of a neighbour as can be."""
        return class_exercises(self.kind, int(self.seed), int(self.level), int(self.apprentices))


def class_sheet_pages(sheet: ClassSheet, size: str = "A4") -> list[Page]:
    """The teacher's page, then one for each apprentice; `size` is "A4" or "Letter"."""
    made = sheet.exercises()
    return [_teachers(made, size), *(_apprentices(number, one, size) for number, one in enumerate(made, 1))]


def class_sheet_pdf(sheet: ClassSheet, size: str = "A4") -> bytes:
    """The sheets as one PDF; equal sheets give equal bytes."""
    return pages_pdf(class_sheet_pages(sheet, size), f"Class sheet: {sheet.kind}")


def class_sheet_png(sheet: ClassSheet, size: str = "A4", dpi: float = 110.0) -> bytes:
    """The teacher's page as a picture for the screen."""
    return _teachers(sheet.exercises(), size).png(dpi)


def _teachers(made: tuple[Exercise, ...], size: str) -> Page:
    page = Page(size)
    x, width = MARGIN_MM, page.width - 2.0 * MARGIN_MM
    first = made[0]
    page.text(x, MARGIN_MM + 3.0, "FOR THE TEACHER: CODES AND ANSWERS", 8.0, colour=SOFT)
    page.text(x, MARGIN_MM + 12.0, f"Lesson {first.lesson}, level {first.level}: {first.title}", 16.0, bold=True,
              within=width)  # fmt: skip
    y = page.paragraph(
        x, MARGIN_MM + 19.0, width,
        "Each apprentice types the code in lesson 11, or works on paper. The code gives everybody the same exercise. "
        "Estimates count as right when they are near.",
    )  # fmt: skip
    wide = _column_widths(made, width - _CODES_MM)
    columns = [x, x + 8.0, *(x + _CODES_MM + sum(wide[:place]) for place in range(len(wide)))]
    for place, words in zip(columns, ("no.", "code", *(q.step for q in first.questions)), strict=True):
        page.text(place, y + 4.0, words, 8.0, bold=True)
    y += 6.0
    rooms = [one - 3.0 for one in wide]
    letters = _largest(made, rooms, page.height - MARGIN_MM - y)
    for number, one in enumerate(made, 1):
        page.line([(x, y), (x + width, y)], 0.15, colour=RULE)
        page.text(columns[0], y + 4.2, str(number), 8.5, bold=True)
        page.text(columns[1], y + 4.2, code_of(one), 8.0)
        lowest = y
        for place, room, question in zip(columns[2:], rooms, one.questions, strict=True):
            lowest = max(lowest, page.paragraph(place, y + 4.2, room, answer_text(question), letters, most=2))
        y = lowest - 0.8 + 0.25 * (letters - 6.4)
    page.line([(x, y), (x + width, y)], 0.15, colour=RULE)
    return page


def _column_widths(made: tuple[Exercise, ...], room: float) -> list[float]:
    # a column of short answers has what it needs; those of long ones share the rest alike
    asked = range(len(made[0].questions))
    need = [max(text_width(answer_text(one.questions[at]), ANSWER_SIZES[0]) for one in made) + 3.5 for at in asked]
    wide = [0.0 for _ in asked]
    for done, at in enumerate(sorted(asked, key=lambda at: need[at])):
        share = room / (len(wide) - done)
        wide[at] = min(max(need[at], _LEAST_COLUMN_MM), share) if done < len(wide) - 1 else share
        room -= wide[at]
    return wide


def _largest(made: tuple[Exercise, ...], rooms: list[float], height: float) -> float:
    # the largest type in which every answer takes at most two lines and all rows fit into the height
    for size in ANSWER_SIZES:
        answers = [
            [len(broken(answer_text(q), room, size)) for q, room in zip(one.questions, rooms, strict=True)]
            for one in made
        ]
        rows = sum(3.7 + max(lines) * line_height(size) for lines in answers)
        if max(map(max, answers)) <= 2 and rows <= height:
            return size
    return ANSWER_SIZES[-1]


def _apprentices(number: int, one: Exercise, size: str) -> Page:
    for picture, work in ROOMS_MM:
        page, lowest = _questions(number, one, size, picture, work)
        if lowest < page.height - MARGIN_MM - 3.0:
            break
    return page


def _questions(number: int, one: Exercise, size: str, picture: float, work: float) -> tuple[Page, float]:
    # the page of one apprentice, and how far down it goes
    page = Page(size)
    x, width = MARGIN_MM, page.width - 2.0 * MARGIN_MM
    page.text(x, MARGIN_MM + 3.0, f"Lesson {one.lesson}, level {one.level}, code {code_of(one)}", 8.0, colour=SOFT)
    page.text(x + width, MARGIN_MM + 3.0, f"no. {number}", 8.0, align="right", colour=SOFT)
    page.text(x, MARGIN_MM + 13.0, one.title, 18.0, bold=True, within=width)
    y = MARGIN_MM + 22.0
    for line in one.given:
        y = page.paragraph(x, y, width, line, 10.0) + 1.6
    if picture and one.recipe is not None:
        for place, view in enumerate(views_of_bar(one.recipe)):
            draw_sketch(page, (x + 0.5 * place * width, y), (0.5 * width, picture), view, larger=1.4)
        y += picture
    for question in one.questions:
        y = page.paragraph(x, y + 6.0, width, f"{question.step}. {question.text}", 10.5, bold=True)
        for words in question.choices:
            page.box(x + 2.0, y - 2.6, 3.0, 3.0)
            y = page.paragraph(x + 8.0, y, width - 8.0, words, 10.0) + 1.4
        if not question.choices:
            page.box(x, y, 60.0, 12.0, edge=0.25)
            page.text(x + 62.0, y + 8.0, question.unit, 10.0)
            y += 16.0
        page.box(x, y, width, work, edge=0.1, colour=RULE)
        page.text(x + 2.0, y + 4.0, "how you got there", 6.5, colour=SOFT)
        y += work + 3.0
    page.line([(x, page.height - MARGIN_MM), (x + 80.0, page.height - MARGIN_MM)], 0.2)
    page.text(x, page.height - MARGIN_MM + 4.0, "Name", 6.5, colour=SOFT)
    page.paragraph(x + 84.0, page.height - MARGIN_MM, width - 84.0, in_one(*PLANNING), 6.5)
    return page, y
