"""Rise against die: windows over bends and radii, and which die makes which of a shop's orders."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from barmath.arrays import Array
from barmath.closed_forms.records import Order, Recipe, check_single, checked_bend
from barmath.planning.candidates import candidates, rise_limits_mm, stop_pairs_deg
from barmath.planning.limits import checked_stock
from barmath.refusal import BendError, checked, checked_single
from barmath.shop.offsets import tools_from_die, tools_from_dies
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die, check_die_takes_tube
from barmath.space.centerline import bar_points, bends_from_recipe, nodes_of_bends


@dataclass(frozen=True)
class WindowCurve:
    """Rise window against the bend for one die, by every limit: arrays over `bend_deg`.

    The rises are nan where no rise at all can be made: the bend is too small for the sweeps, is beyond the furthest
    stop, and so on. Where `lowest_mm` is above `highest_mm` the window is empty.
    """

    bend_deg: Array
    lowest_mm: Array
    highest_mm: Array

    @property
    def open(self) -> NDArray[np.bool_]:
        """Where there is a window."""
        return self.lowest_mm <= self.highest_mm


class HalfBar(NamedTuple):
    """What fills the half width on one die: its name, the pieces in mm where there is a bar, and a remark."""

    name: str
    pieces: dict[str, float] | None
    remark: str


def window_curve(
    order: Order,
    tube: Tube,
    die: Die,
    bends_deg: ArrayLike,
    stock_length_mm: float = np.inf,
    *,
    outer_bends_deg: ArrayLike | None = None,
) -> WindowCurve:
    """The rise window of one `order`'s width and sweeps on `die`, springback in, for each finished bend (degrees).

    If outer bends are given, it is from the lowest to the highest rise of one with that inner bend.

    Parameters
    ----------
    order : Order
    tube : Tube
    die : Die
    bends_deg : array
    stock_length_mm : number
        Longest tube in the rack.
    outer_bends_deg : array, optional
        Finished outer bends to try with each of `bends_deg`. None: the outer bends are the inner ones.

    Raises
    ------
    BendError
        Order, tube or die hold arrays, or the die does not take the tube. A bend or the stock is outside its range.

    Examples
    --------
    >>> from barmath import Die, Order, Tube
    >>> from barmath.planning import window_curve
    >>> curve = window_curve(Order(90, 14, 800, None, 60, 170), Tube(22.225, 1.651), Die(101.6), [20, 25])
    >>> curve.lowest_mm.round(1).tolist()
    [59.6, 64.6]
    """
    check_single(order, tube, die)
    check_die_takes_tube(tube, die)
    bends, stock_length_mm = _checked_bends(bends_deg), checked_stock(stock_length_mm, single=True)
    tools = tools_from_die(tube, die)
    if outer_bends_deg is None:
        return WindowCurve(bends, *rise_limits_mm(candidates(order, tube, tools, bends, stock_length_mm))[:2])
    outer = _checked_bends(outer_bends_deg).ravel()
    pairs = candidates(order, tube, tools, bends[..., None], stock_length_mm, outer_bend_deg=outer)
    lowest, highest, _ = rise_limits_mm(pairs)
    open_ = lowest <= highest
    low, high = np.where(open_, lowest, np.inf).min(axis=-1), np.where(open_, highest, -np.inf).max(axis=-1)
    none = ~open_.any(axis=-1)
    return WindowCurve(bends, np.where(none, np.nan, low), np.where(none, np.nan, high))


def makeable(
    orders: Sequence[Order],
    tube: Tube,
    dies: Sequence[Die],
    bends_deg: ArrayLike,
    stock_length_mm: float = np.inf,
    *,
    two_stops: bool = False,
) -> NDArray[np.bool_]:
    """Which of the `orders` each die can make with one of the stops, by every limit: shape (orders, dies).

    Parameters
    ----------
    orders : sequence of Order
        One record each (no arrays).
    tube : Tube
    dies : sequence of Die
        One record each. The springback is the measured one where a die has it, else the theory's. A die that cannot
        bend the tube makes nothing.
    bends_deg : array
        Finished bends to try.
    stock_length_mm : number
        Longest tube in the rack.
    two_stops : bool
        Whether inner and outer bends may have a stop each: then every pair of the bends is tried.

    Raises
    ------
    BendError
        Tube, orders or dies hold arrays. A bend or the stock is outside its range.

    Examples
    --------
    >>> from barmath import Die, Order, Tube
    >>> from barmath.planning import makeable
    >>> orders = [Order(90, 14, 800, None, 60, 170), Order(140, 14, 800)]
    >>> makeable(orders, Tube(22.225, 1.651), [Die(101.6)], [25, 30]).tolist()
    [[True], [False]]
    """
    check_single(tube, *orders, *dies)
    bends, stock = _checked_bends(bends_deg).ravel(), checked_stock(stock_length_mm, single=True)
    if not dies:
        return np.zeros((len(orders), 0), bool)
    tools, (inner, outer) = tools_from_dies(tube, dies), stop_pairs_deg(bends, two_stops)
    made = [candidates(order, tube, tools, inner, stock, outer_bend_deg=outer).feasible.any(axis=1) for order in orders]
    return np.array(made).reshape(len(orders), len(dies))


@dataclass(frozen=True)
class DieChoice:
    """What each candidate radius would do for the orders a shop has had.

    share_alone, share_added : (radii,) shares 0..1 of the orders, with that die alone and added to the shop's dies.
    share_now : share that the shop's dies make.
    """

    radii_mm: Array
    share_alone: Array
    share_added: Array
    share_now: float

    @property
    def best_radius_mm(self) -> float:
        """The radius that adds most; of several, the gentlest."""
        return float(self.radii_mm[np.flatnonzero(self.share_added == self.share_added.max())[-1]])


def die_choice(
    orders: Sequence[Order],
    tube: Tube,
    dies: Sequence[Die],
    radii_mm: ArrayLike,
    bends_deg: ArrayLike,
    least_straight_mm: float,
    stock_length_mm: float = np.inf,
    *,
    two_stops: bool = False,
) -> DieChoice:
    """Which die to buy next for `orders`.

    Parameters
    ----------
    orders : sequence of Order
        What the shop was asked for.
    tube : Tube
    dies : sequence of Die
        What the shop has, with what it has measured for this tube.
    radii_mm : array (radii,)
        Candidates. A new die is taken to be cut for `tube`, and its springback is the theory's. The stop reaches as far
        on it as on the shop's own dies, because it belongs to the bender.
    bends_deg : array
        Finished bends to try.
    least_straight_mm : number
        What the tooling can hold on a new die.
    stock_length_mm : number
        Longest tube in the rack.
    two_stops : bool
        As in `makeable`.

    Raises
    ------
    BendError
        There is no order to choose by. Tube, orders or dies hold arrays, or a number is outside its range.

    Examples
    --------
    >>> from barmath import Die, Order, Tube
    >>> from barmath.planning import die_choice
    >>> order = Order(90, 14, 800, None, 60, 170)
    >>> choice = die_choice([order], Tube(22.225, 1.651), [Die(101.6)], [80, 100], [20, 25],
    ...     least_straight_mm=65)
    >>> choice.radii_mm.tolist()
    [80.0, 100.0]
    """
    if not orders:
        raise BendError("a die must be chosen by orders, got none: list some in the file of orders")
    check_single(tube, *dies)
    radii = np.atleast_1d(checked("die radius", radii_mm, "mm", above=0.0)).ravel()
    least = checked_single("least straight", least_straight_mm, "mm", least=0.0)
    new = [new_die(tube, dies, float(radius), least) for radius in radii]
    alone = makeable(orders, tube, new, bends_deg, stock_length_mm, two_stops=two_stops)
    now = np.asarray(makeable(orders, tube, dies, bends_deg, stock_length_mm, two_stops=two_stops).any(axis=1))
    return DieChoice(radii, alone.mean(axis=0), (alone | now[:, None]).mean(axis=0), float(now.mean()))


def new_die(tube: Tube, dies: Sequence[Die], radius_mm: float, least_straight_mm: float, name: str = "") -> Die:
    """A die that the shop does not have yet: cut for `tube`, with the furthest stop of the `dies` that it has.

    Parameters
    ----------
    tube : Tube
    dies : sequence of Die
    radius_mm : number above 0
        Of the groove's centre line.
    least_straight_mm : number, at least 0
    name : str

    Raises
    ------
    BendError
        Tube or dies hold arrays, or radius or straight is outside its range.

    Examples
    --------
    >>> from barmath import Die, Order, Tube
    >>> from barmath.planning import new_die
    >>> new_die(Tube(22.225, 1.651), [Die(101.6, largest_bend_deg=60)], 100, least_straight_mm=65).largest_bend_deg
    60.0
    """
    check_single(tube, *dies)
    stop = max((float(die.largest_bend_deg) for die in dies), default=Die.largest_bend_deg)
    return Die(radius_mm, least_straight_mm, 0.0, stop, float(tube.outside_diameter_mm), name=name)


PIECES = ("half clamp flat", "inner arc", "straight", "outer arc", "grip")


def across_half_width(recipe: Recipe) -> dict[str, float]:
    """How far each piece of the right half of an upright bar reaches across, mm: they add up to half the width.

    The inner arc reaches R sin a, the straight s cos a. The outer arc reaches R [sin b cos a + (1 - cos b) sin a cos
    phi]: see `barmath.derivation.forward.tangent_points`.

    Raises
    ------
    BendError
        The recipe holds arrays: take one bar at a time.

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.planning import across_half_width
    >>> across = across_half_width(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105))
    >>> print({piece: round(reach, 1) for piece, reach in across.items()})
    {'half clamp flat': 30.0, 'inner arc': 52.5, 'straight': 87.3, 'outer arc': 51.6, 'grip': 178.6}
    """
    check_single(recipe)
    bends = bends_from_recipe(recipe)
    points, _ = bar_points(recipe, nodes_of_bends(bends).stations_mm)
    right = np.concatenate([[0.0], points[5:, 0]])
    return dict(zip(PIECES, map(float, np.diff(right)), strict=True))


def _checked_bends(bends_deg: ArrayLike) -> Array:
    return np.atleast_1d(checked("bend", checked_bend("bend", bends_deg), "deg", below=90.0))
