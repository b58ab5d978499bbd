"""What panels have in common: one message place, one lock, faults that cannot hide, a figure that fits its room."""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable
from functools import wraps
from html import escape

import ipywidgets as widgets
import plotly.graph_objects as go

from barmath.cautions import PLANNING
from barmath.lengths import in_unit
from barmath.panels.care import PANEL_CLASS, PageCare
from barmath.panels.live import LiveFigure
from barmath.panels.markup import bullets, heading
from barmath.refusal import BendError

FAULT = "fault to report"
"""The words by which an unexpected fault is known, on the page and in tests."""


class Shell:
    """Base of a panel: `message` shows advice, `guarded` wraps what runs on a change, `box` is the panel itself."""

    refused, fits = "Cannot be made", "Can be made"
    """Headings of a refusal, and of what is good."""

    unit: widgets.ToggleButtons = None
    """The choice between "mm" and "in", or None where a panel has none: what is said is in that unit."""

    cautions: tuple[str, ...] = PLANNING
    """What to take care of in the work that the panel is about, from `barmath.cautions`; it stands below the panel."""

    def __init__(self) -> None:
        self.lock = threading.RLock()
        self.message = widgets.HTML()
        self.box = widgets.VBox([PageCare()], layout=widgets.Layout(width="100%"))
        self.box.add_class(PANEL_CLASS)

    def fill(self, *children: widgets.Widget) -> None:
        """Put `children` into the panel, below the care of the page and above the cautions."""
        cautions = (widgets.HTML(cautions_html(self.cautions)),) if self.cautions else ()
        self.box.children = (self.box.children[0], *children, *cautions)

    def say(self, good: str = "", warnings: tuple[str, ...] | list[str] = (), refusal: str = "") -> None:
        """Show a refusal, or what is good and what to watch; every text is escaped."""
        unit = "mm" if self.unit is None else self.unit.value
        good, refusal, *warnings = (in_unit(words, unit) for words in (good, refusal, *warnings))
        parts = [message_html(refusal, "bad", self.refused)] if refusal else []
        if good:
            parts.append(message_html(good, "good", self.fits))
        parts += [message_html(warning, "warn", "Watch") for warning in warnings]
        self.message.value = f'<div role="status">{"".join(parts)}</div>'

    def say_fault(self, fault: Exception) -> None:
        """Show something unexpected where one looks."""
        words = f"{FAULT}: {type(fault).__name__}: {fault}"
        self.message.value = f'<div role="alert">{message_html(words, "bad", "This should not happen")}</div>'


def guarded(method: Callable) -> Callable:
    """A callback of a `Shell` that shows refusals as advice and anything else as a fault, and then raises it.

    A callback runs in a thread of its own in a notebook, so one lock a panel keeps two of them apart.
    """

    @wraps(method)
    def run(self: Shell, *args: object) -> object:
        with self.lock:
            try:
                return method(self, *args)
            except BendError as refusal:
                self.say(refusal=str(refusal))
                return None
            except Exception as fault:
                self.say_fault(fault)
                raise

    return run


_kept: dict[tuple[type, Hashable], Shell] = {}


def kept(panel: type[Shell], key: Hashable, make: Callable[[], Shell]) -> widgets.VBox:
    """The box of the panel of that class and key, made once: running its cell again shows the same panel."""
    if (panel, key) not in _kept:
        _kept[panel, key] = make()
    return _kept[panel, key].box


def message_html(text: str, kind: str, lead: str) -> str:
    """One message box; `kind` is good, warn or bad. The lead says in words what the colour says."""
    return f'<div class="barmath-message barmath-{kind}"><b>{escape(lead)}.</b> {escape(text)}</div>'


def cautions_html(texts: tuple[str, ...]) -> str:
    """The cautions that belong to a panel, as a list below it."""
    return f'<section class="barmath-cautions" aria-label="Cautions">{heading("Take care")}{bullets(texts)}</section>'


def column(*parts: widgets.Widget | str) -> widgets.VBox:
    """The controls of a panel, one below the other; words among them are headings."""
    rows = [widgets.HTML(heading(part)) if isinstance(part, str) else part for part in parts]
    return widgets.VBox(rows)


def beside(
    controls: widgets.Widget,
    shown: widgets.Widget,
    told: widgets.Widget | None = None,
    third: widgets.Widget | None = None,
) -> widgets.VBox:
    """What is set to the left, what is shown of it to the right; on a narrow page one below the other.

    What is `told` in words stands below the controls, and on a narrow page below what is shown. A `third` column stands
    beside the others on a very wide page, else below them.
    """
    places = {"controls": controls, "shown": shown, "told": told, "third": third}
    for place, part in places.items():
        if part is not None:
            part.add_class(f"barmath-{place}")
    box = widgets.VBox([part for part in places.values() if part is not None])
    box.add_class("barmath-beside")
    return box


def wide(*parts: widgets.Widget) -> widgets.VBox:
    """The larger column of a panel, beside its controls."""
    return widgets.VBox(parts, layout=widgets.Layout(overflow="visible"))


def responsive(figure: go.FigureWidget) -> widgets.VBox:
    """`figure` in a box whose width it follows."""
    figure._config = {**figure._config, "responsive": True, "displaylogo": False, "displayModeBar": False}
    return wide(figure)


class _Picture(Shell):
    cautions = ()  # the lesson around it has its own


def picture(figure: go.Figure) -> widgets.VBox:
    """A figure to look at in a notebook, as wide as its cell, without controls."""
    shell = _Picture()  # before the figure: the page must care for what loads slowly
    shell.fill(responsive(LiveFigure(figure)))
    return shell.box
