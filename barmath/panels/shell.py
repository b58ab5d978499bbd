"""What panels have in common: one message place, one lock, faults that cannot hide, a figure that fits its room."""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable, Iterator, Sequence
from contextlib import contextmanager
from functools import wraps
from html import escape

import ipywidgets as widgets
import plotly.graph_objects as go

from barmath.lengths import in_unit
from barmath.panels.care import PANEL_CLASS, PageCare
from barmath.panels.entry import Entry, Row, Writes
from barmath.panels.live import LiveFigure
from barmath.panels.markup import bullets, heading
from barmath.panels.saved import display_panel
from barmath.refusal import BendError, remedy_first
from barmath.shop.cautions import PLANNING

FAULT = "fault to report"
"""The words by which an unexpected fault is known, on the page and in tests."""


class PanelBox(widgets.VBox):
    """The box of a panel; `shell` is the panel."""

    shell: Shell | None = None

    def _ipython_display_(self) -> None:
        display_panel(self._repr_mimebundle_())


class Shell(Writes):
    """Base of a panel: `message` shows advice, `guarded` wraps what runs on a change, `box` is the panel itself.

    A panel inside another, such as the one that prints, is `within` it: what is typed in either counts for both.
    """

    refused, fits = "Cannot be made", "Can be made"
    """Headings of a refusal, and of what is good."""

    unit: widgets.ToggleButtons = None
    """The choice between "mm" and "in", or None where a panel has none: what is said is in that unit."""

    cautions: tuple[str, ...] = PLANNING
    """What to take care of in the work that the panel is about, from `barmath.shop.cautions`, shown below it."""

    def __init__(self) -> None:
        self.lock = threading.RLock()
        self.message = widgets.HTML()
        self.message.add_class("barmath-verdict")
        self.within: Shell | None = None
        self.box = PanelBox([PageCare()], layout=widgets.Layout(width="100%"))
        self.box.shell = self
        self.box.add_class(PANEL_CLASS)

    def fill(self, *children: widgets.Widget) -> None:
        """Put `children` into the panel, below the care of the page and above the cautions."""
        cautions = (widgets.HTML(cautions_html(self.cautions)),) if self.cautions else ()
        self.box.children = (self.box.children[0], *children, *cautions)
        for part in parts_of(self.box):
            if isinstance(part, PanelBox) and part.shell is not None and part.shell is not self:
                part.shell.within = self

    @contextmanager
    def writing(self) -> Iterator[None]:
        """While this runs, the panel itself writes into its controls: what is `heard` of them is no change."""
        with self.lock, super().writing():
            yield

    def refused_entries(self) -> list[Entry]:
        """What is typed in the panel and was not taken."""
        rows = (part.entry for part in parts_of(self.box) if isinstance(part, Row))
        return [entry for entry in rows if entry is not None and entry.refused]

    def need_every_entry(self) -> None:
        """Raise BendError where a box is refused, here or in the panel around this one: its value is not known."""
        for shell in (self, self.within):
            for entry in shell.refused_entries() if shell is not None else ():
                raise BendError(f"correct the box {entry.label} first. {entry.refused}")

    def say(self, good: str = "", warnings: tuple[str, ...] | list[str] = (), refusal: str = "") -> None:
        """Show a refusal, or what is good and what to watch; every text is escaped.

        Every box that is refused is named as well, once, and nothing is called good until it is corrected.
        """
        unit = "mm" if self.unit is None else self.unit.value
        entries = self.refused_entries()
        refused = {entry.refused for entry in entries}
        refusal = "" if refusal in refused else refusal  # it is said of its box
        parts = [
            message_html(_not_taken(entry), "bad", "Not taken") for entry in entries if entry.refused not in refusal
        ]
        warnings = [in_unit(warning, unit) for warning in warnings if warning not in refused]
        good, refusal = in_unit(good, unit), in_unit(refusal, unit)
        if refusal:
            parts.append(message_html(remedy_first(refusal), "bad", self.refused))
        if good and not entries:
            parts.append(message_html(good, "good", self.fits))
        parts += [message_html(remedy_first(warning), "warn", "Watch") for warning in warnings]
        self.message.value = f'<div role="status">{"".join(parts)}</div>'

    def report(self, done: str, refresh: Callable[[], object]) -> None:
        """Show that something was done, above what the panel then shows: it counts, also where that is refused."""
        try:
            refresh()
        except BendError as refusal:
            self.say(warnings=[str(refusal)])
        shown = self.message.value.removeprefix('<div role="status">').removesuffix("</div>")
        self.message.value = f'<div role="status">{message_html(done, "good", self.fits)}{shown}</div>'

    def say_fault(self, fault: Exception) -> None:
        """Show something unexpected where one looks."""
        words = f"{FAULT}: {type(fault).__name__}: {fault}"
        self.message.value = f'<div role="alert">{message_html(words, "bad", "This should not happen")}</div>'


