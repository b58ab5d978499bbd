"""The panel in which a bar is bent by your own hands: hook, mark, roll, stop, pull."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import ipywidgets as widgets

from barmath.bending.bench_film import Film
from barmath.bending.failing import Failing
from barmath.bending.holds import LEFT, RIGHT
from barmath.panels.bench_view import BenchView
from barmath.panels.by_hand_state import (
    PULLS,
    HandState,
    film_of_hand,
    hand_html,
    hand_readout,
    picture_words,
    pieces,
    planned,
)
from barmath.panels.entry import NumberRow, button, choice_row
from barmath.panels.form import FormPanel
from barmath.panels.ordered_bar import OrderedBarRows
from barmath.panels.shell import column, guarded, heard, kept, settled
from barmath.refusal import BendError
from barmath.saving import real_path
from barmath.shop.cautions import BENDING
from barmath.shop.shop_file import Shop, shop_from_file

ANY_MARK = 0.0
"""Is picked in the list of marks where the line at the die is none of them."""


class HandPanel(FormPanel):
    """One pull after the other, and the bar that comes out beside the ghost of the bar ordered.

    Attributes
    ----------
    state : HandState
    readout : HandReadout
    """

    state: HandState

    cautions = BENDING

    refused, fits = "Cannot be done", "Can be done"

    def __init__(self, shop: Shop, state: HandState | None = None) -> None:
        super().__init__()
        self.shop, self.state = shop, state or HandState()
        self.view = BenchView()
        self._build()
        self.state = self.read()
        self.refresh()

    def _build(self) -> None:
        s, sides = self.state, [("left end", LEFT), ("right end", RIGHT)]
        self.ordered = OrderedBarRows(self.shop, s.bar, controls=False)
        self.hooked, hook_row = choice_row("In the hook", sides, s.hooked)
        self.named, named_row = choice_row("Marks", [("any line", ANY_MARK)], ANY_MARK)
        self.named.observe(self._marked, "value")
        self.mark = NumberRow("Line at the die", s.mark_mm, 0.0, 1200.0, 1.0)
        self.piece, piece_row = choice_row("Finder on", pieces(s), s.piece)
        self.reading = NumberRow("Finder shows", s.reading_deg, -60.0, 60.0, 0.5, length=False)
        self.leads, leads_row = choice_row("Flat leads to the", [("left", LEFT), ("right", RIGHT)], s.leads)
        self.stop = NumberRow("Stop", s.stop_deg, 1.0, 90.0, 0.5, length=False)
        self.bars = widgets.Checkbox(s.bars, description="The bar beside the one ordered", indent=False)
        self.bind(
            bar=self.ordered, hooked=self.hooked, mark_mm=self.mark, piece=self.piece, reading_deg=self.reading,
            leads=self.leads, stop_deg=self.stop, bars=self.bars,
        )  # fmt: skip
        self.pull, self.undo = button("Pull", self._pull), button("Undo one pull", self._undo)
        self.by_plan, self.again = button("Set it as planned", self._plan), button("Start again", self._start_again)
        moving = widgets.HBox([self.pull, self.undo, self.by_plan, self.again])
        moving.layout = widgets.Layout(flex_flow="row wrap", grid_gap="6px")
        self.said = widgets.HTML()
        rows = (hook_row, named_row, self.mark.widget, piece_row, self.reading.widget, leads_row, self.stop.widget)
        beside = self.view.beside(moving, *rows, self.message, self.bars, self.said)
        self.fill(beside, column("The bar ordered", *self.ordered.widgets))

    def refresh(self) -> None:
        """Work everything out again from `state` and show it."""
        self.readout = readout = hand_readout(self.shop, self.state)
        with self.writing():
            self._show_choices()
        done = readout.made is not None
        if done and self.state.bars:
            self.view.bar.chapters = []  # nothing moves while the bars are shown
            self.view.picture.show_bars(readout.made, readout.ghost)  # type: ignore[arg-type]
        elif done:
            self._show_film(film_of_hand(self.state.pulls, readout, moving=True)[0], None, at_end=True)
        elif readout.film is not None:
            self._show_film(readout.film, readout.failing)
        self.view.bar.says = picture_words(self.state, readout)
        self.said.value = hand_html(self.state, readout)
        failed = f"it cannot be pulled like this: {readout.failing.words}" if readout.failing else ""
        self.say(refusal=readout.refusal or failed)

    def _show_choices(self) -> None:
        options = pieces(self.state)
        if tuple(options) != tuple(self.piece.options):
            self.piece.options = options
        self.piece.value = self.state.piece if self.state.piece in dict(options).values() else options[0][1]
        marks = [("any line", ANY_MARK), *self.readout.marks]
        if tuple(marks) != tuple(self.named.options):
            self.named.options = marks
        near = [place for _, place in self.readout.marks if abs(place - self.state.mark_mm) < 0.06]
        self.named.value = near[0] if near else ANY_MARK
        self.undo.disabled = not self.state.pulls
        self.pull.disabled = self.by_plan.disabled = len(self.state.pulls) >= PULLS
        self.bars.disabled = len(self.state.pulls) < PULLS

    def _show_film(self, film: Film, failing: Failing | None, *, play: bool = False, at_end: bool = False) -> None:
        step = film.chapters[0].step
        titles = [f"Pull {number + 1}" for number in range(PULLS)]
        self.view.show(self.readout.setup, film, {step: failing} if failing else {}, titles)
        self.view.bar.go(film.length_s if at_end else 0.0, film.length_s - 0.01 if play else 0.0)

    @heard
    def _marked(self, change: dict) -> None:
        if change["new"]:
            self.mark.value = round(change["new"], 1)

    @settled
    def _pull(self, _: object) -> None:
        pulls = (*self.state.pulls, self.state.pull(self.shop))
        film, failing = film_of_hand(pulls, self.readout, moving=True)
        if failing is not None:
            raise BendError(f"choose another end for the hook, or another bend first: {failing.words}")
        self.state = replace(self.state, pulls=pulls, piece=len(pulls) if len(pulls) < PULLS else self.state.piece)
        self.readout = hand_readout(self.shop, self.state)
        with self.writing():
            self._show_choices()
        self._show_film(film, None, play=True)
        self.view.bar.says = picture_words(self.state, self.readout)
        self.said.value = hand_html(self.state, self.readout)
        self.say(good=f"pull {len(pulls)} is made" + ("; set the next one" if len(pulls) < PULLS else ""))

    @guarded
    def _undo(self, _: object) -> None:
        *before, last = self.state.pulls
        leads = self.shop.bender.turns if last.toward_die else (LEFT if self.shop.bender.turns == RIGHT else RIGHT)
        self.show(replace(
            self.state, pulls=tuple(before), hooked=last.hooked, mark_mm=last.mark_mm, stop_deg=last.stop_deg,
            piece=-1 if last.read_on is None else last.read_on, reading_deg=last.reading_deg, leads=leads, bars=False,
        ))  # fmt: skip

    @guarded
    def _plan(self, _: object) -> None:
        self.show(planned(self.shop, self.state, self.readout))

    @guarded
    def _start_again(self, _: object) -> None:
        self.show(replace(self.state, pulls=(), piece=-1, bars=False))

    def show(self, state: HandState) -> None:
        """Set every row to `state`, and work everything out from it."""
        with self.writing():
            self.piece.options = pieces(state)
        super().show(state)


def hand_panel(shop_file: str | Path, state: HandState | None = None) -> widgets.VBox:
    """The panel of your own hands for a notebook; running its cell again shows the same one."""
    return kept(HandPanel, (real_path(shop_file), state), lambda: HandPanel(shop_from_file(shop_file), state))
