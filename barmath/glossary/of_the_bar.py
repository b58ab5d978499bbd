"""Sketches of the bar: its parts, lengths and angles, from the front, from above and from the side."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from barmath.arrays import Array
from barmath.closed_forms.forward import grips_level, shape_from_recipe
from barmath.closed_forms.inverse import recipe_from_order
from barmath.closed_forms.records import Order, Recipe, check_single
from barmath.glossary.sketch import Label, Sketch, Stroke, angle_between, bend, disc, line, measure, onward
from barmath.space.centerline import bar_points, bends_from_recipe, nodes_of_bends, sample_stations

TUBE_MM = 22.2
BAR = Recipe(
    clamp_flat_mm=60, inner_bend_deg=35, straight_mm=110, roll_deg=40, outer_bend_deg=32, grip_mm=190, radius_mm=95
)
"""The bar of lesson 00: bends a little larger than usual, so that the angles can be seen."""

NAME_BELOW_MM = 45.0
"""From the lowest place of a bar to the name of the view: two diameters of its tube leave the name free."""

FRONT, ABOVE, SIDE = (0, 2), (0, 1), (1, 2)
"""Which two of x, y, z are seen."""


def _seen(points: Array, view: tuple[int, int]) -> Array:
    return np.asarray(points)[..., list(view)]


def whole(view: tuple[int, int], recipe: Recipe = BAR) -> Stroke:
    """The whole bar in one view, as a tube.

    Parameters
    ----------
    view : pair of int
        The axes of the bar's frame to the right and up.
    recipe : Recipe

    Examples
    --------
    >>> from barmath.glossary import FRONT, whole
    >>> whole(FRONT).wide_mm
    22.2
    """
    points, _ = bar_points(recipe, sample_stations(bends_from_recipe(recipe)))
    return line(_seen(points, view), "tube", TUBE_MM)


def views_of_bar(recipe: Recipe) -> tuple[Sketch, Sketch]:
    """The bar from the front and from above in one scale, each with its name below it.

    Parameters
    ----------
    recipe : Recipe
        One bar (no arrays).

    Returns
    -------
    front, above : Sketch

    Raises
    ------
    BendError
        The recipe holds arrays: take one bar at a time.

    Examples
    --------
    >>> from barmath.glossary import views_of_bar
    >>> from barmath.shop import order_seven_recipe
    >>> [view.labels[0].words for view in views_of_bar(order_seven_recipe())]
    ['from the front', 'from above']
    """
    check_single(recipe)
    bars = (whole(FRONT, recipe), "from the front"), (whole(ABOVE, recipe), "from above")
    front, above = (
        Sketch((bar,), (Label(words, (0.0, float(bar.points[:, 1].min()) - NAME_BELOW_MM)),)) for bar, words in bars
    )
    wide, high = np.max([np.subtract(*view.box_mm()[::-1]) for view in (front, above)], axis=0)
    room = (float(wide), float(high))
    return front._replace(room_mm=room), above._replace(room_mm=room)


def _along(first: int, last: int) -> Array:
    # the centre line between two of the bar's ten nodes
    bends = bends_from_recipe(BAR)
    nodes, stations = nodes_of_bends(bends).stations_mm, np.asarray(sample_stations(bends))
    points, _ = bar_points(BAR, stations[(stations >= nodes[first] - 1e-9) & (stations <= nodes[last] + 1e-9)])
    return np.asarray(points)


def clamp_flat() -> Sketch:
    """Where the stem holds."""
    return Sketch((whole(FRONT), *measure((-30.0, -22.0), (30.0, -22.0))), (Label("clamp flat", (0.0, -46.0)),))


def inner_bend() -> Sketch:
    """The arcs beside the clamp flat."""
    bent = [line(_seen(_along(*ends), FRONT), "strong") for ends in ((3, 4), (5, 6))]
    return Sketch((whole(FRONT), *bent), (Label("inner bends", (0.0, 84.0)),))


def riser() -> Sketch:
    """The straights between the bends of a side."""
    straight = [line(_seen(_along(*ends), FRONT), "strong") for ends in ((2, 3), (6, 7))]
    return Sketch((whole(FRONT), *straight), (Label("risers", (0.0, 86.0)),))


def outer_bend() -> Sketch:
    """The arcs that lead into the grips."""
    bent = [line(_seen(_along(*ends), FRONT), "strong") for ends in ((1, 2), (7, 8))]
    return Sketch((whole(FRONT), *bent), (Label("outer bends", (0.0, 104.0)),))


def grip() -> Sketch:
    """The outer straights."""
    straight = [line(_seen(_along(*ends), ABOVE), "strong") for ends in ((0, 1), (8, 9))]
    return Sketch((whole(ABOVE), *straight), (Label("grips", (0.0, -50.0)),))


def centre_line() -> Sketch:
    """The line in the middle of the tube."""
    points, _ = bar_points(BAR, sample_stations(bends_from_recipe(BAR)))
    return Sketch((whole(FRONT), line(_seen(points, FRONT), "strong")), (Label("centre line", (0.0, 86.0)),))


def rise() -> Sketch:
    """How high the ends are."""
    end = _end(FRONT)
    base = line([(-end[0], 0.0), end * [1.0, 0.0]], "dash")
    return Sketch(
        (whole(FRONT), base, *measure(end * [1.0, 0.0], end)), (Label("rise", (end[0] - 60.0, 0.36 * end[1])),)
    )


def width() -> Sketch:
    """From end to end."""
    end = _end(FRONT)
    low = np.array([end[0], -38.0])
    return Sketch(
        (whole(FRONT), *measure(low * [-1.0, 1.0], low), *(line([(s * end[0], end[1]), (s * end[0], -38.0)], "dash")
                                                          for s in (-1.0, 1.0))),
        (Label("width", (0.0, -62.0)),),
    )  # fmt: skip


def order() -> Sketch:
    """What is ordered: rise, width, and the angle of the grips."""
    rising, across = rise(), width()
    return Sketch((*rising.strokes, *across.strokes[1:]), (*rising.labels, *across.labels))


def way() -> Sketch:
    """One order, made on two dies with two bends."""
    shape = shape_from_recipe(BAR)
    wanted = Order(
        float(shape.rise_mm), float(shape.backsweep_deg), float(shape.width_mm), None, BAR.clamp_flat_mm, 0.0
    )
    other = recipe_from_order(wanted, radius_mm=60.0, bend_deg=55.0)
    points = _seen(bar_points(other, sample_stations(bends_from_recipe(other)))[0], FRONT)
    end = _end(FRONT)
    return Sketch(
        (whole(FRONT), line(points, "strong")),
        (Label("one way", (end[0] - 130.0, end[1] + 34.0)), Label("another way", (0.0, -40.0))),
    )


def tolerance() -> Sketch:
    """The band in which the bar's end may be."""
    end, off, out = _end(FRONT), np.array([0.0, 16.0]), np.array([30.0, 0.0])
    edges = [line([end + side * off - 3.0 * out, end + side * off + out], "dash") for side in (-1.0, 1.0)]
    at = end + out
    return Sketch((whole(FRONT), *edges, *measure(at - off, at + off)), (Label("tolerance", (end[0] - 60.0, 32.0)),))


