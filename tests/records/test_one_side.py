"""A bar that was read on one side only says less than one that was read on both: shops whose truth is known."""

from dataclasses import replace

import numpy as np
import pytest
from simulated_shops import DIE, THEORY, TUBE, pieces_of

from barmath.records.by_settings import Made, Scatter
from barmath.records.calibration import calibrate
from barmath.records.demo_record import Truth, demo_bars
from barmath.records.local_level import Spread, information
from barmath.records.misses import USUAL_MISS, misses_of_bars
from barmath.shop import springback_from_tube

TRUTH = Truth(THEORY, 0.3, 1.0, 0.2)
TRUE_PARTS = np.array([TRUTH.ratio, TRUTH.constant_deg, TRUTH.offset_mm, TRUTH.radius_off_mm])
LEFT, RIGHT = ("left",), ("right",)


def read_on(bar, sides):
    """The bar with the readings of these sides only, and without those that are of both."""
    return replace(bar, readings={key: value for key, value in bar.readings.items() if key.endswith(sides)})


def bars_read_on(*sides, count=160, seed=4):
    """Bars of a known truth, each read on the next of these sides."""
    bars = demo_bars(TUBE, DIE, TRUTH, count, seed)
    return [read_on(bar, sides[place % len(sides)]) for place, bar in enumerate(bars)]


def squares(bends, bars):
    """What is off about the true parts, each row in its own standard deviations, squared and averaged."""
    start = np.array([THEORY, 0.0, 0.0, 0.0])
    made = Made(bends, bars, DIE.centerline_radius_mm, start, Scatter())
    rows = made.rows(TRUE_PARTS)
    return float(np.mean((rows.off**2 / Spread().variances(rows))[rows.known]))


@pytest.mark.parametrize("sides", [(("left", "right"),), (LEFT,), (RIGHT,), (LEFT, ("left", "right"), RIGHT)])
def test_what_is_read_of_a_bar_scatters_about_the_truth_as_much_as_is_held(sides):
    # 480 squares of a standard normal: a standard deviation of 0.065; as if of both sides it is 2 for one side
    assert squares([], bars_read_on(*sides)) == pytest.approx(1.0, abs=0.2)


def test_a_bend_and_its_bar_that_were_read_on_one_side_share_their_slip():
    sharp = Scatter(finder_deg=0.05, mark_mm=0.05)
    bends, bars = pieces_of(TRUTH, 120, 6, sharp)
    start, parts = np.array([THEORY, 0.0, 0.0, 0.0]), TRUE_PARTS
    for sides in (LEFT, RIGHT):
        of_it = [bend for bend in bends if bend.side in sides]
        assert len(of_it) == 240
        made = Made(of_it, [read_on(bar, sides) for bar in bars], DIE.centerline_radius_mm, start, sharp)
        rows = made.rows(parts)
        off = (rows.off**2 / Spread().variances(rows))[rows.known]
        assert np.mean(off) == pytest.approx(1.0, abs=0.2)
        assert np.max(np.mean((rows.off**2 / Spread().variances(rows)), 0)) < 1.5  # in no direction more than held


def held_together(made):
    """How a bar's measures are held to go together, (7, 7): the mean of its entries' covariance of slips and errors."""
    back = np.linalg.pinv(made._turn)
    held = np.einsum("nij,nj,nkj->ik", back, made._slips + 1.0, back) / len(made)
    return held / np.sqrt(np.outer(np.diag(held), np.diag(held)))


@pytest.mark.parametrize("of_bends", ["left", "right"])
@pytest.mark.parametrize("of_bars", [LEFT, RIGHT, ("left", "right")])
def test_a_bar_and_its_bends_go_together_as_much_as_is_held(of_bends, of_bars):
    # the other side of a bar slips by itself, so a bend of it says nothing of this side
    sharp = Scatter(kept_deg=0.05, finder_deg=0.2, mark_mm=0.2, sweep_deg=0.05, length_mm=0.2)
    bends, bars = pieces_of(TRUTH, 200, 6, sharp)
    start = np.array([THEORY, 0.0, 0.0, 0.0])
    of_it = [bend for bend in bends if bend.side == of_bends]
    made = Made(of_it, [read_on(bar, of_bars) for bar in bars], DIE.centerline_radius_mm, start, sharp)
    columns = [0, 1, 5, 6]  # rise, backsweep, and what the inner and the outer bend kept
    seen, held = np.corrcoef((made.read - made.expected(TRUE_PARTS))[:, columns].T), held_together(made)
    np.testing.assert_allclose(held[np.ix_(columns, columns)], seen, atol=0.2)
    assert abs(held[0, 5]) > 0.5 if of_bends in of_bars else abs(held[0, 5]) < 1e-6


def of_the_constant(bends, bars):
    start = np.array([THEORY, 0.0, 0.0, 0.0])
    rows = Made(bends, bars, DIE.centerline_radius_mm, start, Scatter()).rows(start)
    return information(rows, np.ones_like(rows.off), Spread())[0][:, 1, 1].sum()


def test_both_sides_say_twice_as_much_as_one_and_left_as_much_as_right():
    """Slips and readings of the two sides are independent of each other, so each side says half of what both say."""
    left, right, both = (
        of_the_constant([], bars_read_on(sides, count=20)) for sides in (LEFT, RIGHT, ("left", "right"))
    )
    assert left == pytest.approx(0.5 * both, rel=0.01)
    assert right == pytest.approx(left)


def test_a_shop_that_reads_one_side_is_less_sure_and_is_counted():
    both = demo_bars(TUBE, DIE, TRUTH, 6)
    left = [read_on(bar, LEFT) for bar in both]
    one, two = (calibrate(TUBE, DIE, [], [read_on(bar, ("left", "right")) for bar in bars]) for bars in (left, both))
    assert (one.bars, one.one_sided, two.bars, two.one_sided) == (6, 6, 6, 0)
    assert one.kept_deg(25.0).error > 1.1 * two.kept_deg(25.0).error


def test_the_mean_miss_of_bars_read_on_one_side_is_less_sure():
    spring = springback_from_tube(TUBE, DIE)
    one, both = (
        misses_of_bars([replace(bar, readings={**read_on(bar, sides).readings, "width": bar.readings["width"]})
                        for bar in demo_bars(TUBE, DIE, TRUTH, 12)], spring, DIE)
        for sides in (LEFT, ("left", "right"))
    )  # fmt: skip
    assert one.error[2] == both.error[2]
    alike = misses_of_bars([read_on(demo_bars(TUBE, DIE, TRUTH, 1)[0], LEFT)] * 12, spring, DIE)
    assert alike.error[0] > USUAL_MISS[0] * np.sqrt(4.0 / (4.0 + 11.0)) / np.sqrt(12.0) * 1.3
