"""Bars that were not made by this shop's recipe, as recipes: from published figures, and from a bar as it came out.

A bar's figures (rise, width, sweeps) do not say how it was bent, so its bends are taken as equal. The end of the bar is
then exact, and the way of the tube to it is a guess.
"""

from __future__ import annotations

import numpy as np

from barmath.checking.bench_readings import Reading
from barmath.checking.inspection import FEWEST_READINGS, Inspection, inspect
from barmath.closed_forms.forward import risers_upright
from barmath.closed_forms.inverse import recipe_from_order
from barmath.closed_forms.records import Order, Recipe, check_single, checked_stop
from barmath.records.bent_bar import BentBar
from barmath.refusal import BendError, checked_single

_BENDS_DEG = np.arange(6.0, 80.5, 0.5)


def recipe_from_figures(order: Order, radius_mm: float, bend_deg: float, outer_bend_deg: float | None = None) -> Recipe:
    """A bar with the rise, width and sweeps of `order` (one order), bends near `bend_deg` and finished radius
    `radius_mm`.

    With `outer_bend_deg` the outer bends differ from the inner ones by as much as that from `bend_deg`; without it all
    four are equal.

    Parameters
    ----------
    order : Order
        One (no arrays): rise, width and sweeps.
    radius_mm : number
        Finished.
    bend_deg : number
        Finished bend that is asked for; the nearest that makes the bar is taken.
    outer_bend_deg : number or None
        Of the outer bends, where they differ.

    Raises
    ------
    BendError
        No bend from 6 to 80 degrees makes such a bar. The refusal is that of the bend that was asked for.

    Examples
    --------
    >>> from barmath import Order
    >>> from barmath.rider import recipe_from_figures
    >>> print(f"riser {recipe_from_figures(Order(90.0, 14.0, 800.0), 90.0, 25.0).straight_mm:.1f} mm")
    riser 141.0 mm
    """
    check_single(order)
    wanted = checked_single("bend", checked_stop(bend_deg), "deg")
    apart = (
        0.0 if outer_bend_deg is None else checked_single("outer bend", checked_stop(outer_bend_deg), "deg") - wanted
    )
    refused: BendError | None = None
    for bend in sorted({wanted, *map(float, _BENDS_DEG)}, key=lambda one: abs(one - wanted)):
        try:
            return recipe_from_order(order, radius_mm, bend, bend + apart if apart else None)
        except BendError as refusal:
            refused = refused or refusal
    assert refused is not None
    raise refused


def recipe_from_inspection(found: Inspection) -> Recipe:
    """The bar that an inspection found, with the mean of its two sides; its twist and its sides' differences are left
    out. The marks are where they were. So a larger inner bend has taken its arc out of the clamp flat.

    Examples
    --------
    >>> from barmath.checking import Reading, inspect
    >>> from barmath.rider import recipe_from_inspection
    >>> from barmath.shop import order_seven_recipe
    >>> read = {"rise_left": 90.0, "rise_right": 90.0, "backsweep_left": 15.0, "backsweep_right": 15.0}
    >>> found = inspect(order_seven_recipe(), [Reading(key, value) for key, value in read.items()])
    >>> print(f"rolled by {recipe_from_inspection(found).roll_deg:.1f} deg")
    rolled by 30.7 deg
    """
    recipe, parts = found.recipe, found.parts_deg
    outer, inner = 0.5 * float(parts[0] + parts[3]), 0.5 * float(parts[1] + parts[2])
    roll = 0.5 * float(parts[4] + parts[5])
    arc = np.radians(1.0) * float(recipe.radius_mm)
    return Recipe(
        clamp_flat_mm=recipe.clamp_flat_mm - 2.0 * arc * (inner - recipe.inner_bend_deg),
        inner_bend_deg=inner,
        straight_mm=recipe.straight_mm,
        roll_deg=roll,
        outer_bend_deg=outer,
        grip_mm=recipe.grip_mm - arc * (outer - recipe.outer_bend_deg),
        radius_mm=recipe.radius_mm,
    )


def recipe_from_record(bar: BentBar, radius_mm: float, bend_deg: float) -> Recipe:
    """The bar of a record as it was read, risers upright; as it was ordered where too little was read to tell.

    `radius_mm` is the finished radius, `bend_deg` the bend where no stop was written down; if a bar has two stops,
    its bends differ as much as the stops.

    Parameters
    ----------
    bar : BentBar
    radius_mm : number
        Finished.
    bend_deg : number
        The bend, where no stop was written down.

    Raises
    ------
    BendError
        The bar cannot be made so. Its readings fit no bar.

    Examples
    --------
    >>> from barmath.records import demo_bars
    >>> from barmath.rider import recipe_from_record
    >>> from barmath.shop import BEND_DEG, DIE, TUBE
    >>> bar = demo_bars(TUBE, DIE, count=1)[0]
    >>> print(f"{recipe_from_record(bar, 105.0, BEND_DEG).straight_mm:.0f} mm of riser")
    87 mm of riser
    """
    stops = (bar.inner_stop_deg or bend_deg, bar.outer_stop_deg if bar.inner_stop_deg else None)
    ordered = risers_upright(recipe_from_figures(bar.order, radius_mm, *stops))
    if len(bar.readings) < FEWEST_READINGS:
        return ordered
    return recipe_from_inspection(inspect(ordered, [Reading(key, value) for key, value in bar.readings.items()]))
