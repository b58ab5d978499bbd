"""From what is set in the map panel to what it shows: pure functions, no widgets."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import Array
from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.records import Order
from barmath.panels.map_axes import AXES, QUANTITIES, Quantity
from barmath.panels.map_bar import ShownBar, bends_words
from barmath.planning.best_pair import best_pair_deg, best_pair_with_setback_deg
from barmath.planning.candidates import CAN_BE_MADE, BendPair
from barmath.planning.design_map import BarMap, bar_map
from barmath.planning.die_choice import new_die
from barmath.planning.even_bend import even_bend_deg
from barmath.planning.map_picture import (
    BEND,
    CLAMP_READING,
    DIFFERENCE,
    LINES,
    OUTER_MARK,
    SETBACK,
    MapPicture,
    Point,
)
from barmath.planning.ranking import ENOUGH_SPARE_MM
from barmath.planning.rules import IN_SHORT
from barmath.planning.ways import LEVEL, UPRIGHT
from barmath.refusal import BendError, Number
from barmath.shop.order_seven import ORDER
from barmath.shop.shop_file import Shop
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die
from barmath.space.drawing import drawing_from_recipe

OWN_DIE = "a die of your own"
EVEN_BEND = 0.0
"""Means the bend that leaves equally much straight and grip, for each order its own."""

BEST_PAIR = -1.0
"""Means the pair of stops that leaves most of straight and grip, for each order its own."""

CHOSEN_BENDS = {EVEN_BEND: "equal straight and grip left", BEST_PAIR: "the best pair of stops"}
"""Words of the bends that each order has of its own."""

NEITHER = "neither straight nor controls fit"
LEAST_DEPTH = 2
NO_LINES = "none"
UNITS = {OUTER_MARK: "mm from the middle", CLAMP_READING: "deg", BEND: "deg", SETBACK: "mm", DIFFERENCE: "deg"}


@dataclass(frozen=True)
class MapState:
    """Everything that can be set in the panel; lengths in mm, angles in degrees.

    `die` is a name or `OWN_DIE`, which has `radius_mm`; `bend_deg` is `EVEN_BEND`, `BEST_PAIR` or one stop.
    """

    axes: str = "rise against backsweep"
    die: str = ""
    radius_mm: float = 60.0
    bend_deg: float = EVEN_BEND
    clamped: str = UPRIGHT
    lines: str = OUTER_MARK
    rise_mm: float = float(ORDER.rise_mm)
    backsweep_deg: float = float(ORDER.backsweep_deg)
    upsweep_deg: float = 3.0
    width_mm: float = float(ORDER.width_mm)
    setback_mm: float = 45.0
    controls_mm: float = float(ORDER.controls_mm)
    clamp_flat_mm: float = float(ORDER.clamp_flat_mm)

    @property
    def across(self) -> Quantity:
        """What is along the map."""
        return QUANTITIES[AXES[self.axes][0]]

    @property
    def up(self) -> Quantity:
        """What is up the map."""
        return QUANTITIES[AXES[self.axes][1]]

    def uses(self, name: str) -> bool:
        """Whether a quantity counts: an upsweep only where it is an axis, a setback then instead of the backsweep."""
        axes = AXES[self.axes]
        if name == "backsweep":
            return "setback" not in axes
        return name in axes or name in ("rise", "width")

    @property
    def how_clamped(self) -> str:
        """How the bars of the map are clamped; an axis may settle it."""
        if self.uses("upsweep"):
            return "upsweep as ordered"
        return UPRIGHT if self.uses("setback") else self.clamped


@dataclass(frozen=True)
class MapReadout:
    """What the panel shows: the map, the bar at the point, or why there is none."""

    picture: MapPicture | None
    point: Point | None
    bar: ShownBar | None
    sentences: tuple[str, ...]
    good: str
    warnings: tuple[str, ...]
    refusal: str


def map_readout(shop: Shop, state: MapState) -> MapReadout:
    """Work out the map panel; a refusal is part of the readout, never raised."""
    try:
        picture, reasons = _picture(shop, _without_point(state))
    except BendError as refusal:
        return MapReadout(None, None, None, (), "", (), str(refusal))
    point = _point(state)
    outside = (_outside_sentence(state, point),) if point.outside else ()
    try:
        bars = _bar_at_point(shop, state)
        bar = _shown(bars, shop.tubes[0])
    except BendError as refusal:
        return MapReadout(picture, point, None, reasons, "", outside, str(refusal))
    watch = [limit.sentence() for limit in bars.limits if not limit.refuses and limit.broken]
    spare = f"straight and grip are at least {float(bars.spare_mm):.1f} mm longer than needed"
    good = f"{bars.die.name}, {bends_words(bar.recipe)}: {spare}"
    return MapReadout(picture, point, bar, reasons, good, (*outside, *watch), "")


def die_of(shop: Shop, state: MapState) -> Die:
    """The die that is chosen; raises BendError where its name or radius cannot be."""
    if state.die == OWN_DIE:
        tube = shop.tubes[0]
        own = shop.dies_for(tube)
        return new_die(tube, own, state.radius_mm, float(own[0].least_straight_mm), OWN_DIE)
    return shop.die_for(shop.tubes[0], state.die or shop.dies[0].name)


def _without_point(state: MapState) -> MapState:
    # the map is the same wherever the point is, and whatever is set that does not count
    counts = [name for name in QUANTITIES if state.uses(name) and name not in AXES[state.axes]]
    idle: dict[str, Any] = {quantity.field: quantity.low for name, quantity in QUANTITIES.items() if name not in counts}
    radius_mm = state.radius_mm if state.die == OWN_DIE else 0.0
    return replace(state, clamped=state.how_clamped, radius_mm=radius_mm, **idle)


@lru_cache(maxsize=16)
def _picture(shop: Shop, state: MapState) -> tuple[MapPicture, tuple[str, ...]]:
    x, y = state.across.values, state.up.values
    bars = _bars(shop, state, {state.across.field: x, state.up.field: y[:, None]})
    die, margins = die_of(shop, state), _margins(bars)
    binding = _binding(margins)
    lines = _lines(state, bars, binding == CAN_BE_MADE)
    bend = CHOSEN_BENDS.get(state.bend_deg, f"bends of {state.bend_deg:g} deg")
    picture = MapPicture(
        title=f"{die.name}, {bend}, {state.how_clamped}",
        key=_key(state, lines),
        x_title=f"{state.across.name}, {state.across.unit}",
        y_title=f"{state.up.name}, {state.up.unit}",
        place=f"{state.across.name} %{{x:.1f}} {state.across.unit}, {state.up.name} %{{y:.1f}} {state.up.unit}",
        x=x,
        y=y,
        margins=margins,
        spare=bars.spare_mm,
        enough_spare=ENOUGH_SPARE_MM,
        lines=lines,
        made=binding == CAN_BE_MADE,
        bend_deg=bars.bend_deg,
        difference_deg=bars.difference_deg,
        outer_mark_mm=bars.outer_mark_mm,
        names=_names(x, y, bars, binding),
    )
    return picture, _reasons(binding, bars.keys)


def _bars(shop: Shop, state: MapState, numbers: dict[str, Array]) -> BarMap:
    # the bars of the chosen die; `numbers` take the place of the state's own
    values = {quantity.field: getattr(state, quantity.field) for quantity in QUANTITIES.values()} | numbers
    upsweep = values["upsweep_deg"] if state.uses("upsweep") else 0.0 if state.how_clamped == LEVEL else None
    setback = values["setback_mm"] if state.uses("setback") else None
    backsweep = values["backsweep_deg"] if state.uses("backsweep") else 0.0
    order = Order(values["rise_mm"], backsweep, values["width_mm"], upsweep, state.clamp_flat_mm, state.controls_mm)
    tube, die, rack = shop.tubes[0], die_of(shop, state), shop.stock_length_mm
    bend: Number | BendPair = state.bend_deg
    if state.bend_deg == EVEN_BEND:
        bend = even_bend_deg(order, tube, die, min(shop.stop_bends_deg), max(shop.stop_bends_deg), setback_mm=setback)
    if state.bend_deg == BEST_PAIR:
        bend = _best_pair(order, tube, die, shop, setback)
    return bar_map(order, tube, die, bend, setback_mm=setback, stock_length_mm=rack)


def _best_pair(order: Order, tube: Tube, die: Die, shop: Shop, setback: Number | None) -> BendPair:
    stops, rack = shop.stop_bends_deg, shop.stock_length_mm
    if setback is None:
        return best_pair_deg(order, tube, die, stops, stock_length_mm=rack)
    return best_pair_with_setback_deg(order, tube, die, stops, setback, stock_length_mm=rack)


def _key(state: MapState, lines: tuple[str, Array] | None) -> tuple[str, ...]:
    blue: tuple[str, ...] = ()
    if lines:
        blue = (f"Blue: {lines[0]}, {UNITS[lines[0]]}, a line every {LINES[lines[0]][2]:g}.",)
    if lines is None and state.bend_deg == BEST_PAIR and state.lines != NO_LINES:
        blue = (f"No lines of {state.lines}, because the pair changes.",)
    return (*blue, f"Dashed: straight and grip {ENOUGH_SPARE_MM:.0f} mm longer than needed.")


def _margins(bars: BarMap) -> dict[str, Array]:
    margins = {limit.key: np.broadcast_to(limit.margin, bars.shape) for limit in bars.limits if limit.refuses}
    return margins


def _binding(margins: dict[str, Array]) -> NDArray[np.intp]:
    # as painted: 0 where the bar can be made, else 1 and up for the first limit that keeps it out
    broken = np.array([margin < 0.0 for margin in margins.values()])
    return np.where(broken.any(axis=0), 1 + broken.argmax(axis=0), CAN_BE_MADE)


def _bar_at_point(shop: Shop, state: MapState) -> BarMap:
    return _bars(shop, state, {})


def _shown(bars: BarMap, tube: Tube) -> ShownBar:
    recipe = bars.recipe()
    return ShownBar(
        bars, recipe, shape_from_recipe(recipe), drawing_from_recipe(recipe, float(tube.outside_diameter_mm))
    )


def _point(state: MapState) -> Point:
    x, y = (getattr(state, quantity.field) for quantity in (state.across, state.up))
    inside_x, inside_y = (
        min(max(value, quantity.low), quantity.high) for value, quantity in ((x, state.across), (y, state.up))
    )
    if x != inside_x:
        return Point(inside_x, inside_y, "left" if x < inside_x else "right")
    return Point(inside_x, inside_y, "" if y == inside_y else "down" if y < inside_y else "up")


def _outside_sentence(state: MapState, point: Point) -> str:
    quantity = state.across if point.outside in ("left", "right") else state.up
    value, unit = getattr(state, quantity.field), quantity.unit
    return (
        f"the point is outside the map: the arrow at the edge points to it. The map shows a {quantity.name} from "
        f"{quantity.low:g} to {quantity.high:g} {unit}, got {value:g} {unit}"
    )


def _lines(state: MapState, bars: BarMap, made: NDArray[np.bool_]) -> tuple[str, Array] | None:
    # only where bars can be made: the lines are over the shades, so that no number of a line is half seen
    if state.lines == NO_LINES or (state.lines == BEND and state.bend_deg not in CHOSEN_BENDS):
        return None
    if (state.lines == DIFFERENCE) != (state.bend_deg == BEST_PAIR):
        return None  # the best pair changes from place to place: nothing else has lines without breaks
    field = {
        OUTER_MARK: bars.outer_mark_mm,
        CLAMP_READING: bars.clamp_reading_deg,
        BEND: bars.bend_deg,
        SETBACK: bars.setback_mm,
        DIFFERENCE: bars.difference_deg,
    }[state.lines]
    return state.lines, np.where(made, field, np.nan)


def _names(x: Array, y: Array, bars: BarMap, binding: NDArray[np.intp]) -> list[tuple[float, float, str]]:
    straight, controls = (np.broadcast_to(bars.limit(key).broken, bars.shape) for key in ("straight", "controls"))
    neither = straight & controls & (binding == 1 + bars.keys.index("straight"))
    regions = {IN_SHORT[key]: (binding == code) & ~neither for code, key in enumerate(bars.keys, start=1)}
    names = []
    for words, region in {**regions, NEITHER: neither}.items():
        place = _roomiest(region)
        if place:
            names.append((x[place[1]], y[place[0]], words))
    return names


def _roomiest(region: NDArray[np.bool_]) -> tuple[int, int] | None:
    """The place that is farthest inside a region of the map; None where the region has no room for words.

    The region is worn off from its edges to the last, two steps up and down for one across.
    """
    depth, inside = 0, region
    while True:
        framed = np.pad(inside, ((2, 2), (1, 1)))
        smaller = framed[2:-2, :-2] & framed[2:-2, 2:]
        for up in (0, 1, 3, 4):
            smaller &= framed[up : up + len(region), 1:-1]
        smaller &= inside
        if not smaller.any():
            break
        depth, inside = depth + 1, smaller
    if depth < LEAST_DEPTH:
        return None
    places = np.argwhere(inside)
    up, across = places[np.abs(places - places.mean(axis=0)).sum(axis=1).argmin()]
    return int(up), int(across)


def _reasons(binding: NDArray[np.intp], keys: tuple[str, ...]) -> tuple[str, ...]:
    # what of the map can be made, and what keeps out the rest
    shares = np.bincount(binding.ravel(), minlength=len(keys) + 1) / binding.size
    kept_out = sorted(((share, key) for share, key in zip(shares[1:], keys, strict=True) if share), reverse=True)
    words = [f"{IN_SHORT[key]}: {_percent(share)}" for share, key in kept_out]
    if not shares[CAN_BE_MADE]:
        return ("nothing can be made", *words)
    return (f"{_percent(shares[CAN_BE_MADE])} can be made", *words)


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f} %" if share >= 0.005 else "under 1 %"
