"""The rises that a refusal names: each of them passes every limit, also one that somebody adds to the list."""

import re
from dataclasses import replace
from importlib import import_module

import numpy as np
import pytest

from barmath import Die, Order, Tube
from barmath.panels.ways_list import rises_nearest_first
from barmath.planning import limits as held
from barmath.planning.rules import AT_MOST, REFUSES, RULES, Rule
from barmath.planning.ways import every_way

TUBE = Tube(22.225, 1.4732)
DIES = (Die(88.9, least_straight_mm=65.0), Die(140.0, least_straight_mm=40.0, line_up_offset_mm=4.0))
BENDS = np.array([14.0, 20.0, 27.5, 35.0])
ORDERS = [
    Order(rise, sweep, width, None, 50.0, controls)
    for rise in (25.0, 78.0, 140.0) for sweep in (6.0, 13.0) for width in (700.0, 820.0) for controls in (150.0, 200.0)
]  # fmt: skip
FORK = Rule(
    "fork", "riser and rise", "mm", lambda bar: bar.straight_mm + bar.order.rise_mm, lambda bar: 165.0, AT_MOST,
    REFUSES, "what goes into an invented fork", "choose a lower rise", "too long for the fork", "too long",
)  # fmt: skip
SHELF = Rule(
    "shelf", "grip straight", "mm", lambda bar: bar.grip_mm, lambda bar: 215.0, AT_MOST,
    REFUSES, "what goes on an invented shelf", "choose a higher rise", "too long for the shelf", "too long",
)  # fmt: skip
SAID = re.compile(r"the rise must be (?:from (\S+) to (\S+)|at most (\S+)|at least (\S+)) mm here, ordered")


@pytest.fixture(params=[(), (FORK,), (FORK, SHELF)], ids=["as shipped", "one more", "two more"])
def added(request, monkeypatch):
    """The list of rules with one or two more, put last of those that refuse."""
    refusing = [rule for rule in RULES if rule.refuses] + list(request.param)
    monkeypatch.setattr(held, "RULES", (*refusing, *(rule for rule in RULES if not rule.refuses)))
    kernel = import_module("barmath.planning.candidates")  # the function of that name hides it
    monkeypatch.setattr(kernel, "REFUSING", tuple(rule.key for rule in refusing))
    return request.param


def ways_of(order, stock_mm):
    return every_way(order, TUBE, DIES, bends_deg=BENDS, stock_length_mm=stock_mm)


def way_of(ways, other, row):
    """The row of `other` with the die, the bends and the clamping of a row of `ways`."""
    same = [getattr(other, name) == getattr(ways, name)[row]
            for name in ("die_index", "inner_bend_deg", "outer_bend_deg", "clamped")]  # fmt: skip
    return int(np.flatnonzero(np.all(same, axis=0))[0])


@pytest.mark.parametrize("stock_mm", [np.inf, 905.0, 870.0])
def test_every_rise_that_a_refusal_names_passes_all_limits(added, stock_mm):
    tried, of_limits = 0, set()
    for order in ORDERS:
        ways = ways_of(order, stock_mm)
        for row in range(0, len(ways), 3):
            said = SAID.search(ways.reason(row))
            if said is None:
                continue
            ends = [float(end) for end in said.groups() if end]
            for rise in {ends[0], ends[-1], 0.5 * (ends[0] + ends[-1])} - {0.0}:
                other = ways_of(replace(order, rise_mm=rise), stock_mm)
                there = way_of(ways, other, row)
                assert other.allowed[there], (ways.reason(row), other.reason(there))
            of_limits |= {limit.key for limit in ways.limits if limit.refuses and limit.broken[row]}
            tried += 1
    assert tried > 20
    assert {"straight", "controls", *(rule.key for rule in added)} <= of_limits


def test_a_way_for_which_no_rise_fits_is_refused_with_every_rise(added):
    found = 0
    for order in ORDERS[::5]:
        ways = ways_of(order, 905.0)
        none = [row for row in range(len(ways)) if "no rise fits here" in ways.reason(row)][::4]
        for rise in np.arange(5.0, 260.0, 5.0) if none else ():
            other = ways_of(replace(order, rise_mm=rise), 905.0)
            for row in none:
                assert not other.allowed[way_of(ways, other, row)]
                found += 1
    assert found > 50


def test_every_rise_to_order_instead_is_made_by_some_way(added):
    for order in ORDERS:
        for rise in rises_nearest_first(ways_of(order, 905.0))[:3]:
            assert ways_of(replace(order, rise_mm=rise), 905.0).allowed.any()


def test_the_ends_of_a_window_name_the_limits_that_set_them(added):
    limits = {rule.key: code for code, rule in enumerate((r for r in held.RULES if r.refuses), start=1)}
    ways = ways_of(ORDERS[0], np.inf)
    window = next(limit.window for limit in ways.limits if limit.key == "straight")
    there = np.isfinite(window.lowest) & np.isfinite(window.highest)
    assert set(window.lowest_by[there]) <= {limits[key] for key in ("straight", "shelf") if key in limits}
    assert set(window.highest_by[there]) == {limits["controls"], *([limits["fork"]] if FORK in added else [])}