def guarded(method: Callable) -> Callable:
    """A callback of a `Shell` that shows refusals as advice and anything else as a fault, and then raises it.

    A callback runs in a thread of its own in a notebook. So one lock a panel keeps two of them apart.
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


def heard(method: Callable) -> Callable:
    """A `guarded` callback that does nothing where the panel itself has written into the control."""

    @guarded
    @wraps(method)
    def run(self: Shell, *args: object) -> object:
        return None if self.writes else method(self, *args)

    return run


def settled(method: Callable) -> Callable:
    """A `guarded` callback that writes, stores or judges: it only says which box to correct while one is refused."""

    @guarded
    @wraps(method)
    def run(self: Shell, *args: object) -> object:
        self.need_every_entry()
        return method(self, *args)

    return run


def parts_of(widget: widgets.Widget) -> Iterator[widgets.Widget]:
    """A widget and everything inside it."""
    yield widget
    for inner in getattr(widget, "children", ()):
        yield from parts_of(inner)


def put_instead(box: widgets.Box, children: Sequence[widgets.Widget]) -> None:
    """Put `children` into a box, and close what was there: kernel and page hold a widget until it is closed."""
    gone = [part for child in box.children if child not in children for part in parts_of(child)]
    box.children = tuple(children)
    for part in gone:
        for own in (getattr(part, "layout", None), getattr(part, "style", None), part):
            if own is not None:
                own.close()


def _not_taken(entry: Entry) -> str:
    return ". ".join(words for words in (entry.refused, entry.instead()) if words)


_kept: dict[tuple[type, Hashable], Shell] = {}


def kept(panel: type[Shell], key: Hashable, make: Callable[[], Shell]) -> widgets.VBox:
    """The box of the panel of that class and key, made once: running its cell again shows the same panel."""
    if (panel, key) not in _kept:
        _kept[panel, key] = make()
    return _kept[panel, key].box


def message_html(text: str, kind: str, lead: str) -> str:
    """One message box; `kind` is good, warn or bad. The lead says in words what the colour says."""
    return f'<div class="barmath-message barmath-{kind}"><b>{escape(lead)}:</b> {escape(text)}</div>'


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
    below: widgets.Widget | None = None,
    third: widgets.Widget | None = None,
) -> widgets.VBox:
    """What is set to the left, what is shown of it to the right; on a narrow page one below the other.

    What is in `below` is below the controls, and on a narrow page below what is shown. A `third` column is
    beside the others on a very wide page, else below them.
    """
    places = {"controls": controls, "shown": shown, "below": below, "third": third}
    for place, part in places.items():
        if part is not None:
            part.add_class(f"barmath-{place}")
    box = widgets.VBox([part for part in places.values() if part is not None])
    box.add_class("barmath-beside")
    return box


def in_a_row(*parts: widgets.Widget, least_px: int = 300) -> widgets.HBox:
    """Parts of one width beside each other over the whole panel; what has not `least_px` there is below the others."""
    for part in parts:
        part.layout.flex, part.layout.min_width = f"1 1 {least_px}px", "0"
    row = widgets.Layout(flex_flow="row wrap", grid_gap="0 20px", width="100%", overflow="visible")
    return widgets.HBox(parts, layout=row)


def wide(*parts: widgets.Widget) -> widgets.VBox:
    """The larger column of a panel, beside its controls."""
    return widgets.VBox(parts, layout=widgets.Layout(overflow="visible"))


def responsive(figure: LiveFigure) -> widgets.VBox:
    """`figure` in a box; it follows the box's width."""
    return wide(figure)


class _Still(Shell):
    cautions = ()  # the lesson around it has its own


def still(*parts: widgets.Widget) -> PanelBox:
    """Parts to look at in a notebook, one below the other: a saved page says in their place how to start."""
    shell = _Still()
    shell.fill(*parts)
    return shell.box


def picture(figure: go.Figure) -> PanelBox:
    """A figure to look at in a notebook, as wide as its cell, without controls."""
    shell = _Still()  # before the figure: the page must care for what loads slowly
    shell.fill(responsive(LiveFigure(figure)))
    return shell.box
