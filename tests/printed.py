"""What is on a printed page, from its PDF or from its layout: every line with its places in mm, and every word."""

import io
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from pypdf import PdfReader
from pypdf.generic import ContentStream

from barmath.paper.page import text_width

MM = 25.4 / 72.0


class Line(NamedTuple):
    """A path: places (m, 2) in mm from the upper left corner, y downward; `width_mm` of its pen; how it is inked.

    `shown` (2, 2) is the lower and the upper corner of the window through which it is seen.
    """

    places: np.ndarray
    width_mm: float
    dashed: bool
    filled: bool
    shown: np.ndarray


class Word(NamedTuple):
    """A line of text and where its baseline starts, mm from the upper left corner; the size of its type, points.

    `along` is the direction in which it is read, (1, 0) to the right and (0, -1) up the page.
    """

    text: str
    x: float
    y: float
    points: float
    along: tuple[float, float]


def pages_of(pdf: bytes):
    return PdfReader(io.BytesIO(pdf)).pages


def lines_of(page) -> list[Line]:
    """Every line and shape that is inked on a page, clip paths left out."""
    height = float(page.mediabox.height)
    matrix, pen, dash, saved = np.eye(3), 1.0, False, []
    window, clips = np.array([[-np.inf, -np.inf], [np.inf, np.inf]]), False
    parts: list[np.ndarray] = []
    here: list[np.ndarray] = []
    inked: list[Line] = []

    def at(x, y):
        across, up, _ = np.array([float(x), float(y), 1.0]) @ matrix
        return np.array([across, height - up]) * MM

    def end(drawn: bool, filled: bool) -> None:
        nonlocal parts, here, window, clips
        parts += [np.array(here)] if here else []
        if clips and parts:
            every = np.concatenate(parts)
            window = np.stack([np.maximum(window[0], every.min(axis=0)), np.minimum(window[1], every.max(axis=0))])
        clips = False
        if drawn or filled:
            scale = np.sqrt(abs(np.linalg.det(matrix[:2, :2])))
            inked.extend(Line(part, pen * scale * MM * drawn, dash, filled, window) for part in parts)
        parts, here = [], []

    for values, operator in ContentStream(page.get_contents(), page.pdf).operations:
        sign = operator.decode()
        if sign == "q":
            saved.append((matrix, pen, dash, window))
        elif sign == "Q":
            matrix, pen, dash, window = saved.pop()
        elif sign == "cm":
            a, b, c, d, e, f = map(float, values)
            matrix = np.array([[a, b, 0.0], [c, d, 0.0], [e, f, 1.0]]) @ matrix
        elif sign in {"W", "W*"}:
            clips = True
        elif sign == "w":
            pen = float(values[0])
        elif sign == "d":
            dash = len(values[0]) > 0
        elif sign == "m":
            parts += [np.array(here)] if here else []
            here = [at(*values)]
        elif sign == "l":
            here.append(at(*values))
        elif sign == "c":
            knots = [here[-1], at(*values[:2]), at(*values[2:4]), at(*values[4:])]
            for t in np.linspace(0.0, 1.0, 9)[1:]:
                weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
                here.append(sum(w * knot for w, knot in zip(weights, knots, strict=True)))
        elif sign == "h" and here:
            here.append(here[0])
        elif sign == "re":
            x, y, w, h = map(float, values)
            parts.append(np.array([at(x, y), at(x + w, y), at(x + w, y + h), at(x, y + h), at(x, y)]))
        elif sign in {"s", "b", "b*"} and here:
            here.append(here[0])
        if sign in {"S", "s", "f", "F", "f*", "B", "B*", "b", "b*", "n"}:
            end(sign in {"S", "s", "B", "B*", "b", "b*"}, sign in {"f", "F", "f*", "B", "B*", "b", "b*"})
    return inked


def words_of(page) -> list[Word]:
    """Every line of text on a page."""
    height = float(page.mediabox.height)
    found = []

    def take(text, matrix, text_matrix, _, points):
        if text.strip():
            across, up, _, _, x, y = text_matrix
            a, b, c, d, e, f = matrix
            place = (a * x + c * y + e) * MM, (height - (b * x + d * y + f)) * MM
            along = np.array([a * across + c * up, -(b * across + d * up)])
            found.append(Word(text.strip(), *place, points, tuple(along / np.linalg.norm(along))))

    page.extract_text(visitor_text=take)
    return found


def fonts_are_inside(page) -> bool:
    """Whether each font of a page is a TrueType font that is in the file, and says which letters it has."""
    fonts = [font.get_object() for font in page["/Resources"]["/Font"].values()]
    inner = [part.get_object() for font in fonts for part in font.get("/DescendantFonts", [font])]
    files = [part["/FontDescriptor"].get("/FontFile2") for part in inner if "/FontDescriptor" in part]
    return len(files) == len(fonts) > 0 and all(files) and all("/ToUnicode" in font for font in fonts)


def text_of(pdf: bytes) -> str:
    """All words of a PDF on one line."""
    return " ".join(" ".join(page.extract_text().split()) for page in pages_of(pdf))


def along(places: np.ndarray, step: float = 0.1) -> np.ndarray:
    """Points laid closely along a line, its corners included."""
    pieces = [
        start + np.linspace(0.0, 1.0, max(2, int(np.linalg.norm(stop - start) / step) + 2))[:-1, None] * (stop - start)
        for start, stop in pairwise(places)
    ]
    return np.concatenate([*pieces, places[-1:]])


def places_of(texts) -> np.ndarray:
    """Where lines of text are on a page that is laid out, mm: left, top, right and bottom of each.

    A line has its printed width: on a screen of few dots it would seem wider.
    """
    places = []
    for text in texts:
        x, y = text.get_position()
        size = text.get_size() * MM
        wide = text_width(text.get_text(), text.get_size(), text.get_weight() == "bold")
        left = x - {"left": 0.0, "center": 0.5, "right": 1.0}[text.get_ha()] * wide
        places.append((left, y - 0.76 * size, left + wide, y + 0.24 * size))
    return np.array(places)


def lines_on_each_other(texts) -> list[tuple[str, str]]:
    """Each two lines of text that are written over each other, by more than a hair."""
    level = [text for text in texts if text.get_text() and not text.get_rotation()]
    boxes = places_of(level)
    low, high = boxes[:, :2] + 0.35, boxes[:, 2:] - 0.35
    over = np.all((low[:, None] < high[None]) & (low[None] < high[:, None]), axis=-1)
    return [(level[one].get_text(), level[other].get_text()) for one, other in np.argwhere(np.triu(over, 1))]
