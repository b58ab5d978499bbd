"""A recipe as one line of text: printed on a sheet, and typed back in where the sheet is found in a drawer.

The line is words and numbers in pairs. It ends with two check figures, so that a misread figure is noticed:

    order 7 tube 22.225 x 1.651 die 101.6 clamp 60 inner 30 riser 100.5 roll 29 outer 30 grip 184.25 radius 105 ...

The line of a bar of no order begins with the tube.
Each number is written with as many figures as bring back exactly the number it was. A sheet first rounds the recipe to
hundredths (`to_hundredths`), finer than any bench. So its line is short enough to type.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from barmath.closed_forms.records import Recipe, check_single
from barmath.refusal import BendError, checked_count, checked_single, quoted
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die

WORDS = (
    "order", "tube", "x", "die", "clamp", "inner", "riser", "roll", "outer", "grip", "radius", "stem",
)  # fmt: skip
"""The words of the line, first to last: a number comes after each. The first is left out for a bar of no order."""

LARGEST_ORDER, LONGEST_LINE = 999_999, 400
"""The largest number of an order, and letters of a line: both far beyond what a shop writes."""

CHECK = "check"

_NUMBER = re.compile(r"-?\d+(\.\d+)?(e-?\d+)?", re.ASCII)
_LETTERS = "0123456789.-e"
_MODULUS = 97  # the largest prime number of two figures

_FIELDS = (
    "clamp_flat_mm", "inner_bend_deg", "straight_mm", "roll_deg", "outer_bend_deg", "grip_mm", "radius_mm",
    "stem_roll_deg",
)  # fmt: skip
"""Fields of the recipe, sorted as the last eight words."""


@dataclass(frozen=True)
class WrittenRecipe:
    """What a line says: the order's number (0: of no order), the tube's size, the die's radius (mm), and the recipe."""

    number: int
    tube_diameter_mm: float
    tube_wall_mm: float
    die_radius_mm: float
    recipe: Recipe


def text_from_recipe(
    number: int, tube_diameter_mm: float, tube_wall_mm: float, die_radius_mm: float, recipe: Recipe
) -> str:
    r"""One line that says how a bar is made, with two check figures at its end.

    Parameters
    ----------
    number : whole number, 0 to 999 999
        Of the order; 0 for a bar of no order.
    tube_diameter_mm, tube_wall_mm, die_radius_mm : numbers above 0
    recipe : Recipe
        One recipe (no arrays).

    Raises
    ------
    BendError
        The recipe holds arrays: take one bar at a time. A number is outside its range.

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.bending import text_from_recipe
    >>> line = text_from_recipe(7, 22.225, 1.651, 101.6, Recipe(60, 30, 100.5, 29, 30, 184.25, 105))
    >>> print(line.replace(" riser", "\nriser"))
    order 7 tube 22.225 x 1.651 die 101.6 clamp 60 inner 30
    riser 100.5 roll 29 outer 30 grip 184.25 radius 105 stem 0 check 85
    """
    check_single(recipe)
    order = checked_count("order number", number, least=0, most=LARGEST_ORDER)
    numbers = [
        checked_single("tube diameter", tube_diameter_mm, "mm", above=0.0),
        checked_single("tube wall", tube_wall_mm, "mm", above=0.0),
        checked_single("die radius", die_radius_mm, "mm", above=0.0),
        *(float(getattr(recipe, name)) for name in _FIELDS),
    ]
    line = " ".join(f"{word} {_written(value)}" for word, value in zip(WORDS[1:], numbers, strict=True))
    line = f"{WORDS[0]} {order} {line}" if order else line
    return f"{line} {CHECK} {check_figures(line)}"


