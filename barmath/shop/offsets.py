"""Stop settings and pencil marks: the one place that knows the offsets of a die.

A stop has play: it is set `stop_offset_deg` further than the tube is bent on the die. A die has a line-up offset: the
bend begins `line_up_offset_mm` ahead of the edge that the pencil mark is held against. Everything that shows a stop
or a mark, or holds one against a bound, asks here.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from barmath.closed_forms.marks import marks_from_recipe
from barmath.closed_forms.records import Recipe
from barmath.refusal import Number, check_shapes, checked, refuse_where
from barmath.shop.stock import Tube
from barmath.shop.tooling import MOST_SPRINGBACK, Die, Springback, springback_per_mm

BEYOND_THE_STOP = "the furthest that it can be set"
"""Why a stop is refused, for every sentence that refuses one."""


def stop_from_bend_deg(bend_deg: Number, springback: Springback, die: Die) -> Number:
    """What to set the stop to so that `bend_deg` remains: bend / (1 - k) + the stop's play, degrees.

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
        The bend is outside its range, or its shape does not fit the springback's.

    Examples
    --------
    >>> die = Die(101.6, stop_offset_deg=1.5)
    >>> round(stop_from_bend_deg(30.0, Springback(0.2, 101.6), die), 6)
    39.0
    """
    return stop_setting_deg(springback.die_bend_deg(bend_deg), die.stop_offset_deg)


def stop_setting_deg(on_die_deg: Number, stop_offset_deg: Number) -> Number:
    """The stop that bends the tube `on_die_deg` on the die, degrees: a bare kernel, elementwise and unchecked."""
    return on_die_deg + stop_offset_deg


def on_die_deg(stop_deg: Number, die: Die) -> Number:
    """How far a stop at `stop_deg` bends the tube on the die, before it springs back, degrees."""
    return stop_deg - die.stop_offset_deg


_TO_SET = ("set the stop further", "set the stop less far")


def bend_from_stop_deg(stop_deg: Number, springback: Springback, die: Die) -> Number:
    """What remains of a bend to the stop at `stop_deg`, degrees: the inverse of `stop_from_bend_deg`.

    Parameters
    ----------
    stop_deg : number or array
    springback : Springback
    die : Die

    Raises
    ------
    BendError
        The stop is no number, or is no more than its own play.

    Examples
    --------
    >>> from barmath.shop import Die, Springback, bend_from_stop_deg
    >>> kept = bend_from_stop_deg(31, Springback(0.032, 101.6), Die(101.6))
    >>> print(f"{kept:.2f} deg")
    30.01 deg
    """
    stop = checked("stop", stop_deg, "deg", least=-720.0, most=720.0, remedy=_TO_SET)
    check_shapes("stop and die", stop, die.stop_offset_deg, springback.ratio)
    turn = on_die_deg(stop, die)
    refuse_where(
        np.asarray(turn) <= 0.0, "stop must be above {play} deg, the stop's own play, got {stop} deg",
        remedy="set the stop further", play=die.stop_offset_deg, stop=stop,
    )  # fmt: skip
    return springback.finished_bend_deg(turn)


def kept_deg(stop_deg: Number, ratio: Number, constant_deg: Number) -> Number:
    """What remains of a bend to the stop at `stop_deg`: (1 - k) stop - t0, degrees. A bare kernel.

    A calibration finds k and t0; `stop_offset_deg` is t0 / (1 - k), see `play_deg`.
    """
    return stop_deg * (1.0 - ratio) - constant_deg


def play_deg(constant_deg: Number, ratio: Number) -> Number:
    """The `stop_offset_deg` of a die with bends that all lose `constant_deg` beside the share `ratio`. A bare kernel.

    Parameters
    ----------
    constant_deg : number or array
    ratio : number or array, 0..1
        Springback ratio k.

    Examples
    --------
    >>> from barmath.shop import play_deg
    >>> print(f"{play_deg(0.2, 0.032):.3f} deg")
    0.207 deg
    """
    return constant_deg / (1.0 - ratio)


class Tools(NamedTuple):
    """What dies do with a tube, number by number; one die's numbers, or arrays of several dies'.

    `die_radius_mm` is that of the groove's centre line; `ratio` is the springback's k, measured where the shop has
    measured it; `groove_mm` is nan where it was not noted.
    """

    die_radius_mm: Number
    least_straight_mm: Number
    largest_stop_deg: Number
    stop_offset_deg: Number
    line_up_offset_mm: Number
    groove_mm: Number
    ratio: Number
    radius_mm: Number
    """Finished; nan where the die cannot bend the tube."""

    def stop_deg(self, bend_deg: Number) -> Number:
        """What to set the stop to so that `bend_deg` remains."""
        return stop_setting_deg(bend_deg / (1.0 - self.ratio), self.stop_offset_deg)

    def marks_mm(self, start_mm: Number, end_mm: Number) -> tuple[Number, Number]:
        """Inner and outer mark of a riser from `start_mm` to `end_mm` along the straight tube."""
        return marks_from_riser_mm(start_mm, end_mm, self.line_up_offset_mm)


def tools_from_die(tube: Tube, die: Die) -> Tools:
    """What one die (its fields may be arrays) does with `tube`; a die that cannot bend it has a radius of nan."""
    measured = die.springback_ratio
    ratio = springback_per_mm(tube) * die.centerline_radius_mm if measured is None else measured
    return _tools(
        tube, die.centerline_radius_mm, die.least_straight_mm, die.largest_bend_deg, die.stop_offset_deg,
        die.line_up_offset_mm, np.nan if die.tube_diameter_mm is None else die.tube_diameter_mm, ratio,
    )  # fmt: skip


def tools_from_dies(tube: Tube, dies: Sequence[Die]) -> Tools:
    """What each of the `dies` (single ones) does with one `tube`: arrays of shape (dies, 1)."""
    rows = [tools_from_die(tube, die)[:-1] for die in dies]
    return _tools(tube, *np.array(rows, float).T[:, :, None])


def _tools(tube: Tube, *numbers: Number) -> Tools:
    die_radius, ratio = numbers[0], numbers[-1]
    bends = (np.asarray(die_radius) > tube.outside_diameter_mm / 2.0) & (np.asarray(ratio) <= MOST_SPRINGBACK)
    with np.errstate(divide="ignore"):
        radius = np.where(bends, die_radius / (1.0 - ratio), np.nan)
    return Tools._make((*numbers, radius if radius.ndim else float(radius)))


def constant_from_play_deg(play_deg: Number, ratio: Number) -> Number:
    """What every bend loses beside the share `ratio` on a stop with that play: the inverse of `play_deg`.

    Parameters
    ----------
    play_deg : number or array
    ratio : number or array, 0..1
        Springback ratio k.

    Examples
    --------
    >>> from barmath.shop import constant_from_play_deg, play_deg
    >>> print(f"{constant_from_play_deg(play_deg(0.2, 0.032), 0.032):.3f} deg")
    0.200 deg
    """
    return play_deg * (1.0 - ratio)


def edge_mark_mm(tangent_mm: Number, onward: Number, die: Die) -> Number:
    """The pencil mark that goes to the die's edge so that the arc begins at `tangent_mm`, along the tube.

    `onward` is 1 if the free end is toward larger distances, -1 if it is toward smaller ones.
    """
    return tangent_mm - onward * die.line_up_offset_mm


def tangent_from_mark_mm(mark_mm: Number, onward: Number, die: Die) -> Number:
    """Where along the tube the arc begins when `mark_mm` goes to the die's edge: the inverse of `edge_mark_mm`."""
    return mark_mm + onward * die.line_up_offset_mm


