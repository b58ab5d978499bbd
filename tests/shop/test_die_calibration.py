"""A calibration in the shop's file, out of it again, and what it leaves unsure on a bar."""

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from conftest import ROOT

from barmath import BendError, Die, Tube, recipe_from_order, shape_from_recipe, springback_from_tube
from barmath.bending.holds import USUAL_HOLDS
from barmath.bending.sequences import every_bend_sequence
from barmath.bending.settings import bends_from_settings, settings_from_bends
from barmath.bending.spread import ProcessErrors, spread_of_sequence
from barmath.bending.unsure import unsure, unsure_rows, unsure_words
from barmath.records.calibration import calibrate
from barmath.records.demo_record import demo_bars, demo_bends, demo_record
from barmath.shop.die_calibration import DieCalibration, with_calibration, without_last_calibration
from barmath.shop.order_seven import BEND_DEG, ORDER
from barmath.shop.shop_calibration import put_into_file, take_last_out_of_file
from barmath.shop.shop_file import shop_from_file, shop_from_toml
from barmath.space.centerline import bends_from_recipe, cut_length_mm

DEMO = Path(__file__).resolve().parents[2] / "notebooks" / "demo" / "shop.toml"
TEXT = DEMO.read_text()
SHOP = shop_from_file(DEMO)
TUBE, DIE = SHOP.tubes[0], SHOP.dies[0]
FOUND = DieCalibration(DIE.name, TUBE.name, "2026-03-14", "40 bars", 0.034, 0.25, 1.8, 106.0, 0.08, 0.25)


def test_what_is_written_is_read_and_all_above_it_remains_letter_by_letter():
    text = with_calibration(TEXT, FOUND)
    assert text.startswith(TEXT.rstrip())
    assert shop_from_toml(text).calibrations == (FOUND,)
    assert without_last_calibration(text) == TEXT


def test_of_several_the_last_one_counts_and_one_of_the_batch_before_one_of_any():
    later = replace(FOUND, date="2026-04-01", ratio=0.031)
    batch = replace(FOUND, batch="autumn", ratio=0.04)
    text = with_calibration(with_calibration(with_calibration(TEXT, batch), FOUND), later)
    shop = shop_from_toml(text)
    assert shop.calibration(TUBE, DIE) == later
    assert shop.calibration(TUBE, DIE, "autumn") == batch
    assert shop.calibration(TUBE, DIE, "winter") == later
    assert shop.calibration(SHOP.tubes[1], DIE) is None
    assert shop_from_toml(without_last_calibration(text)).calibration(TUBE, DIE) == FOUND


def test_the_die_does_as_it_was_calibrated_for_that_tube_alone():
    shop = shop_from_toml(with_calibration(TEXT, FOUND))
    die = shop.die_for(TUBE, DIE.name)
    spring = springback_from_tube(TUBE, die)
    assert spring.ratio == pytest.approx(0.034)
    assert spring.finished_radius_mm == pytest.approx(106.0)
    assert die.line_up_offset_mm == 1.8
    assert shop.die_for(SHOP.tubes[1], DIE.name) == DIE
    assert shop.die_for(TUBE, SHOP.dies[2].name) == SHOP.dies[2]


def test_a_ratio_measured_with_a_die_is_not_taken_for_every_tube():
    shop = shop_from_toml(TEXT.replace("# springback_ratio = 0.033", "springback_ratio = 0.033"))
    assert springback_from_tube(TUBE, shop.die_for(TUBE, DIE.name)).ratio == pytest.approx(0.033)
    thinner = shop.tubes[1]
    assert (
        springback_from_tube(thinner, shop.die_for(thinner, DIE.name)).ratio == springback_from_tube(thinner, DIE).ratio
    )


def test_set_as_calibrated_a_bender_with_those_values_makes_the_bar():
    # the shop truly keeps t - 0.034 t - 0.25 of a stop t, 1.8 mm off: the calibrated settings undo it
    die = FOUND.on(DIE)
    spring = springback_from_tube(TUBE, die)
    recipe = recipe_from_order(ORDER, spring.finished_radius_mm, BEND_DEG)
    row = bends_from_recipe(recipe)
    settings = settings_from_bends(row, USUAL_HOLDS, spring, die)
    for setting in settings:
        assert setting.stop_deg * (1.0 - 0.034) - 0.25 == pytest.approx(BEND_DEG)
    out = bends_from_settings(settings, float(cut_length_mm(row)), spring, die)
    np.testing.assert_allclose(out.bends_deg, BEND_DEG, atol=1e-9)
    np.testing.assert_allclose(out.straights_mm, row.straights_mm, atol=1e-9)
    assert any(order.fits for order in every_bend_sequence(row, spring, die, 22.225, SHOP.bender))


