"""The draft of a page: what is set in its rows and not entered yet, kept as it changes and brought back."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from datetime import datetime
from uuid import uuid4

import ipywidgets as widgets
from traitlets import TraitError

from barmath.panels.form import Part
from barmath.records.drafts import Draft, Drafts
from barmath.refusal import BendError

MARK = '<b class="barmath-draft">draft</b>'


class PageDraft:
    """The draft of one page.

    Parameters
    ----------
    page : str
        Which panel it is.
    drafts : Drafts
    parts : sequence of Part
        The rows with the values that are kept.
    watch : function of a sentence
        Shows what the builder should know.
    enters : str
        What enters what is set by hand, as in "Keep it"; empty where nothing does.

    Attributes
    ----------
    mark : HTML
        Says that there is a draft, while there is one.
    """

    def __init__(
        self, page: str, drafts: Drafts, parts: Sequence[Part], watch: Callable[[str], None], enters: str = ""
    ) -> None:
        self.page, self.drafts, self.parts, self._watch, self._enters = page, drafts, parts, watch, enters
        self.mark = widgets.HTML(layout=widgets.Layout(width="auto", margin="0"))
        self._owner, self._lock = uuid4().hex, threading.RLock()
        self._number = self._revision = 0
        self._entered: list = []
        self._written: list = []
        self._owners: set[str] = set()
        self._known: set[str] = set()

    def newest_number(self) -> int | None:
        """The order of the newest draft of this page (0: of none), or None if there is no draft."""
        return next((one.number for one in reversed(self._found())), None)

    def begin(self, number: int, revision: int = 0) -> None:
        """What is set now is entered: changes from here on are a draft of that order."""
        with self._lock:
            self._number, self._revision = number, revision
            self._entered = self._written = self._values()
            self._owners = {self._owner}
            self._known = {one.owner for one in self._found(number)}
            self.mark.value = ""

    def bring_back(self, show: Callable[[], None]) -> str:
        """Set the rows to the newest draft of the order, and say so; empty if it has no draft.

        `show` works everything out from the rows. A row that offers what another one sets takes its value after that.
        """
        found = self._found(self._number)
        if not found:
            return ""
        draft = found[-1]
        left = list(zip(self.parts, draft.values, strict=False)) if len(draft.values) == len(self.parts) else None
        for _ in range(2):
            if left:
                left = [(part, value) for part, value in left if not _taken(part, value)]
                show()
        if left is None or left:
            for part, value in zip(self.parts, self._entered, strict=True):
                part.value = value
            show()
            return f"enter it again: the draft of {draft.when} does not suit this page and this shop any more"
        self._owners.add(draft.owner)
        self._written, self.mark.value = self._values(), MARK
        if self._written == self._entered:  # it was entered, and its kernel died before the draft was out
            self.drop()
            return ""
        words = f"this is your draft of {draft.when}, which is not entered yet"
        if draft.revision != self._revision:
            words += ". The order has changed in the book since"
        enters = "Keep it" if self._number else self._enters
        return f"{words}. {f'{enters}, or press' if enters else 'Press'} Open it again to drop it"

    def changed(self) -> None:
        """Write what is set now, before anything is worked out from it.

        That takes two milliseconds, so no slider waits for it. While the kernel is busy, a page keeps back all values
        but the last one.
        """
        with self._lock:
            values = self._values()
            if values == self._entered:
                self.drop()
            elif values != self._written:
                self.mark.value = MARK
                self._write(values)

    def _write(self, values: list) -> None:
        when = datetime.now().isoformat(" ", "minutes")
        try:
            others = self.drafts.keep(Draft(self.page, self._number, self._owner, when, self._revision, values))
        except BendError as refusal:
            self._watch(str(refusal))
            return
        self._written = values
        if others := others - self._known - {self._owner}:
            self._known |= others
            self._watch("another page has a draft of the same order. Both are kept: enter only one of them")

    def drop(self) -> None:
        """Take the draft out again: it is entered, or not wanted any more."""
        with self._lock:
            self._written = self._entered
            if not self.mark.value:
                return
            self.mark.value = ""
            try:
                self.drafts.drop(self.page, self._number, self._owners)
            except BendError as refusal:
                self._watch(str(refusal))

    def _values(self) -> list:
        return [part.value for part in self.parts]

    def _found(self, number: int | None = None) -> list[Draft]:
        try:
            return self.drafts.of_page(self.page, number)
        except BendError as refusal:
            self._watch(str(refusal))
            return []


def _taken(part: Part, value: object) -> bool:
    try:
        part.value = value
    except (TraitError, BendError, ValueError, TypeError):
        return False
    return True
