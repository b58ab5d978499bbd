"""Calibration: theory without data, a little from one bar, the truth from many, as surely as it says."""

from dataclasses import replace

import numpy as np
import pytest

from barmath import BendError, Die, Tube, springback_from_tube
from barmath.calibration import MEASURES, PARTS, Calibration, Scatter, calibrate
from barmath.demo_record import Truth, demo_bars, demo_bends

TUBE, DIE = Tube(22.225, 1.4732, name="7/8 x 0.058"), Die(88.9, name="die 89")
TRUTH = Truth()
BARS, BENDS = demo_bars(TUBE, DIE), demo_bends(TUBE, DIE)


def truth_of(truth):
    return np.array([truth.ratio, truth.constant_deg, truth.offset_mm, truth.radius_mm(DIE)])


def same_as_theory(found):
    for name in PARTS:
        assert found.estimates[name] == pytest.approx(found.theory[name], rel=1e-4, abs=1e-9)


def off(found: Calibration, truth: Truth) -> np.ndarray:
    """Each part less its true value, in its own standard errors."""
    value, error = np.array([(e.value, e.error) for e in found.estimates.values()]).T
    return (value - truth_of(truth)) / error


def test_without_data_it_is_the_theory_as_unsure_as_the_yield():
    found = calibrate(TUBE, DIE)
    assert found.ratio.value == pytest.approx(springback_from_tube(TUBE, DIE).ratio)
    # check_values: kept .97751 at 60 ksi and .96626 at 90 ksi on 3.5 in; half the band between them
    assert found.ratio.error == pytest.approx((0.97751 - 0.96626) / 2.0, abs=1e-5)
    same_as_theory(found)
    assert (found.bends, found.bars, found.disagree) == (0, 0, ())


def test_a_measured_ratio_of_the_die_is_no_theory():
    assert calibrate(TUBE, replace(DIE, springback_ratio=0.2)).ratio == calibrate(TUBE, DIE).ratio


def test_one_bar_moves_it_a_little_and_many_let_the_data_decide():
    none, one, many = (calibrate(TUBE, DIE, [], BARS[:count]) for count in (0, 1, 40))
    for name in ("constant_deg", "offset_mm"):
        steps = [abs(found.estimates[name].value - none.estimates[name].value) for found in (one, many)]
        errors = [found.estimates[name].error for found in (none, one, many)]
        assert errors == sorted(errors, reverse=True)
        assert steps[0] < none.estimates[name].error
    assert many.kept_deg(25.7).error < 0.5 * none.kept_deg(25.7).error
    assert abs(many.kept_deg(25.7).value - (25.7 * (1.0 - TRUTH.ratio) - TRUTH.constant_deg)) < 0.1


def test_the_demo_shop_s_true_values_are_recovered_within_their_errors():
    found = calibrate(TUBE, DIE, BENDS, BARS)
    assert np.abs(off(found, TRUTH)).max() < 3.0
    assert (found.bends, found.bars) == (3, 40)


def test_the_intervals_cover_the_truth_as_often_as_they_say():
    # 500 shops with true values of their own: intervals of 95 % hold them 93 to 97 times in 100
    rng, count = np.random.default_rng(2), 500
    theory = calibrate(TUBE, DIE).theory
    inside = np.zeros(5)
    for seed in range(count):
        ratio, constant, offset = (
            float(rng.normal(theory[name].value, theory[name].error)) for name in ("ratio", "constant_deg", "offset_mm")
        )
        truth = Truth(ratio, constant, offset, float(rng.normal(0.0, Scatter().radius_mm)))
        found = calibrate(TUBE, DIE, demo_bends(TUBE, DIE, truth, seed=seed), demo_bars(TUBE, DIE, truth, 3, seed))
        inside[:4] += np.abs(off(found, truth)) < 1.959964
        kept = found.kept_deg(26.0)
        inside[4] += abs(kept.value - (26.0 * (1.0 - truth.ratio) - truth.constant_deg)) < 1.959964 * kept.error
    assert np.all(inside / count > 0.93)
    assert np.all(inside / count < 0.97)


