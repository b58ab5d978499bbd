"""The nearest bars bent before to an order, and what to change from each of them to this order.

The rise matters first, then the sweeps, then the width. Each difference is divided by what a builder accepts. A bar on
the same die from the same tube comes first. From such a bar to the order the closed forms give the change: both
recipes are worked out with the same values. Their differences are added to what that bar was set to. This keeps what
the shop's bender does otherwise than the formulas. If the bars nearest to the order missed what was wanted, the
aim is moved the other way (`barmath.records.misses`).
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from barmath.closed_forms.forward import clamp_reading_deg
from barmath.closed_forms.inverse import recipe_from_order
from barmath.closed_forms.marks import marks_from_recipe
from barmath.closed_forms.records import Order, Recipe, check_single
from barmath.records.bent_bar import BentBar
from barmath.records.by_settings import MEASURES, read_of_bar
from barmath.records.misses import ASKED, Misses, expected_miss, misses_of_bars
from barmath.records.record import Record
from barmath.records.record_entry import BAR, Entry
from barmath.refusal import BendError, checked_count, checked_single, counted
from barmath.shop.offsets import bench_marks_mm, bend_from_stop_deg, stop_from_bend_deg
from barmath.shop.tooling import Die, Springback

ALIKE = {"rise_mm": 3.0, "backsweep_deg": 1.0, "upsweep_deg": 1.0, "width_mm": 10.0}
"""Differences that count alike: common practice, no source."""

OTHER_TOOLS = 20.0
"""What another die or tube counts, as so many of these."""

MOST_LOOKED_UP = 1000  # more than anybody reads

_STOPS_ALIKE = 0.05  # degrees that one decimal does not show


@dataclass(frozen=True)
class Setting:
    """What is set for a bar: marks from the middle, tube length (mm), both stops and clamp reading (degrees).

    `stop_deg` is the stop for the inner bends, `outer_stop_deg` that for the outer ones.
    """

    inner_mark_mm: float
    outer_mark_mm: float
    tube_length_mm: float
    stop_deg: float
    outer_stop_deg: float
    clamp_reading_deg: float


@dataclass(frozen=True)
class Neighbour:
    """A bar bent before: its entry, and what to set starting from it.

    `setting` is that bar's own settings with the corrections; None where they were not all noted or it was made on
    another die. `change` says the corrections in words; `missed` by how much that bar itself came out off its order.
    `aimed` is how much more than ordered the settings aim at, by rise, backsweep and width. `asked` is how many bars
    that rests on.
    """

    entry: Entry
    bar: BentBar
    setting: Setting | None
    change: str
    missed: dict[str, float]
    aimed: dict[str, float] = field(default_factory=dict)
    asked: int = 0


def nearest_bars(
    record: Record,
    order: Order,
    die: Die,
    tube_name: str,
    springback: Springback,
    bend_deg: float,
    most: int = 5,
    outer_bend_deg: float | None = None,
) -> list[Neighbour]:
    """The `most` nearest bars of a record to one `order`, the nearest first.

    Parameters
    ----------
    record : Record
    order : Order
        One order (no arrays).
    die : Die
    tube_name : str
    springback : Springback
        For the closed forms, of this tube on this die.
    bend_deg : number
        Of the inner bends that are to be made, and of the outer ones where `outer_bend_deg` is not given.
    most : int, 1..1000
    outer_bend_deg : number, optional

    Raises
    ------
    BendError
        `most` is not a whole number from 1 to 1000.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> from barmath.records import demo_record, nearest_bars
    >>> from barmath.shop import BEND_DEG, DIE, ORDER, TUBE, springback_from_tube
    >>> springback = springback_from_tube(TUBE, DIE)
    >>> with TemporaryDirectory() as folder:
    ...     record = demo_record(f"{folder}/record.sqlite", TUBE, DIE)
    ...     near = nearest_bars(record, ORDER, DIE, TUBE.name, springback, BEND_DEG, most=2)
    >>> [f"rise {one.bar.order.rise_mm:.0f} mm" for one in near]
    ['rise 97 mm', 'rise 95 mm']
    """
    most = checked_count("number of bars", most, least=1, most=MOST_LOOKED_UP)

    def far(entry: Entry) -> float:
        return distance(bar_of_entry(entry), order, die.name, tube_name)

    alike = record.nearest(order, ALIKE, die.name, tube_name, 0, max(most, ASKED))
    misses = misses_of_bars([bar_of_entry(entry) for entry in alike[:ASKED]], springback, die)
    ranked = alike[:most]
    for other in (1, 2):
        if len(ranked) < most or far(ranked[-1]) > other * OTHER_TOOLS:
            ranked += record.nearest(order, ALIKE, die.name, tube_name, other, most)
            ranked = sorted(ranked, key=far)[:most]
    bends = (bend_deg, outer_bend_deg)
    return [_neighbour(entry, order, die, tube_name, springback, bends, misses) for entry in ranked]


def distance(bar: BentBar, order: Order, die: str, tube: str) -> float:
    """How far a bar's order is from `order`, in differences that count alike."""
    squares = [
        ((float(getattr(bar.order, name)) - float(getattr(order, name))) / alike) ** 2
        for name, alike in ALIKE.items()
        if getattr(bar.order, name) is not None and getattr(order, name) is not None
    ]
    if (bar.order.upsweep_deg is None) != (order.upsweep_deg is None):
        squares.append(1.0)
    return float(np.sqrt(sum(squares))) + OTHER_TOOLS * ((bar.die != die) + (bar.tube != tube))


