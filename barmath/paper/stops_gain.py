"""How many orders each die of a shop makes with one setting of the stop, and with two."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import NamedTuple

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from barmath.closed_forms.records import Order
from barmath.planning.die_choice import makeable
from barmath.shop.shop_file import Shop

INK, BLUE, LIGHT = "#1f2933", "#005a9c", "#ffffff"
BAR = 0.36


class Gain(NamedTuple):
    """A die, or all dies together, and how many orders it makes with one stop and with two."""

    name: str
    one_stop: int
    two_stops: int


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


def gain_figure(shop: Shop, orders: Sequence[Order]) -> Figure:
    """The picture: for each die a white bar of orders made with one stop, and below it a blue one with two."""
    found, many = gains(shop, orders), len(orders)
    figure = Figure(figsize=(8.0, 0.6 + 0.7 * len(found)), facecolor=LIGHT)
    axes = figure.add_axes((0.11, 0.04, 0.87, 0.84), xlim=(0.0, 1.1 * many), ylim=(len(found) - 0.5, -0.5))
    axes.set_title(f"Which of its {many} orders {shop.name} can make", loc="left", fontsize=12, color=INK)
    for number, gain in enumerate(found):
        _bar(axes, number - BAR / 2.0, gain.one_stop, many, "one stop", LIGHT)
        _bar(axes, number + BAR / 2.0, gain.two_stops, many, "two stops", BLUE)
    axes.set_yticks(range(len(found)), [gain.name for gain in found], fontsize=11)
    axes.set_xticks([])
    axes.tick_params(length=0)
    for side in ("top", "right", "bottom"):
        axes.spines[side].set_visible(False)
    return figure


def gain_png(shop: Shop, orders: Sequence[Order], dpi: float = 100.0) -> bytes:
    """The picture as a PNG."""
    picture = io.BytesIO()
    gain_figure(shop, orders).savefig(picture, dpi=dpi, metadata={"Software": None})
    return picture.getvalue()


def _bar(axes: Axes, place: float, made: int, many: int, name: str, colour: str) -> None:
    axes.barh(place, made, BAR, facecolor=colour, edgecolor=BLUE, linewidth=1.2)
    axes.text(made + 0.2, place, f"{name}: {made} ({100.0 * made / many:.1f} %)", va="center", fontsize=9.5, color=INK)
