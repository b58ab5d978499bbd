"""Every bar that a shop could make of an order, and whether it can: orders x dies x bends, with all limits.

The one kernel of planning. Ways, maps, the choice of a die, windows, charts and tables are views of it: they differ
only in what they lay along the axes of its arrays.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import RADIAN, Array
from barmath.closed_forms.forward import half_tangent
from barmath.closed_forms.legs import Legs, legs_for_sweeps, setback_legs, straight_and_grip
from barmath.closed_forms.records import Order, Recipe
from barmath.planning.limits import Limit, Window, any_refused, bends_needed_deg, limits_from_making, with_window
from barmath.planning.rules import REFUSING, Making, accepts_upsweep
from barmath.planning.windows import Ends, ends_of_rise
from barmath.refusal import BendError, Number, as_number
from barmath.shop.offsets import Tools
from barmath.shop.stock import Tube

CAN_BE_MADE = 0
"""Code of a bar that breaks no limit; 1 and up count the refusing rules of `barmath.planning.rules`."""

NO_SWEEP_NEEDS = (0.0, np.inf)
"""What a sweep asks of the bends where it is not ordered: nothing."""

MM_PER_DEG = 3.5
"""How far the end of a grip 200 mm long moves for each degree of upsweep: what a miss in degrees counts in mm."""

_TRIED_MM, _STEP_MM = 50.0, 100.0  # a rise, and how much more: two are enough, because every margin is linear in it


class BendPair(NamedTuple):
    """Finished angles of the inner and of the outer bends, numbers or arrays."""

    inner_deg: Number
    outer_deg: Number


@dataclass(frozen=True)
class Candidates(Making):
    """Bars, and what the limits say of each; every number is one, or an array that broadcasts with the others.

    `legs` are the directions of riser and grip. An inner and an outer bend have a field each, and so have their stops.
    """

    legs: Legs
    windows: bool

    @cached_property
    def limits(self) -> tuple[Limit, ...]:
        """Every limit, held against every bar."""
        asked = self.windows and any_refused(self._held)
        return with_window(self._held, self.window, self.ends.moved) if asked else self._held

    @cached_property
    def _held(self) -> tuple[Limit, ...]:
        return limits_from_making(self)

    @cached_property
    def window(self) -> Window:
        """The rises that every limit allows, of bars with these bends and these directions of riser and grip."""
        lowest, highest, lowest_by, highest_by, *_ = self.ends
        return Window(lowest, highest, self.order.rise_mm, lowest_by, highest_by)

    @cached_property
    def ends(self) -> Ends:
        """The same with what sets them, and the limits that a rise keeps or breaks."""
        at = self.order.rise_mm
        return ends_of_rise(self._held, _with_rise(self, at + _STEP_MM)._held, at, _STEP_MM, self.shape)

    @cached_property
    def shape(self) -> tuple[int, ...]:
        """What everything broadcasts to."""
        ordered = (getattr(self.order, field.name) for field in fields(self.order))
        held = (number for limit in self._held for number in (limit.value, limit.bound))
        return np.broadcast_shapes(*map(np.shape, (*(number for number in ordered if number is not None), *held)))

    def limit(self, key: str) -> Limit:
        """The limit of that key."""
        return next(limit for limit in self.limits if limit.key == key)

    @property
    def keys(self) -> tuple[str, ...]:
        """What the codes 1, 2, ... mean."""
        return REFUSING

    @cached_property
    def binding(self) -> NDArray[np.uint8]:
        """Code of the first refusing limit that is broken, `CAN_BE_MADE` where none is."""
        codes = np.zeros(self.shape, np.uint8)
        put_binding(codes, self.limits)
        return codes

    @property
    def feasible(self) -> NDArray[np.bool_]:
        """Where a bar can be made."""
        return self.binding == CAN_BE_MADE

    @property
    def warned(self) -> NDArray[np.uint8]:
        """How many warning limits are broken."""
        counts = np.zeros(self.shape, np.uint8)
        put_warned(counts, self.limits)
        return counts

    @property
    def spare_mm(self) -> Array:
        """Spare straight or grip, whichever is less; below 0 where it does not fit."""
        return self.full(spare_mm(self))

    @property
    def marks_mm(self) -> tuple[Array, Array]:
        """Marks of the inner and of the outer bend, mm from the tube's middle, the die's offset in them."""
        start = 0.5 * self.order.clamp_flat_mm + self.radius_mm * self.inner_bend_deg * RADIAN
        inner, outer = self.tools.marks_mm(start, start + self.straight_mm)
        return self.full(inner), self.full(outer)

    @property
    def clamp_reading_deg(self) -> Array:
        """What the angle finder on the clamp flat shows for the outer bends."""
        sin_a = half_tangent(self.inner_bend_deg * RADIAN)[1]
        return self.full(np.arcsin(sin_a * np.sin(self.legs.phi)) / RADIAN)

    def recipe(self, place: tuple[int, ...] = ()) -> Recipe:
        """The recipe of one bar. It raises BendError with the reason if it cannot be made."""
        code = int(self.binding[place])
        if code != CAN_BE_MADE:
            raise BendError(self.limit(self.keys[code - 1]).sentence(place))
        return Recipe(*(float(self.full(number)[place]) for number in (
            self.order.clamp_flat_mm, self.inner_bend_deg, self.straight_mm, self.roll_deg, self.outer_bend_deg,
            self.grip_mm, self.radius_mm, self.stem_roll_deg,
        )))  # fmt: skip

    def full(self, number: Number) -> Array:
        """A number of every bar, as an array of the whole shape."""
        return np.broadcast_to(number, self.shape)


def candidates(
    order: Order,
    tube: Tube,
    tools: Tools,
    bend_deg: Number,
    stock_length_mm: Number = np.inf,
    *,
    outer_bend_deg: Number | None = None,
    setback_mm: Number | None = None,
    legs: Legs | None = None,
    needed: tuple[Number, Number] | None = None,
    windows: bool = False,
) -> Candidates:
    """Bars with given bends, elementwise over whatever the order, the tools and the bends hold.

    No bar is refused here: if there is no bar, its numbers are nan, and its limits say why.

    Parameters
    ----------
    order : Order
        Any of its fields may be an array.
    tube : Tube
    tools : Tools
        Of one die, or of several (`barmath.shop.offsets.tools_from_dies`).
    bend_deg : number or array
        Finished angle of the inner bends, and of the outer ones where `outer_bend_deg` is not given.
    stock_length_mm : number or array
        Longest tube in the rack.
    outer_bend_deg : number or array, optional
        Finished angle of the outer bends. None: the same as the inner ones.
    setback_mm : number or array, optional
        How far the bar ends must be behind the clamp axis, instead of a backsweep, risers upright.
    legs : Legs, optional
        Where the directions are known already, and so with `needed`: see `barmath.planning.limits.bends_needed_deg`.
    windows : bool
        Whether a limit that is broken is to say the rises that would do. With a setback it says none, because another
        rise then has other sweeps.

    Raises
    ------
    BendError
        A setback is no number, or is asked for together with an upsweep.

    Examples
    --------
    >>> from barmath import Die, Order, Tube
    >>> from barmath.planning import candidates
    >>> from barmath.shop.offsets import tools_from_die
    >>> tube, die = Tube(22.225, 1.651), Die(101.6)
    >>> order = Order(90, 14, 800, None, 60, 170)
    >>> bars = candidates(order, tube, tools_from_die(tube, die), bend_deg=np.array([25, 30]))
    >>> bars.feasible.tolist()
    [False, True]
    """
    radius = tools.radius_mm
    half_width, half_flat = 0.5 * order.width_mm, 0.5 * order.clamp_flat_mm
    outer = bend_deg if outer_bend_deg is None else outer_bend_deg
    least, apart = needed or (bends_needed_deg(order, bend_deg, outer) if setback_mm is None else NO_SWEEP_NEEDS)
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        legs = legs or grid_legs(order, setback_mm, radius, bend_deg, outer_bend_deg)
        straight, grip, _ = straight_and_grip(legs, order.rise_mm, half_width, half_flat, radius)
        return Candidates(
            order=order,
            tube=tube,
            tools=tools,
            stock_length_mm=stock_length_mm,
            inner_bend_deg=bend_deg,
            outer_bend_deg=outer,
            least_bend_deg=least,
            most_apart_deg=apart,
            upsweep_deg=_upsweep_deg(order, legs),
            radius_mm=radius,
            straight_mm=straight,
            grip_mm=grip,
            roll_deg=legs.phi / RADIAN,
            stem_roll_deg=legs.psi / RADIAN,
            legs=legs,
            windows=windows and setback_mm is None,
        )


def stop_pairs_deg(bends: Array, two_stops: bool) -> tuple[Array, Array | None]:
    """Inner and outer bends of every pair of the `bends`; with one stop only, these and None."""
    if not two_stops:
        return bends, None
    return np.repeat(bends, bends.size), np.tile(bends, bends.size)


def grid_legs(
    order: Order, setback_mm: Number | None, radius: Number, bend_deg: Number, outer_bend_deg: Number | None = None
) -> Legs:
    """Directions of riser and grip of bars with those bends; nan where they make no bar of the sweeps."""
    outer = None if outer_bend_deg is None else outer_bend_deg * RADIAN
    if setback_mm is not None:
        if order.upsweep_deg is not None:
            raise BendError("setback and upsweep must not be ordered together, got both: leave one of them open")
        half_span = 0.5 * (order.width_mm - order.clamp_flat_mm)
        setback = as_number("setback", setback_mm, "mm")
        return setback_legs(setback, order.rise_mm, half_span, radius, bend_deg * RADIAN, outer)
    upsilon = None if order.upsweep_deg is None else order.upsweep_deg * RADIAN
    return legs_for_sweeps(order.backsweep_deg * RADIAN, upsilon, bend_deg * RADIAN, outer)


def are_accepted(order: Order, inner_deg: Number, outer_deg: Number) -> NDArray[np.bool_]:
    """Whether those bends turn the grips as the order accepts, whatever its lengths are.

    Parameters
    ----------
    order : Order
    inner_deg, outer_deg : number or array
        Finished bends.
    """
    with np.errstate(invalid="ignore"):
        legs = grid_legs(order, None, 0.0, inner_deg, outer_deg)
    if order.upsweep_deg is not None:
        return np.isfinite(legs.phi)
    return accepts_upsweep(order, _upsweep_deg(order, legs))


def _upsweep_deg(order: Order, legs: Legs) -> Number:
    if order.upsweep_deg is not None:
        return order.upsweep_deg
    return np.arctan2(legs.grip_up, legs.grip_right) / RADIAN


def rise_limits_mm(bars: Candidates) -> tuple[Array, Array, NDArray[np.uint8]]:
    """Lowest and highest rise that every refusing limit allows, mm, and the code of a limit that allows none.

    At given bends every margin is linear in the rise, so two rises show where each limit begins and ends. A limit that
    no rise can satisfy has its code given (`CAN_BE_MADE` if there is none). The rises are nan there. Where lowest >
    highest two limits leave nothing between them.

    Parameters
    ----------
    bars : Candidates
        Their own rise is not used.

    Returns
    -------
    lowest, highest, code : arrays of the shape of `bars`

    Examples
    --------
    >>> from barmath import Die, Order, Tube
    >>> from barmath.planning import candidates, rise_limits_mm
    >>> from barmath.shop.offsets import tools_from_die
    >>> tube, die = Tube(22.225, 1.651), Die(101.6)
    >>> bars = candidates(Order(90, 14, 800, None, 60, 170), tube, tools_from_die(tube, die), bend_deg=30)
    >>> lowest, highest, _ = rise_limits_mm(bars)
    >>> print(f"{lowest:.1f} to {highest:.1f} mm")
    73.8 to 97.2 mm
    """
    one, other = (_with_rise(bars, rise) for rise in (_TRIED_MM, _TRIED_MM + _STEP_MM))
    shape = np.broadcast_shapes(one.shape, other.shape)
    ends = ends_of_rise(one.limits, other.limits, _TRIED_MM, _STEP_MM, shape)
    return ends.lowest, ends.highest, ends.never


def _with_rise(bars: Candidates, rise_mm: Number) -> Candidates:
    outer = None if bars.outer_bend_deg is bars.inner_bend_deg else bars.outer_bend_deg
    return candidates(
        replace(bars.order, rise_mm=rise_mm), bars.tube, bars.tools, bars.inner_bend_deg, bars.stock_length_mm,
        outer_bend_deg=outer, legs=bars.legs, needed=(bars.least_bend_deg, bars.most_apart_deg),
    )  # fmt: skip


def spare_mm(bars: Candidates) -> Number:
    """Spare straight or grip, whichever is less.

    Examples
    --------
    >>> from barmath import Die, Order, Tube
    >>> from barmath.planning import candidates, spare_mm
    >>> from barmath.shop.offsets import tools_from_die
    >>> tube, die = Tube(22.225, 1.651), Die(101.6)
    >>> bars = candidates(Order(90, 14, 800, None, 60, 170), tube, tools_from_die(tube, die), bend_deg=30)
    >>> print(f"{spare_mm(bars):.1f} mm")
    14.3 mm
    """
    return np.minimum(bars.limit("straight").margin, bars.limit("controls").margin)


def left_mm(bars: Candidates) -> Number:
    """Straight or grip that is left, or what is missing of them or of the upsweep, mm: how nearly a bar would do.

    A bar with grips that point too far up or down is no near miss, however much straight it leaves. A degree of upsweep
    counts `MM_PER_DEG`.
    """
    upsweep = np.minimum(bars.limit("upsweep").margin, bars.limit("droop").margin)
    return np.minimum(spare_mm(bars), MM_PER_DEG * upsweep)


def put_binding(codes: NDArray[np.uint8], limits: tuple[Limit, ...]) -> None:
    """Write the code of the first broken refusing limit into `codes`, where one is broken."""
    refusing = [limit for limit in limits if limit.refuses]
    # from the last to the first, so that the first one that is broken has the last word
    for code, limit in reversed(list(enumerate(refusing, start=1))):
        np.copyto(codes, np.uint8(code), where=limit.broken)


def put_warned(counts: NDArray[np.uint8], limits: tuple[Limit, ...]) -> None:
    """Add how many warning limits are broken to `counts`."""
    for limit in limits:
        if not limit.refuses:
            counts += limit.broken
