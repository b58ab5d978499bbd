"""How many orders each die of a shop makes with one setting of the stop, and with two."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import replace
from itertools import product
from typing import NamedTuple

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from barmath.closed_forms.records import Order
from barmath.planning.die_choice import makeable
from barmath.shop.order_seven import ORDER
from barmath.shop.shop_file import Shop

INK, BLUE, LIGHT = "#1f2933", "#005a9c", "#ffffff"
BAR = 0.36

RISES_MM, SWEEPS_DEG, WIDTHS_MM = range(40, 131, 5), range(0, 31, 2), (740, 770, 800)
"""What riders may order: every rise with every backsweep and width; clamp and controls are those of order 7."""


class Gain(NamedTuple):
    """A die, or all dies together, and how many orders it makes with one stop and with two."""

    name: str
    one_stop: int
    two_stops: int


def many_orders() -> list[Order]:
    """One order for each rise, backsweep and width."""
    every = product(RISES_MM, SWEEPS_DEG, WIDTHS_MM)
    return [replace(ORDER, rise_mm=rise, backsweep_deg=sweep, width_mm=width) for rise, sweep, width in every]


def gains(shop: Shop, orders: Sequence[Order]) -> tuple[Gain, ...]:
    """The gain of each die of a shop, on its first tube, and last that of all dies together."""
    tube = shop.tubes[0]
    dies = shop.dies_for(tube)
    one, two = (
        makeable(orders, tube, dies, shop.stop_bends_deg, shop.stock_length_mm, two_stops=two_stops)
        for two_stops in (False, True)
    )
    each = [Gain(die.name, int(one[:, n].sum()), int(two[:, n].sum())) for n, die in enumerate(dies)]
    return (*each, Gain("all dies", int(one.any(axis=1).sum()), int(two.any(axis=1).sum())))


def gain_figure(shop: Shop) -> Figure:
    """The picture: for each die a white bar of orders made with one stop, and below it a blue one with two."""
    orders = many_orders()
    found, many = gains(shop, orders), len(orders)
    figure = Figure(figsize=(8.0, 0.9 + 0.7 * len(found)), facecolor=LIGHT)
    axes = figure.add_axes((0.11, 0.03, 0.87, 0.8), xlim=(0.0, 1.2 * many), ylim=(len(found) - 0.5, -0.5))
    asked = ", ".join(f"{name} {values[0]} to {values[-1]} {unit}" for name, values, unit in (
        ("rise", RISES_MM, "mm"), ("backsweep", SWEEPS_DEG, "deg"), ("width", WIDTHS_MM, "mm")))  # fmt: skip
    title = f"How many of {many} orders {shop.name} can make\n{asked}"
    axes.set_title(title, loc="left", fontsize=12, color=INK)
    for number, gain in enumerate(found):
        _bar(axes, number - BAR / 2.0, gain.one_stop, many, "one stop", LIGHT)
        _bar(axes, number + BAR / 2.0, gain.two_stops, many, "two stops", BLUE)
    axes.set_yticks(range(len(found)), [gain.name for gain in found], fontsize=11)
    axes.set_xticks([])
    axes.tick_params(length=0)
    for side in ("top", "right", "bottom"):
        axes.spines[side].set_visible(False)
    return figure


def gain_png(shop: Shop, dpi: float = 100.0) -> bytes:
    """The picture as a PNG."""
    picture = io.BytesIO()
    gain_figure(shop).savefig(picture, dpi=dpi, metadata={"Software": None})
    return picture.getvalue()


def _bar(axes: Axes, place: float, made: int, many: int, name: str, colour: str) -> None:
    axes.barh(place, made, BAR, facecolor=colour, edgecolor=BLUE, linewidth=1.2)
    axes.text(made + 0.01 * many, place, f"{name}: {100.0 * made / many:.0f} %", va="center", fontsize=9.5, color=INK)
