"""The picture of the bench in a panel: the plot, buttons for the eye, names on demand, and the bar of its film."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import ipywidgets as widgets

from barmath.bending.bench_film import Film
from barmath.bending.failing import Failing
from barmath.panels.entry import button
from barmath.panels.film_bar import FILM_CLASS, FilmBar
from barmath.pictures.bench import BenchPicture
from barmath.pictures.eyes import EYES
from barmath.shop.setup import Setup


class BenchView:
    """A `BenchPicture` with what is around it.

    Attributes
    ----------
    picture : BenchPicture
    bar : FilmBar
    """

    def __init__(self) -> None:
        self.picture = BenchPicture()
        self.bar = FilmBar(self.picture.plot)
        self.names = widgets.Checkbox(
            False, description="Names of the parts", indent=False, layout=widgets.Layout(width="auto")
        )
        self.names.observe(lambda change: self.picture.name_parts(change["new"]), "value")
        eyes = [button(where.capitalize(), partial(self._look, where)) for where in EYES]
        top = widgets.HBox([*eyes, self.names], layout=widgets.Layout(flex_flow="row wrap", grid_gap="6px"))
        self.box = widgets.VBox([top, self.picture.plot, self.bar])
        self.box.add_class(FILM_CLASS)

    def _look(self, where: str, _: object) -> None:
        self.picture.look(where)

    def beside(self, *words: widgets.Widget) -> widgets.VBox:
        """The picture, and `words` beside it that scroll by themselves, so that they never push it away."""
        said = widgets.VBox(words)
        said.add_class("barmath-words")
        box = widgets.VBox([self.box, said])
        box.add_class("barmath-bench")
        return box

    def show(self, setup: Setup | None, film: Film | None, failing: dict[int, Failing], titles: Sequence[str]) -> None:
        """Put a film into the picture, with the titles of its steps; nothing if there is none."""
        self.picture.show(setup, film, failing)
        self.bar.chapters = [
            {"step": one.step, "title": titles[one.step], "words": one.motion, "start": one.start_s, "end": one.end_s}
            for one in (film.chapters if film else ())
        ]
