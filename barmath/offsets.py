"""Stop settings and pencil marks: the one place that knows the offsets of a die.

A stop has play: it is set `stop_offset_deg` further than the tube is bent on the die. A die has a line-up offset: the
bend begins `line_up_offset_mm` ahead of the edge that the pencil mark is held against. Whoever shows a stop or a mark,
or holds one against a bound, asks here.
"""

from __future__ import annotations

import numpy as np

from barmath.bar import Recipe
from barmath.marks import marks_from_recipe
from barmath.refusal import Number, check_shapes, checked, refuse_where
from barmath.tooling import Die, Springback

BEYOND_THE_STOP = "the furthest that it can be set"
"""Why a stop is refused, for every sentence that refuses one."""


def stop_from_bend_deg(bend_deg: Number, springback: Springback, die: Die) -> Number:
    """What to set the stop to so that `bend_deg` stays: bend / (1 - k) + the stop's play, degrees.

    Parameters
    ----------
    bend_deg : number or array, 0..180 degrees
        Finished angle.
    springback : Springback
        Of the tube on the die.
    die : Die
        For its `stop_offset_deg`.

    Raises
    ------
    BendError
        Where the bend lies outside its range.

    Examples
    --------
    >>> die = Die(88.9, stop_offset_deg=1.5)
    >>> round(stop_from_bend_deg(30.0, Springback(0.2, 88.9), die), 6)
    39.0
    """
    return stop_setting_deg(springback.die_bend_deg(bend_deg), die.stop_offset_deg)


def stop_setting_deg(on_die_deg: Number, stop_offset_deg: Number) -> Number:
    """The stop that bends the tube `on_die_deg` on the die, degrees: a bare kernel, elementwise and unchecked."""
    return on_die_deg + stop_offset_deg


def on_die_deg(stop_deg: Number, die: Die) -> Number:
    """How far a stop at `stop_deg` bends the tube on the die, before it springs back, degrees."""
    return stop_deg - die.stop_offset_deg


def bend_from_stop_deg(stop_deg: Number, springback: Springback, die: Die) -> Number:
    """What stays of a bend to the stop at `stop_deg`, degrees: the inverse of `stop_from_bend_deg`.

    Raises BendError where the stop is no number, or no more than its own play.
    """
    stop = checked("stop", stop_deg, "deg", least=-720.0, most=720.0)
    check_shapes("stop and die", stop, die.stop_offset_deg, springback.ratio)
    turn = on_die_deg(stop, die)
    refuse_where(
        np.asarray(turn) <= 0.0, "stop must be above {play} deg, the stop's own play, got {stop} deg",
        remedy="set the stop further", play=die.stop_offset_deg, stop=stop,
    )  # fmt: skip
    return springback.finished_bend_deg(turn)


def kept_deg(stop_deg: Number, ratio: Number, constant_deg: Number) -> Number:
    """What stays of a bend to the stop at `stop_deg`: (1 - k) stop - t0, degrees. A bare kernel.

    A calibration finds k and t0; `stop_offset_deg` is t0 / (1 - k), see `play_deg`.
    """
    return stop_deg * (1.0 - ratio) - constant_deg


def play_deg(constant_deg: Number, ratio: Number) -> Number:
    """The `stop_offset_deg` of a die whose bends all lose `constant_deg` beside the share `ratio`. A bare kernel."""
    return constant_deg / (1.0 - ratio)


def edge_mark_mm(tangent_mm: Number, onward: Number, die: Die) -> Number:
    """The pencil mark that goes to the die's edge so that the arc begins at `tangent_mm`, along the tube.

    `onward` is 1 where the free end lies toward larger distances, -1 where it lies toward smaller ones.
    """
    return tangent_mm - onward * die.line_up_offset_mm


def tangent_from_mark_mm(mark_mm: Number, onward: Number, die: Die) -> Number:
    """Where along the tube the arc begins when `mark_mm` goes to the die's edge: the inverse of `edge_mark_mm`."""
    return mark_mm + onward * die.line_up_offset_mm


def bench_marks_mm(recipe: Recipe, die: Die) -> tuple[Number, Number]:
    """Inner and outer mark of one side in the usual order, mm from the middle, moved by the die's line-up offset.

    The usual order holds the riser, so the free end lies inward for the inner bend and outward for the outer one.

    Parameters
    ----------
    recipe : Recipe
        Finished angles and radius.
    die : Die
        For its `line_up_offset_mm`.

    Examples
    --------
    >>> recipe = Recipe(50.0, 30.0, 90.0, 25.0, 30.0, 200.0, 100.0)
    >>> [round(mark, 1) for mark in bench_marks_mm(recipe, Die(95.0, line_up_offset_mm=2.0))]
    [79.4, 165.4]
    """
    marks = marks_from_recipe(recipe)
    return marks_from_riser_mm(marks.inner_end_mm, marks.outer_start_mm, die.line_up_offset_mm)


def marks_from_riser_mm(start_mm: Number, end_mm: Number, offset_mm: Number) -> tuple[Number, Number]:
    """Inner and outer mark of a riser that reaches from `start_mm` to `end_mm` along the straight tube: bare kernel."""
    return start_mm + offset_mm, end_mm - offset_mm


def riser_from_marks_mm(inner_mm: Number, outer_mm: Number, offset_mm: Number) -> tuple[Number, Number]:
    """Where the riser begins and ends that marks at `inner_mm` and `outer_mm` leave: the inverse, a bare kernel."""
    return inner_mm - offset_mm, outer_mm + offset_mm
