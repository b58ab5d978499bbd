"""Sketches of the bender, the angle finder, the checking bench and the crossbar."""

from __future__ import annotations

import numpy as np

from barmath.crossbars.cope import cope_ordinates_mm
from barmath.crossbars.crossbar import crossbar
from barmath.glossary.of_the_bar import BAR, FRONT, TUBE_MM, whole
from barmath.glossary.sketch import (
    Label,
    Sketch,
    Stroke,
    angle_between,
    arc,
    bend,
    block,
    disc,
    line,
    measure,
    onward,
)
from barmath.shop.order_seven import CROSSBAR, DIE

RADIUS_MM = float(DIE.centerline_radius_mm)
BRANCH = CROSSBAR


def _bender(turn_deg: float = 40.0, ahead: float = 110.0, start: float = 0.0) -> tuple[Stroke, ...]:
    # seen from above: the hook holds at the left, the free end comes round the die to the left of its own way
    points, heading = bend((start, 0.0), 0.0, RADIUS_MM, turn_deg)
    tube = [(-150.0, 0.0), *points, onward(points[-1], heading, ahead)]
    groove = RADIUS_MM - TUBE_MM / 2.0
    return (
        disc((0.0, RADIUS_MM), groove),
        block(-110.0, -TUBE_MM / 2.0 - 12.0, -60.0, TUBE_MM / 2.0 + 12.0),
        line(tube, "tube", TUBE_MM),
    )


def _follower(turn_deg: float = 40.0) -> Stroke:
    points, heading = bend((0.0, 0.0), 0.0, RADIUS_MM, turn_deg)
    along, aside = onward((0.0, 0.0), heading, 1.0), onward((0.0, 0.0), heading - 90.0, 1.0)
    first, inner, outer = points[-1] + 6.0 * along, TUBE_MM / 2.0, TUBE_MM / 2.0 + 20.0
    near, far = first + inner * aside, first + 50.0 * along + inner * aside
    return line([near, far, far + (outer - inner) * aside, near + (outer - inner) * aside, near], "tool")


def bender() -> Sketch:
    """The machine: die, hook and follower, with the tube between them."""
    return Sketch(
        (*_bender(), _follower(), disc((0.0, RADIUS_MM), 14.0, "strong")),
        (Label("pivot", (0.0, RADIUS_MM + 28.0)), Label("bender, from above", (0.0, -64.0))),
    )


def recipe() -> Sketch:
    """What is set and marked to make one bar: the straight tube with its length, its marks and an angle."""
    half = 408.0
    marks = [line([(x, -26.0), (x, 26.0)], "strong") for x in (-185.0, -65.0, 65.0, 185.0)]
    return Sketch(
        (line([(-half, 0.0), (half, 0.0)], "tube", TUBE_MM), *marks, *measure((-half, -70.0), (half, -70.0))),
        (Label("marks, stop, reading", (0.0, 66.0)), Label("cut length", (0.0, -104.0))),
    )


def slack() -> Sketch:
    """How far the handle moves before the tube begins to bend."""
    return Sketch(
        (*_bender(0.0), *angle_between((0.0, RADIUS_MM), -90.0, -78.0, 120.0, 1.15)),
        (Label("slack", (44.0, -58.0)),),
    )


def rocking() -> Sketch:
    """A bar on a table that rests on two of its corners, and tips from one grip to the other."""
    return Sketch(
        (line([(-250.0, 0.0), (250.0, 0.0)], "dash"), line([(-230.0, 11.0), (230.0, 40.0)], "tube", TUBE_MM),
         *measure((230.0, 0.0), (230.0, 29.0))),
        (Label("it rocks", (0.0, 62.0)), Label("flat table", (0.0, -34.0))),
    )  # fmt: skip


def die() -> Sketch:
    """The round block with a groove."""
    return Sketch(
        (*_bender(), disc((0.0, RADIUS_MM), RADIUS_MM - TUBE_MM / 2.0, "strong")), (Label("die", (0.0, RADIUS_MM)),)
    )


def centre_line_radius() -> Sketch:
    """From the pivot to the tube's middle."""
    end = (RADIUS_MM * float(np.sin(np.radians(20.0))), RADIUS_MM * (1.0 - float(np.cos(np.radians(20.0)))))
    return Sketch(
        (*_bender(), *measure((0.0, RADIUS_MM), end)),
        (Label("R", (-8.0, RADIUS_MM / 2.0)), Label("pivot", (0.0, RADIUS_MM + 17.0))),
    )


