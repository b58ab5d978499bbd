"""The picture of a bar in space in a panel: the plot, names on demand, and what it says in words."""

from __future__ import annotations

import ipywidgets as widgets
import numpy as np

from barmath.panels.film_bar import FILM_CLASS
from barmath.panels.space_view import SPACE_CLASS, SpaceView
from barmath.pictures.bar_in_space import FOV_DEG, SHOWN_MM, TARGET_MM, TOWARD_EYE, BarPicture
from barmath.space.drawing import Drawing

TITLE = "<h4>In space, as the rider sees it: bends orange, marks red, the bar before grey</h4>"


class BarView:
    """A `BarPicture` with what is around it, in `box`."""

    def __init__(self) -> None:
        self.picture = BarPicture()
        self.care = SpaceView(
            self.picture.plot,
            self.picture.things["ghost"],
            target_mm=TARGET_MM,
            toward_eye=TOWARD_EYE,
            shown_mm=SHOWN_MM,
            fov_deg=FOV_DEG,
        )
        self.names = widgets.Checkbox(
            False, description="Names of the parts", indent=False, layout=widgets.Layout(width="auto")
        )
        self.names.observe(lambda change: self.picture.name_parts(change["new"]), "value")
        self.box = widgets.VBox([widgets.HTML(TITLE), self.picture.plot, self.names, self.care])
        for name in (FILM_CLASS, SPACE_CLASS):
            self.box.add_class(name)

    def show(self, bar: Drawing | None, words: dict[str, str]) -> None:
        """Put a bar, or nothing, into the picture; `words` are the texts of its dimensions."""
        self.picture.show(bar, words)
        measures = ", ".join(words.values())
        with self.care.hold_sync():  # one message
            if bar is not None:
                wide, high = SHOWN_MM
                self.care.shown = [max(wide, 1.2 * float(np.ptp(bar.points[:, 0]))), high]
            self.care.moved += 1
            self.care.says = f"The bar in space: {measures}" if bar is not None else "No bar: this order cannot be made"