def setback() -> Sketch:
    """How far behind the clamp axis the ends are."""
    end = _end(ABOVE)
    return Sketch(
        (whole(ABOVE), line([(-end[0], 0.0), end * [1.0, 0.0]], "dash"), *measure(end * [1.0, 0.0], end)),
        (Label("setback", (end[0] - 50.0, end[1] - 46.0)),),
    )


def backsweep() -> Sketch:
    """The grip to the clamp axis, from above."""
    end, before = _end(ABOVE), _seen(_along(8, 9)[0], ABOVE)
    turn = float(np.degrees(np.arctan2(end[1] - before[1], end[0] - before[0])))
    return Sketch(
        (whole(ABOVE), *angle_between(before, turn, 0.0, 170.0)),
        (Label("backsweep", (before[0] + 80.0, before[1] + 46.0)), Label("seen from above", (0.0, -70.0))),
    )


def upsweep() -> Sketch:
    """The grip to the clamp axis, from the front."""
    tilted = replace(BAR, stem_roll_deg=14.0)
    points = _seen(bar_points(tilted, sample_stations(bends_from_recipe(tilted)))[0], FRONT)
    end, before = points[-1], points[-2]
    turn = float(np.degrees(np.arctan2(end[1] - before[1], end[0] - before[0])))
    reach = 0.8 * float(np.hypot(*(end - before)))
    return Sketch(
        (whole(FRONT, tilted), *angle_between(before, 0.0, turn, reach)),
        (Label("upsweep", (before[0] + 90.0, before[1] - 48.0)), Label("seen from the front", (0.0, -46.0))),
    )


def roll() -> Sketch:
    """Turning the tube about its riser: looked at along the riser."""
    return Sketch(
        (disc((0.0, 0.0), TUBE_MM), line([(0.0, 0.0), (0.0, -92.0)], "dash"),
         *angle_between((0.0, 0.0), -90.0, -50.0, 62.0, 1.5)),
        (Label("roll", (70.0, -62.0)), Label("bend in one plane", (-92.0, -84.0)),
         Label("along the riser", (0.0, 40.0))),
    )  # fmt: skip