def test_what_is_unsure_is_what_small_errors_of_the_bends_and_the_offset_do():
    # second route: the whole process again with the tube keeping a little more, and with the offset a little off
    die = FOUND.on(DIE)
    spring = springback_from_tube(TUBE, die)
    recipe = recipe_from_order(ORDER, spring.finished_radius_mm, BEND_DEG)
    row, h = bends_from_recipe(recipe), 1e-3
    settings = settings_from_bends(row, USUAL_HOLDS, spring, die)
    length = float(cut_length_mm(row))

    def rise(die_true, more_deg):
        from barmath.bending.settings import Slips
        from barmath.space.two_sides import two_sides_from_bends

        out = bends_from_settings(
            settings, length, spring, die_true, slips=Slips(stop_deg=more_deg / (1.0 - spring.ratio))
        )
        sides = two_sides_from_bends(out)
        return np.array([sides.rise_mm[0], sides.backsweep_deg[0]])

    by_bend = (rise(die, h) - rise(die, -h)) / (2.0 * h)
    moved = [replace(die, line_up_offset_mm=die.line_up_offset_mm + sign * h) for sign in (1.0, -1.0)]
    by_offset = (rise(moved[0], 0.0) - rise(moved[1], 0.0)) / (2.0 * h)
    found = unsure(recipe, TUBE, die, FOUND)
    by_name = {cause.name: np.array(cause[1:]) for cause in found.causes}
    np.testing.assert_allclose(by_name["springback as calibrated"], np.abs(by_bend) * 0.08, rtol=1e-3)
    np.testing.assert_allclose(by_name["line-up offset"], np.abs(by_offset) * 0.25, rtol=1e-3, atol=1e-9)


def test_the_slips_of_the_bench_are_in_it_as_a_simulated_bench_has_them():
    # second route: 4000 tubes bent on the screen; one standard deviation of a side
    recipe = recipe_from_order(ORDER, springback_from_tube(TUBE, DIE).finished_radius_mm, BEND_DEG)
    bent = spread_of_sequence(
        bends_from_recipe(recipe), USUAL_HOLDS, ProcessErrors(springback=0.0), springback_from_tube(TUBE, DIE), DIE
    )
    found = unsure(recipe, TUBE, DIE, None)
    bench = found.causes[-1]
    assert bench.name == "slips at the bench"
    assert (bench.rise_mm, bench.backsweep_deg) == pytest.approx((bent.rise_mm, bent.backsweep_deg), rel=0.05)
    assert [cause.name for cause in found.causes[:-1]] == [
        "springback by theory",
        "constant of the stop",
        "line-up offset",
    ]
    assert found.rise_mm == pytest.approx(np.sqrt(sum(cause.rise_mm**2 for cause in found.causes)))
    assert found.rise_mm > bench.rise_mm > 1.5
    once = unsure(recipe, TUBE, replace(DIE, springback_ratio=0.03), None)
    assert once.source == "springback as in the shop's file, where nobody noted how sure it is"


def test_theory_is_less_sure_than_a_measurement_and_says_where_it_comes_from():
    recipe = recipe_from_order(ORDER, 106.0, BEND_DEG)
    theory, measured = unsure(recipe, TUBE, DIE, None), unsure(recipe, TUBE, DIE, FOUND)
    assert measured.causes[-1] == theory.causes[-1]  # no calibration makes the bench's own slips smaller
    assert np.hypot(*(c.rise_mm for c in theory.causes[1:3])) > 3.0 * np.hypot(
        *(c.rise_mm for c in measured.causes[:2])
    )
    assert theory.source == "springback from theory: it may be half more, or half less"
    assert unsure_words(measured, "mm") == (
        f"springback measured, 2026-03-14, 40 bars: rise ± {measured.rise_mm:.1f} mm, backsweep ± 0.3 deg "
        f"(standard errors); the rise by cause: springback as calibrated ± {measured.causes[0].rise_mm:.1f} mm, "
        f"line-up offset ± {measured.causes[1].rise_mm:.1f} mm, slips at the bench ± 2.0 mm"
    )
    rows = unsure_rows(theory._replace(rise_mm=2.54, backsweep_deg=0.01), "in")
    assert rows[0] == ("this bar in all", "± 0.10 in", "± under 0.1 deg")
    assert len(rows) == 1 + len(theory.causes)
    assert unsure_rows(theory._replace(rise_mm=0.2), "in")[0][1] == "± under 0.01 in"
    assert shape_from_recipe(recipe).rise_mm == pytest.approx(ORDER.rise_mm)


