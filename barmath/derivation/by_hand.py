"""The lines of a step with one bar's numbers in them, as somebody with a pocket calculator writes them down."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import RADIAN
from barmath.closed_forms.forward import clamp_reading_deg, shape_from_recipe
from barmath.closed_forms.marks import marks_from_recipe
from barmath.closed_forms.records import Recipe
from barmath.derivation.lines import DEFINED, LINES, Line
from barmath.derivation.written import typeset, worth
from barmath.space.centerline import bar_points

FUNCTIONS = {name: getattr(math, name) for name in ("sin", "cos", "tan", "asin", "acos", "atan", "sqrt")}
ANGLES = {"a", "b", "phi", "psi", "beta", "upsilon", "gamma", "kappa", "delta", "half_turn"}
LENGTHS = {"c", "s", "g", "R", "t_a", "t_b", "l_1", "l_2", "rise", "setback", "half_width", "across"}

LETTER_WORDS = {
    "c": "half the clamp flat", "a": "inner bend", "s": "straight of the riser", "b": "outer bend",
    "g": "straight of the grip", "phi": "roll between the bends", "R": "radius of the finished bends",
    "beta": "backsweep", "upsilon": "upsweep",
}  # fmt: skip


class HandLine(NamedTuple):
    """One line: what it is about, its letters, and the same with numbers; `numbers` is empty for letters only."""

    says: str
    letters: str
    numbers: str


class LetterRow(NamedTuple):
    """A letter in LaTeX, what it is, and its number for a bar."""

    letter: str
    what: str
    number: str


def letter_rows(recipe: Recipe) -> tuple[LetterRow, ...]:
    """The letters of the lesson, and what each is for a bar; the reading of the angle finder is a question there."""
    known = hand_values(recipe)
    rows = []
    for name, what in LETTER_WORDS.items():
        number = _printed(known[name], name).replace(r"^\circ", "°")
        rows.append(LetterRow(typeset(name), what, number if name in ANGLES else f"{number} mm"))
    return (*rows, LetterRow(typeset("kappa"), "reading of the angle finder", "a question"))


def hand_lines(step: str, recipe: Recipe) -> tuple[HandLine, ...]:
    r"""The lines of a step in LaTeX, with the numbers of a bar.

    Parameters
    ----------
    step : str
        A name of `LINES`.
    recipe : Recipe
        Of plain numbers.

    Examples
    --------
    >>> from barmath.derivation.by_hand import hand_lines
    >>> from barmath.shop.order_seven import order_seven_recipe
    >>> hand_lines("arc", order_seven_recipe())[0].numbers
    '105 \\cdot \\sin 30^\\circ = 52.50\\ \\mathrm{mm}'
    """
    known = hand_values(recipe, rounded=False)
    if step == "stem":
        known["psi"] = math.atan(known["d_up"] / known["d_back"])
    printed = {name: _printed(value, name) for name, value in known.items()}
    return tuple(HandLine(line.says, _letters(line), _numbers(line, known, printed)) for line in LINES[step])


def hand_results(step: str, recipe: Recipe) -> dict[str, float]:
    """What the lines of a step come to if every number is rounded first, by the name on their left: mm and degrees.

    Examples
    --------
    >>> from barmath.derivation.by_hand import hand_results
    >>> from barmath.shop.order_seven import order_seven_recipe
    >>> round(hand_results("legs", order_seven_recipe())["l_1"], 2)
    157.1
    """
    known = hand_values(recipe)
    scale = {"deg": RADIAN}
    return {
        line.sides[0]: worth(line.sides[-1], known, FUNCTIONS, np.array) / scale.get(line.unit or "", 1.0)
        for line in LINES[step]
        if line.unit is not None
    }


def small_steps(recipe: Recipe, count: int = 20_000) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Bar end and last heading, (3,) each as right, back, up: so many small steps along the tube, added up.

    The headings come from `barmath.space.centerline`, which handles any tube in space and knows no
    formula of the lesson.
    """
    half = float(marks_from_recipe(recipe).end_mm)
    _, frames = bar_points(recipe, half + half / count * (np.arange(count) + 0.5))
    to_back = np.array([1.0, -1.0, 1.0])
    return frames[:, :, 0].sum(axis=0) * half / count * to_back, frames[-1, :, 0] * to_back


def hand_values(recipe: Recipe, *, rounded: bool = True) -> dict[str, float]:
    """What each name is for a bar, in radians and mm; `rounded` to what the page shows, for a calculator."""
    shape = shape_from_recipe(recipe)
    given = {
        "a": recipe.inner_bend_deg * RADIAN, "b": recipe.outer_bend_deg * RADIAN, "phi": recipe.roll_deg * RADIAN,
        "psi": recipe.stem_roll_deg * RADIAN, "c": recipe.clamp_flat_mm / 2, "s": recipe.straight_mm,
        "g": recipe.grip_mm, "R": recipe.radius_mm, "beta": shape.backsweep_deg * RADIAN,
        "upsilon": shape.upsweep_deg * RADIAN, "kappa": clamp_reading_deg(recipe) * RADIAN, "rise": shape.rise_mm,
        "setback": shape.setback_mm, "half_width": shape.width_mm / 2, "half_turn": math.pi,
    }  # fmt: skip
    given["gamma"] = math.atan(math.hypot(math.tan(given["beta"]), math.tan(given["upsilon"])))
    known = {name: _shown(float(value), name) if rounded else float(value) for name, value in given.items()}
    for name, text in DEFINED.items():
        value = worth(text, known, FUNCTIONS, np.array)
        whole = isinstance(value, np.ndarray) or not rounded
        known[name] = value if whole else _shown(float(value), name)
    return known


def _digits(name: str) -> int:
    # what a pocket calculator needs so that the last line is good to 0.01: sines and their like have five
    return 3 if name == "delta" else 2 if name in ANGLES | LENGTHS else 5


def _shown(value: float, name: str) -> float:
    scale = RADIAN if name in ANGLES else 1.0
    return round(value / scale, _digits(name)) * scale


def _printed(value: float | np.ndarray, name: str) -> str:
    if isinstance(value, np.ndarray):
        return _vector(value)
    number = f"{value / (RADIAN if name in ANGLES else 1.0):.{_digits(name)}f}".rstrip("0").rstrip(".")
    return number + (r"^\circ" if name in ANGLES else "")


def _vector(value: np.ndarray) -> str:
    return "(" + r",\; ".join(f"{part:.4f}".rstrip("0").rstrip(".") for part in value) + ")"


def _letters(line: Line) -> str:
    return " = ".join(typeset(side) for side in line.sides)


def _numbers(line: Line, known: Mapping[str, float], printed: Mapping[str, str]) -> str:
    if line.unit is None:
        return ""
    value = worth(line.sides[-1], known, FUNCTIONS, np.array)
    with_numbers = typeset(line.sides[-1], printed)
    if isinstance(value, np.ndarray):
        return f"{with_numbers} = {_vector(value)}"
    if line.unit == "deg":
        digits = _digits(line.sides[0])
        return rf"{with_numbers} = {float(value) / RADIAN:.{min(digits, 3)}f}^\circ"
    return rf"{with_numbers} = " + (rf"{value:.2f}\ \mathrm{{mm}}" if line.unit == "mm" else f"{value:.5f}")