def stem_roll() -> Sketch:
    """Turning the bar in its stem, from the side."""
    rolled = replace(BAR, stem_roll_deg=-20.0)
    at = [_seen(bar_points(one, sample_stations(bends_from_recipe(one)))[0], SIDE) for one in (BAR, rolled)]
    turns = [float(np.degrees(np.arctan2(points[-1][1], points[-1][0]))) for points in at]
    return Sketch(
        (line(at[0], "dash"), line(at[1], "tube", TUBE_MM),
         *angle_between((0.0, 0.0), turns[0], turns[1], 0.8 * float(np.hypot(*at[0][-1])), 0.9)),
        (Label("stem roll", (96.0, 44.0)), Label("from the side", (10.0, -30.0))),
    )  # fmt: skip


def two_rises() -> Sketch:
    """The same bar with the risers upright and with the grips level."""
    level = grips_level(BAR)
    points = _seen(bar_points(level, sample_stations(bends_from_recipe(level)))[0], FRONT)
    return Sketch(
        (line(_seen(bar_points(BAR, sample_stations(bends_from_recipe(BAR)))[0], FRONT), "dash"),
         line(points, "tube", TUBE_MM), line(points, "strong")),
        (Label("grips level", (0.0, 90.0)), Label("dashed: risers upright", (0.0, -40.0))),
    )  # fmt: skip


def twist() -> Sketch:
    """One riser out of the other's plane: the bar seen along the clamp axis."""
    return Sketch(
        (line([(0.0, 0.0), (0.0, 100.0)], "tube", TUBE_MM), line([(0.0, 0.0), onward((0.0, 0.0), 80.0, 100.0)], "dash"),
         *angle_between((0.0, 0.0), 90.0, 80.0, 84.0, 1.4), disc((0.0, 0.0), TUBE_MM / 2.0)),
        (Label("twist", (26.0, 130.0)), Label("left riser", (-62.0, 60.0)), Label("right riser", (66.0, 60.0))),
    )  # fmt: skip


def controls() -> Sketch:
    """The part of the grip that hand, lever and shifter need."""
    end, start = _seen(_along(8, 9)[-1], ABOVE), _seen(_along(8, 9)[0], ABOVE)
    inside = end + (start - end) * 150.0 / float(np.hypot(*(start - end)))
    aside = np.array([0.0, -30.0])
    return Sketch((whole(ABOVE), *measure(inside + aside, end + aside)), (Label("room for controls", (150.0, -118.0)),))


def cut_length() -> Sketch:
    """The straight tube before its first bend."""
    half, inner, outer = 408.0, 65.0, 185.0
    marks = [line([(x, -20.0), (x, 20.0)]) for x in (-outer, -inner, inner, outer)]
    return Sketch(
        (line([(-half, 0.0), (half, 0.0)], "tube", TUBE_MM), *marks, *measure((-half, -44.0), (half, -44.0))),
        (Label("cut length", (0.0, -84.0)),),
    )


def mark() -> Sketch:
    """The pencil lines on the straight tube."""
    half, inner, outer = 408.0, 65.0, 185.0
    marks = [line([(x, -26.0), (x, 26.0)], "strong") for x in (-outer, -inner, inner, outer)]
    return Sketch(
        (line([(-half, 0.0), (half, 0.0)], "tube", TUBE_MM), line([(0.0, -34.0), (0.0, 34.0)], "dash"), *marks),
        (Label("outer", (215.0, 70.0)), Label("inner", (50.0, 70.0)), Label("middle", (0.0, -66.0))),
    )


def corner() -> Sketch:
    """Where the straights would meet, and how far that is from the bend."""
    points, heading = bend((0.0, 0.0), 0.0, 100.0, 60.0)
    out = 100.0 * float(np.tan(np.radians(30.0)))
    after = onward(points[-1], heading, 90.0)
    return Sketch(
        (line([(-90.0, 0.0), *points, after], "tube", TUBE_MM), line([(0.0, 0.0), (out, 0.0), points[-1]], "dash"),
         *measure((0.0, -24.0), (out, -24.0)), disc((out, 0.0), 3.0, "strong")),
        (Label("take-out", (out / 2.0, -46.0)), Label("corner", (out + 66.0, -8.0))),
    )  # fmt: skip


def _end(view: tuple[int, int]) -> Array:
    return _seen(_along(8, 9)[-1], view)
