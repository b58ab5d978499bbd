"""A form: each field of a panel's state is bound to the row in which it is set."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, ClassVar, Protocol

import ipywidgets as widgets

from barmath.panels.entry import NumberRow, TypedRow
from barmath.panels.shell import Shell, heard

if TYPE_CHECKING:
    from barmath.records.booked_order import BookedOrder


class Part(Protocol):
    """What holds a field: a row, a chooser, a box, or a form within the form."""

    value: Any


class Joined:
    """Several parts that hold one field together, or one part that holds it in other words.

    Parameters
    ----------
    parts : sequence of Part
    read : function of the list of their values
        The field.
    show : function of the field
        The values for the parts, first to last.
    """

    def __init__(
        self,
        parts: Sequence[Part],
        read: Callable[[list], Any] = tuple,
        show: Callable[[Any], Sequence] = tuple,
    ) -> None:
        self.parts, self._read, self._show = parts, read, show

    @property
    def value(self) -> Any:
        """The field that is set."""
        return self._read([part.value for part in self.parts])

    @value.setter
    def value(self, value: Any) -> None:
        for part, own in zip(self.parts, self._show(value), strict=True):
            part.value = own


def chosen(chooser: Part, nothing: Any, shown: Any) -> Joined:
    """What a chooser holds: `nothing` where an empty choice is picked, which is shown as `shown`."""
    return Joined([chooser], lambda values: values[0] or nothing, lambda value: [value or shown])


class Named(Joined):
    """A chooser of things of the shop by their names. It also holds a name that the shop lacks, and says so.

    So a bar without its die can be shown and changed, and no other die takes its place.

    Parameters
    ----------
    chooser : Dropdown
    names : sequence of str
        Those of the shop; empty means the first.
    """

    def __init__(self, chooser: widgets.Dropdown, names: Sequence[str]) -> None:
        self.chooser, self.names = chooser, tuple(names)
        super().__init__([chooser], lambda values: values[0], lambda name: [name or self.names[0]])

    @property
    def value(self) -> str:
        """The name that is chosen."""
        return super().value

    @value.setter
    def value(self, name: str) -> None:
        offered = [(one, one) for one in self.names]
        if name and name not in self.names:
            offered.append((f"{name}, not in this shop", name))
        if tuple(offered) != tuple(self.chooser.options):
            self.chooser.options = offered
        self.chooser.value = name or self.names[0]


class Form:
    """The rows of a state.

    Parameters
    ----------
    parts : Part
        By the field of the state that each holds.
    """

    state: ClassVar[type] = dict
    """What `value` is read into, where the form is itself a part of another."""

    def __init__(self, **parts: Part) -> None:
        self.parts = parts

    @property
    def value(self) -> Any:
        """Everything that is set."""
        return self.state(**self.values())

    @value.setter
    def value(self, state: Any) -> None:
        self.show(state)

    def values(self) -> dict[str, Any]:
        """What is set, by the field of the state that holds it."""
        return {name: part.value for name, part in self.parts.items()}

    def show(self, state: Any) -> None:
        """Set every row to `state`."""
        for name, part in self.parts.items():
            part.value = getattr(state, name)

    def show_in(self, unit: str) -> None:
        """Show and take lengths in `unit`."""
        for row in _single(self.parts.values()):
            if isinstance(row, NumberRow):
                row.unit = unit

    def single_parts(self) -> list[Any]:
        """Every row, chooser and box, those of forms and of joined parts too."""
        return list(_single(self.parts.values()))

    def watch(self, changed: Callable[[dict], None]) -> None:
        """Have `changed` called at each change, a refused entry included."""
        for part in self.single_parts():
            number, typed = isinstance(part, NumberRow), isinstance(part, TypedRow)
            part.observe(changed, ["value", "refused"] if number else "refused" if typed else "value")


class FormPanel(Shell):
    """Base of a panel with a `state`, a frozen dataclass: its form, the one observer of its rows, and the one guard.

    A panel binds its rows with `bind`, and works everything out from `state` in `refresh`.
    """

    state: Any
    form: Form
    followers: tuple[Callable[[bool], None], ...] = ()
    """Called at each change with False, and with True once what is set is entered."""

    booked: Callable[[], BookedOrder | None] = staticmethod(lambda: None)
    """Gives the order of the book that is open in the panel, if there is one: its papers are for that rider."""

    def bind(self, **parts: Part) -> None:
        """Bind fields of the state to the parts that hold them."""
        self.form = Form(**parts)
        self.form.watch(self._changed)

    def refresh(self) -> object:
        """Work everything out again from `state` and show it."""
        raise NotImplementedError

    def read(self) -> Any:
        """The state that is set in the rows; from now on lengths are shown and typed in the unit that is chosen."""
        if self.unit is not None:
            with self.writing():
                self.form.show_in(self.unit.value)
        return replace(self.state, **self.form.values())

    def become(self, state: Any) -> None:
        """Take `state`, and work everything out from it."""
        self.state = state
        self._follow(entered=False)  # first, so that a kernel that dies meanwhile has kept what was set
        self.refresh()
        self._follow(entered=False)  # and what that set

    def entered(self) -> None:
        """What is set is entered: it is no draft any more."""
        self._follow(entered=True)

    def brought_back(self) -> None:
        """The rows were set to a draft: work everything out from them."""
        self.become(self.read())

    def _follow(self, *, entered: bool) -> None:
        for follower in self.followers:
            follower(entered)

    def show(self, state: Any) -> None:
        """Set every row to `state`, and work everything out from it."""
        with self.writing():
            self.form.show(state)
        self.become(state)

    @heard
    def _changed(self, _: dict) -> None:
        self.become(self.read())


def _single(parts: Any) -> Iterator[Any]:
    # the rows, choosers and boxes, those of forms and of joined parts too
    for part in parts:
        if isinstance(part, Form):
            yield from _single(part.parts.values())
        elif isinstance(part, Joined):
            yield from _single(part.parts)
        else:
            yield part
