"""A chart with the line that a reader draws, and after the bet the true one beside it, as SVG."""

from __future__ import annotations

from html import escape

from barmath.pictures.palette import BEND, FONT, GRID, INK, PAPER, STRAIGHT
from barmath.practice.bets import Line

WIDTH, HEIGHT = 560.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 62.0, 20.0, 18.0, 52.0
STEPS_UP = 4


def drawn_line_svg(line: Line, drawn: tuple[float, ...], answer: bool = False) -> str:
    """An SVG element of the chart.

    Parameters
    ----------
    line : Line
    drawn : tuple of numbers
        The reader's height at each place.
    answer : bool
        Whether the true line is shown too.
    """
    marks = [_grid(line), _curve(line, drawn, BEND, "", "your line")]
    said = f"your line: {_words(line, drawn)}"
    if answer:
        marks.append(_curve(line, line.answer, INK, "9 6", "it is"))
        said += f"; it is: {_words(line, line.answer)}"
    title = f"{line.height_name} in {line.height_unit} over {line.place_name} in {line.place_unit}; {said}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:.0f} {HEIGHT:.0f}" role="img" '
        f'aria-label="{escape(title)}" font-family="{escape(FONT)}" fill="none" '
        f'style="background:{PAPER};max-width:{WIDTH:.0f}px">'
        f"{''.join(marks)}</svg>"
    )


def drawn_line_places(line: Line) -> tuple[list[float], list[float]]:
    """Where the chart has its places, from the left, and its lowest and highest height, from the top.

    Returns
    -------
    list of float, list of float
        In units of the SVG element.
    """
    low, high = (_at(line, line.places[0], height)[1] for height in line.span)
    return [_at(line, place, line.span[0])[0] for place in line.places], [low, high]


def _at(line: Line, place: float, height: float) -> tuple[float, float]:
    low, high = line.span
    first, last = line.places[0], line.places[-1]
    across = LEFT + 20.0 + (WIDTH - LEFT - RIGHT - 100.0) * (place - first) / (last - first)
    return across, HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * (height - low) / (high - low)


def _grid(line: Line) -> str:
    low, high = line.span
    parts = []
    for step in range(STEPS_UP + 1):
        height = low + (high - low) * step / STEPS_UP
        _, y = _at(line, line.places[0], height)
        parts.append(f'<path d="M{LEFT} {y:.1f}H{WIDTH - RIGHT}" stroke="{GRID}"/>')
        parts.append(_text(LEFT - 8.0, y + 5.0, f"{height:g}", "end"))
    for place in line.places:
        x, y = _at(line, place, low)
        parts.append(_text(x, y + 20.0, f"{place:g}"))
    middle = (LEFT + WIDTH - RIGHT) / 2.0
    parts.append(_text(middle, HEIGHT - 8.0, f"{line.place_name}, {line.place_unit}"))
    parts.append(_text(LEFT + 4.0, TOP - 4.0, f"{line.height_name}, {line.height_unit}", "start"))
    return "".join(parts)


def _curve(line: Line, heights: tuple[float, ...], colour: str, dash: str, name: str) -> str:
    points = [_at(line, place, height) for place, height in zip(line.places, heights, strict=True)]
    path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    dots = "".join(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" fill="{colour}"/>' for x, y in points)
    x, y = points[-1]
    lines = f'<polyline points="{path}" stroke="{colour}" stroke-width="3" stroke-dasharray="{dash}"/>'
    return lines + dots + _text(x + 10.0, y + (16.0 if name == "it is" else -6.0), name, "start", INK)


def _text(x: float, y: float, words: str, anchor: str = "middle", colour: str = STRAIGHT) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" font-size="14" fill="{colour}">{escape(words)}</text>'


def _words(line: Line, heights: tuple[float, ...]) -> str:
    return ", ".join(f"{height:.0f} at {place:g}" for place, height in zip(line.places, heights, strict=True))
