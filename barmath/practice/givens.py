"""How an exercise gives a number: bare to a beginner, later through what it follows from, at last as readings."""

from __future__ import annotations

from random import Random
from typing import NamedTuple

from barmath.practice.scene import LEVELS
from barmath.shop.stock import Tube

STOP_DEG = 30.0
"""The stop of a test bend."""


class Given(NamedTuple):
    """A number that an exercise gives: `words` for the reader, `total` as a sum for a hint, and its value."""

    words: str
    total: str
    value: float


def radius_given(rng: Random, level: int, radius: float) -> tuple[Given, float]:
    """A finished radius, mm; from the second level on by the die and its springback. And the radius of that die.

    Examples
    --------
    >>> from random import Random
    >>> from barmath.practice.givens import radius_given
    >>> radius_given(Random(1), 1, 110.0)[0].words
    'a finished radius of 110.0 mm'
    """
    if level == 1:
        return Given(f"a finished radius of {radius:.1f} mm", f"{radius:.1f}", radius), radius
    share = rng.randint(20, 45) / 1000.0
    die = radius * (1.0 - share)
    words = f"a die of {die:.1f} mm, with {100.0 * share:.1f} % of springback"
    return Given(words, f"{die:.1f} / (1 - {share:.3f})", radius), die


def kept_given(rng: Random, level: int, kept: float) -> Given:
    """What a test bend springs back to, deg: one reading, or at the last level three with an error each.

    Examples
    --------
    >>> from random import Random
    >>> from barmath.practice.givens import kept_given
    >>> kept_given(Random(1), 1, 29.0).words
    'it sprang back to 29.0 deg'
    """
    if level < LEVELS[-1]:
        return Given(f"it sprang back to {kept:.1f} deg", f"{kept:.1f}", kept)
    first, second = rng.choice(((0.1, 0.1), (-0.1, -0.1), (0.2, -0.1), (-0.2, 0.1), (0.3, -0.1), (-0.3, 0.2)))
    read = [f"{kept + off:.1f}" for off in (first, second, -first - second)]
    words = f"three readings say that it sprang back to {read[0]}, {read[1]} and {read[2]} deg"
    return Given(words, f"(({' + '.join(read)}) / 3)", kept)


def angle_given(rng: Random, level: int, angle: float) -> Given:
    """A bend, deg; from the second level on by its stop and the springback.

    Examples
    --------
    >>> from random import Random
    >>> from barmath.practice.givens import angle_given
    >>> angle_given(Random(1), 1, 30.0).words
    'of 30.0 deg'
    """
    if level == 1:
        return Given(f"of {angle:.1f} deg", f"{angle:.1f}", angle)
    share = rng.randint(20, 45) / 1000.0
    stop = angle / (1.0 - share)
    words = f"with the stop at {stop:.2f} deg and {100.0 * share:.1f} % of springback"
    return Given(words, f"({stop:.2f} x (1 - {share:.3f}))", angle)


def zero_given(rng: Random, level: int, zero: float) -> Given:
    """What a finder shows on a level tube, deg; from the second level on by two readings, turned end for end.

    Examples
    --------
    >>> from random import Random
    >>> from barmath.practice.givens import zero_given
    >>> zero_given(Random(1), 1, 0.4).words
    'On the level tube in the hook your finder shows 0.4 deg, not zero.'
    """
    if level == 1:
        return Given(f"On the level tube in the hook your finder shows {zero:.1f} deg, not zero.", f"{zero:.1f}", zero)
    lean = rng.choice((0.2, 0.3, 0.5, 0.6))
    one, other = zero + lean, zero - lean
    words = (
        f"On a tube that is only nearly level your finder shows {one:+.1f} deg. Turned end for end on the same place, "
        f"it shows {other:+.1f} deg."
    )
    return Given(words, f"({one:.1f} {other:+.1f}) / 2".replace("+", "+ ").replace("-", "- "), zero)


def length_given(name: str, level: int, parts: tuple[str, float, str, float]) -> Given:
    """A length, mm, that is the sum of two: for a beginner the sum, later its parts with their names.

    Examples
    --------
    >>> from barmath.practice.givens import length_given
    >>> length_given("outer mark", 2, ("inner mark", 82.0, "riser straight", 90.0)).words
    'inner mark 82.0 mm, riser straight 90.0 mm'
    """
    one, first, other, second = parts
    if level == 1:
        return Given(f"{name} {first + second:.1f} mm", f"{first + second:.1f}", first + second)
    return Given(f"{one} {first:.1f} mm, {other} {second:.1f} mm", f"({first:.1f} + {second:.1f})", first + second)


def slip_given(rng: Random, level: int, over: float) -> Given:
    """By how much a stop was set too far, deg; from the second level on by two settings.

    Examples
    --------
    >>> from random import Random
    >>> from barmath.practice.givens import slip_given
    >>> slip_given(Random(1), 1, 1.0).words
    '1.0 deg too far'
    """
    if level == 1:
        return Given(f"{over:.1f} deg too far", f"{over:.1f}", over)
    stop = float(rng.randint(20, 36))
    words = f"to {stop + over:.1f} deg instead of {stop:.1f} deg"
    return Given(words, f"({stop + over:.1f} - {stop:.1f})", over)


def stem_given(level: int, head: float, angle: float) -> Given:
    """The slope of a steering axis, deg, and as a sum the stem's angle to it; later from upright.

    Examples
    --------
    >>> from barmath.practice.givens import stem_given
    >>> stem_given(1, 70.0, 0.0).words
    'at 70.0 deg to the ground'
    """
    if level == 1:
        return Given(f"at {head:.1f} deg to the ground", f"{head - angle:.1f}", head)
    lean = 90.0 - head
    return Given(f"that leans back {lean:.1f} deg from upright", f"(90 - {lean:.1f} - ({angle:+.0f}))", head)


def section_given(level: int, tube: Tube) -> Given:
    """The section modulus of a tube, mm3; at the last level by its two sizes.

    Examples
    --------
    >>> from barmath.practice.givens import section_given
    >>> from barmath.shop.order_seven import TUBE
    >>> section_given(3, TUBE).words
    'The tube is 22.225 mm across, with a wall of 1.651 mm.'
    """
    modulus = round(float(tube.section_modulus_mm3), 0)
    if level < LEVELS[-1]:
        return Given(f"Section modulus of the tube: {modulus:.0f} mm3.", f"{modulus:.0f}", modulus)
    across, inside = float(tube.outside_diameter_mm), float(tube.inside_diameter_mm)
    words = f"The tube is {across:.3f} mm across, with a wall of {float(tube.wall_mm):.3f} mm."
    return Given(words, f"(3.1416 / 32 x ({across:.3f}^4 - {inside:.3f}^4) / {across:.3f})", modulus)
