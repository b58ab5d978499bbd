"""How the tube is held for one bend, as SVG: from above, and the flat that the angle finder is read on."""

from __future__ import annotations

from collections.abc import Callable
from html import escape

import numpy as np
from numpy.typing import ArrayLike

from barmath.arrays import Array
from barmath.bending.steps import Step
from barmath.pictures.palette import BEND, DIMENSION, FAINT, FONT, GRID, INK, MARK, PAPER, STRAIGHT

WIDTH, HEIGHT, MARGIN = 780.0, 400.0, 40.0
HOOK_MM, FOLLOWER_MM = (-64.0, -10.0), (8.0, 72.0)
"""Where hook and follower are drawn along the tube from where the bend starts: plain shapes, no measured tooling."""


def bench_step_svg(step: Step, die_radius_mm: float, tube_diameter_mm: float) -> str:
    """An SVG element of one step: the tube from above, the bend to come dashed, and the angle finder on its flat.

    Parameters
    ----------
    step : Step
    die_radius_mm, tube_diameter_mm : float, mm
    """
    pose, side = step.pose, 1.0 if step.pose.turns == "left" else -1.0
    centre = np.array([0.0, side * die_radius_mm])
    seen = np.concatenate([pose.before_mm[:, :2], pose.after_mm[:, :2], centre + die_radius_mm * np.eye(2)])
    low, high = seen.min(0), seen.max(0)
    room = np.array([WIDTH, HEIGHT]) - 2.0 * MARGIN
    scale = float(np.min(room / (high - low)))
    middle = (low + high) / 2.0

    def at(points: ArrayLike) -> Array:
        offset = (np.asarray(points, float) - middle) * scale
        return np.stack([WIDTH / 2.0 + offset[..., 0], HEIGHT / 2.0 - offset[..., 1]], -1)

    thick, half = max(tube_diameter_mm * scale, 8.0), 0.5 * tube_diameter_mm
    x, y = at(centre)
    after, before = at(pose.after_mm[pose.free, :2]), at(pose.before_mm[:, :2])
    drawn = [
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{die_radius_mm * scale:.1f}" fill="{GRID}" stroke="{STRAIGHT}"/>',
        _words(x, y + 6.0, "die", colour=STRAIGHT),
        _line(after, f'stroke="{BEND}" stroke-width="{0.7 * thick:.1f}" stroke-dasharray="16 9"'),
        _line(before, f'stroke="{INK}" stroke-width="{thick:.1f}"'),
        _line(before, f'stroke="{FAINT}" stroke-width="{thick - 3.0:.1f}"'),
        _block(at, HOOK_MM, (-2.2 * half, 2.2 * half), INK),
        _block(at, FOLLOWER_MM, (-side * half, -side * 4.0 * half), STRAIGHT),
        _line(at([[0.0, -3.2 * half], [0.0, 3.2 * half]]), f'stroke="{MARK}" stroke-width="4"'),
    ]
    for place, name, anchor in ((HOOK_MM[1], "hook", "end"), (FOLLOWER_MM[0], "follower", "start")):
        x, y = at(np.array([place, -side * 8.0 * half]))
        drawn.append(_words(x, y, name, anchor=anchor))
    drawn += [_end_letter(before, 0, "L"), _end_letter(before, -1, "R")]
    words = f"{step.title}, from above: {step.hold}; the free end comes to the {pose.turns}."
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:.0f} {HEIGHT:.0f}" role="img" '
        f'aria-label="{escape(words)}" font-family="{escape(FONT)}" fill="none" class="barmath-held">'
        f"{''.join(drawn)}</svg>"
    )


def finder_svg(step: Step) -> str:
    """An SVG element of the flat under the angle finder, seen level and square to it, bender on the right.

    Empty where there is nothing to read.
    """
    if step.reading_deg is None:
        return ""
    theta = np.radians(step.reading_deg)
    along, up = np.array([np.cos(theta), -np.sin(theta)]), np.array([-np.sin(theta), -np.cos(theta)])
    middle = np.array([130.0, 118.0])
    dial = middle + 44.0 * up
    foot = [middle + 34.0 * s * along + t * up for s, t in ((-1, 9), (1, 9), (1, 19), (-1, 19))]
    drawn = [
        _line([[10.0, 118.0], [250.0, 118.0]], f'stroke="{STRAIGHT}" stroke-width="2" stroke-dasharray="7 6"'),
        _line([middle - 108.0 * along, middle + 108.0 * along], f'stroke="{INK}" stroke-width="18"'),
        _line([middle - 107.0 * along, middle + 107.0 * along], f'stroke="{FAINT}" stroke-width="14"'),
        f'<polygon points="{_points(foot)}" fill="{PAPER}" stroke="{INK}" stroke-width="2"/>',
        f'<circle cx="{dial[0]:.1f}" cy="{dial[1]:.1f}" r="34" fill="{PAPER}" stroke="{DIMENSION}" stroke-width="3"/>',
        _words(dial[0], dial[1] + 7.0, f"{abs(step.reading_deg):.1f}°", size=20.0, weight=700),
        _words(226.0, 192.0, "bender →", size=15.0),
        _words(36.0, 192.0, f"← {step.read_side[0].upper()} end", size=15.0),
    ]
    slope = "level" if abs(step.reading_deg) < 0.05 else "up" if step.reading_deg > 0 else "down"
    words = f"The {step.read_on} seen square to it, {slope} toward the bender, with {abs(step.reading_deg):.1f} degrees"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 260 200" role="img" aria-label="{escape(words)}" '
        f'font-family="{escape(FONT)}" fill="none" class="barmath-finder">{"".join(drawn)}</svg>'
    )


def _points(points: ArrayLike) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in np.asarray(points))


def _line(points: ArrayLike, look: str) -> str:
    return f'<polyline points="{_points(points)}" stroke-linejoin="round" {look}/>'


def _block(at: Callable[[ArrayLike], Array], x: tuple[float, float], y: tuple[float, float], fill: str) -> str:
    corners = at([(x[0], y[0]), (x[1], y[0]), (x[1], y[1]), (x[0], y[1])])
    return f'<polygon points="{_points(corners)}" fill="{fill}" stroke="{INK}"/>'


def _words(
    x: float, y: float, words: str, size: float = 18.0, weight: int = 400, colour: str = INK, anchor: str = "middle"
) -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" font-size="{size:.0f}" font-weight="{weight}" '
        f'fill="{colour}" paint-order="stroke" stroke="{PAPER}" stroke-width="4">{escape(words)}</text>'
    )


def _end_letter(line: Array, place: int, letter: str) -> str:
    end, inward = line[place], line[1 if place == 0 else -2]
    x, y = end + 22.0 * (end - inward) / np.linalg.norm(end - inward)
    return _words(x, y + 9.0, letter, size=28.0, weight=700, colour=DIMENSION)
