"""The bend that leaves equally much straight and grip, if the stop is not given."""

from __future__ import annotations

import numpy as np

from barmath.arrays import Array
from barmath.closed_forms.records import Order, check_single, checked_stop
from barmath.planning.candidates import NO_SWEEP_NEEDS, candidates
from barmath.planning.design_map import grid_shape
from barmath.planning.golden import highest_between
from barmath.planning.ranking import ENOUGH_SPARE_MM
from barmath.planning.rules import LARGEST_STEM_ROLL_DEG
from barmath.refusal import Number, checked_single
from barmath.shop.offsets import tools_from_die
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die, check_die_takes_tube

MOST_ROLL_DEG = 60.0
"""Roll at which a straight lifts the grip half as much as without roll: a riser's lever is sin a cos phi."""

COARSE_DEG = 1.0
"""Steps in which `even_bend_deg` looks through the bends."""

_CLEAR_MM = 9e4  # more than any straight or grip is long


def even_bend_deg(
    order: Order, tube: Tube, die: Die, least_deg: float, most_deg: float, *, setback_mm: Number | None = None
) -> Array:
    """The bend on `die` with equally much spare straight and spare grip, for each order of a grid, as finished.

    A larger bend makes a steeper riser: a shorter straight and a longer grip. So the largest bend is taken that leaves
    both equally much. If that is less than 10 mm, the bend is taken that leaves most. Where none makes the bar it is
    the one that misses by least. Bends are looked through degree by degree, and then between neighbours to 0.01
    degrees. Some are left out: they need more roll than `MOST_ROLL_DEG`, or lean in the stem so far that
    `barmath.planning.rules` warns of it.

    Parameters
    ----------
    order, tube, die, setback_mm
        As in `barmath.planning.design_map.every_combination`.
    least_deg, most_deg : number
        Finished bends between which it is looked for.

    Raises
    ------
    BendError
        Tube or die hold arrays, the die does not take the tube, or a bend is outside its range.

    Examples
    --------
    >>> from barmath import Die, Order, Tube
    >>> from barmath.planning import even_bend_deg
    >>> print(f"{even_bend_deg(Order(90, 14, 800, None, 60, 170), Tube(22.225, 1.651), Die(101.6), 10, 50):.1f} deg")
    32.5 deg
    """
    check_single(tube, die)
    least, most = (checked_single("bend", checked_stop(bend), "deg") for bend in (least_deg, most_deg))
    most = checked_single("largest bend", most, "deg", least=least)
    count = 2 + int((most - least) / COARSE_DEG)
    bends = np.linspace(least, most, count)
    tools = tools_from_die(tube, die)

    def margins(bend: Array) -> tuple[Array, Array]:
        bars = candidates(order, tube, tools, bend, setback_mm=setback_mm, needed=NO_SWEEP_NEEDS)
        good = (np.abs(bars.roll_deg) <= MOST_ROLL_DEG) & (np.abs(bars.stem_roll_deg) <= LARGEST_STEM_ROLL_DEG)
        left_out = bend - 2.0 * _CLEAR_MM  # it rises with the bend, so that of two left out the larger one is nearer
        straight, grip = bars.straight_mm - die.least_straight_mm, bars.grip_mm - order.controls_mm
        return np.where(good, straight, left_out), np.where(good, grip, left_out)

    check_die_takes_tube(tube, die)
    straight, controls = margins(bends.reshape(-1, *[1] * len(grid_shape(order, setback_mm))))
    spare, longer = np.minimum(straight, controls), (straight >= controls) & (straight > -_CLEAR_MM)
    even = count - 1 - longer[::-1].argmax(axis=0)  # the last place where the straight has more left than the grip
    enough = np.take_along_axis(spare, even[None], axis=0)[0] >= ENOUGH_SPARE_MM
    at = np.where(enough, even, spare.argmax(axis=0))
    low, high = bends[np.where(enough, at, np.maximum(at - 1, 0))], bends[np.minimum(at + 1, count - 1)]

    def worth(bend: Array) -> Array:
        straight, controls = margins(bend)
        return np.where(enough, -np.abs(straight - controls), np.minimum(straight, controls))

    return highest_between(worth, low, high)