def hook() -> Sketch:
    """What holds the tube behind the bend."""
    held = (block(-110.0, -TUBE_MM / 2.0 - 12.0, -60.0, TUBE_MM / 2.0 + 12.0).points, "strong")
    return Sketch((*_bender(), line(*held)), (Label("hook", (-86.0, -50.0)),))


def follower() -> Sketch:
    """What presses the tube round the die."""
    return Sketch((*_bender(), _follower(), line(_follower().points, "strong")), (Label("follower", (176.0, 0.0)),))


def sequence_of_bends() -> Sketch:
    """The four bends on the straight tube, with the step at which each is made."""
    half, places = 408.0, (65.0, -65.0, 185.0, -185.0)
    marks = [line([(x, -26.0), (x, 26.0)], "strong") for x in places]
    numbers = [Label(str(step), (x, 66.0)) for step, x in enumerate(places, 1)]
    return Sketch(
        (line([(-half, 0.0), (half, 0.0)], "tube", TUBE_MM), *marks), (*numbers, Label("made first: 1", (0.0, -70.0)))
    )


def flat() -> Sketch:
    """The straight piece that the angle finder is on."""
    points, heading = bend((0.0, 0.0), 0.0, 100.0, 40.0)
    far = onward(points[-1], heading, 160.0)
    return Sketch(
        (line([(-140.0, 0.0), *points, far], "tube", TUBE_MM), line([points[-1], far], "strong")),
        (Label("flat", (float(far[0]) - 20.0, float(points[-1][1]))),),
    )


def stop() -> Sketch:
    """What ends the handle's way."""
    return Sketch(
        (*_bender(), *angle_between((0.0, RADIUS_MM), -90.0, -50.0, 120.0, 1.15)),
        (Label("angle on the stop", (70.0, -64.0)),),
    )


def tangent_point() -> Sketch:
    """Where the straight ends and the arc begins."""
    points, _ = bend((0.0, 0.0), 0.0, RADIUS_MM, 40.0)
    across = 26.0 * (np.array([0.0, RADIUS_MM]) - points[-1]) / RADIUS_MM
    return Sketch(
        (*_bender(), line([(0.0, -26.0), (0.0, 26.0)], "strong"), line([points[-1] - across, points[-1] + across],
                                                                       "strong")),
        (Label("tangent points", (40.0, -52.0)),),
    )  # fmt: skip


def free_end() -> Sketch:
    """The side that swings."""
    points, heading = bend((0.0, 0.0), 0.0, RADIUS_MM, 40.0)
    end = onward(points[-1], heading, 110.0)
    reach = float(np.hypot(end[0], end[1] - RADIUS_MM))
    turn = float(np.degrees(np.arctan2(end[1] - RADIUS_MM, end[0])))
    return Sketch(
        (*_bender(), arc((0.0, RADIUS_MM), reach, turn - 40.0, turn)),
        (Label("free end, swinging", (96.0, -52.0)),),
    )


def arm() -> Sketch:
    """The bent side of the tube, out to its end."""
    points, heading = bend((0.0, 0.0), 0.0, RADIUS_MM, 40.0)
    end = onward(points[-1], heading, 110.0)
    return Sketch((*_bender(), line([points[-1], end], "strong")), (Label("bent arm", (end[0] + 10.0, 12.0)),))


def line_up_offset() -> Sketch:
    """How far past the edge the bend begins."""
    return Sketch(
        (*_bender(start=22.0), line([(0.0, -30.0), (0.0, 30.0)], "dash"),
         line([(22.0, -30.0), (22.0, 30.0)], "dash"), *measure((0.0, -30.0), (22.0, -30.0), 6.0)),
        (Label("edge", (-38.0, -46.0)), Label("line-up offset", (110.0, -46.0))),
    )  # fmt: skip


