"""The picture of a bar in space in a panel: the plot, names on demand, and what it says in words."""

from __future__ import annotations

import ipywidgets as widgets
import numpy as np

from barmath.arrays import Array
from barmath.panels.film_bar import FILM_CLASS
from barmath.panels.space_view import SPACE_CLASS, SpaceView
from barmath.panels.together import Together
from barmath.pictures.bar_in_space import BarPicture
from barmath.pictures.stage import FOV_DEG, SHOWN_MM, TARGET_MM, TOWARD_EYE, Stage
from barmath.space.drawing import Drawing

IN_COLOURS = "bends orange, marks red, the bar before grey"
TITLE = f"In space, as the rider sees it: {IN_COLOURS}"

_WORDS_MM = 60.0
"""Room for words above and below."""


class StageView:
    """A `Stage` with what is around it, in `box`.

    Parameters
    ----------
    stage : Stage
        Its thing named "ghost", if it has one, is taken away when nothing moves.
    title : str
        Above it.
    choices : widgets
        In a row below it.
    """

    def __init__(self, stage: Stage, title: str, *choices: widgets.Widget) -> None:
        self.care = SpaceView(
            stage.plot,
            stage.things.get("ghost"),
            target_mm=TARGET_MM,
            toward_eye=TOWARD_EYE,
            shown_mm=SHOWN_MM,
            fov_deg=FOV_DEG,
        )
        self.together = Together([*stage.things.values(), self.care, stage.plot])
        row = widgets.HBox(choices, layout=widgets.Layout(flex_flow="row wrap", grid_gap="0 24px", overflow="visible"))
        self.box = widgets.VBox([widgets.HTML(f"<h4>{title}</h4>"), stage.plot, row, self.care, self.together])
        for name in (FILM_CLASS, SPACE_CLASS):
            self.box.add_class(name)

    def tell(self, says: str, points_mm: Array | None = None) -> None:
        """Say what is shown; all of `points_mm` (n, 3) must be in the picture."""
        with self.care.hold_sync():  # one message
            if points_mm is not None:
                wide, high = SHOWN_MM
                tall = 2.0 * float(np.abs(points_mm[:, 2] - TARGET_MM[2]).max()) + _WORDS_MM
                self.care.shown = [max(wide, 1.2 * float(np.ptp(points_mm[:, 0]))), max(high, tall)]
            self.care.moved += 1
            self.care.says = says


class BarView(StageView):
    """The view of one bar.

    Parameters
    ----------
    picture : BarPicture, optional
        Which shows it.
    title, choices : see `StageView`
    """

    def __init__(self, picture: BarPicture | None = None, title: str = TITLE, *choices: widgets.Widget) -> None:
        self.picture = picture or BarPicture()
        self.names = choice("Names of the parts")
        self.names.observe(lambda change: self.picture.name_parts(change["new"]), "value")
        super().__init__(self.picture, title, self.names, *choices)

    def show(self, bar: Drawing | None, words: dict[str, str], says: str = "") -> None:
        """Put a bar, or nothing, into the picture; `words` are texts in it, and are said where `says` is empty."""
        with self.together.one_message():
            self.picture.show(bar, words)
            if bar is None:
                self.tell("No bar: this order cannot be made")
            else:
                measures = f": {', '.join(words.values())}" if words else ""
                self.tell(says or f"The bar in space{measures}", self.picture.seen_mm(bar))


def choice(words: str) -> widgets.Checkbox:
    """A box to tick below a picture."""
    return widgets.Checkbox(False, description=words, indent=False, layout=widgets.Layout(width="auto"))