def bench_marks_mm(recipe: Recipe, die: Die) -> tuple[Number, Number]:
    """Inner and outer mark of a side in the usual sequence, moved by the die's offset, from the middle, mm.

    The usual sequence holds the riser. So the free end is inward for the inner bend and outward for the outer one.

    Parameters
    ----------
    recipe : Recipe
        Finished angles and radius.
    die : Die
        For its `line_up_offset_mm`.

    Returns
    -------
    inner, outer : numbers or arrays

    Examples
    --------
    >>> recipe = Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105)
    >>> [round(mark, 1) for mark in bench_marks_mm(recipe, Die(101.6, line_up_offset_mm=2.0))]
    [87.0, 183.8]
    """
    marks = marks_from_recipe(recipe)
    return marks_from_riser_mm(marks.inner_end_mm, marks.outer_start_mm, die.line_up_offset_mm)


def marks_from_riser_mm(start_mm: Number, end_mm: Number, offset_mm: Number) -> tuple[Number, Number]:
    """Inner and outer mark of a riser that reaches from `start_mm` to `end_mm` along the straight tube: bare kernel.

    Parameters
    ----------
    start_mm, end_mm, offset_mm : number or array
        The offset is the die's line-up offset.

    Returns
    -------
    inner, outer : numbers or arrays

    Examples
    --------
    >>> from barmath.shop import marks_from_riser_mm
    >>> marks_from_riser_mm(85, 186, 2)
    (87, 184)
    """
    return start_mm + offset_mm, end_mm - offset_mm


def riser_from_marks_mm(inner_mm: Number, outer_mm: Number, offset_mm: Number) -> tuple[Number, Number]:
    """Where the riser begins and ends that marks at `inner_mm` and `outer_mm` leave: the inverse, a bare kernel.

    Parameters
    ----------
    inner_mm, outer_mm, offset_mm : number or array
        The offset is the die's line-up offset.

    Returns
    -------
    start, end : numbers or arrays

    Examples
    --------
    >>> from barmath.shop import marks_from_riser_mm, riser_from_marks_mm
    >>> riser_from_marks_mm(*marks_from_riser_mm(85, 186, 2), 2)
    (85, 186)
    """
    return inner_mm - offset_mm, outer_mm + offset_mm
