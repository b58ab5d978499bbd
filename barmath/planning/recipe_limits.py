"""The limits of one recipe, or of an array of them: what a shop refuses and what it warns of."""

from __future__ import annotations

from dataclasses import fields

import numpy as np

from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.records import Order, Recipe
from barmath.planning.candidates import candidates
from barmath.planning.limits import Limit, any_refused, bends_needed_deg, checked_stock, limits_from_making, with_window
from barmath.planning.rules import Making
from barmath.refusal import BendError, Number, check_shapes
from barmath.shop.offsets import tools_from_die
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die, check_die_takes_tube


def limits_from_recipe(
    recipe: Recipe, order: Order, tube: Tube, die: Die, stock_length_mm: Number = np.inf
) -> tuple[Limit, ...]:
    """Every limit of one recipe (or an array of them), made for `order` from `tube` on `die`.

    Parameters
    ----------
    recipe : Recipe
    order : Order
    tube : Tube
    die : Die
    stock_length_mm : number or array
        Longest tube in the rack.

    Raises
    ------
    BendError
        The die does not take the tube, or the shapes do not fit together. The stock is not above 0 mm.

    Examples
    --------
    >>> from barmath.planning import limits_from_recipe
    >>> from barmath.shop import ORDER, TUBE, Die, order_seven_recipe
    >>> limits = limits_from_recipe(order_seven_recipe(), ORDER, TUBE, Die(101.6))
    >>> [limit.key for limit in limits][:3]
    ['radius', 'springback', 'turn']
    """
    check_die_takes_tube(tube, die)
    stock_length_mm = checked_stock(stock_length_mm)
    check_shapes(
        "recipe, order, tube, die and stock", stock_length_mm,
        *(getattr(record, field.name) for record in (recipe, order, tube, die) for field in fields(record)),
    )  # fmt: skip
    inner, outer = recipe.inner_bend_deg, recipe.outer_bend_deg
    outer = inner if outer is inner or np.array_equal(outer, inner) else outer
    tools = tools_from_die(tube, die)
    least, apart = bends_needed_deg(order, inner, outer)
    making = Making(
        order=order,
        tube=tube,
        tools=tools,
        stock_length_mm=stock_length_mm,
        inner_bend_deg=inner,
        outer_bend_deg=outer,
        least_bend_deg=least,
        most_apart_deg=apart,
        upsweep_deg=shape_from_recipe(recipe).upsweep_deg,
        radius_mm=recipe.radius_mm,
        straight_mm=recipe.straight_mm,
        grip_mm=recipe.grip_mm,
        roll_deg=recipe.roll_deg,
        stem_roll_deg=recipe.stem_roll_deg,
    )
    limits = limits_from_making(making)
    if not any_refused(limits):
        return limits
    ordered = candidates(  # only they know which rises would do
        order, tube, tools._replace(radius_mm=recipe.radius_mm), inner, stock_length_mm,
        outer_bend_deg=None if outer is inner else outer,
    )  # fmt: skip
    return with_window(limits, ordered.window, ordered.ends.moved)


def refusals(limits: tuple[Limit, ...]) -> list[str]:
    """Sentences of the refusing limits that one recipe (no arrays) breaks.

    Examples
    --------
    >>> from barmath.planning import limits_from_recipe, refusals
    >>> from barmath.shop import ORDER, TUBE, Die, order_seven_recipe
    >>> limits = limits_from_recipe(order_seven_recipe(), ORDER, TUBE, Die(101.6), stock_length_mm=700)
    >>> len(refusals(limits))
    1
    """
    return [limit.sentence() for limit in limits if limit.refuses and limit.broken.any()]


def warnings(limits: tuple[Limit, ...]) -> list[str]:
    """Sentences of the warning limits that one recipe (no arrays) breaks.

    Examples
    --------
    >>> from barmath.planning import limits_from_recipe, warnings
    >>> from barmath.shop import ORDER, TUBE, Die, order_seven_recipe
    >>> limits = limits_from_recipe(order_seven_recipe(), ORDER, TUBE, Die(101.6))
    >>> warnings(limits)
    []
    """
    return [limit.sentence() for limit in limits if not limit.refuses and limit.broken.any()]


def refuse_unmakeable(limits: tuple[Limit, ...]) -> None:
    """Raise BendError with the first refusal of one recipe (no arrays), if there is one.

    Examples
    --------
    >>> from barmath.planning import limits_from_recipe, refuse_unmakeable
    >>> from barmath.shop import ORDER, TUBE, Die, order_seven_recipe
    >>> limits = limits_from_recipe(order_seven_recipe(), ORDER, TUBE, Die(101.6))
    >>> refuse_unmakeable(limits)  # it can be made: nothing is raised
    """
    for sentence in refusals(limits):
        raise BendError(sentence)
