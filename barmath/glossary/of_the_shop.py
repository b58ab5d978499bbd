"""Sketches of the shop and its paper: tube, bench, rider and bicycle; check, chart, map and calibration; brazing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from barmath.arrays import Array
from barmath.closed_forms.records import Recipe
from barmath.glossary.of_the_bar import ABOVE, BAR, FRONT, TUBE_MM, whole
from barmath.glossary.sketch import Label, Sketch, Stroke, angle_between, arc, block, disc, line, measure, onward
from barmath.space.centerline import bar_points, bends_from_recipe, sample_stations


def _points(recipe: Recipe, view: tuple[int, int]) -> Array:
    return np.asarray(bar_points(recipe, sample_stations(bends_from_recipe(recipe)))[0])[:, list(view)]


def riser_bar() -> Sketch:
    """A whole bar, from the front and from above."""
    above = _points(BAR, ABOVE) - np.array([0.0, 190.0])
    return Sketch(
        (whole(FRONT), line(_points(BAR, FRONT), "strong"), line(above, "tube", TUBE_MM), line(above, "strong")),
        (Label("from the front", (0.0, 152.0)), Label("from above", (0.0, -134.0))),
    )


def sweep() -> Sketch:
    """Both grips, which point back instead of straight across."""
    points = _points(BAR, ABOVE)
    strokes: list[Stroke] = []
    for first, last, across in ((points[-2], points[-1], 0.0), (points[1], points[0], 180.0)):
        turn = float(np.degrees(np.arctan2(*(last - first)[::-1])))
        strokes += angle_between(first, turn % 360.0, across if across else 360.0, 150.0)
    return Sketch((whole(ABOVE), *strokes), (Label("sweep", (0.0, -60.0)), Label("from above", (0.0, -110.0))))


def tube() -> Sketch:
    """A straight tube, with its end and its wall."""
    end, radius, long = (-150.0, 0.0), 46.0, 300.0
    edges = [line([(end[0], side * radius), (end[0] + long, side * radius)]) for side in (-1.0, 1.0)]
    return Sketch(
        (disc(end, radius, "strong"), disc(end, radius - 9.0, "strong"), *edges,
         arc((end[0] + long, 0.0), radius, -90.0, 90.0, "line")),
        (Label("tube", (0.0, 0.0)), Label("wall", (end[0], -66.0))),
    )  # fmt: skip


def bicycle() -> Sketch:
    """Two wheels, the frame between them, and the bar."""
    rear, front, pedals, seat, head = (-115.0, 0.0), (115.0, 0.0), (-20.0, -8.0), (-48.0, 82.0), (72.0, 98.0)
    frame = [line(way) for way in ((rear, pedals, head, seat, rear), (seat, pedals), (head, front))]
    return Sketch(
        (disc(rear, 68.0, "line"), disc(front, 68.0, "line"), *frame, line([(-66.0, 92.0), (-34.0, 92.0)]),
         line([head, (66.0, 118.0), (84.0, 124.0), (58.0, 140.0)], "strong")),
        (Label("bar", (108.0, 142.0)), Label("bicycle", (0.0, -90.0))),
    )  # fmt: skip


def rider() -> Sketch:
    """Somebody on a bicycle, with the hands on the grips; from the side."""
    saddle, shoulder, hand = (-70.0, 0.0), (-14.0, 100.0), (84.0, 44.0)
    return Sketch(
        (disc((6.0, 140.0), 24.0, "strong"), line([saddle, shoulder, hand], "strong"),
         line([saddle, (0.0, -20.0), (-30.0, -96.0)], "strong"), line([(-96.0, -6.0), (-44.0, -6.0)]),
         line([hand, (100.0, 20.0), (124.0, -90.0)]), disc(hand, 7.0)),
        (Label("rider", (-70.0, 140.0)), Label("bar", (112.0, 62.0))),
    )  # fmt: skip


def shop() -> Sketch:
    """Tubes in their rack, and the dies on the wall."""
    rack = [line([(-150.0, y), (10.0, y)], "tube", 9.0) for y in (-40.0, -20.0, 0.0)]
    dies = [disc((x, -20.0), radius) for x, radius in ((52.0, 22.0), (104.0, 28.0))]
    roof = [(-170.0, -64.0), (-170.0, 50.0), (0.0, 110.0), (170.0, 50.0), (170.0, -64.0), (-170.0, -64.0)]
    return Sketch((line(roof, "strong"), *rack, *dies), (Label("tubes", (-70.0, 24.0)), Label("dies", (80.0, 26.0))))


def bench() -> Sketch:
    """The table with the bender on it."""
    legs = [line([(x, -14.0), (x, -110.0)]) for x in (-130.0, 130.0)]
    return Sketch(
        (block(-160.0, -14.0, 160.0, 0.0), line(block(-160.0, -14.0, 160.0, 0.0).points, "strong"), *legs,
         block(-90.0, 0.0, -30.0, 26.0), disc((-60.0, 44.0), 18.0), line([(-60.0, 44.0), (60.0, 72.0)]),
         line([(-150.0, 44.0), (-60.0, 62.0)], "tube", 9.0)),
        (Label("bender", (-60.0, 92.0)), Label("bench", (0.0, -44.0))),
    )  # fmt: skip


def check() -> Sketch:
    """The bar that came out, over the one that was ordered, and how far its end is off."""
    made = _points(replace(BAR, outer_bend_deg=BAR.outer_bend_deg + 14.0), FRONT)
    wanted = _points(BAR, FRONT)
    beside = made[-1][0] + 18.0
    low, high = (beside, made[-1][1]), (beside, wanted[-1][1])
    return Sketch(
        (line(made, "tube", TUBE_MM), line(wanted, "dash"), *measure(low, high)),
        (Label("dashed: as ordered", (0.0, -40.0)), Label("off by", (made[-1][0] - 40.0, wanted[-1][1] + 44.0))),
    )


def chart() -> Sketch:
    """Lines over two scales, and the way from the rise to the setting."""
    lines = [line([(20.0, low), (150.0, low + 70.0)]) for low in (10.0, 34.0, 58.0)]
    return Sketch(
        (line([(0.0, 130.0), (0.0, 0.0), (170.0, 0.0)]), *lines, line([(0.0, 72.0), (90.56, 72.0)], "strong"),
         line([(90.56, 72.0), (90.56, 0.0)], "strong")),
        (Label("rise", (-30.0, 72.0)), Label("setting", (90.0, -18.0)), Label("chart", (90.0, 146.0))),
    )  # fmt: skip


def map_of_orders() -> Sketch:
    """Orders side by side: inside the thick line they can be made."""
    inside = [(10.0, 20.0), (60.0, 8.0), (140.0, 20.0), (162.0, 66.0), (104.0, 112.0), (16.0, 94.0), (10.0, 20.0)]
    return Sketch(
        (block(0.0, 0.0, 170.0, 120.0), line(inside, "strong"), disc((74.0, 40.0), 4.0, "line")),
        (Label("can be made", (80.0, 62.0)), Label("backsweep", (85.0, -18.0)), Label("rise", (-30.0, 60.0))),
    )


def calibration() -> Sketch:
    """Measured bends as points, and the line that they give."""
    places = ((30.0, 22.0), (64.0, 30.0), (98.0, 52.0), (132.0, 60.0))
    return Sketch(
        (line([(0.0, 110.0), (0.0, 0.0), (170.0, 0.0)]), line([(10.0, 12.0), (160.0, 74.0)], "strong"),
         *(disc(place, 4.0) for place in places)),
        (Label("springs back", (20.0, 122.0)), Label("on the stop", (100.0, -18.0)), Label("measured", (92.0, 84.0))),
    )  # fmt: skip


def batch() -> Sketch:
    """The ends of tubes that came together, in one bundle."""
    places = [(x, y) for y, row in ((0.0, (-44.0, 0.0, 44.0)), (38.0, (-22.0, 22.0))) for x in row]
    rings = [disc(place, size, look) for place in places for size, look in ((21.0, "tool"), (14.0, "line"))]
    band = [(-72.0, -26.0), (72.0, -26.0), (72.0, 12.0), (38.0, 66.0), (-38.0, 66.0), (-72.0, 12.0), (-72.0, -26.0)]
    return Sketch((*rings, line(band, "strong")), (Label("one delivery", (0.0, -48.0)),))


def braze() -> Sketch:
    """Flame and filler rod at a joint."""
    flame = [(-14.0, 8.0), (-40.0, 52.0), (-34.0, 78.0), (-58.0, 66.0), (-56.0, 38.0), (-14.0, 8.0)]
    rod = (-16.0, -8.0)
    return Sketch(
        (line([(0.0, -70.0), (0.0, 70.0)], "tube", TUBE_MM), line([(-120.0, 0.0), (-11.0, 0.0)], "tube", 12.7),
         line(flame, "strong"), line([rod, onward(rod, 215.0, 90.0)], "strong")),
        (Label("flame", (-86.0, 74.0)), Label("filler rod", (-64.0, -80.0))),
    )  # fmt: skip
