"""The invented training shop's record: bars and test bends made by a seeded script from true values that are known.

Nothing here was bent. It exists so that a lesson has something to look up. A test shows with it that the true values
are recovered.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np

from barmath.bending.holds import USUAL_HOLDS
from barmath.bending.settings import Slips, bends_from_settings, settings_from_bends
from barmath.bending.spread import LARGEST_SEED
from barmath.checking.bench_readings import BY_KEY
from barmath.closed_forms.forward import clamp_reading_deg
from barmath.closed_forms.inverse import recipe_from_order
from barmath.closed_forms.marks import marks_from_recipe
from barmath.closed_forms.records import Order, Recipe, check_single
from barmath.records.bent_bar import READ_WRONG_DEG, BentBar, TestBend
from barmath.records.by_settings import Scatter
from barmath.records.record import Record
from barmath.records.record_entry import BAR
from barmath.refusal import BendError, checked_count
from barmath.shop.offsets import kept_deg, play_deg
from barmath.shop.order_seven import ORDER
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die, Springback
from barmath.space.centerline import TubeBends, bends_from_recipe
from barmath.space.two_sides import two_sides_from_bends

LEAST_RISER_MM, LEAST_GRIP_MM = 65.0, 150.0  # what the demo shop's hook and its riders' controls need
FIRST_DAY = date(2024, 3, 4)
MOST_BARS, TRIES = 10_000, 50  # orders drawn for each bar, before a die is said to make too few


@dataclass(frozen=True)
class Truth:
    """What is true of the shop, and what its builder believed when setting the stops.

    `radius_off_mm` is by how much the finished radius differs from R_die/(1 - k).
    """

    ratio: float = 0.039
    constant_deg: float = 0.2
    offset_mm: float = 1.4
    radius_off_mm: float = 0.4
    believed_ratio: float = 0.032

    def radius_mm(self, die: Die) -> float:
        """The true finished radius on a die."""
        return float(die.centerline_radius_mm) / (1.0 - self.ratio) + self.radius_off_mm


def demo_bars(
    tube: Tube, die: Die, truth: Truth = Truth(), count: int = 40, seed: int = 11, scatter: Scatter = Scatter()
) -> list[BentBar]:
    """`count` bars of the invented shop, bent on the screen with slips and read with errors.

    Equal seeds give equal bars.

    Parameters
    ----------
    tube : Tube
    die : Die
    truth : Truth
        What tube and die really do.
    count : int
    seed : int
    scatter : Scatter
        Of slips and readings.

    Raises
    ------
    BendError
        Tube or die are not single ones. More than `MOST_BARS` are asked for. Too few orders can be bent on that die.

    Examples
    --------
    >>> from barmath.records import demo_bars
    >>> from barmath.shop import DIE, TUBE
    >>> [bar.name for bar in demo_bars(TUBE, DIE, count=2)]
    ['order 101', 'order 102']
    """
    check_single(tube, die)
    rng = np.random.default_rng(checked_count("seed", seed, least=0, most=LARGEST_SEED))
    wanted = checked_count("number of bars", count, least=0, most=MOST_BARS)
    bars: list[BentBar] = []
    for _ in range(TRIES * wanted):
        if len(bars) == wanted:
            break
        order = replace(
            ORDER,
            rise_mm=float(rng.integers(66, 111)),
            backsweep_deg=float(rng.integers(16, 37)) / 2.0,
            width_mm=float(rng.integers(76, 84)) * 10.0,
        )
        bend = float(rng.choice([25.0, 27.5, 30.0, 32.5]))
        try:
            bars.append(_bar(len(bars), order, bend, tube, die, truth, rng, scatter))
        except BendError:
            continue  # no such bar with that bend
    if len(bars) < wanted:
        raise BendError(
            f"die must be able to make the demo's orders, got {die.name or 'a die'}, which makes too few: "
            "choose another die"
        )
    return bars


def demo_record(path: str | Path, tube: Tube, die: Die) -> Record:
    """The invented shop's record at `path`, filled with its bars and test bends if they are not there yet.

    Parameters
    ----------
    path : str or path
    tube : Tube
    die : Die

    Raises
    ------
    BendError
        Tube or die are not single ones. The file cannot be read.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> from barmath.records import demo_record
    >>> from barmath.shop import DIE, TUBE
    >>> with TemporaryDirectory() as folder:
    ...     demo_record(f"{folder}/record.sqlite", TUBE, DIE).count()
    43
    """
    record = Record(path)
    (first,) = demo_bars(tube, die, count=1)
    if not record.has_named(BAR, first.name):  # what somebody has read at the bench may be there before
        record.add_all([*demo_bends(tube, die), *demo_bars(tube, die)])
    return record


def demo_bends(
    tube: Tube,
    die: Die,
    truth: Truth = Truth(),
    stops_deg: Sequence[float] = (15.0, 30.0, 45.0),
    seed: int = 11,
    scatter: Scatter = Scatter(),
) -> list[TestBend]:
    """Test bends to `stops_deg`, made on the screen.

    Parameters
    ----------
    tube : Tube
    die : Die
    truth : Truth
        What tube and die really do.
    stops_deg : sequence of number
    seed : int
    scatter : Scatter
        Of stop and readings.

    Raises
    ------
    BendError
        Tube or die are not single ones.

    Examples
    --------
    >>> from barmath.records import demo_bends
    >>> from barmath.shop import DIE, TUBE
    >>> [round(bend.kept_deg, 1) for bend in demo_bends(TUBE, DIE)]
    [14.1, 29.0, 43.4]
    """
    check_single(tube, die)
    rng = np.random.default_rng(checked_count("seed", seed, least=0, most=LARGEST_SEED) + 1000)
    bends = []
    for place, stop in enumerate(stops_deg):
        kept = kept_deg(stop, truth.ratio, truth.constant_deg) + rng.normal(0.0, scatter.bend_deg)
        kept = min(kept + rng.normal(0.0, scatter.kept_deg), stop + READ_WRONG_DEG)
        shift = truth.offset_mm + rng.normal(0.0, scatter.shift_mm)
        bends.append(
            TestBend(
                (FIRST_DAY + timedelta(days=place)).isoformat(), tube.name, die.name, float(tube.outside_diameter_mm),
                float(tube.wall_mm), float(die.centerline_radius_mm), float(stop), float(kept), shift_mm=float(shift),
            )
        )  # fmt: skip
    return bends


def _bar(
    number: int,
    order: Order,
    bend: float,
    tube: Tube,
    die: Die,
    truth: Truth,
    rng: np.random.Generator,
    scatter: Scatter,
) -> BentBar:
    believed = Springback(truth.believed_ratio, die.centerline_radius_mm)
    recipe = recipe_from_order(order, believed.finished_radius_mm, bend)
    if recipe.straight_mm < LEAST_RISER_MM or recipe.grip_mm < LEAST_GRIP_MM:
        raise BendError("riser and grip must be long enough to be made, got shorter ones: choose another bend")
    marks = marks_from_recipe(recipe)
    stop, reading = float(believed.die_bend_deg(bend)), float(clamp_reading_deg(recipe))
    bends = true_bends(recipe, 2.0 * float(marks.end_mm), die, truth, rng, scatter)
    sides = two_sides_from_bends(bends)
    shown = {
        "backsweep_left": sides.backsweep_deg[0], "backsweep_right": sides.backsweep_deg[1],
        "upsweep_left": sides.upsweep_deg[0], "upsweep_right": sides.upsweep_deg[1],
        "rise_left": sides.rise_mm[0], "rise_right": sides.rise_mm[1], "width": sides.width_mm,
    }  # fmt: skip
    errors = {"deg": scatter.sweep_deg, "mm": scatter.length_mm}
    readings = {key: float(value + rng.normal(0.0, errors[BY_KEY[key].unit])) for key, value in shown.items()}
    return BentBar(
        f"order {number + 101}", (FIRST_DAY + timedelta(days=9 * number)).isoformat(), order, tube.name, die.name,
        float(tube.outside_diameter_mm), float(tube.wall_mm), float(die.centerline_radius_mm),
        batch="first" if number < 25 else "second", inner_mark_mm=float(marks.inner_end_mm),
        outer_mark_mm=float(marks.outer_start_mm), tube_length_mm=2.0 * float(marks.end_mm), inner_stop_deg=stop,
        outer_stop_deg=stop, clamp_reading_deg=reading, readings=readings,
    )  # fmt: skip


def true_bends(
    recipe: Recipe,
    length_mm: float,
    die: Die,
    truth: Truth,
    rng: np.random.Generator,
    scatter: Scatter,
) -> TubeBends:
    """The bends of a tube that a bender makes as it truly is, with slips; its settings are as believed."""
    believed = Springback(truth.believed_ratio, die.centerline_radius_mm)
    settings = settings_from_bends(bends_from_recipe(recipe), USUAL_HOLDS, believed, Die(die.centerline_radius_mm))
    true_die = Die(truth.radius_mm(die) * (1.0 - truth.ratio), line_up_offset_mm=truth.offset_mm)
    true = Springback(truth.ratio, true_die.centerline_radius_mm)
    slips = Slips(
        mark_mm=rng.normal(0.0, scatter.mark_mm, 4),
        stop_deg=play_deg(rng.normal(0.0, scatter.bend_deg, 4) - truth.constant_deg, truth.ratio),
        reading_deg=np.append(0.0, rng.normal(0.0, scatter.finder_deg, 3)),
    )
    return bends_from_settings(settings, length_mm, true, true_die, slips=slips)