def model_setting(
    order: Order, springback: Springback, die: Die, bend_deg: float, outer_bend_deg: float | None = None
) -> Setting:
    """What the closed forms set for one order with these inner and outer bends.

    Parameters
    ----------
    order : Order
        One (no arrays).
    springback : Springback
    die : Die
    bend_deg : number
        Finished bends; the inner ones where `outer_bend_deg` is given.
    outer_bend_deg : number or None
        None: as the inner ones.

    Raises
    ------
    BendError
        No bar has this order with these bends.

    Examples
    --------
    >>> from barmath import Die, Order, Springback
    >>> from barmath.records import model_setting
    >>> setting = model_setting(Order(90.0, 14.0, 800.0), Springback(0.028, 101.6), Die(101.6), 25.0)
    >>> print(f"stop {setting.stop_deg:.1f} deg")
    stop 25.7 deg
    """
    check_single(order, springback, die)
    bend = checked_single("bend", bend_deg, "deg")
    outer = None if outer_bend_deg is None else checked_single("outer bend", outer_bend_deg, "deg")
    recipe = recipe_from_order(order, springback.finished_radius_mm, bend, outer)
    return _setting(recipe, springback, die)


def differs(neighbour: Neighbour, model: Setting, scatter: Setting) -> str:
    """Where a neighbour's corrected settings and the model's differ by more than `scatter`, in words; else empty.

    Parameters
    ----------
    neighbour : Neighbour
    model : Setting
        What the closed forms set.
    scatter : Setting
        By how much each setting may differ.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> from barmath.records import SCATTER, demo_record, differs, model_setting, nearest_bars
    >>> from barmath.shop import BEND_DEG, DIE, ORDER, TUBE, springback_from_tube
    >>> springback = springback_from_tube(TUBE, DIE)
    >>> with TemporaryDirectory() as folder:
    ...     record = demo_record(f"{folder}/record.sqlite", TUBE, DIE)
    ...     near = nearest_bars(record, ORDER, DIE, TUBE.name, springback, BEND_DEG, most=2)
    >>> differs(near[0], model_setting(ORDER, springback, DIE, 28.0), SCATTER)
    'order 109 says inner mark 3.7 mm more, outer mark 9.6 mm less, stop 2.1 deg more than the model'
    """
    if neighbour.setting is None:
        return ""
    said, steps = [], {name: getattr(neighbour.setting, name) - getattr(model, name) for name, _, _ in _WORDS}
    for name, words, unit in _words_for(steps):
        off = steps[name]
        if abs(off) > getattr(scatter, name):
            said.append(f"{words} {abs(off):.1f} {unit} {'more' if off > 0.0 else 'less'}")
    return f"{neighbour.bar.name} says {', '.join(said)} than the model" if said else ""


SCATTER = Setting(2.0, 2.0, 4.0, 0.6, 0.6, 0.6)
"""Differences of settings that a bench's usual slips explain: twice their standard deviations."""

_WORDS = (
    ("inner_mark_mm", "inner mark", "mm"),
    ("outer_mark_mm", "outer mark", "mm"),
    ("tube_length_mm", "tube", "mm"),
    ("stop_deg", "stop", "deg"),
    ("outer_stop_deg", "outer stop", "deg"),
    ("clamp_reading_deg", "clamp reading", "deg"),
)


def _neighbour(
    entry: Entry,
    order: Order,
    die: Die,
    tube_name: str,
    springback: Springback,
    bends_deg: tuple[float, float | None],
    misses: Misses,
) -> Neighbour:
    bar = bar_of_entry(entry)
    was = _noted(bar)
    setting, change = None, ""
    aimed: dict[str, float] = {}
    if bar.die != die.name:
        change = f"made on {bar.die}: its marks are no guide here"
    elif was is None:
        change = "its settings were not all noted"
    else:
        try:
            kept = _kept_deg(was, springback, die)
            then = model_setting(bar.order, springback, die, *kept)
            if bar.tube == tube_name:
                aimed = {name: -miss for name, miss in expected_miss(bar, kept, misses, springback, die).items()}
            now = model_setting(_aimed_at(order, aimed), springback, die, *bends_deg)
            steps = {name: getattr(now, name) - getattr(then, name) for name, _, _ in _WORDS}
            setting = Setting(**{name: getattr(was, name) + step for name, step in steps.items()})
            change = _change_words(steps)
        except BendError as refusal:
            change, aimed = f"no step from it to this order: {refusal}", {}
    return Neighbour(entry, bar, setting, change, _missed(bar), aimed, int(misses.bars.max()) if aimed else 0)