def test_test_bends_alone_are_a_straight_line_between_stop_and_kept():
    # wide priors and hardly any error: three bends on one line give its slope and its constant
    free = Scatter(bend_deg=1e-4, kept_deg=1e-4, constant_deg=50.0)
    bends = [replace(BENDS[0], stop_deg=t, kept_deg=t * 0.95 - 0.4, shift_mm=None) for t in (15.0, 30.0, 60.0)]
    found = calibrate(TUBE, DIE, bends, scatter=free)
    assert found.ratio.value == pytest.approx(0.05, abs=1e-4)
    assert found.estimates["constant_deg"].value == pytest.approx(0.4, abs=2e-3)


def test_stop_and_kept_undo_each_other():
    found = calibrate(TUBE, DIE, BENDS, BARS)
    assert found.kept_deg(found.stop_deg(25.0).value).value == pytest.approx(25.0)
    assert found.stop_deg(25.0).error > found.kept_deg(25.0).error > 0.0


def test_a_bar_or_bend_that_disagrees_is_named_and_hardly_moves_the_rest():
    wrong = replace(BARS[7], readings={**BARS[7].readings, "rise_left": 120.0, "rise_right": 120.0})
    crooked = replace(BENDS[1], kept_deg=22.0)
    honest = calibrate(TUBE, DIE, BENDS, BARS)
    found = calibrate(TUBE, DIE, [BENDS[0], crooked, BENDS[2]], [*BARS[:7], wrong, *BARS[8:]])
    assert {(one.place, one.name) for one in found.disagree} >= {
        (7, wrong.name), (1, f"test bend of {crooked.date} to 30.0 deg"),
    }  # fmt: skip
    assert abs(found.kept_deg(25.7).value - honest.kept_deg(25.7).value) < 0.25
    assert honest.disagree == ()


def test_a_bar_without_its_settings_or_readings_does_not_count():
    lacking = [
        replace(BARS[0], inner_mark_mm=None),
        replace(BARS[1], clamp_reading_deg=None),
        replace(BARS[2], readings={}),
    ]
    found = calibrate(TUBE, DIE, [], lacking)
    assert found.bars == 0
    same_as_theory(found)
    few = [replace(bar, readings={"rise_left": bar.readings["rise_left"]}) for bar in BARS]
    assert calibrate(TUBE, DIE, [], few).bars == 40


def test_more_bends_are_asked_for_until_the_error_is_small_enough():
    assert calibrate(TUBE, DIE).bends_to_reach(0.1) > 5
    assert calibrate(TUBE, DIE, BENDS, BARS).bends_to_reach(0.1) == 0
    none = calibrate(TUBE, DIE)
    more = none.bends_to_reach(0.12)
    then = calibrate(TUBE, DIE, [replace(BENDS[0], stop_deg=25.7, kept_deg=24.5, shift_mm=None)] * more)
    assert then.kept_deg(25.7).error == pytest.approx(0.12, abs=0.02)


def test_more_bars_are_asked_for_by_what_a_bar_has_told_so_far():
    few = calibrate(TUBE, DIE, [], BARS[:4])
    now = few.kept_deg(few.stop_deg(25.0).value).error
    more = few.bars_to_reach(0.6 * now)
    assert 1 <= more < 36
    then = calibrate(TUBE, DIE, [], BARS[: 4 + more])
    error = then.kept_deg(then.stop_deg(25.0).value).error
    assert 0.4 * now < error < 1.05 * 0.6 * now  # other orders than the first four tell a little more
    assert few.bars_to_reach(2.0 * now) == 0
    assert few.bars_to_reach(1e-6) is None
    assert calibrate(TUBE, DIE, BENDS).bars_to_reach(0.1) is None


def test_an_entry_of_another_die_is_refused():
    with pytest.raises(BendError, match=r"die radius must be the 88\.9 mm of the die calibrated, got 165\.1 mm"):
        calibrate(TUBE, DIE, [replace(BENDS[0], die_radius_mm=165.1)])


def test_equal_seeds_make_equal_demo_records_of_forty_bars():
    assert demo_bars(TUBE, DIE) == BARS
    assert len({bar.name for bar in BARS}) == 40
    assert demo_bars(TUBE, DIE, seed=12) != BARS
    assert [bar.date for bar in BARS] == sorted(bar.date for bar in BARS)
    assert len(MEASURES) == 5
    assert len(PARTS) == 4
