"""The picture of each step of the derivation: only what the step uses, true to scale, and a text that says it too."""

from __future__ import annotations

from collections.abc import Callable

from barmath.closed_forms.records import Recipe
from barmath.pictures.sketch import sketch_svg
from barmath.pictures.step_parts import StepPicture
from barmath.pictures.steps_backward import BACKWARD
from barmath.pictures.steps_forward import FORWARD

WIDTH, HIGHEST, LOWEST, LETTERS = 400.0, 205.0, 100.0, 13.0
ASIDE, ABOVE = 16.0, 24.0
"""Room for names at the rims of a picture, both sides together."""

STEP_PICTURES: dict[str, Callable[[Recipe], StepPicture]] = {**FORWARD, **BACKWARD}
"""The picture of each step, by the name that `derivation.lines` has for it."""


def step_svg(step: str, recipe: Recipe) -> str:
    """The picture of a step of the lesson for one bar, as an SVG element.

    Parameters
    ----------
    step : str
        A name of `STEP_PICTURES`.
    recipe : Recipe
        Of plain numbers.
    """
    picture = STEP_PICTURES[step](recipe)
    low, high = picture.sketch.box_mm()
    size = high - low
    height = min(max((WIDTH - ASIDE) * size[1] / size[0] + ABOVE, LOWEST), HIGHEST)
    return sketch_svg(picture.sketch, picture.words, WIDTH, float(height), LETTERS)
