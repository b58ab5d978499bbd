"""How the strength check of a bar changes with its tube and its width."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from barmath.arrays import Array
from barmath.closed_forms.inverse import recipe_from_order
from barmath.closed_forms.records import Order, check_single
from barmath.refusal import BendError, checked_single
from barmath.shop.stock import Tube
from barmath.strength.load_cases import LoadCase
from barmath.strength.screen import STEM_WIDTH_MM, loaded_bar


def first_yield_by_width(
    order: Order,
    radius_mm: float,
    bend_deg: float,
    tubes: Sequence[Tube],
    widths_mm: Array,
    case: LoadCase,
    stem_width_mm: float = STEM_WIDTH_MM,
    outer_bend_deg: float | None = None,
) -> Array:
    """Largest elastic stress over the tube's nominal yield, (tubes, widths), without a crossbar.

    The order is taken at each width in turn; nan where the bar cannot be made, or cannot be loaded.

    Parameters
    ----------
    order : Order
        One; its width is replaced.
    radius_mm, bend_deg : number
        Finished radius and inner bend.
    tubes : sequence of Tube
    widths_mm : array (m,)
    case : LoadCase
    stem_width_mm : number
        Of the stem's clamp along the bar.
    outer_bend_deg : number, optional
        Finished outer bend; None: the same as the inner one.

    Raises
    ------
    BendError
        A width is outside the standard's range, or one number is asked for and more are given.

    Examples
    --------
    >>> from barmath.shop import BEND_DEG, ORDER, TUBE
    >>> from barmath.strength import LATERAL, first_yield_by_width
    >>> first_yield_by_width(ORDER, 105.0, BEND_DEG, [TUBE], [760.0, 800.0], LATERAL).round(2)
    array([[1.2 , 1.28]])
    """
    check_single(order, *tubes)
    widths = [checked_single("width", width, "mm") for width in widths_mm]
    stem_width_mm = checked_single("width of the stem", stem_width_mm, "mm", above=0.0)
    radius_mm, bend_deg = checked_single("radius", radius_mm, "mm"), checked_single("bend", bend_deg, "deg")
    if outer_bend_deg is not None:
        outer_bend_deg = checked_single("outer bend", outer_bend_deg, "deg")
    found = np.full((len(tubes), len(widths)), np.nan)
    for column, width in enumerate(widths):
        wanted = replace(order, width_mm=width)
        for row, tube in enumerate(tubes):
            try:
                recipe = recipe_from_order(wanted, radius_mm, bend_deg, outer_bend_deg)
                bar = loaded_bar(recipe, tube, case, stem_width_mm=stem_width_mm)
            except BendError:
                continue
            found[row, column] = bar.elastic_mpa / tube.material.yield_mpa
    return found