def test_it_goes_into_the_file_and_out_again(tmp_path):
    path = tmp_path / "shop.toml"
    path.write_text(TEXT)
    found = calibrate(TUBE, DIE, demo_bends(TUBE, DIE), demo_bars(TUBE, DIE)).for_shop(
        DIE.name, TUBE.name, "2026-11-25"
    )
    shop = put_into_file(path, found)
    assert shop.calibration(TUBE, DIE).ratio == pytest.approx(found.ratio, rel=1e-5)
    assert shop_from_file(path) == shop
    assert take_last_out_of_file(path) == SHOP
    assert path.read_text() == TEXT
    with pytest.raises(BendError, match="must end with the calibration to delete"):
        take_last_out_of_file(path)
    assert path.read_text() == TEXT


ADD_TEN = """
import sys
from dataclasses import replace
from barmath.shop.die_calibration import DieCalibration
from barmath.shop.shop_calibration import put_into_file
path, die, tube, batch = sys.argv[1:]
for number in range(10):
    found = DieCalibration(die, tube, "2026-03-14", "40 bars", 0.034, 0.25, 1.8, 92.0, 0.08, 0.25)
    put_into_file(path, replace(found, batch=f"{batch} {number}"))
"""


def test_of_calibrations_that_two_write_at_once_none_is_lost(tmp_path):
    path = tmp_path / "shop.toml"
    path.write_text(TEXT)
    given = [[sys.executable, "-c", ADD_TEN, str(path), "die 89", TUBE.name, batch] for batch in ("first", "second")]
    both = [subprocess.Popen(one, cwd=ROOT) for one in given]
    assert [one.wait(timeout=120) for one in both] == [0, 0]
    kept = {one.batch for one in shop_from_file(path).calibrations}
    assert kept == {f"{batch} {number}" for batch in ("first", "second") for number in range(10)}


def test_a_file_that_would_not_be_understood_is_left_as_it_was(tmp_path):
    path = tmp_path / "shop.toml"
    path.write_text(TEXT + "\n[colour]\n")
    before = path.read_text()
    with pytest.raises(BendError):
        put_into_file(path, FOUND)
    assert path.read_text() == before


@pytest.mark.parametrize(
    ("field", "value"),
    [("ratio", -0.1), ("ratio", np.nan), ("constant_deg", 9.0), ("radius_mm", 0.0), ("date", "soon"), ("die", "a\nb"),
     ("source", "x" * 81), ("kept_error_deg", "small"), ("offset_mm", np.ones(2))],
)  # fmt: skip
def test_what_is_no_calibration_is_refused(field, value):
    with pytest.raises(BendError):
        replace(FOUND, **{field: value})


def test_a_name_with_quotes_comes_back():
    odd = replace(FOUND, tube='7/8" "thin" \\ tube')
    assert shop_from_toml(with_calibration(TEXT, odd)).calibrations == (odd,)


@pytest.mark.parametrize("line", ["ratio = 2", "ratio = 'x'", "colour = 3", "date = 2026-01-01"])
def test_a_broken_calibration_is_refused_with_its_line(line):
    key = line.split(" ")[0]
    text = with_calibration(TEXT, FOUND)
    lines = [one for one in text.splitlines() if not one.startswith(f"{key} =") or "[[calib" in one]
    with pytest.raises(BendError, match=r"\(shop file, line \d+\)$"):
        shop_from_toml("\n".join([*lines, line]))


def test_the_demo_record_is_made_once(tmp_path):
    record = demo_record(tmp_path / "record.db", Tube(22.225, 1.4732, name="t"), Die(88.9, name="d"))
    assert record.count() == 43
    assert demo_record(tmp_path / "record.db", TUBE, DIE).count() == 43
