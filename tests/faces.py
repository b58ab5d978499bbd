"""Every public function and record of the mathematics, each called once as it is meant to be.

A `Call` is a call not yet made. Its arguments may be calls themselves, so that the numbers and words at its leaves can
be changed one by one before anything is made: that is what test_refusals.py and test_breaking.py do. `FACES` holds the
calls, `NOT_CALLED` what is not called and why; test_breaking.py holds that nothing public is missing from both.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from conftest import ROOT

from barmath import (
    Bender,
    Die,
    Order,
    Recipe,
    Shape,
    Springback,
    Tube,
    recipe_from_inner_bend,
    recipe_from_order,
    rise_window_mm,
    springback_from_tube,
)
from barmath.bending.bench_film import film_of_pull
from barmath.bending.clearance import clearances_mm
from barmath.bending.error_budget import ErrorBudget, error_budget
from barmath.bending.finder import flats_to_read
from barmath.bending.holds import (
    USUAL_HOLDS,
    Hold,
    bend_name,
    check_holds,
    made_so_far,
    poses_from_recipe,
    straight_name,
)
from barmath.bending.mistakes import MISTAKES, outcome_of_mistake, rock_of_risers_mm
from barmath.bending.plans import USUAL, least_riser_mm
from barmath.bending.recipe_text import line_of_bar, text_from_recipe, to_hundredths
from barmath.bending.sequences import bend_sequence, every_bend_sequence
from barmath.bending.settings import (
    Slips,
    bends_from_settings,
    settings_from_bends,
    stop_for_bend_deg,
    tangent_points_mm,
)
from barmath.bending.spread import ProcessErrors, only, slips_from_errors, spread_of_sequence, spread_of_settings
from barmath.bending.steps import bench_steps
from barmath.bending.stops import not_the_sweep
from barmath.bending.swing import swing
from barmath.bending.unsure import unsure, unsure_rows, unsure_words
from barmath.checking.as_bent import bends_from_parts, covariance_of_slips, halves_from_parts, parts_of_recipe
from barmath.checking.bench_errors import STOP, BenchErrors
from barmath.checking.bench_readings import Reading, check_plausible, readings_of_parts, wanted_readings
from barmath.checking.inspection import inspect
from barmath.checking.tweak_words import rocking_words
from barmath.checking.tweaks import advice
from barmath.closed_forms.forward import clamp_reading_deg, grips_level, risers_upright, shape_from_recipe
from barmath.closed_forms.inverse import least_bend_deg, least_outer_bend_deg
from barmath.closed_forms.marks import marks_from_recipe
from barmath.closed_forms.records import checked_bend, checked_radius, checked_stop, checked_turn
from barmath.closed_forms.sensitivity import sensitivities_from_recipe
from barmath.crossbars.cope import cope_ordinates_mm
from barmath.crossbars.crossbar import crossbar, facing, level_and_square, unrolled_mm
from barmath.crossbars.curved_cope import check_branch, right_half
from barmath.lengths import angle_deg, in_unit, length_mm, length_text
from barmath.planning.best_pair import best_pair_deg, best_pair_with_setback_deg
from barmath.planning.candidates import BendPair
from barmath.planning.chart_data import Chart, inner_marks_mm, reading_lines, rise_lines, settings_blocks, stop_deg
from barmath.planning.cut_list import cut_list
from barmath.planning.design_map import bar_map, every_combination
from barmath.planning.die_choice import across_half_width, die_choice, makeable, new_die, window_curve
from barmath.planning.even_bend import even_bend_deg
from barmath.planning.limits import checked_stock
from barmath.planning.old_marks import bend_from_straight_deg
from barmath.planning.pair_chart import pair_rows
from barmath.planning.recipe_limits import limits_from_recipe
from barmath.planning.ways import every_way
from barmath.records.bent_bar import BentBar, TestBend
from barmath.records.booked_order import BookedOrder, ChosenWay, WantedCrossbar
from barmath.records.calibration import Calibration, calibrate
from barmath.records.demo_record import demo_bars, demo_bends
from barmath.records.lookup import model_setting
from barmath.records.record_sheet import bars_from_sheet, guessed_columns, headings_of_sheet, sheet_from_bars
from barmath.refusal import checked_day
from barmath.rider.hands import Stem, grip_along, hand_from_recipe, wrist_turn
from barmath.rider.other_bars import recipe_from_figures, recipe_from_inspection, recipe_from_record
from barmath.rider.same_hands import every_bend_that_keeps, same_hands
from barmath.saving import file_name
from barmath.shop.clamping import clamp_flat_spare_mm, clamping_warnings, controls_fit, stem_fits, stem_roll_way
from barmath.shop.die_calibration import DieCalibration, with_calibration, without_last_calibration
from barmath.shop.forming import forming_from_bend, out_of_round, wall_before_bending
from barmath.shop.groove import section_from_die
from barmath.shop.offsets import bench_marks_mm, bend_from_stop_deg, stop_from_bend_deg
from barmath.shop.order_seven import order_seven_recipe
from barmath.shop.orders import orders_from_toml
from barmath.shop.rack import Rack
from barmath.shop.setup import Setup, setup_from_tube
from barmath.shop.shop_file import Shop, shop_from_toml
from barmath.shop.stock import CHROMOLY_4130, Material
from barmath.shop.tolerance import Tolerance
from barmath.shop.tooling import check_die_takes_tube
from barmath.space.anatomy import features_from_recipe
from barmath.space.centerline import (
    TubeBends,
    bar_placement,
    bar_points,
    bends_from_recipe,
    cut_length_mm,
    mirrored_bends,
    nodes_of_bends,
    points_at,
    reversed_bends,
    sample_stations,
)
from barmath.space.corners import bends_from_corners, corner_points_mm
from barmath.space.drawing import drawing_from_bends, drawing_from_recipe
from barmath.space.two_sides import two_sides_from_bends
from barmath.strength.bent_section import bent_section, straight_section
from barmath.strength.load_cases import LATERAL, TORSION, LoadCase
from barmath.strength.screen import loaded_bar
from barmath.strength.strength_study import first_yield_by_width

Path = tuple[str | int, ...]
"""Where a leaf stands: names of arguments and places in tuples, from the outermost call inward."""


@dataclass(frozen=True)
class Call:
    """A call not yet made; `given` are its arguments by name, values, calls or tuples of both."""

    make: Callable
    given: Mapping[str, Any]

    @property
    def name(self) -> str:
        return self.make.__qualname__

    def leaves(self, deep: bool = True) -> Iterator[tuple[Path, Any]]:
        """Every number, word or None in the arguments and where it stands; of inner calls too, if `deep`."""
        yield from _leaves(self.given, (), deep)

    def run(self, changed: Mapping[Path, Any] | None = None) -> Any:
        """Make the call, inner calls first, with the leaves of `changed` in place of its own."""
        made = _made(self.given, (), changed or {})
        return self.make(**made)


def _leaves(value: Any, path: Path, deep: bool) -> Iterator[tuple[Path, Any]]:
    if isinstance(value, Call):
        if deep:
            yield from _leaves(value.given, path, deep)
    elif isinstance(value, Mapping):
        for name, inner in value.items():
            yield from _leaves(inner, (*path, name), deep)
    elif type(value) in (tuple, list):
        for place, inner in enumerate(value):
            yield from _leaves(inner, (*path, place), deep)
    elif value is None or type(value) in (int, float, str):
        yield path, value


def _made(value: Any, path: Path, changed: Mapping[Path, Any]) -> Any:
    if path in changed:
        return changed[path]
    if isinstance(value, Call):
        return value.make(**_made(value.given, path, changed))
    if isinstance(value, Mapping):
        return {name: _made(inner, (*path, name), changed) for name, inner in value.items()}
    if type(value) in (tuple, list):
        return type(value)(_made(inner, (*path, place), changed) for place, inner in enumerate(value))
    return value


class Fixed(int):
    """A number that is left as it is: a larger one would only take longer."""


class Label(str):
    """Words that are left as they are: what a caller calls a quantity."""


def call(make: Callable, **given: Any) -> Call:
    return Call(make, given)


NOTHING = call(lambda: None)
"""None where a record may be left out; a None by itself is taken for a number left out."""


# ---- what most calls take

ORDER = call(
    Order, rise_mm=78.0, backsweep_deg=12.0, width_mm=780.0, upsweep_deg=None, clamp_flat_mm=50.0, controls_mm=180.0
)
SWEPT_UP = call(
    Order, rise_mm=78.0, backsweep_deg=12.0, width_mm=780.0, upsweep_deg=5.0, clamp_flat_mm=50.0, controls_mm=180.0
)
RECIPE = call(
    Recipe, clamp_flat_mm=50.0, inner_bend_deg=25.0, straight_mm=75.0, roll_deg=31.0, outer_bend_deg=25.0,
    grip_mm=227.0, radius_mm=90.0, stem_roll_deg=3.0,
)  # fmt: skip
MATERIAL = call(
    Material, name="mild steel", elastic_modulus_mpa=200_000.0, density_kg_m3=7850.0, yield_mpa=350.0,
    yield_low_mpa=250.0, yield_high_mpa=450.0, tensile_mpa=420.0, elongation_percent=20.0,
)  # fmt: skip
TUBE = call(Tube, outside_diameter_mm=22.225, wall_mm=1.4732, material=CHROMOLY_4130, name="7/8 x 0.058")
DIE = call(
    Die, centerline_radius_mm=88.9, least_straight_mm=65.0, line_up_offset_mm=1.5, largest_bend_deg=90.0,
    tube_diameter_mm=22.225, springback_ratio=0.028, name="die 89", stop_offset_deg=0.2, groove_depth_mm=10.0,
    rim_height_mm=20.0,
)  # fmt: skip
WIDE_DIE = call(Die, centerline_radius_mm=114.3, tube_diameter_mm=22.225, name="die 115")
SPRINGBACK = call(Springback, ratio=0.028, die_radius_mm=88.9)
BENDER = call(
    Bender, turns="left", hook_mm=65.0, follower_mm=40.0, finder_foot_mm=45.0, table_below_mm=120.0,
    table_reach_mm=400.0, floor_below_mm=980.0, frame_below_mm=35.0, frame_reach_mm=140.0, handle_reach_mm=900.0,
)  # fmt: skip
BARE_BENDER = call(Bender, turns="right")
STRAIGHT_GRIPS = call(
    Recipe, clamp_flat_mm=50.0, inner_bend_deg=25.0, straight_mm=75.0, roll_deg=0.0, outer_bend_deg=25.0,
    grip_mm=185.0, radius_mm=90.0, stem_roll_deg=0.0,
)  # fmt: skip
INCH_TUBE = call(Tube, outside_diameter_mm=25.4, wall_mm=1.5)
THICK_TUBE = call(Tube, outside_diameter_mm=40.0, wall_mm=2.0)
BENDS = call(bends_from_recipe, recipe=RECIPE)
TWO_STOPS = call(bends_from_recipe, recipe=call(
    Recipe, clamp_flat_mm=50.0, inner_bend_deg=27.0, straight_mm=75.0, roll_deg=31.0, outer_bend_deg=23.0,
    grip_mm=227.0, radius_mm=90.0,
))  # fmt: skip
HOLDS = tuple(call(Hold, number=hold.number, hooked=hold.hooked) for hold in USUAL_HOLDS)
BRANCH = call(Tube, outside_diameter_mm=9.525, wall_mm=0.889)
CROSSBAR = call(crossbar, recipe=RECIPE, header_diameter_mm=22.225, branch=BRANCH, height_mm=None, allowance_mm=0.0)
STEM = call(Stem, length_mm=50.0, angle_deg=6.0, head_angle_deg=65.0)
HAND = call(hand_from_recipe, recipe=RECIPE, stem=STEM, from_end_mm=65.0)
READINGS = tuple(
    call(Reading, key=key, value=value, error=error)
    for key, value, error in (
        ("backsweep_left", 12.4, None), ("backsweep_right", 11.8, 0.3), ("rise_left", 61.0, None),
        ("rise_right", 63.5, 1.0), ("width", 779.0, None), ("between_risers", 261.0, None),
    )
)  # fmt: skip
INSPECTION = call(inspect, recipe=RECIPE, readings=READINGS)
TOLERANCE = call(Tolerance, sweep_deg=1.0, rise_mm=3.0, rock_mm=2.0, roll_deg=3.0)
ERRORS = call(ProcessErrors, stop_deg=0.3, finder_deg=0.2, mark_mm=0.5, springback=0.002)
SETTINGS = call(settings_from_bends, bends=BENDS, holds=HOLDS, springback=SPRINGBACK, die=DIE, bender=BENDER)
CHART = call(Chart, tube=TUBE, die=DIE, width_mm=780.0, clamp_flat_mm=50.0, controls_mm=180.0, backsweep_deg=10.0)
BENT_BAR = call(
    BentBar, name="order 7", date="2026-11-02", order=ORDER, tube="7/8 x 0.058", die="die 89", tube_diameter_mm=22.225,
    tube_wall_mm=1.4732, die_radius_mm=88.9, batch="A", inner_mark_mm=66.0, outer_mark_mm=186.0, tube_length_mm=817.0,
    inner_stop_deg=25.7, outer_stop_deg=25.7, clamp_reading_deg=12.0, readings={"rise_left": 77.0, "width": 781.0},
    tweaks="", notes="bent on a Monday", photo="",
)  # fmt: skip
TEST_BEND = call(
    TestBend, date="2026-11-01", tube="7/8 x 0.058", die="die 89", tube_diameter_mm=22.225, tube_wall_mm=1.4732,
    die_radius_mm=88.9, stop_deg=30.0, kept_deg=29.2, batch="A", shift_mm=0.4, notes="",
)  # fmt: skip
CALIBRATION = call(
    DieCalibration, die="die 89", tube="7/8 x 0.058", date="2026-11-01", source="5 bars", ratio=0.028,
    constant_deg=0.2, offset_mm=1.1, radius_mm=91.0, kept_error_deg=0.1, offset_error_mm=0.2, batch="",
)  # fmt: skip
SHOP_TEXT = (ROOT / "notebooks" / "demo" / "shop.toml").read_text(encoding="utf-8")
ORDERS_TEXT = '[[order]]\nname = "order 1"\nrise = "60 mm"\nbacksweep = 9\nwidth = "760 mm"\n'
SHEET = (
    b"name,date,rise_mm,backsweep_deg,width_mm,tube,die,tube_diameter_mm,tube_wall_mm,die_radius_mm\n"
    b"order 3,2026-10-02,70,10,780,7/8 x 0.058,die 89,22.2,1.5,88.9\n"
)
SCENE = dict(bends=BENDS, springback=SPRINGBACK, die=DIE, bender=BENDER)
SETUP = call(Setup, tube_diameter_mm=22.225, die=DIE, springback=SPRINGBACK, bender=BENDER)
BARE_SETUP = call(Setup, tube_diameter_mm=22.225, die=DIE, springback=SPRINGBACK, bender=BARE_BENDER)
BUDGET = call(error_budget, recipe=RECIPE, errors=call(BenchErrors, stop_deg=0.3, finder_deg=0.2, mark_mm=0.5))
SHOP = call(shop_from_toml, text=SHOP_TEXT, source="shop.toml")
CALIBRATED = call(calibrate, tube=TUBE, die=DIE, bends=(TEST_BEND,), bars=(BENT_BAR,))

WAY = call(
    ChosenWay, tube="7/8 x 0.065", die="die 102", inner_bend_deg=30.0, outer_bend_deg=30.0, inner_stop_deg=31.0,
    outer_stop_deg=31.0, radius_mm=105.0, sequence=USUAL,
)  # fmt: skip
BOOKED = call(
    BookedOrder, number=7.0, ordered="2026-03-02", state="planned", way=WAY, wanted="2026-03-20", rider="", notes="",
    wish=call(Order, rise_mm=90.0, backsweep_deg=14.0, width_mm=800.0, clamp_flat_mm=60.0, controls_mm=170.0),
)  # fmt: skip

FACES = (
    # records
    ORDER, SWEPT_UP, RECIPE, MATERIAL, TUBE, DIE, SPRINGBACK, BENDER, STEM, TOLERANCE, ERRORS, CHART, BENT_BAR,
    TEST_BEND, CALIBRATION, READINGS[1],
    call(Shape, rise_mm=78.0, backsweep_deg=12.0, upsweep_deg=0.0, width_mm=780.0, setback_mm=42.0,
         cut_length_mm=817.0),
    call(TubeBends, straights_mm=(30.0, 40.0, 50.0), bends_deg=(20.0, 30.0), rolls_deg=(35.0,), radii_mm=(90.0, 90.0)),
    call(Slips, mark_mm=0.5, stop_deg=0.2, reading_deg=0.1, roll_deg=0.3, springback=0.001),
    call(BenchErrors, stop_deg=0.3, finder_deg=0.2, mark_mm=0.5),
    call(LoadCase, name="a push", right_n=500.0, left_n=400.0, couple_nm=80.0, cycles=1.0, source="ours"),
    # numbers and words at the face
    call(length_mm, text="3 1/2 in", name=Label("rise"), default_unit="mm", allow_negative=False),
    call(length_mm, text=22.2, name=Label("rise"), default_unit="in", allow_negative=True),
    call(angle_deg, text="12,5 deg", name=Label("backsweep")),
    call(length_text, length=88.9, unit="in"),
    call(in_unit, words="65.0 mm", unit="in"),
    call(checked_bend, name=Label("bend"), bend_deg=25.0),
    call(checked_stop, bend_deg=25.0),
    call(checked_radius, radius_mm=90.0),
    call(checked_turn, name=Label("roll"), turn_deg=30.0),
    call(checked_day, text="2026-11-02"),
    call(checked_stock, stock_length_mm=1000.0),
    call(checked_stock, stock_length_mm=1000.0, single=True),
    call(file_name, words="order 7", ending=".pdf"),
    call(bend_name, number=1), call(straight_name, number=2),
    # from order to recipe and back
    call(recipe_from_order, order=ORDER, radius_mm=90.0, bend_deg=25.0),
    call(recipe_from_order, order=SWEPT_UP, radius_mm=90.0, bend_deg=25.0),
    call(recipe_from_order, order=ORDER, radius_mm=90.0, bend_deg=27.0, outer_bend_deg=24.0),
    call(recipe_from_order, order=SWEPT_UP, radius_mm=90.0, bend_deg=27.0, outer_bend_deg=24.0),
    call(least_outer_bend_deg, order=ORDER, inner_bend_deg=27.0),
    call(recipe_from_inner_bend, order=SWEPT_UP, radius_mm=90.0, inner_bend_deg=25.0, stem_roll_deg=3.0),
    call(rise_window_mm, order=ORDER, radius_mm=90.0, bend_deg=25.0, least_straight_mm=65.0),
    call(rise_window_mm, order=SWEPT_UP, radius_mm=90.0, bend_deg=25.0, least_straight_mm=65.0),
    call(rise_window_mm, order=ORDER, radius_mm=90.0, bend_deg=27.0, least_straight_mm=65.0, outer_bend_deg=24.0),
    call(least_bend_deg, order=ORDER), call(least_bend_deg, order=SWEPT_UP),
    call(bend_from_straight_deg, order=ORDER, radius_mm=90.0, straight_mm=75.0),
    call(bend_from_straight_deg, order=SWEPT_UP, radius_mm=90.0, straight_mm=75.0),
    call(shape_from_recipe, recipe=RECIPE), call(clamp_reading_deg, recipe=RECIPE),
    call(risers_upright, recipe=RECIPE), call(grips_level, recipe=RECIPE), call(marks_from_recipe, recipe=RECIPE),
    call(features_from_recipe, recipe=RECIPE),
    call(sensitivities_from_recipe, recipe=RECIPE),
    BUDGET,
    # tube, die and limits
    call(springback_from_tube, tube=TUBE, die=DIE, yield_mpa=500.0),
    call(springback_from_tube, tube=TUBE, die=WIDE_DIE),
    call(check_die_takes_tube, tube=TUBE, die=DIE),
    call(forming_from_bend, tube=TUBE, radius_mm=90.0),
    call(wall_before_bending, radius_in_diameters=4.0),
    call(out_of_round, largest_mm=22.6, smallest_mm=21.4, diameter_mm=22.2),
    call(limits_from_recipe, recipe=RECIPE, order=ORDER, tube=TUBE, die=DIE, stock_length_mm=1000.0),
    call(every_way, order=ORDER, tube=TUBE, dies=(DIE, WIDE_DIE), bends_deg=(20.0, 25.0), clamped=("risers upright",),
         stock_length_mm=1000.0),
    *(call(stem_fits, tube=tube) for tube in (TUBE, INCH_TUBE, THICK_TUBE)),
    *(call(controls_fit, tube=tube) for tube in (TUBE, INCH_TUBE)),
    call(clamp_flat_spare_mm, clamp_flat_mm=50.0, stem_width_mm=45.0),
    call(clamping_warnings, tube=TUBE, clamp_flat_mm=50.0, stem_width_mm=45.0),
    call(stem_roll_way, stem_roll_deg=12.0),
    # rows of bends
    BENDS, call(nodes_of_bends, bends=BENDS), call(cut_length_mm, bends=BENDS), call(reversed_bends, bends=BENDS),
    call(mirrored_bends, bends=BENDS), call(sample_stations, bends=BENDS, per_bend=6),
    call(points_at, bends=BENDS, stations_mm=(0.0, 100.0, 400.0)),
    call(bar_points, recipe=RECIPE, stations_mm=(0.0, 100.0, 400.0)),
    call(bar_placement, bends=BENDS, stem_roll_deg=3.0),
    call(two_sides_from_bends, bends=BENDS, stem_roll_deg=3.0),
    call(rock_of_risers_mm, bends=BENDS),
    call(corner_points_mm, bends=BENDS),
    call(bends_from_corners, corners_mm=((0.0, 0.0, 0.0), (100.0, 0.0, 0.0), (200.0, 50.0, 0.0), (300.0, 50.0, 20.0)),
         radii_mm=(90.0, 80.0)),
    call(drawing_from_recipe, recipe=RECIPE, tube_diameter_mm=22.225, mark_width=3.0),
    call(drawing_from_bends, bends=BENDS, tube_diameter_mm=22.225, stem_roll_deg=3.0, mark_width=3.0),
    # maps, windows and charts
    call(window_curve, order=ORDER, tube=TUBE, die=DIE, bends_deg=(15.0, 25.0, 35.0)),
    call(makeable, orders=(ORDER, SWEPT_UP), tube=TUBE, dies=(DIE, WIDE_DIE), bends_deg=(15.0, 25.0, 35.0),
         stock_length_mm=1000.0),
    call(new_die, tube=TUBE, dies=(DIE, WIDE_DIE), radius_mm=100.0, least_straight_mm=65.0),
    call(window_curve, order=SWEPT_UP, tube=TUBE, die=WIDE_DIE, bends_deg=(15.0, 25.0, 35.0)),
    call(die_choice, orders=(ORDER, SWEPT_UP), tube=TUBE, dies=(DIE, WIDE_DIE), radii_mm=(80.0, 90.0),
         bends_deg=(15.0, 25.0), least_straight_mm=65.0),
    call(die_choice, orders=(ORDER,), tube=TUBE, dies=(DIE,), radii_mm=(80.0, 90.0), bends_deg=(15.0, 25.0),
         least_straight_mm=65.0),
    call(across_half_width, recipe=RECIPE),
    call(every_combination, order=ORDER, tube=TUBE, dies=(DIE,), bends_deg=(20.0, 25.0), setback_mm=40.0,
         stock_length_mm=1000.0),
    call(even_bend_deg, order=ORDER, tube=TUBE, die=DIE, least_deg=10.0, most_deg=50.0, setback_mm=40.0),
    call(bar_map, order=ORDER, tube=TUBE, die=DIE, bend_deg=25.0, setback_mm=40.0, stock_length_mm=1000.0),
    call(bar_map, order=ORDER, tube=TUBE, die=DIE, bend_deg=25.0, setback_mm=None, stock_length_mm=1000.0),
    call(rise_lines, chart=CHART), call(reading_lines, chart=CHART, largest_sweep_deg=20.0),
    call(settings_blocks, chart=CHART, rises_mm=(60.0, 80.0), sweeps_deg=(8.0, 12.0)),
    call(pair_rows, chart=CHART, rises_mm=(60.0, 80.0, 150.0)),
    call(inner_marks_mm, chart=CHART), call(stop_deg, chart=CHART, bend_deg=25.0),
    # at the bench
    call(check_holds, holds=HOLDS, count=4),
    call(poses_from_recipe, recipe=RECIPE, bender=BENDER, per_bend=4, holds=HOLDS),
    SETTINGS, call(stop_for_bend_deg, bends=BENDS, hold=HOLDS[0], springback=SPRINGBACK, die=DIE),
    call(tangent_points_mm, bends=BENDS, hold=HOLDS[0]),
    call(bends_from_settings, settings=SETTINGS, length_mm=820.0, springback=SPRINGBACK, die=DIE, bender=BENDER,
         slips=call(Slips, mark_mm=0.5, stop_deg=0.2)),
    call(flats_to_read, bends=BENDS, hold=HOLDS[1], made=made_so_far(USUAL_HOLDS)[1], bender=BENDER),
    call(clearances_mm, bends=BENDS, made=made_so_far(USUAL_HOLDS)[1], hold=HOLDS[1], setup=SETUP),
    call(section_from_die, die=DIE, tube_diameter_mm=22.225),
    call(swing, bends=BENDS, made=made_so_far(USUAL_HOLDS)[1], hold=HOLDS[1], setup=SETUP),
    call(bend_sequence, bends=BENDS, holds=HOLDS, setup=SETUP),
    call(every_bend_sequence, tube_diameter_mm=22.225, **SCENE),
    call(film_of_pull, bends=BENDS, holds=HOLDS, setup=SETUP, marks_mm=(300.0, 400.0), moving=Fixed(False)),
    call(film_of_pull, bends=BENDS, holds=HOLDS, setup=SETUP, read_on=None, moving=Fixed(False)),
    call(film_of_pull, holds=HOLDS, bends=BENDS, setup=BARE_SETUP, moving=Fixed(False)),
    call(least_riser_mm, holds=HOLDS, bender=BENDER, die=DIE),
    call(bench_marks_mm, recipe=RECIPE, die=DIE),
    call(stop_from_bend_deg, bend_deg=25.0, springback=SPRINGBACK, die=DIE),
    call(bend_from_stop_deg, stop_deg=25.0, springback=SPRINGBACK, die=DIE),
    call(bench_steps, recipe=RECIPE, springback=SPRINGBACK, die=DIE, bender=BENDER, unit="mm", holds=HOLDS),
    *(call(outcome_of_mistake, mistake=mistake, step=Fixed(step), bends=TWO_STOPS if mistake is MISTAKES[-1] else BENDS,
           holds=HOLDS, setup=SETUP, stem_roll_deg=3.0, slack_deg=3.0)
      for step, mistake in zip((1, 2, 2, 3, 2, 1, 2, 3, 2), MISTAKES, strict=False)),
    call(slips_from_errors, errors=ERRORS, steps=4, tubes=5, seed=1),
    call(spread_of_sequence, holds=HOLDS, errors=ERRORS, tubes=Fixed(20), seed=1, stem_roll_deg=3.0, **SCENE),
    call(spread_of_settings, settings=SETTINGS, length_mm=820.0, errors=ERRORS, springback=SPRINGBACK, die=DIE,
         bender=BENDER, tubes=Fixed(20), seed=1, stem_roll_deg=3.0),
    call(only, errors=ERRORS),
    # the finished bar, its crossbar and its strength
    call(parts_of_recipe, recipe=RECIPE),
    call(bends_from_parts, recipe=RECIPE, parts_deg=(25.0, 25.0, 31.0, 0.0, 31.0, 25.0, 25.0)),
    call(halves_from_parts, recipe=RECIPE, parts_deg=(25.0, 25.0, 31.0, 0.0, 31.0, 25.0, 25.0)),
    call(readings_of_parts, recipe=RECIPE, parts_deg=(25.0, 25.0, 31.0, 0.0, 31.0, 25.0, 25.0), keys=("rise_left",)),
    call(wanted_readings, recipe=RECIPE, keys=("rise_left", "width")),
    call(check_plausible, readings=READINGS, recipe=RECIPE),
    INSPECTION, call(advice, inspection=INSPECTION, order=ORDER, tolerance=TOLERANCE),
    call(rocking_words, inspection=INSPECTION, tolerance=TOLERANCE),
    call(covariance_of_slips, recipe=RECIPE, errors=ERRORS),
    call(cope_ordinates_mm, branch_diameter_mm=9.525, header_diameter_mm=22.225, angle_deg=70.0, stations_deg=30.0),
    CROSSBAR, call(level_and_square, bar=CROSSBAR), call(facing, bar=CROSSBAR, end="left end", share=0.25),
    call(unrolled_mm, bar=CROSSBAR, end="right end"),
    call(right_half, recipe=RECIPE),
    call(check_branch, branch_diameter_mm=9.525, header_diameter_mm=22.225),
    call(straight_section, tube=TUBE), call(bent_section, tube=TUBE, radius_mm=90.0, out_of_round=0.05),
    call(loaded_bar, recipe=RECIPE, tube=TUBE, case=TORSION, crossbar=NOTHING, stem_width_mm=40.0, tilt_deg=0.0,
         out_of_round=0.0),
    call(loaded_bar, recipe=RECIPE, tube=TUBE, case=LATERAL, crossbar=CROSSBAR, stem_width_mm=40.0, tilt_deg=10.0,
         out_of_round=0.05),
    call(first_yield_by_width, order=ORDER, radius_mm=90.0, bend_deg=25.0, tubes=(TUBE,), widths_mm=(700.0, 780.0),
         case=LATERAL, stem_width_mm=40.0, outer_bend_deg=26.0),
    # hands
    HAND, call(grip_along, hand=HAND), call(wrist_turn, before=HAND, after=HAND),
    call(same_hands, recipe=RECIPE, stem=STEM, backsweep_deg=13.0, bend_deg=20.0, radius_mm=90.0, new_stem=STEM,
         from_end_mm=65.0, least_straight_mm=0.0, controls_mm=0.0),
    call(every_bend_that_keeps, recipe=RECIPE, stem=STEM, backsweep_deg=13.0, bends_deg=(15.0, 20.0), radius_mm=90.0),
    call(recipe_from_figures, order=ORDER, radius_mm=90.0, bend_deg=25.0),
    call(recipe_from_inspection, found=INSPECTION),
    call(recipe_from_record, bar=BENT_BAR, radius_mm=90.0, bend_deg=25.0),
    # the record and the shop's files
    call(model_setting, order=ORDER, springback=SPRINGBACK, die=DIE, bend_deg=25.0),
    CALIBRATED,
    call(order_seven_recipe),
    call(demo_bars, tube=TUBE, die=DIE, count=Fixed(3), seed=1), call(demo_bends, tube=TUBE, die=DIE, seed=1),
    call(unsure, recipe=RECIPE, tube=TUBE, die=DIE, calibration=CALIBRATION),
    call(unsure, recipe=RECIPE, tube=TUBE, die=DIE, calibration=NOTHING),
    call(unsure, recipe=RECIPE, tube=TUBE, die=WIDE_DIE, calibration=NOTHING),
    call(unsure, recipe=STRAIGHT_GRIPS, tube=TUBE, die=DIE, calibration=CALIBRATION),
    call(unsure_words, sure=call(unsure, recipe=RECIPE, tube=TUBE, die=DIE, calibration=NOTHING), unit="in"),
    call(unsure_rows, sure=call(unsure, recipe=RECIPE, tube=TUBE, die=DIE, calibration=NOTHING), unit="in"),
    call(unsure_words, sure=call(unsure, recipe=RECIPE, tube=TUBE, die=DIE, calibration=CALIBRATION), unit="mm"),
    call(with_calibration, text=SHOP_TEXT, calibration=CALIBRATION),
    call(without_last_calibration, text=call(with_calibration, text=SHOP_TEXT, calibration=CALIBRATION)),
    call(sheet_from_bars, bars=[BENT_BAR]), call(headings_of_sheet, data=SHEET), call(bars_from_sheet, data=SHEET),
    call(guessed_columns, headings=["Name", "Rise, mm"]),
    SHOP,
    call(orders_from_toml, text=ORDERS_TEXT, source="orders.toml"),
    # methods that take numbers or words
    call(Springback.die_bend_deg, self=SPRINGBACK, finished_deg=25.0),
    call(Springback.finished_bend_deg, self=SPRINGBACK, die_deg=25.0),
    call(Tube.mass_g, self=TUBE, length_mm=820.0), call(Tube.plastic_moment_nm, self=TUBE, yield_mpa=500.0),
    call(Bender.hook_needs_mm, self=BENDER, die=DIE), call(DieCalibration.on, self=CALIBRATION, die=DIE),
    call(Chart.order, self=CHART, rise_mm=78.0, backsweep_deg=12.0),
    call(BenchErrors.of, self=ERRORS, tool=STOP),
    call(ErrorBudget.greatest, self=BUDGET, measure="backsweep_deg"),
    call(ErrorBudget.most, self=BUDGET, tool=STOP), call(ErrorBudget.share, self=BUDGET),
    call(Shop.tube, self=SHOP, name="7/8 x 0.065"), call(Shop.die, self=SHOP, name="die 102"),
    call(Shop.die_for, self=SHOP, tube=TUBE, name="die 102"), call(Shop.dies_for, self=SHOP, tube=TUBE),
    call(Calibration.kept_deg, self=CALIBRATED, stop_deg=25.0),
    call(Calibration.stop_deg, self=CALIBRATED, wanted_deg=25.0),
    call(Calibration.bends_to_reach, self=CALIBRATED, error_deg=0.1, wanted_deg=25.0),
    call(Calibration.bars_to_reach, self=CALIBRATED, error_deg=0.1, wanted_deg=25.0),
    call(cut_list, lengths_mm=(850.0, 850.0, 910.0), stock_mm=2000.0, kerf_mm=2.0, offcuts_mm=(1200.0,), seconds=20.0),
    call(Calibration.for_shop, self=CALIBRATED, die="die 89", tube="7/8 x 0.058", date="2026-11-02", batch=""),
    # kept last, so that the numbers of the answers above stay
    SETUP, call(setup_from_tube, tube=TUBE, die=DIE, bender=BENDER),
    call(not_the_sweep, recipe=RECIPE),
    WAY, BOOKED, call(BookedOrder.recipe, self=BOOKED),
    call(Rack, tube="7/8 x 0.065", buy_mm=(2000.0,), offcuts_mm=(870.0,), price_a_metre=9.5),
    call(to_hundredths, recipe=RECIPE),
    call(text_from_recipe, number=7.0, tube_diameter_mm=22.225, tube_wall_mm=1.651, die_radius_mm=101.6, recipe=RECIPE),
    call(best_pair_deg, order=ORDER, tube=TUBE, die=DIE, bends_deg=(25.0, 27.5, 30.0), step_deg=0.5,
         stock_length_mm=1000.0),
    call(best_pair_with_setback_deg, order=ORDER, tube=TUBE, die=DIE, bends_deg=(25.0, 27.5, 30.0), setback_mm=40.0,
         stock_length_mm=1000.0),
    call(every_combination, order=ORDER, tube=TUBE, dies=(DIE,), bends_deg=BendPair((25.0, 27.5), 25.0),
         setback_mm=None, stock_length_mm=1000.0),
    call(bend_from_straight_deg, order=ORDER, radius_mm=90.0, straight_mm=100.0, outer_bend_deg=27.5),
    call(same_hands, recipe=RECIPE, stem=STEM, backsweep_deg=13.0, bend_deg=BendPair(20.0, 22.5), radius_mm=90.0,
         new_stem=STEM, from_end_mm=65.0, least_straight_mm=0.0, controls_mm=0.0),
    call(WantedCrossbar, diameter_mm=12.7, wall_mm=0.9, height_mm=50.0),
    call(line_of_bar, number=7.0, tube=TUBE, die=DIE, recipe=RECIPE),
)  # fmt: skip

_BETWEEN = "takes what other functions made, no number or word from outside"
_KERNEL = "a bare kernel behind a checked face: arrays in, nan where there is no bar, and no refusals"
_FLOOR = "the checks themselves: test_refusal.py"
_DISK = "reads or writes a file: test_{record,shop,which_shop,saving,hostile_files}.py"

NOT_CALLED: Mapping[str, str] = {
    "checked_unit": _FLOOR, "keep": _FLOOR, "fixed": _FLOOR, "own": _FLOOR, "passing": _FLOOR, "frozen": _FLOOR,
    "checked_text": _FLOOR, "real_path": _DISK, "make_folder": _DISK,
    "alone": _DISK, "write_sheet": _DISK,
    "day_from_text": "words only: test_record_sheet.py", "same_hands_of_shop": "a search: test_shop_hands.py",
    "HandsWanted": "what same_hands is asked: its refusals are there", "recipes_that_keep": _BETWEEN,
    "true_bends": _BETWEEN, "marks_of_steps": "a look at what bench_steps gives: test_bench_page.py",
    "database_uri": _DISK, "digest": _DISK, "readable": _DISK, "kind_of": _DISK, "body": _DISK, "held": _DISK,
    "content": _DISK, "content_of": _DISK, "Withdrawal": _DISK,
    "as_number": _FLOOR, "checked": _FLOOR, "checked_single": _FLOOR, "refuse_where": _FLOOR, "check_shapes": _FLOOR,
    "shown_bounds": _FLOOR, "plain": _FLOOR, "tenths": _FLOOR, "quoted": _FLOOR, "check_single": _FLOOR,
    "check_one_tube": _FLOOR,
    "check_hold": _FLOOR, "checked_count": _FLOOR, "checked_choice": _FLOOR,
    "in_one": "words only: its own example", "unknown": "words only: its own example",
    "counted": "words only: its own example", "after_words": "words only: test_tweaks.py",
    "remedy_first": "words only: its own example",
    "two_stop_recipe": "takes nothing: its own example",
    "turned": _KERNEL, "arc": _KERNEL, "framed": _KERNEL, "picked": _KERNEL,
    "quarter_turned": _KERNEL, "leaned": _KERNEL,
    "in_blocks": _KERNEL, "half_tangent": _KERNEL, "sine_and_cosine": _KERNEL, "along_legs": _KERNEL,
    "refuse_square_grip": _KERNEL, "measures_of_many": _KERNEL, "highest_between": _KERNEL, "grip_direction": _KERNEL,
    "upright_legs": _KERNEL, "swept_legs": _KERNEL, "swept_pair_legs": _KERNEL,
    "legs_for_sweeps": _KERNEL, "setback_legs": _KERNEL, "legs_at": _KERNEL, "stem_rolls": _KERNEL,
    "free_legs": _KERNEL, "straight_and_grip": _KERNEL, "window_from_legs": _KERNEL, "distance_mm": _KERNEL,
    "ordinates_on_header_mm": _KERNEL, "alpha_from_reading": _KERNEL, "tubes_through_swing": _KERNEL,
    "lines_in_bender": _KERNEL, "carried": _KERNEL, "flats_of_each": _KERNEL,
    "settings_and_flats": _BETWEEN, "are_accepted": _KERNEL, "best_of_every_pair": _KERNEL,
    "placement_in_bender": _KERNEL, "bender_axes": _KERNEL, "partly_bent": _KERNEL,
    "stop_setting_deg": _KERNEL, "on_die_deg": _KERNEL, "kept_deg": _KERNEL, "play_deg": _KERNEL,
    "constant_from_play_deg": _KERNEL,
    "edge_mark_mm": _KERNEL, "tangent_from_mark_mm": _KERNEL, "marks_from_riser_mm": _KERNEL,
    "riser_from_marks_mm": _KERNEL, "grid_shape": _KERNEL, "grid_legs": _KERNEL, "candidates": _KERNEL,
    "rise_limits_mm": _KERNEL,
    "ends_of_rise": _KERNEL, "any_refused": _BETWEEN, "with_window": _BETWEEN,
    "spare_mm": _KERNEL, "put_binding": _KERNEL, "left_mm": _KERNEL,
    "stop_pairs_deg": _KERNEL, "bends_needed_deg": _KERNEL, "put_warned": _KERNEL,
    "covariance_whatever_the_spread": _KERNEL,
    "tools_from_die": _KERNEL,
    "tools_from_dies": _KERNEL, "springback_per_mm": _KERNEL,
    "measures_of_settings": _KERNEL, "weights": _KERNEL, "information": _KERNEL, "solved": _KERNEL,
    "likeliest": _KERNEL, "settings_of_bar": _BETWEEN, "read_of_bar": _BETWEEN, "sides_of_bar": _BETWEEN,
    "fitted": _BETWEEN, "drift_of_course": _BETWEEN, "misses_of_bars": _BETWEEN, "expected_miss": _BETWEEN,
    "placed": _KERNEL, "tube_surface": _KERNEL, "limits_from_making": _KERNEL, "applied": _KERNEL,
    "joint_at_height": _BETWEEN, "joint_angle_deg": _BETWEEN, "acute_side": _BETWEEN,
    "stressed_tube": _BETWEEN,
    "crossbar_on_risers": _BETWEEN, "Tweak": _BETWEEN, "failures_of": _BETWEEN, "every_station": _BETWEEN,
    "stations_of": _BETWEEN, "predicted_and_read": _BETWEEN, "node_places": _BETWEEN,
    "piece_of_interval": _BETWEEN, "triangles": _BETWEEN, "refusals": _BETWEEN, "warnings": _BETWEEN,
    "refuse_unmakeable": _BETWEEN, "with_room": _BETWEEN,
    "refuse_wide": _BETWEEN, "accepts_upsweep": _BETWEEN, "checked_bends": _BETWEEN,
    "check_dies": _BETWEEN,
    "distance": _BETWEEN, "differs": _BETWEEN, "question": _BETWEEN, "made_so_far": _BETWEEN,
    "onward_of": _BETWEEN, "spread_from_sides": _BETWEEN, "slope_of_reading": _BETWEEN, "other": _BETWEEN,
    "aimed_words": _BETWEEN, "once_words": _BETWEEN,
    "judged": _BETWEEN, "slopes_of_goals": _BETWEEN, "unit_of": _BETWEEN, "readings_for": _BETWEEN,
    "checks_of_fit": _BETWEEN, "own_shares": _BETWEEN, "best_to_add": _BETWEEN, "without_reading": _BETWEEN,
    "out_words": _BETWEEN, "left_words": _BETWEEN, "again_words": _BETWEEN,
    "hanging_words": _BETWEEN, "more_words": _BETWEEN, "coarse_words": _BETWEEN, "heat_words": _BETWEEN,
    "bar_of_entry": _BETWEEN, "hold_words": _BETWEEN, "do_words": _BETWEEN, "lie_words": _BETWEEN,
    "check_words": _BETWEEN,
    "stop_moves": _BETWEEN, "differ": _BETWEEN, "moves_words": _BETWEEN,
    "measure_words": _BETWEEN, "bend_sequence_of_each": _BETWEEN,
    "keepout_from_swing": _BETWEEN, "film_of_plan": "many moments of film_of_pull: test_bending_panel.py",
    "failing_of_station": _BETWEEN, "habits_of_pulls": _BETWEEN, "pulls_from_settings": _BETWEEN,
    "shows_on_the_bench": _BETWEEN, "padded": _BETWEEN, "bent_by_hand": "each of its refusals: test_by_hand.py",
    "stations_of_pieces": _BETWEEN, "rings_of_tubes": _KERNEL, "finder_on": _KERNEL, "turn": _KERNEL,
    "turn_about_x": _KERNEL, "turn_about_z": _KERNEL, "parts_of_bender": _BETWEEN, "finder_solids": _BETWEEN,
    "sector_mm": _BETWEEN, "sector_triangles": _BETWEEN, "rod": _KERNEL, "ring_triangles": _KERNEL,
    "least_plan": _KERNEL, "most_worth": _KERNEL, "patterns_worth": _KERNEL,
    "recipe_from_text": "words only: test_recipe_text.py", "check_figures": "words only: test_recipe_text.py",
    "order_book": _DISK, "training_orders": _DISK, "order_from_body": _DISK, "body_of_order": _DISK,
    "checked_number": _FLOOR, "demo_record": _DISK,
    "nearest_bars": _DISK, "orders_from_file": _DISK, "save_bytes": _DISK,
    "shop_from_file": _DISK, "put_into_file": _DISK, "take_last_out_of_file": _DISK, "text_from_file": _DISK,
    "notebooks_folder": _DISK, "training_file": _DISK, "training_shop": _DISK, "is_own": _DISK, "shop_file": _DISK,
    "record_file": _DISK, "make_my_shop": _DISK,
}  # fmt: skip
"""Public functions without a call above, and why."""
