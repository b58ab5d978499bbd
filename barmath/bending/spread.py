"""How far bars made in one sequence come out apart, from random errors carried through the whole process.

Each tube of a seeded Monte Carlo is bent step by step with errors of its own: the angle finder at each reading, the
stop, the mark and the springback at each bend. What was bent wrong is read again at the next step, as on the bench.
"""

from __future__ import annotations

from dataclasses import fields, replace
from typing import NamedTuple

import numpy as np

from barmath.arrays import Array
from barmath.bending.finder import Flat
from barmath.bending.holds import MOST_BENDS_OF_A_TUBE, Hold
from barmath.bending.settings import Setting, Slips, bends_from_settings, settings_from_bends
from barmath.checking.bench_errors import BenchErrors
from barmath.fields import frozen, passing
from barmath.refusal import Number, checked_count, checked_single
from barmath.shop.bender import Bender
from barmath.shop.setup import Setup
from barmath.shop.tooling import Die, Springback
from barmath.space.centerline import TubeBends, cut_length_mm
from barmath.space.two_sides import TwoSides, two_sides_from_bends

TUBES = 4000
"""Tubes bent for one spread: its standard deviations are then good to about 1 part in 90."""

MOST_TUBES, LARGEST_SEED = 100_000, 2**32
"""Tubes that are bent in a few seconds, and the largest seed of NumPy's generator that is taken."""

_SMALL_DEG = 0.01  # to either side of a reading: its slope is then good to 1 in 1000


@frozen
class ProcessErrors(BenchErrors):
    """`BenchErrors`, and how much the springback ratio scatters from bend to bend; one standard deviation each.

    Raises
    ------
    BendError
        An error is no number or is outside its range.
    """

    springback: float = passing(checked_single, "scatter of the springback ratio", least=0.0, most=0.2, default=0.002)


class Spread(NamedTuple):
    """One standard deviation of each measure of the bars that come out of one sequence.

    `rise_mm`, `backsweep_deg`, `upsweep_deg` of a side (both sides taken together), `twist_deg` between the risers.
    `rise_apart_mm` and `backsweep_apart_deg` are from the left side to the right.
    """

    rise_mm: float
    backsweep_deg: float
    upsweep_deg: float
    twist_deg: float
    rise_apart_mm: float
    backsweep_apart_deg: float


def slips_from_errors(errors: ProcessErrors, steps: int, tubes: int, seed: int) -> Slips:
    """Normal slips of mean 0 for `tubes` tubes of `steps` bends, shape (tubes, steps); equal seeds, equal slips.

    Parameters
    ----------
    errors : ProcessErrors
        Standard deviations.
    steps, tubes : int
    seed : int

    Raises
    ------
    BendError
        A count or the seed is not a whole number in its range.

    Examples
    --------
    >>> from barmath.bending import ProcessErrors, slips_from_errors
    >>> slips_from_errors(ProcessErrors(), steps=4, tubes=5, seed=1).mark_mm.shape
    (5, 4)
    """
    count = checked_count("number of tubes", tubes, least=2, most=MOST_TUBES)
    bends = checked_count("number of steps", steps, least=0, most=MOST_BENDS_OF_A_TUBE)
    luck = np.random.default_rng(checked_count("seed", seed, least=0, most=LARGEST_SEED))
    scatter = luck.standard_normal((4, count, bends))
    return Slips(
        mark_mm=errors.mark_mm * scatter[0],
        stop_deg=errors.stop_deg * scatter[1],
        reading_deg=errors.finder_deg * scatter[2],
        springback=errors.springback * scatter[3],
    )


def spread_of_sequence(
    bends: TubeBends,
    holds: tuple[Hold, ...],
    errors: ProcessErrors,
    springback: Springback,
    die: Die,
    bender: Bender = Bender(),
    *,
    tubes: int = TUBES,
    seed: int = 1,
    stem_roll_deg: Number = 0.0,
) -> Spread:
    """Spread of the bars that come out of bending one bar (`bends`, no leading axes) in the sequence of `holds`.

    The same seed gives each sequence the same luck, so that sequences are compared by what they are.

    Parameters
    ----------
    bends : TubeBends
        Of one tube.
    holds : tuple of Hold
    errors : ProcessErrors
        Standard deviations.
    springback : Springback
    die : Die
    bender : Bender
    tubes : int
        How many are bent.
    seed : int
    stem_roll_deg : number
        With which the bars are measured.

    Raises
    ------
    BendError
        The sequence cannot be done at all, or a number is outside its range.

    Examples
    --------
    >>> from barmath.bending import USUAL_HOLDS, ProcessErrors, spread_of_sequence
    >>> from barmath.shop import DIE, TUBE, order_seven_recipe, springback_from_tube
    >>> from barmath.space import bends_from_recipe
    >>> bends = bends_from_recipe(order_seven_recipe())
    >>> spread = spread_of_sequence(bends, USUAL_HOLDS, ProcessErrors(), springback_from_tube(TUBE, DIE), DIE)
    >>> print(f"rise {spread.rise_mm:.1f} mm")
    rise 2.0 mm
    """
    settings = settings_from_bends(bends, holds, springback, die, bender)
    return spread_of_settings(
        settings, float(cut_length_mm(bends)), errors, springback, die, bender,
        tubes=tubes, seed=seed, stem_roll_deg=stem_roll_deg,
    )  # fmt: skip