def springback() -> Sketch:
    """What the bend loses when it is let go."""
    points, heading = bend((0.0, 0.0), 0.0, RADIUS_MM, 50.0)
    at_stop = [(-150.0, 0.0), *points, onward(points[-1], heading, 130.0)]
    kept, opened = bend((0.0, 0.0), 0.0, RADIUS_MM / 0.84, 42.0)
    after = [(-150.0, 0.0), *kept, onward(kept[-1], opened, 130.0)]
    corner = kept[-1]
    return Sketch(
        (disc((0.0, RADIUS_MM), RADIUS_MM - TUBE_MM / 2.0), line(after, "tube", TUBE_MM), line(at_stop, "dash"),
         arc(corner, 118.0, opened, opened + 9.5)),
        (Label("at the stop", (92.0, 196.0)), Label("let go", (252.0, 92.0)), Label("springback", (270.0, 164.0))),
    )  # fmt: skip


def least_straight() -> Sketch:
    """What hook and follower need between two bends."""
    points, heading = bend((0.0, 0.0), 0.0, RADIUS_MM, 40.0)
    before, _ = bend((-112.0, 0.0), 180.0, RADIUS_MM, -30.0)
    tube = [onward(before[-1], 150.0, 60.0), *before[::-1], *points, onward(points[-1], heading, 90.0)]
    return Sketch(
        (disc((0.0, RADIUS_MM), RADIUS_MM - TUBE_MM / 2.0), block(-95.0, -24.0, -40.0, 24.0),
         line(tube, "tube", TUBE_MM), *measure((-112.0, -42.0), (0.0, -42.0))),
        (Label("straight for the hook", (-50.0, -66.0)),),
    )  # fmt: skip


def angle_finder() -> Sketch:
    """The dial with a needle that hangs down."""
    return Sketch(
        (block(-40.0, -52.0, 40.0, -40.0), disc((0.0, 0.0), 40.0, "line"),
         line([(0.0, 26.0), (0.0, -30.0)], "strong"),
         *(line([36.0 * np.array([np.sin(t), np.cos(t)]), 40.0 * np.array([np.sin(t), np.cos(t)])])
           for t in np.radians(np.arange(0, 360, 15)))),
        (Label("needle", (80.0, 0.0)), Label("foot", (0.0, -66.0))),
    )  # fmt: skip


def clamp_reading() -> Sketch:
    """The slope of the clamp flat while the tube is in the bender."""
    turn = 12.0
    far = onward((0.0, 0.0), turn, 150.0)
    at = onward((0.0, 0.0), turn, 90.0) + 34.0 * onward((0.0, 0.0), turn + 90.0, 1.0)
    return Sketch(
        (line([(0.0, 0.0), far], "tube", TUBE_MM), disc((float(at[0]), float(at[1])), 22.0, "line"),
         line([(at[0], at[1] + 14.0), (at[0], at[1] - 18.0)]), *angle_between((0.0, 0.0), 0.0, turn, 118.0, 1.2)),
        (Label("clamp reading", (190.0, -18.0)), Label("clamp flat", (36.0, 34.0)), Label("level", (50.0, -18.0))),
    )  # fmt: skip


def rise_window() -> Sketch:
    """The rises that a die can give."""
    return Sketch(
        (line([(0.0, 0.0), (200.0, 0.0)]), *(line([(x, 0.0), (x, -4.0)]) for x in range(0, 201, 40)),
         *measure((62.0, 16.0), (148.0, 16.0)), *measure((84.0, 40.0), (132.0, 40.0)),
         line([(104.0, -4.0), (104.0, 54.0)], "dash")),
        (Label("tight die", (26.0, 16.0)), Label("wide die", (26.0, 40.0)), Label("order", (104.0, 64.0)),
         Label("rise", (100.0, -22.0))),
    )  # fmt: skip


def gap_on_the_table() -> Sketch:
    """A bar upside down on a flat table, one grip not touching."""
    points = whole(FRONT).points * [1.0, -1.0]
    turned = points @ np.array([[np.cos(0.04), np.sin(0.04)], [-np.sin(0.04), np.cos(0.04)]])
    low = turned[:, 1].min() - TUBE_MM / 2.0
    end = turned[-1] if turned[-1][1] > turned[0][1] else turned[0]
    return Sketch(
        (line(turned, "tube", TUBE_MM), block(-340.0, low - 26.0, 340.0, low),
         *measure((end[0], low), (end[0], end[1] - TUBE_MM / 2.0), 10.0)),
        (Label("gap", (end[0] - 40.0 * np.sign(end[0]), end[1] + 40.0)), Label("flat table", (0.0, low - 50.0))),
    )  # fmt: skip