def aimed_words(neighbour: Neighbour) -> str:
    """What a neighbour's settings aim at instead of the order, and why; empty if they aim at the order.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from tempfile import TemporaryDirectory
    >>> from barmath.records import aimed_words, demo_record, nearest_bars
    >>> from barmath.shop import BEND_DEG, DIE, ORDER, TUBE, springback_from_tube
    >>> springback = springback_from_tube(TUBE, DIE)
    >>> with TemporaryDirectory() as folder:
    ...     record = demo_record(f"{folder}/record.sqlite", TUBE, DIE)
    ...     near = nearest_bars(record, ORDER, DIE, TUBE.name, springback, BEND_DEG, most=2)
    >>> aimed_words(replace(near[0], aimed={"rise": -2.0}, asked=5))
    'aimed at rise 2.0 mm less, because 5 bars like it missed by that much'
    """
    said = [
        f"{name} {abs(more):.1f} {'deg' if name == 'backsweep' else 'mm'} {'more' if more > 0.0 else 'less'}"
        for name, more in neighbour.aimed.items()
        if abs(more) >= (0.1 if name == "backsweep" else 0.5)  # less is not seen at the bench
    ]
    missed = f"because {counted(neighbour.asked, 'bar')} like it missed by that much"
    return f"aimed at {', '.join(said)}, {missed}" if said else ""


def _aimed_at(order: Order, aimed: dict[str, float]) -> Order:
    names = {"rise": "rise_mm", "backsweep": "backsweep_deg", "width": "width_mm"}
    return replace(order, **{names[name]: getattr(order, names[name]) + more for name, more in aimed.items()})


def _setting(recipe: Recipe, springback: Springback, die: Die) -> Setting:
    inner, outer = bench_marks_mm(recipe, die)
    length = 2.0 * marks_from_recipe(recipe).end_mm
    stops = (stop_from_bend_deg(bend, springback, die) for bend in (recipe.inner_bend_deg, recipe.outer_bend_deg))
    return Setting(*map(float, (inner, outer, length, *stops, abs(clamp_reading_deg(recipe)))))


def _noted(bar: BentBar) -> Setting | None:
    # a bar without a note of its outer stop is taken as one of a single stop
    outer_stop = bar.inner_stop_deg if bar.outer_stop_deg is None else bar.outer_stop_deg
    values = (
        bar.inner_mark_mm, bar.outer_mark_mm, bar.tube_length_mm, bar.inner_stop_deg, outer_stop, bar.clamp_reading_deg,
    )  # fmt: skip
    return None if None in values else Setting(*values)  # type: ignore[arg-type]


def _kept_deg(was: Setting, springback: Springback, die: Die) -> tuple[float, float | None]:
    # what stayed of the inner bends, and of the outer ones where they had a stop of their own
    inner = float(bend_from_stop_deg(was.stop_deg, springback, die))
    own = was.outer_stop_deg != was.stop_deg
    return inner, float(bend_from_stop_deg(was.outer_stop_deg, springback, die)) if own else None


def _words_for(steps: dict[str, float]) -> list[tuple[str, str, str]]:
    # where both stops move alike they are one stop
    if abs(steps["stop_deg"] - steps["outer_stop_deg"]) < _STOPS_ALIKE:
        return [line for line in _WORDS if line[0] != "outer_stop_deg"]
    return [(name, "inner stop" if name == "stop_deg" else words, unit) for name, words, unit in _WORDS]


def _change_words(steps: dict[str, float]) -> str:
    said = []
    for name, words, unit in _words_for(steps):
        step = steps[name]
        if "mark" in name:
            if round(abs(step)):  # whole mm are written
                said.append(f"{words} {abs(step):.0f} mm further {'out' if step > 0.0 else 'in'}")
        elif unit == "mm" and round(abs(step)):
            said.append(f"{words} {abs(step):.0f} mm {'longer' if step > 0.0 else 'shorter'}")
        elif unit != "mm" and abs(step) >= 0.1:
            said.append(f"{words} {abs(step):.1f} {unit} {'more' if step > 0.0 else 'less'}")
        elif name.endswith("stop_deg"):
            said.append(f"same {words}")
    return ", ".join(said)


def _missed(bar: BentBar) -> dict[str, float]:
    if bar.order.upsweep_deg is not None:
        return {}  # the bar is for a stem roll, and read with risers upright
    read = dict(zip(MEASURES, read_of_bar(bar), strict=True))
    ordered = {"rise": bar.order.rise_mm, "backsweep": bar.order.backsweep_deg}
    return {name: float(read[name] - wanted) for name, wanted in ordered.items() if not np.isnan(read[name])}


def bar_of_entry(entry: Entry) -> BentBar:
    """The bar of an entry; raises BendError where it holds a test bend."""
    if not isinstance(entry.holds, BentBar):
        raise BendError(f"entry must be a {BAR}, got number {entry.number}, a test bend: choose the entry of a bar")
    return entry.holds
