"""The straight tube with its marks, measured from its middle and from its ends."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from barmath.closed_forms.marks import Marks
from barmath.lengths import length_text
from barmath.paper.page import INK, RULE, SOFT, Page, text_width

NUMBER, PIECE, WORDS = 11.0, 5.5, 6.8
HEIGHT_MM = 27.0
BEND = "bend"
_END = 7.0  # room at each end for the letter of the end
_AIR = 1.8  # beside the name of a piece: a mark is drawn at its end


class TubeStrip(NamedTuple):
    """What is drawn: the tangent points, and inner and outer mark of each side (moved by the line-up offset), mm.

    `inner` and `outer` are written into the bends where they fit, such as their stop. Else their last word is, such as
    its degrees, or `BEND`.
    """

    marks: Marks
    left_mm: tuple[float, float]
    right_mm: tuple[float, float]
    tube_diameter_mm: float
    unit: str
    inner: str = BEND
    outer: str = BEND


def draw_tube_strip(page: Page, x: float, y: float, width: float, strip: TubeStrip) -> None:
    """Draw the strip into a field `width` by `HEIGHT_MM` mm with its upper left corner at (x, y)."""
    half, marks = float(strip.marks.end_mm), strip.marks
    scale = (width / 2.0 - _END) / half
    middle, axis = x + width / 2.0, y + 14.5
    thick = min(max(strip.tube_diameter_mm * scale, 3.0), 6.0)
    top, bottom = axis - thick / 2.0, axis + thick / 2.0
    pieces = (
        (marks.inner_start_mm, marks.inner_end_mm, strip.inner),
        (marks.inner_end_mm, marks.outer_start_mm, "riser"),
        (marks.outer_start_mm, marks.outer_end_mm, strip.outer),
        (marks.outer_end_mm, half, "grip"),
    )
    drawn = [middle - mark * scale for mark in strip.left_mm] + [middle + mark * scale for mark in strip.right_mm]
    for sign in (-1.0, 1.0):
        for start, end, words in pieces:
            bent = words not in ("riser", "grip")
            _piece(page, middle + sign * start * scale, middle + sign * end * scale, (top, bottom), words, bent, drawn)
    flat = marks.inner_start_mm * scale
    _piece(page, middle - flat, middle + flat, (top, bottom), "clamp flat", False, drawn)
    page.box(middle - half * scale, top, 2.0 * half * scale, thick, edge=0.3)
    for sign in (-1.0, 1.0):
        _measure_side(page, middle, sign, scale, (top, bottom), strip)
    for start, end in ((top - 2.6, top), (bottom, bottom + 1.4)):
        page.line([(middle, start), (middle, end)], 0.25)
    page.text(middle, top - 7.6, "middle", 6.5, align="center")
    for sign, letter in ((-1.0, "L"), (1.0, "R")):
        page.text(middle + sign * (half * scale + 3.6), axis + 1.6, letter, 13.0, bold=True, align="center")
    mark = middle - strip.left_mm[1] * scale
    number = length_text(half - strip.left_mm[1], strip.unit)
    lines = ["marks from the middle"]
    if x + text_width(lines[0], WORDS) > mark - 1.0:
        lines = ["marks from", "the middle"]
    for place, words in enumerate(reversed(lines)):
        page.text(x, top - 2.4 - 2.7 * place, words, WORDS)
    words = "the same from the ends"
    clear = x + text_width(words, WORDS) < mark - 0.5 * text_width(number, NUMBER, bold=True) - 1.0
    page.text(x, bottom + (4.0 if clear else 8.4), words, WORDS)  # beside or below the outer mark's number


def _piece(
    page: Page, start: float, end: float, edges: tuple[float, float], words: str, bent: bool, marks: Sequence[float]
) -> None:
    # one straight or bend of the tube, named where its name fits between the marks on it
    left, wide, (top, bottom) = min(start, end), abs(end - start), edges
    shorter = (words, words.rpartition(" ")[2], BEND) if bent else (words,)
    page.box(left, top, wide, bottom - top, edge=0.15, fill="0.82" if bent else "white")
    cuts = [left, *sorted(mark for mark in marks if left < mark < left + wide), left + wide]
    low, high = max(pairwise(cuts), key=lambda part: part[1] - part[0])
    fits = next((one for one in shorter if text_width(one, PIECE) + _AIR <= high - low), "")
    place = 0.5 * (low + high)
    page.text(place, (top + bottom) / 2.0 + 0.75, fits, PIECE, align="center", colour=INK if bent else SOFT)


def _measure_side(
    page: Page, middle: float, sign: float, scale: float, edges: tuple[float, float], strip: TubeStrip
) -> None:
    top, bottom = edges
    half = float(strip.marks.end_mm)
    inner, outer = strip.left_mm if sign < 0.0 else strip.right_mm
    for mark, up, down in ((inner, 3.2, 8.6), (outer, 8.0, 3.8)):
        place = middle + sign * mark * scale
        page.line([(place, top - up + 0.4), (place, bottom + down - 3.2)], 0.18, colour=RULE)
        page.line([(place, top - 1.2), (place, bottom + 1.2)], 0.7, colour=INK)
        _number(page, middle, place, top - up, length_text(mark, strip.unit))
        _number(page, middle, place, bottom + down, length_text(half - mark, strip.unit))


def _number(page: Page, middle: float, mark: float, baseline: float, words: str) -> None:
    # centred on its mark, or moved outward so that it keeps to its side of the middle
    wide = text_width(words, NUMBER, bold=True) + 1.0
    clear = 0.5 * wide + 1.0
    place = min(mark, middle - clear) if mark < middle else max(mark, middle + clear)
    page.box(place - wide / 2.0, baseline - 3.1, wide, 3.6, edge=0.0, fill="white")
    page.text(place, baseline, words, NUMBER, bold=True, align="center")
