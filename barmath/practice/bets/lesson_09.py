"""The bets of lesson 09, keep the record. Every number is worked out for the record of the training shop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from math import ceil
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from barmath.practice.bets.bet import Bet, choice_bet, number_bet
from barmath.records.bent_bar import BentBar
from barmath.records.calibration import Calibration, calibrate, predicted_and_read
from barmath.records.demo_record import demo_bars, demo_bends, demo_record
from barmath.records.lookup import Neighbour, nearest_bars
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, TUBE
from barmath.shop.tooling import springback_from_tube

TOO_HIGH_MM = 10.0


def change_from_nearest() -> Bet:
    """What to change from the nearest bar to order 7."""
    nearest = _nearest()
    keeps_stop = all(part in nearest.change for part in ("same stop", "outer mark", "clamp reading"))
    ways = ("the stop and the reading", "the outer mark and the reading", "the stop and both marks")
    why = (
        f"From {nearest.bar.name}: {nearest.change}. The stop does not change. Geometry knows the change from one "
        "bar to the next far better than the bar itself. So the tool works out both recipes and takes their "
        "difference. It adds the difference to what the old bar was *really* set to."
    )
    habits = {
        ways[0]: "you think that less rise needs less bend",
        ways[1]: "you think that the marks set everything",
        ways[2]: "you work out every bar from the beginning, and do not use the old one",
    }
    text = f"Order 7 has less rise and a little more sweep than {nearest.bar.name}. What would you change?"
    return choice_bet(text, ways[1 if keeps_stop else 0], habits, ways, why)


def where_theory_misses() -> Bet:
    """To which side the theory misses the rises of the record."""
    bars = demo_bars(TUBE, DIE)
    by_theory, calibrated = (_mean_off(bars, found) for found in (calibrate(TUBE, DIE), _found()))
    ways = ("it expects too much rise", "it expects too little rise", "it misses to both sides alike")
    place = 2 if abs(by_theory) <= abs(calibrated) else 0 if by_theory > 0.0 else 1
    why = (
        f"On average the theory expects {abs(by_theory):.1f} mm too {'much' if by_theory > 0 else 'little'}, and the "
        f"calibration {abs(calibrated):.1f} mm. Single bars are off by more than a millimetre either way: that is "
        "scatter, and no calibration takes it away."
    )
    habits = {
        ways[0]: "you think that the theory forgets the springback",
        ways[1]: "you think that the theory knows more of the springback than it does",
        ways[2]: "you look at the scatter of single bars, not at the middle of the cloud",
    }
    text = "To which side does the theory miss the rise, on average?"
    return choice_bet(text, ways[place], habits, ways, why)


def odd_bar() -> Bet:
    """What one bar with a wrong rise does to the calibration."""
    bars = demo_bars(TUBE, DIE)
    read = bars[0].readings
    high = {key: read[key] + TOO_HIGH_MM for key in ("rise_left", "rise_right")}
    wrong = replace(bars[0], name="order 7", readings={**read, **high})
    found = calibrate(TUBE, DIE, demo_bends(TUBE, DIE), [*bars, wrong])
    moved = found.stop_deg(BEND_DEG).value - _found().stop_deg(BEND_DEG).value
    named = any(one.name == "order 7" for one in found.disagree)
    ways = ("the calibration moves with it", "the bar is named and hardly counts", "the record refuses it")
    why = (
        f"It is named, as several standard deviations off. The stop for {BEND_DEG:.0f} degrees moves by less than "
        f"{max(0.01, ceil(100 * abs(moved)) / 100):.2f} degrees: a bar that disagrees with all others counts little."
    )
    habits = {
        ways[0]: "you think that every bar counts the same",
        ways[1]: "you think that a new bar counts less than an old one",
        ways[2]: "you think that a reading is wrong because it is odd",
    }
    text = f"You enter a bar with both rises {TOO_HIGH_MM:.0f} mm too high. What happens?"
    return choice_bet(text, ways[1 if named else 0], habits, ways, why)


def entries_after_correction() -> Bet:
    """How many entries a bar and its correction make."""
    bar = demo_bars(TUBE, DIE, count=1)[0]
    with TemporaryDirectory() as folder:
        record = demo_record(Path(folder) / "record.db", TUBE, DIE)
        before = len(record.entries(corrected=True))
        record.add(bar, corrects=record.add(bar))
        more = len(record.entries(corrected=True)) - before
    why = (
        f"{more} more: the bar and its correction. The look-up and the charts use only the correction, but the first "
        "entry can still be read. Nothing is ever overwritten."
    )
    habits = (
        (1.0, "you think that a correction writes over the bar"),
        (0.0, "you think that a correction takes the bar out"),
    )
    text = "You enter a bar and then correct it. How many entries does the record have more than before?"
    return number_bet(text, "", float(more), 0.3, (0.0, 20.0), habits, why)


def what_teaches_more() -> Bet:
    """Whether bars alike or bends of other sizes make the offset surer."""
    bars, bends = demo_bars(TUBE, DIE), demo_bends(TUBE, DIE)
    stop = _nearest().bar.inner_stop_deg or 0.0
    alike = [one for one in demo_bars(TUBE, DIE, count=60, seed=99) if abs((one.inner_stop_deg or 0.0) - stop) < 0.1]
    now = _offset_error(_found())
    with_bars = 1 - _offset_error(calibrate(TUBE, DIE, bends, [*bars, *alike[:10]])) / now
    with_bends = 1 - _offset_error(calibrate(TUBE, DIE, [*bends, *demo_bends(TUBE, DIE, seed=5)], bars)) / now
    ways = ("ten more bars at 30 degrees", "three more test bends", "both the same")
    why = (
        f"Ten more bars make the line-up offset surer by {100 * with_bars:.0f} %, and three more test bends by "
        f"{100 * with_bends:.0f} %. A bend of another size shows what bars of one size cannot."
    )
    habits = {
        ways[0]: "you think that the larger number teaches more",
        ways[1]: "you think that a test bend is easier to read than a bar",
        ways[2]: "you think that every bend says the same",
    }
    text = "What teaches more about the line-up offset: ten more bars at 30 degrees, or three more test bends?"
    return choice_bet(text, ways[1 if with_bends > with_bars else 0], habits, ways, why)


def _mean_off(bars: Sequence[BentBar], found: Calibration) -> float:
    predicted, read, _ = predicted_and_read(bars, found)
    return float(np.nanmean(predicted[:, 0] - read[:, 0]))


def _offset_error(found: Calibration) -> float:
    return float(found.estimates["offset_mm"].error)


@cache
def _found() -> Calibration:
    return calibrate(TUBE, DIE, demo_bends(TUBE, DIE), demo_bars(TUBE, DIE))


@cache
def _nearest() -> Neighbour:
    with TemporaryDirectory() as folder:
        record = demo_record(Path(folder) / "record.db", TUBE, DIE)
        return nearest_bars(record, ORDER, DIE, TUBE.name, springback_from_tube(TUBE, DIE), BEND_DEG)[0]


BETS = {
    "change from the nearest": change_from_nearest,
    "where the theory misses": where_theory_misses,
    "odd bar": odd_bar,
    "after a correction": entries_after_correction,
    "what teaches more": what_teaches_more,
}
"""As the lesson asks them, first to last."""