def spread_of_settings(
    settings: tuple[Setting, ...],
    length_mm: float,
    errors: ProcessErrors,
    springback: Springback,
    die: Die,
    bender: Bender = Bender(),
    *,
    tubes: int = TUBES,
    seed: int = 1,
    stem_roll_deg: Number = 0.0,
) -> Spread:
    """Spread of the bars that come out of settings made by hand, such as other flats to read.

    Parameters
    ----------
    settings : tuple of Setting
    length_mm : number
        Of the straight tube.
    errors, springback, die, bender, tubes, seed, stem_roll_deg
        As in `spread_of_sequence`.

    Raises
    ------
    BendError
        The stem roll is not one number, or a count or the seed is outside its range.

    Examples
    --------
    >>> from barmath.bending import USUAL_HOLDS, ProcessErrors, settings_from_bends, spread_of_settings
    >>> from barmath.shop import DIE, TUBE, order_seven_recipe, springback_from_tube
    >>> from barmath.space import cut_length_mm, bends_from_recipe
    >>> bends = bends_from_recipe(order_seven_recipe())
    >>> springback = springback_from_tube(TUBE, DIE)
    >>> settings = settings_from_bends(bends, USUAL_HOLDS, springback, DIE)
    >>> spread = spread_of_settings(settings, float(cut_length_mm(bends)), ProcessErrors(), springback, DIE)
    >>> print(f"rise {spread.rise_mm:.1f} mm")
    rise 2.0 mm
    """
    stem_roll_deg = checked_single("stem roll", stem_roll_deg, "deg")
    slips = slips_from_errors(errors, len(settings), tubes, seed)
    return spread_from_sides(
        two_sides_from_bends(bends_from_settings(settings, length_mm, springback, die, bender, slips), stem_roll_deg)
    )


def spread_from_sides(sides: TwoSides) -> Spread:
    """Standard deviations over an array (tubes) of measured bars."""

    def side(measure: str) -> float:
        values: Array = getattr(sides, measure)
        return float(np.sqrt(values.var(0).mean()))

    apart = (float(sides.apart(measure).std()) for measure in ("rise_mm", "backsweep_deg"))
    return Spread(side("rise_mm"), side("backsweep_deg"), side("upsweep_deg"), float(sides.twist_deg.std()), *apart)


class ReadingSlope(NamedTuple):
    """What a degree of error in one reading does to the bar if its later steps follow the plan, degrees.

    `backsweep_deg` of the side that moves most; `twist_deg` between the risers.
    """

    backsweep_deg: float
    twist_deg: float


def slope_of_reading(
    bends: TubeBends,
    holds: tuple[Hold, ...],
    step: int,
    flat: Flat,
    setup: Setup,
) -> ReadingSlope:
    """How the finished sweeps answer to the reading taken on `flat` at `step` (from 0) of the plan.

    Parameters
    ----------
    bends : TubeBends
        Of one tube.
    holds : tuple of Hold
    step : int
        From 0.
    flat : Flat
        One of `flats_to_read`.
    setup : Setup

    Raises
    ------
    BendError
        The plan cannot be made, or the reading is larger than its flat can show.

    Examples
    --------
    >>> from barmath.bending import USUAL_HOLDS, flats_to_read, made_so_far, slope_of_reading
    >>> from barmath.shop import DIE, TUBE, order_seven_recipe, setup_from_tube
    >>> from barmath.space import bends_from_recipe
    >>> bends = bends_from_recipe(order_seven_recipe())
    >>> flat = flats_to_read(bends, USUAL_HOLDS[2], made_so_far(USUAL_HOLDS)[2])[0]
    >>> slope = slope_of_reading(bends, USUAL_HOLDS, 2, flat, setup_from_tube(TUBE, DIE))
    >>> print(f"{slope.backsweep_deg:.1f} deg of backsweep a degree misread")
    1.0 deg of backsweep a degree misread
    """
    tools = setup.springback, setup.die, setup.bender
    settings = list(settings_from_bends(bends, holds, *tools))
    settings[step] = replace(
        settings[step], read_on=flat.straight, reading_deg=flat.reading_deg, toward_die=flat.toward_die
    )
    slips = np.zeros((2, len(holds)))
    slips[:, step] = -_SMALL_DEG, _SMALL_DEG
    length = float(cut_length_mm(bends))
    sides = two_sides_from_bends(bends_from_settings(tuple(settings), length, *tools, Slips(reading_deg=slips)))

    def slope(values: Array) -> float:
        change = (values[1] - values[0]) / (2.0 * _SMALL_DEG)
        return float(np.max(np.abs(change)))

    return ReadingSlope(slope(sides.backsweep_deg), slope(sides.twist_deg))


def only(errors: ProcessErrors, *kept: str) -> ProcessErrors:
    """`errors` with all but the fields `kept` set to 0, to see what each tool does by itself.

    Examples
    --------
    >>> from barmath.bending import ProcessErrors, only
    >>> only(ProcessErrors(), "stop_deg")
    ProcessErrors(stop_deg=0.3, finder_deg=0.0, mark_mm=0.0, springback=0.0)
    """
    return ProcessErrors(**{f.name: getattr(errors, f.name) if f.name in kept else 0.0 for f in fields(errors)})
