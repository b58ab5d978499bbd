"""The part of the record's panel that calibrates: what the bars say, and the buttons that write it for the shop."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from barmath.panels.calibration_state import calibration_html, calibrations, changes, measured_in_file
from barmath.panels.entry import button
from barmath.panels.record_state import ALL_BATCHES, RecordState, tools
from barmath.refusal import BendError
from barmath.shop.shop_calibration import put_into_file
from barmath.shop.shop_file import Shop

Pressed = Callable[[object], None]


class CalibrationRows:
    """The calibration found in the bars that are looked up, and its buttons `use`, `use_anyway` and `undo`.

    `answer` is what a button did or asks, beside the buttons: the panel's message may be out of sight there.
    """

    def __init__(self, use: Pressed, use_anyway: Pressed, undo: Pressed) -> None:
        self._worked_from: tuple | None = None
        self.said = widgets.HTML()
        self.use = button("Write this calibration into the shop's file", use)
        self.use_anyway = button("Yes, let this calibration count instead", use_anyway)
        self.undo = button("Take the last calibration out again", undo)
        self.answer = widgets.HTML()
        self.box = widgets.VBox([self.said, self.use, self.answer, self.use_anyway, self.undo])

    def show(self, shop: Shop, state: RecordState, bars: Any, bends: Any) -> tuple[Any, Any]:
        """Show what those bars and test bends say; the theory and the calibration."""
        asked = (*tools(shop, state), bars, bends)
        if asked != self._worked_from:  # the order, which changes more often, is not asked
            self._worked_from, self._worked = asked, calibrations(shop, state, bars, bends)
        theory, self.found = self._worked
        self.said.value = calibration_html(self.found, shop, state)
        self.use_anyway.layout.display, self.answer.value = "none", ""
        return theory, self.found

    def write(self, shop_file: Path, shop: Shop, state: RecordState, *, ask: bool) -> tuple[Shop, str]:
        """The shop with the calibration in its file, and what changes; BendError asks where one was measured before."""
        tube, die = tools(shop, state)
        batch = "" if state.batch == ALL_BATCHES else state.batch
        calibration = self.found.for_shop(die.name, tube.name, datetime.date.today().isoformat(), batch)
        said, measured = changes(shop, state, calibration), measured_in_file(shop, state)
        if ask and measured:
            self.use_anyway.layout.display = ""
            raise BendError(f"say below if this is to count instead: {shop_file.name} has {' and '.join(measured)}. "
                            f"It changes {said}")  # fmt: skip
        return put_into_file(shop_file, calibration), said
