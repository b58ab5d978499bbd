"""The rows of a panel: a number by slider or as a shop writes it (22,5 or 7/8 in), a choice, words; its buttons."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from html import escape

import ipywidgets as widgets
import traitlets

from barmath.lengths import angle_deg, length_mm, length_text
from barmath.panels.care import ROW_CLASS
from barmath.refusal import BendError

_LEADS_OVER = re.compile(r" (?:off by|of|by)$")


class Writes:
    """What writes into its own controls; what is heard of them meanwhile is no change."""

    writes = False

    @contextmanager
    def writing(self) -> Iterator[None]:
        """While this runs, `writes` is true."""
        before, self.writes = self.writes, True
        try:
            yield
        finally:
            self.writes = before


class Row(widgets.HBox):
    """A row of a panel; `entry` is what can be refused in it."""

    entry: Entry | None = None


class Entry(traitlets.HasTraits):
    """What is typed in the box of a row, and why it is refused.

    A panel finds its entries by their rows: nothing is written, stored or called good while one of them is refused.

    Parameters
    ----------
    label : str
        What the box is called.
    row : Row
    box : Text
    check : function of what is typed, optional
        Raises BendError where it cannot be taken.

    Attributes
    ----------
    refused : str
        Why what was typed was not taken; empty where it was. What was typed remains in the box.
    """

    refused = traitlets.Unicode("")

    def __init__(self, label: str, row: Row, box: widgets.Text, check: Callable[[str], object] | None = None) -> None:
        super().__init__()
        self.label, self.row, self.box, self.check = label, row, box, check
        row.entry = self
        self.observe(self._mark, "refused")
        if check is not None:
            self.look()
            box.observe(self.look, "value")

    def look(self, _: dict | None = None) -> None:
        """Check what is typed."""
        try:
            if self.check is not None:
                self.check(self.box.value)
            self.refused = ""
        except BendError as refusal:
            self.refused = str(refusal)

    def instead(self) -> str:
        """What the panel shows while this is refused."""
        return ""

    def _mark(self, _: dict) -> None:
        (self.row.add_class if self.refused else self.row.remove_class)("barmath-refused")


class TypedRow(Entry):
    """An entry with the text itself as its `value`, whether it is refused or not."""

    @property
    def value(self) -> str:
        """What is typed."""
        return self.box.value

    @value.setter
    def value(self, text: str) -> None:
        self.box.value = text


class NumberRow(Entry, Writes):
    """One number, by slider or by typing: the one `value` (mm or degrees), shown in the box.

    The slider is on its step nearest to the value: a page moves a slider that gets a value in between to a step by
    itself. What was typed would be lost.

    Parameters
    ----------
    label : str
    value, low, high, step : float
        In mm or degrees. The slider moves by `step`; the box takes anything in between.
    length : bool
        True for a length in mm, False for an angle in degrees.

    Attributes
    ----------
    value : float
    refused : str
    unit : "mm" or "in"
        How a length is shown and what a bare number means.
    """

    value = traitlets.Float()
    unit = traitlets.Unicode("mm")

    def __init__(self, label: str, value: float, low: float, high: float, step: float, *, length: bool = True) -> None:
        self.low, self.high, self.step, self.length = low, high, step, length
        self.slider = widgets.FloatSlider(
            value=self._nearest_step(value),
            min=low,
            max=high,
            step=step,
            readout=False,
            layout=widgets.Layout(flex="1 1 90px", min_width="70px"),
        )
        box = widgets.Text(continuous_update=False, layout=widgets.Layout(width="96px"))
        self.widget = labelled_row(label, self.slider, box)
        super().__init__(label, self.widget, box)
        self.value = value
        self._show()
        self.slider.observe(self._slid, "value")
        self.box.observe(self._typed, "value")
        self.observe(self._shown_anew, ["value", "unit"])

    def set_enabled(self, enabled: bool) -> None:
        """Grey the row out, or bring it back; what is typed in a grey box does not count, so it is not refused."""
        self.slider.disabled = self.box.disabled = not enabled
        if not enabled:
            self.forget()

    def forget(self) -> None:
        """Show the value again instead of what was refused."""
        if self.refused:
            self.refused = ""
            self._show()

    def instead(self) -> str:
        """What the panel shows while this is refused: the value before."""
        return f"Everything here is still for {self.text()}"

    def text(self) -> str:
        """The value as the box shows it."""
        return length_text(self.value, self.unit) if self.length else f"{self.value:.1f} deg"

    def _slid(self, change: dict) -> None:
        step = self._nearest_step(change["new"])
        if self.writes or step == self._nearest_step(self.value):
            return  # where it is already: a page answers what it is given, give or take a rounding
        self.refused = ""
        self.value = step
        self._show()

    def _typed(self, change: dict) -> None:
        if self.writes:
            return
        try:
            number = self._parsed(change["new"])
            if not self.low <= number <= self.high:
                raise BendError(
                    f"{self._quantity} must be from {self._shown(self.low)} to {self._shown(self.high)}, "
                    f"got {self._shown(number)}: type a number in between"
                )
        except BendError as refusal:
            self.refused = str(refusal)
            return
        self.refused = ""
        self.value = number
        self._show()

    @property
    def _quantity(self) -> str:
        # what its label names, without the words that lead over to the box: stop, for "Stop off by"
        return _LEADS_OVER.sub("", self.label.lower())

    def _parsed(self, text: str) -> float:
        if self.length:
            return length_mm(text, name=self._quantity, default_unit=self.unit)
        return angle_deg(text, name=self._quantity)

    def _shown(self, number: float) -> str:
        return length_text(number, self.unit) if self.length else f"{number:.1f} deg"

    def _nearest_step(self, number: float) -> float:
        return float(min(max(round(round(number / self.step) * self.step, 6), self.low), self.high))

    def _shown_anew(self, change: dict) -> None:
        if change["name"] == "unit":
            self.refused = ""  # the box now shows the value again, not what was refused
        self._show()

    def _show(self) -> None:
        with self.writing():
            step = self._nearest_step(self.value)
            if abs(self.slider.value - step) > 1e-6:  # an echo of rounding would undo keys pressed meanwhile
                self.slider.value = step
            self.box.value = self.text()


def choice_row(
    label: str, options: list, value: object, on_change: Callable[[dict], None] | None = None
) -> tuple[widgets.Dropdown, widgets.HBox]:
    """A labelled dropdown as wide as a `NumberRow`, and the row that holds it."""
    chooser = widgets.Dropdown(options=options, value=value, layout=widgets.Layout(flex="1 1 120px", min_width="100px"))
    if on_change is not None:
        chooser.observe(on_change, "value")
    return chooser, labelled_row(label, chooser)


def button(words: str, pressed: Callable[[object], None]) -> widgets.Button:
    """A button as wide as its words; what is beside it gives way."""
    made = widgets.Button(
        description=words, layout=widgets.Layout(width="auto", flex="0 0 auto", align_self="flex-start")
    )
    made.on_click(pressed)
    return made


def text_row(
    label: str,
    value: str,
    on_change: Callable[[dict], None] | None = None,
    check: Callable[[str], object] | None = None,
) -> tuple[widgets.Text, Row]:
    """A labelled box for words as wide as a `NumberRow`, and the row that holds it; `check` may refuse them."""
    text = widgets.Text(value, continuous_update=False, layout=widgets.Layout(flex="1 1 120px"))
    row = labelled_row(label, text)
    if check is not None:
        Entry(label, row, text, check)
    if on_change is not None:
        text.observe(on_change, "value")
    return text, row


def labelled_row(label: str, *parts: widgets.Widget, label_width: str = "112px") -> Row:
    """A row of the panel: its label, by which a screen reader calls the parts too, and the parts."""
    name = widgets.HTML(f'<span class="barmath-label">{escape(label)}</span>', layout=widgets.Layout(width=label_width))
    row = Row([name, *parts], layout=widgets.Layout(width="100%"))
    row.add_class(ROW_CLASS)
    return row
