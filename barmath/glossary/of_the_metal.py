"""Sketches of the tube's section, its metal, and the rider's side: stem, head angle and hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from barmath.glossary.of_the_bar import ABOVE, BAR, TUBE_MM, whole
from barmath.glossary.sketch import Label, Sketch, Stroke, angle_between, disc, line, measure, onward
from barmath.rider.hands import Stem
from barmath.space.centerline import bar_points, bends_from_recipe, sample_stations

STEM = Stem(length_mm=50, angle_deg=0, head_angle_deg=65)


def _ring(across: float, high: float, wall: float, shift: float = 0.0) -> tuple[Stroke, ...]:
    turn = np.radians(np.linspace(0.0, 360.0, 90))
    circle = np.column_stack([np.cos(turn), np.sin(turn)])
    outside, inside = circle * [across, high], circle * [across - wall, high - wall] + [0.0, shift]
    return (line([*outside, *inside[::-1], outside[0]], "tool"), line(outside), line(inside))


def tube_size() -> Sketch:
    """Outside diameter and wall."""
    return Sketch(
        (
            *_ring(50.0, 50.0, 9.0),
            *measure((-50.0, -66.0), (50.0, -66.0), 5.0),
            *measure((41.0, 0.0), (50.0, 0.0), 6.0),
        ),
        (Label("outside diameter", (0.0, -82.0)), Label("wall", (72.0, 0.0))),
    )


def wall_thinning() -> Sketch:
    """The outside of a bend is stretched thin, the inside pushed thick."""
    return Sketch(
        (*_ring(50.0, 50.0, 9.0, -4.0), *measure((0.0, 37.0), (0.0, 50.0), 6.0),
         *measure((0.0, -50.0), (0.0, -45.0), 6.0)),
        (Label("inside of the bend", (0.0, 62.0)), Label("thin outside", (0.0, -66.0))),
    )  # fmt: skip


def out_of_round() -> Sketch:
    """A section flattened by bending."""
    return Sketch(
        (*_ring(56.0, 44.0, 9.0), disc((0.0, 0.0), 50.0, "dash"), *measure((-56.0, -62.0), (56.0, -62.0), 5.0),
         *measure((72.0, -44.0), (72.0, 44.0), 5.0)),
        (Label("largest", (0.0, -78.0)), Label("smallest", (102.0, 0.0))),
    )  # fmt: skip


def yield_band() -> Sketch:
    """Stress against stretch: straight, then bent over, at one height or another."""
    axes = line([(0.0, 130.0), (0.0, 0.0), (160.0, 0.0)])
    low = line([(0.0, 0.0), (36.0, 72.0), (150.0, 80.0)], "strong")
    high = line([(0.0, 0.0), (52.0, 104.0), (150.0, 112.0)], "strong")
    lines = (line([(0.0, 72.0), (36.0, 72.0)], "dash"), line([(0.0, 104.0), (52.0, 104.0)], "dash"))
    names = (Label("stress", (0.0, 142.0)), Label("stretch", (150.0, -14.0)), Label("yield", (-34.0, 88.0)))
    return Sketch((axes, low, high, *lines, *measure((-6.0, 72.0), (-6.0, 104.0), 4.0)), names)


def elastic() -> Sketch:
    """What springs back and what remains."""
    axes = line([(0.0, 110.0), (0.0, 0.0), (160.0, 0.0)])
    way = line([(0.0, 0.0), (40.0, 80.0), (120.0, 88.0)], "strong")
    back = line([(120.0, 88.0), (76.0, 0.0)], "dash")
    remains, comes = measure((0.0, -12.0), (76.0, -12.0), 4.0), measure((76.0, -12.0), (120.0, -12.0), 4.0)
    names = (Label("remains", (38.0, -28.0)), Label("comes back", (106.0, -44.0)), Label("stress", (0.0, 122.0)))
    return Sketch((axes, way, back, *remains, *comes), names)


def first_yield() -> Sketch:
    """Stress over the height of the tube, largest at its rim."""
    return Sketch(
        (*_ring(50.0, 50.0, 9.0), line([(110.0, -50.0), (110.0, 50.0)]),
         line([(110.0, 0.0), (160.0, 50.0), (110.0, 50.0)], "strong"),
         line([(110.0, 0.0), (60.0, -50.0), (110.0, -50.0)], "strong")),
        (Label("yields first here", (112.0, 66.0)), Label("stress", (112.0, -64.0))),
    )  # fmt: skip


def plastic_moment() -> Sketch:
    """Stress at yield over the whole height."""
    return Sketch(
        (*_ring(50.0, 50.0, 9.0), line([(110.0, -50.0), (110.0, 50.0)]),
         line([(110.0, 0.0), (160.0, 0.0), (160.0, 50.0), (110.0, 50.0)], "strong"),
         line([(110.0, 0.0), (60.0, 0.0), (60.0, -50.0), (110.0, -50.0)], "strong")),
        (Label("all has yielded", (112.0, 66.0)), Label("stress", (112.0, -64.0))),
    )  # fmt: skip


def bending_moment() -> Sketch:
    """A force and its lever arm."""
    return Sketch(
        (line([(0.0, 0.0), (150.0, 0.0)], "tube", TUBE_MM), line([(-14.0, -40.0), (0.0, -40.0), (0.0, 40.0),
                                                                 (-14.0, 40.0), (-14.0, -40.0)], "tool"),
         line([(140.0, 66.0), (140.0, 14.0)], "strong"), line([(132.0, 26.0), (140.0, 12.0), (148.0, 26.0)], "strong"),
         *measure((0.0, -30.0), (140.0, -30.0))),
        (Label("force", (140.0, 78.0)), Label("lever arm", (70.0, -52.0))),
    )  # fmt: skip


def _steering() -> tuple[Stroke, ...]:
    # the steering axis leans back by the head angle; the stem is square to it
    axis = onward((0.0, 0.0), 180.0 - float(STEM.head_angle_deg), 1.0)
    forward, high = (float(value) for value in STEM.clamp_mm())
    return (line([-70.0 * axis, 60.0 * axis], "dash"), line([(0.0, 0.0), (forward, high)], "tube", 26.0))


def stem() -> Sketch:
    """What holds the bar in front of the steering axis."""
    forward, high = (float(value) for value in STEM.clamp_mm())
    return Sketch(
        (*_steering(), disc((forward, high), TUBE_MM / 2.0), *measure((0.0, 0.0), (forward, high), 18.0)),
        (Label("stem", (50.0, -12.0)), Label("steering axis", (50.0, -60.0))),
    )


def head_angle() -> Sketch:
    """The steering axis to the ground, at the back."""
    turn = 180.0 - float(STEM.head_angle_deg)
    return Sketch(
        (line([(-110.0, 0.0), (60.0, 0.0)]), line([(0.0, 0.0), onward((0.0, 0.0), turn, 120.0)], "dash"),
         *angle_between((0.0, 0.0), turn, 180.0, 60.0, 1.2)),
        (Label("head angle", (-74.0, 46.0)), Label("ground", (30.0, -14.0)), Label("front", (70.0, 30.0))),
    )  # fmt: skip


def hand() -> Sketch:
    """The middle of the hand on the grip."""
    points, _ = bar_points(BAR, sample_stations(bends_from_recipe(BAR)))
    end, before = np.asarray(points)[-1, :2], np.asarray(points)[-2, :2]
    at = end + 65.0 * (before - end) / float(np.hypot(*(before - end)))
    spot, down = (float(at[0]), float(at[1])), np.array([0.0, -40.0])
    return Sketch(
        (whole(ABOVE), disc(spot, 16.0, "strong"), *measure(at + down, end + down, 6.0)),
        (Label("middle of the hand", (spot[0] - 60.0, spot[1] + 104.0)),),
    )


def wrist_turn() -> Sketch:
    """By how much another bar turns the hand."""
    swept = replace(BAR, roll_deg=48.0)
    mine, other = (
        np.asarray(bar_points(one, sample_stations(bends_from_recipe(one)))[0])[:, :2] for one in (BAR, swept)
    )
    turns = [float(np.degrees(np.arctan2(*(p[-1] - p[-2])[::-1]))) for p in (mine, other)]
    reach = 0.8 * float(np.hypot(*(mine[-1] - mine[-2])))
    return Sketch(
        (line(mine, "tube", TUBE_MM), line(other, "dash"), *angle_between(mine[-2], turns[1], turns[0], reach, 1.0)),
        (Label("turn of the wrist", (200.0, 40.0)), Label("seen from above", (0.0, -80.0))),
    )
