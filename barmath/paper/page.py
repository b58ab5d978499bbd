"""A sheet of paper in millimetres: text, lines and shapes at true scale, and the bytes of its PDF and its preview.

Places are (x, y) in mm from the upper left corner, y downward. One axes covers the whole sheet with limits in mm. So a
line of 100 mm is 100 mm on paper, whatever the figure's resolution. Text that a user typed is never read as mathematics
and never breaks the page. Where a letter of it cannot be printed, the head of the sheet says so.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Sequence
from typing import Any, TypeVar

import matplotlib as mpl
import numpy as np
from matplotlib.backend_bases import RendererBase
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Patch, Polygon, Rectangle
from matplotlib.text import Text
from matplotlib.transforms import Affine2D
from numpy.typing import ArrayLike

from barmath.paper.letters import TYPE, advance, font, one_line, outlines, printable, unprinted, unprinted_words
from barmath.paper.sizes import SIZES_MM
from barmath.refusal import BendError, unknown

MM_PER_POINT = 25.4 / 72.0

INK = "black"
SOFT = "0.35"
RULE = "0.65"
TINT = "0.93"

Shape = TypeVar("Shape", bound=Patch)

_HEAD_MM = 7.6  # from the upper edge: the line that says what could not be printed
_BOUND = re.compile(r"(?<=\d) (?=mm\b|in\b|deg\b|\d+/\d)")  # no line ends between a number and its unit
SETTINGS: dict[Any, Any] = {
    "pdf.fonttype": 42,  # TrueType: it is sharp on a screen too
    "pdf.compression": 6,
    "savefig.bbox": None,
    "font.family": TYPE,
    "text.usetex": False,
}


class _Line(Text):
    # on the screen it is drawn from the letters' outlines: Matplotlib's own way takes several times as long
    def draw(self, renderer: RendererBase) -> None:
        if not isinstance(renderer, RendererAgg):
            super().draw(renderer)
            return
        words, type_ = self.get_text(), self.get_fontproperties()
        size, bold = type_.get_size_in_points(), type_.get_weight() == "bold"
        width = text_width(words, size, bold) / MM_PER_POINT
        shift = {"left": 0.0, "center": -0.5, "right": -1.0}[self.get_horizontalalignment()] * width
        place = Affine2D().scale(size).translate(shift, 0.0).rotate_deg(self.get_rotation())
        place.scale(renderer.points_to_pixels(1.0)).translate(*self.get_transform().transform(self.get_position()))
        pen = renderer.new_gc()
        pen.set_linewidth(0.0)
        renderer.draw_path(pen, outlines(words, bold), place, to_rgb(self.get_color()))
        pen.restore()
        self.stale = False


class Page:
    """One sheet, "A4", "A3" or "Letter", upright, or one of a width and height of its own in mm, for a plotter.

    Raises
    ------
    BendError
        `size` names no sheet.
    """

    def __init__(self, size: str | tuple[float, float] = "A4") -> None:
        if isinstance(size, str) and size not in SIZES_MM:
            raise BendError(unknown("page", size, tuple(SIZES_MM)))
        self.width, self.height = SIZES_MM[size] if isinstance(size, str) else size
        self.figure = Figure(figsize=(self.width / 25.4, self.height / 25.4), facecolor="white")
        self.axes = self.figure.add_axes((0.0, 0.0, 1.0, 1.0))
        self.axes.set_axis_off()
        self.axes.set_xlim(0.0, self.width)
        self.axes.set_ylim(self.height, 0.0)
        self._unprinted: dict[str, None] = {}
        self._said: Text | None = None

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: float = 7.5,
        *,
        bold: bool = False,
        align: str = "left",
        colour: str = INK,
        within: float | None = None,
        turned: float = 0.0,
    ) -> None:
        """One line of text with its baseline at y, shortened to `within` mm where that is given."""
        if within is not None:
            words = shortened(words, within, size, bold)
        missing = unprinted(words)
        words = printable(words)
        self.axes.add_artist(_Line(
            x, y, words, fontproperties=font(words, size, bold), ha=align, va="baseline", color=colour, rotation=turned,
            rotation_mode="anchor", parse_math=False, clip_on=False,
        ))  # fmt: skip
        if missing:
            self._say_unprinted(missing)

    def paragraph(
        self, x: float, y: float, width: float, words: str, size: float = 7.0, *, bold: bool = False, most: int = 99
    ) -> float:
        """Text broken into lines of `width` mm, at most `most` of them, the first with its baseline at y.

        Returns the baseline of the line that would follow.
        """
        for line in broken(words, width, size, bold, most):
            self.text(x, y, line, size, bold=bold)
            y += line_height(size)
        return y

    def line(
        self,
        points: ArrayLike,
        width: float = 0.2,
        *,
        colour: str = INK,
        dash: tuple[float, ...] = (),
        clip: Patch | None = None,
        round_ends: bool = False,
    ) -> None:
        """A line through points (m, 2), `width` mm thick, `dash` mm on and off; its ends are cut square or round."""
        x, y = np.asarray(points, float).T
        on_off = tuple(length / width for length in dash)
        (drawn,) = self.axes.plot(
            x, y, color=colour, linewidth=width / MM_PER_POINT, linestyle=(0.0, on_off) if dash else "-",
            solid_capstyle="round" if round_ends else "butt", dash_capstyle="butt", solid_joinstyle="round",
            dash_joinstyle="round", scalex=False, scaley=False,
        )  # fmt: skip
        if clip is not None:
            drawn.set_clip_path(clip)

    def arrow(self, start: tuple[float, float], end: tuple[float, float], *, bow: float = 0.0) -> None:
        """A thin arrow from start to end, bowed to one side by the part `bow` of its length."""
        self.axes.annotate(
            "", end, start,
            arrowprops={
                "arrowstyle": "-|>,head_length=0.32,head_width=0.14", "linewidth": 0.7, "color": INK,
                "shrinkA": 0.0, "shrinkB": 0.0, "connectionstyle": f"arc3,rad={bow}",
            },
        )  # fmt: skip

    def box(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        *,
        edge: float = 0.2,
        fill: str = "none",
        colour: str = INK,
    ) -> Rectangle:
        """A rectangle with its upper left corner at (x, y); `edge` 0 leaves its outline out."""
        return self._shape(Rectangle((x, y), width, height), edge, fill, colour)

    def shape(self, points: ArrayLike, *, edge: float = 0.2, fill: str = "none", colour: str = INK) -> Polygon:
        """A closed shape through points (m, 2)."""
        return self._shape(Polygon(np.asarray(points, float), closed=True), edge, fill, colour)

    def circle(
        self, centre: tuple[float, float], radius: float, *, edge: float = 0.2, fill: str = "none", colour: str = INK
    ) -> Circle:
        """A circle."""
        return self._shape(Circle(centre, radius), edge, fill, colour)

    def check_line(self, x: float, y: float, unit: str = "mm") -> str:
        """What to write beside a line that checks a printer; draws the line, its left end at (x, y).

        It is 100 mm long with a tick every 10, or 4 in with a tick every quarter.
        """
        long, step, each = (100.0, 10.0, 5) if unit == "mm" else (101.6, 6.35, 4)
        self.line([(x, y), (x + long, y)], 0.3)
        for tick in range(round(long / step) + 1):
            place = x + min(max(step * tick, 0.1), long - 0.1)  # the outer ticks end with the line
            self.line([(place, y), (place, y - (2.4 if tick % each == 0 else 1.4))], 0.2)
        how_long = "100 mm" if unit == "mm" else "4 in"
        return f"This line must be {how_long} long. If it is not, print again at 100 % (actual size)."

    def pdf(self, title: str) -> bytes:
        """The sheet as PDF: fonts embedded, nothing that changes from one day to the next."""
        with mpl.rc_context(SETTINGS):
            paper = io.BytesIO()
            metadata = {"Title": one_line(title), "CreationDate": None, "Creator": None, "Producer": None}
            self.figure.savefig(paper, format="pdf", metadata=metadata)
        return paper.getvalue()

    def window(self, left: float, top: float) -> None:
        """Show what is drawn from (left, top) on, at the same scale: one sheet out of a larger drawing."""
        self.axes.set_xlim(left, left + self.width)
        self.axes.set_ylim(top + self.height, top)
        if self._said is not None:
            self._said.set_position((left + self.width / 2.0, top + _HEAD_MM))

    def png(self, dpi: float = 110.0) -> bytes:
        """The sheet as a picture for the screen."""
        with mpl.rc_context(SETTINGS):
            picture = io.BytesIO()
            quick = {"compress_level": 1}  # a preview is looked at once
            self.figure.savefig(picture, format="png", dpi=dpi, metadata={"Software": None}, pil_kwargs=quick)
        return picture.getvalue()

    def _say_unprinted(self, letters: Iterable[str]) -> None:
        self._unprinted |= dict.fromkeys(letters)
        if self._said is None:
            top, middle = self.axes.get_ylim()[1], sum(self.axes.get_xlim()) / 2.0
            self._said = self.axes.text(middle, top + _HEAD_MM, "", ha="center", va="baseline", zorder=8.0)
        words, width = unprinted_words(self._unprinted), self.width - 30.0
        size = largest_fitting(words, width, (6.5, 5.5, 4.5))
        words = shortened(words, width, size)
        self._said.set(text=words, fontproperties=font(words, size, bold=False))

    def _shape(self, patch: Shape, edge: float, fill: str, colour: str) -> Shape:
        patch.set(
            facecolor=fill, edgecolor=colour if edge else "none", linewidth=edge / MM_PER_POINT, joinstyle="miter"
        )
        self.axes.add_patch(patch)
        return patch


def pages_pdf(pages: Iterable[Page], title: str) -> bytes:
    """Several sheets as one PDF; pages are drawn one after the other, so that an iterator need not hold them all."""
    paper = io.BytesIO()
    metadata = {"Title": one_line(title), "CreationDate": None, "Creator": None, "Producer": None}
    with mpl.rc_context(SETTINGS), PdfPages(paper, metadata=metadata) as pdf:
        for page in pages:
            pdf.savefig(page.figure)
    return paper.getvalue()


def text_width(words: str, size: float, bold: bool = False) -> float:
    """Width of one line of text, mm; `size` in points."""
    return sum(advance(letter, bold) for letter in words) * size * MM_PER_POINT


def line_height(size: float) -> float:
    """Distance between baselines, mm; `size` in points."""
    return 1.24 * size * MM_PER_POINT


def shortened(words: str, width: float, size: float, bold: bool = False) -> str:
    """One line of text, cut and ended with an ellipsis where it is wider than `width` mm."""
    words = one_line(words[:400])  # no line of paper holds more
    if text_width(words, size, bold) <= width:
        return words
    while words and text_width(words + "…", size, bold) > width:
        words = words[:-1]
    return words.rstrip() + "…"


def largest_fitting(words: str, width: float, sizes: Sequence[float], bold: bool = False) -> float:
    """The largest of `sizes` (points, falling) in which one line of text is at most `width` mm, or the last."""
    return next((size for size in sizes if text_width(words, size, bold) <= width), sizes[-1])


def broken(words: str, width: float, size: float, bold: bool = False, most: int = 99) -> list[str]:
    """Text as lines of at most `width` mm; what does not fit into `most` lines is cut with an ellipsis."""
    rest = _BOUND.sub("\u00a0", one_line(words)).split(" ")
    lines: list[str] = []
    while rest and len(lines) < most:
        if len(lines) == most - 1:
            lines.append(shortened(" ".join(rest), width, size, bold))
            break
        count = 1
        while count < len(rest) and text_width(" ".join(rest[: count + 1]), size, bold) <= width:
            count += 1
        lines.append(shortened(" ".join(rest[:count]), width, size, bold))
        rest = rest[count:]
    return [line.replace("\u00a0", " ") for line in lines]