def tweak() -> Sketch:
    """A bend opened or closed a little by hand."""
    shut, closed = bend((0.0, 0.0), 0.0, RADIUS_MM, 38.0)
    wide, opened = bend((0.0, 0.0), 0.0, RADIUS_MM, 26.0)
    now = [(-90.0, 0.0), *shut, onward(shut[-1], closed, 100.0)]
    then = [(-90.0, 0.0), *wide, onward(wide[-1], opened, 100.0)]
    return Sketch(
        (line(now, "tube", TUBE_MM), line(then, "dash"), arc(wide[-1], 92.0, opened, opened + 10.0)),
        (Label("close", (84.0, 96.0)), Label("open", (160.0, 42.0))),
    )


def fitted_crossbar() -> Sketch:
    """The thin tube between the risers."""
    bar = crossbar(BAR, TUBE_MM, BRANCH)
    x, _, z = bar.joint_mm
    half = x - TUBE_MM / 2.0
    return Sketch(
        (whole(FRONT), line([(-half, z), (half, z)], "tube", float(BRANCH.outside_diameter_mm)),
         line([(-half, z), (half, z)], "strong")),
        (Label("crossbar", (0.0, z + 40.0)),),
    )  # fmt: skip


def joint_angle() -> Sketch:
    """Between the axes of crossbar and riser."""
    turn = BAR.inner_bend_deg
    return Sketch(
        (line([onward((0.0, 0.0), 180.0 + turn, 70.0), onward((0.0, 0.0), turn, 70.0)], "tube", TUBE_MM),
         line([(-110.0, 0.0), (-14.0, 0.0)], "tube", 12.7), line([(-110.0, 0.0), (0.0, 0.0)]),
         *angle_between((0.0, 0.0), 180.0, 180.0 + turn, 52.0, 1.3)),
        (Label("joint angle", (-96.0, -40.0)), Label("riser", (-8.0, 46.0)), Label("crossbar", (-84.0, 22.0))),
    )  # fmt: skip


def cope() -> Sketch:
    """The saddle at the end of a tube."""
    stations = np.linspace(0.0, 180.0, 60)
    radius = 12.7
    cut = cope_ordinates_mm(2.0 * radius, 25.4, 55.0, stations)
    edge = np.column_stack([-np.asarray(cut), -radius * np.cos(np.radians(stations))])
    tube = np.array([*edge, (-110.0, radius), (-110.0, -radius), edge[0]])
    return Sketch(
        (line(tube, "tool"), line(edge, "strong"),
         line([onward((0.0, 0.0), 55.0, -60.0), onward((0.0, 0.0), 55.0, 60.0)], "dash")),
        (Label("cope", (-52.0, 24.0)), Label("axis of the riser", (60.0, -50.0))),
    )  # fmt: skip


def wrap() -> Sketch:
    """The cope's curve unrolled, its tip up."""
    stations = np.linspace(0.0, 360.0, 120)
    radius = 6.35
    cut = np.asarray(cope_ordinates_mm(2.0 * radius, TUBE_MM, 35.0, stations))
    curve = np.column_stack([np.radians(stations) * radius, cut.min() - cut])
    right, base = curve[-1][0], float(curve[:, 1].min()) - 14.0
    return Sketch(
        (line([(0.0, curve[0][1]), (0.0, base), (right, base), (right, curve[-1][1])]), line(curve, "strong")),
        (Label("pencil line", (0.0, base - 4.0)), Label("file to here", (0.5 * right, 4.0))),
    )  # fmt: skip


def brazed_joint() -> Sketch:
    """The fillet between two tubes."""
    fillet = [(-8.5, 6.0), (-8.0, 10.5), (-11.5, 26.0), (-14.5, 13.0), (-26.0, 6.4), (-8.5, 6.0)]
    other = [(x, -y) for x, y in fillet]
    return Sketch(
        (line([(0.0, -38.0), (0.0, 38.0)], "tube", TUBE_MM), line([(-60.0, 0.0), (-11.0, 0.0)], "tube", 12.7),
         line(fillet, "tool"), line(other, "tool"), line(fillet[1:5], "strong"), line(other[1:5], "strong")),
        (Label("fillet", (-34.0, 22.0)),),
    )  # fmt: skip