def recipe_from_text(text: str) -> WrittenRecipe:
    """What a line of `text_from_recipe` says; capitals and further spaces do not matter.

    Raises
    ------
    BendError
        The text is no line of a sheet, or its check figures show that something was misread.

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.bending import recipe_from_text, text_from_recipe
    >>> recipe = Recipe(60, 30, 100.5, 29, 30, 184.25, 105)
    >>> recipe_from_text(text_from_recipe(7, 22.225, 1.651, 101.6, recipe)).recipe == recipe
    True
    """
    if not isinstance(text, str):
        raise BendError(f"type the line of a sheet, which begins with: order 7 tube; got {quoted(text)}")
    if len(text) > LONGEST_LINE:
        raise BendError(f"type one line only: a line has at most {LONGEST_LINE} letters, got {len(text)}")
    parts = text.lower().split()
    words = (*(WORDS[1:] if parts[:1] == ["tube"] else WORDS), CHECK)
    for place, word in enumerate(words):
        if parts[2 * place : 2 * place + 1] != [word]:
            found = parts[2 * place] if len(parts) > 2 * place else "nothing more"
            raise BendError(f'type "{word}" as word {2 * place + 1} of the line: got {quoted(found)}')
        number = "".join(parts[2 * place + 1 : 2 * place + 2])
        if not _NUMBER.fullmatch(number):
            raise BendError(
                f'type a number after "{word}", with a point and no comma: got {quoted(number or "nothing")}'
            )
    if len(parts) > 2 * len(words):
        raise BendError(f"end the line after its check figures: {quoted(parts[2 * len(words)])} came after them")
    line, check = " ".join(parts[:-2]), parts[-1]
    if check != check_figures(line):
        raise BendError(
            f"read the line again: the check figures do not fit it, so a figure is wrong (got {quoted(check)})"
        )
    said = dict(zip(words, map(float, parts[1::2]), strict=True))
    whole = checked_count("order number", said.get("order", 0.0), least=0, most=LARGEST_ORDER)
    recipe = Recipe(**dict(zip(_FIELDS, (said[word] for word in WORDS[4:]), strict=True)))
    return WrittenRecipe(whole, said["tube"], said["x"], said["die"], recipe)


def line_of_bar(number: int, tube: Tube, die: Die, recipe: Recipe) -> str:
    """The line of a bar in hundredths, as sheets and pages show it.

    Parameters
    ----------
    number : whole number, 0 to 999 999
    tube : Tube
    die : Die
    recipe : Recipe

    Raises
    ------
    BendError
        Recipe, tube or die hold arrays, or the number is outside its range.

    Examples
    --------
    >>> from barmath import Die, Recipe, Tube
    >>> from barmath.bending import line_of_bar
    >>> line_of_bar(7, Tube(22.225, 1.651), Die(101.6), Recipe(60, 30, 100.4971, 29, 30, 184.25, 105))[:45]
    'order 7 tube 22.225 x 1.651 die 101.6 clamp 6'
    """
    check_single(tube, die)
    return text_from_recipe(
        number, tube.outside_diameter_mm, tube.wall_mm, die.centerline_radius_mm, to_hundredths(recipe)
    )


def to_hundredths(recipe: Recipe) -> Recipe:
    """The recipe in hundredths of mm and degrees, as a sheet prints it.

    Raises
    ------
    BendError
        The recipe holds arrays: take one bar at a time.

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.bending import to_hundredths
    >>> to_hundredths(Recipe(60, 30, 100.4971, 29, 30, 184.25, 105)).straight_mm
    100.5
    """
    check_single(recipe)
    return Recipe(**{name: round(float(getattr(recipe, name)), 2) for name in _FIELDS})


def check_figures(line: str) -> str:
    """Two figures by which one misread figure of the line, or two neighbours exchanged, are always noticed.

    The figures, points and signs of the numbers are the digits of one large number in base 21. The check is what is
    left of it after division by 97. This is a prime number, so that no single change and no exchange of neighbours
    keeps the check.
    """
    left = 0
    for number in line.split()[1::2]:
        for letter in number + " ":
            left = (left * 21 + 1 + (_LETTERS + " ").index(letter)) % _MODULUS
    return f"{left:02d}"


def _written(value: float) -> str:
    # the shortest figures that give the number back, without a needless ".0"
    return repr(value + 0.0).removesuffix(".0").replace("e+", "e")
