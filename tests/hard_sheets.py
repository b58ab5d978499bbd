"""Every kind of printed paper with data that is hard to print: long names, far numbers, letters of other languages."""

from contextlib import suppress
from dataclasses import replace
from functools import cache, partial

from every_sheet import DEMO, SHOP

from barmath import Order, recipe_from_order
from barmath.bending import USUAL_HOLDS
from barmath.crossbars import crossbar
from barmath.panels.chosen_way import best_way
from barmath.paper.bench_data import BenchSheet
from barmath.paper.bench_sheet import bench_sheet_pdf
from barmath.paper.check_sheet import CheckSheet, check_sheet_pdf
from barmath.paper.class_overview import overview_pdf
from barmath.paper.class_sheet import ClassSheet, class_sheet_pdf
from barmath.paper.cope_wrap import CopeWrap, cope_wrap_pdf
from barmath.paper.full_size import FullSize, full_size_pdf
from barmath.paper.page import pages_pdf
from barmath.paper.rider_page import RiderPage, rider_pdf
from barmath.paper.sizes import LONG
from barmath.paper.wall_chart import wall_chart
from barmath.paper.wall_pairs import die_sheets, pair_sheet
from barmath.paper.wall_settings import settings_sheet
from barmath.paper.week import _plan
from barmath.paper.week_data import week_from_orders
from barmath.planning.chart_data import Chart
from barmath.practice import Done
from barmath.practice.class_overview import overview_of
from barmath.practice.course import KINDS
from barmath.records import training_orders
from barmath.refusal import BendError
from barmath.shop import Die, Tube, orders_from_file
from barmath.shop.rack import Rack
from barmath.shop.tolerance import Tolerance
from barmath.shop.tooling import springback_from_tube

LONG_NAME = "Mária-Łucja Großmann-Šťastná Ødegård, the second bar for the long tour through the mountains in spring"
ONE_WORD = "Überführungssonderanfertigungslenkerbügel" * 3
FOREIGN = "Ελένη Ангелова 車把 ñ é ß Ł ﬁ ½ → ≤"
LONG_TUBE = Tube(22.225, 1.651, name="seven eighths by sixty-five thousandths, from the shelf beside the rear door (2)")
LONG_DIE = Die(
    101.6, 65.0, tube_diameter_mm=22.225, springback_ratio=0.0476, line_up_offset_mm=-34.5, stop_offset_deg=3.9,
    name="the four-inch die with the repaired hook, größer als die alte",
)  # fmt: skip
RADIUS = float(springback_from_tube(LONG_TUBE, LONG_DIE).finished_radius_mm)
HARD_ORDER = Order(123.4, 23.4, 987.6, 5.4, 98.7, 123.4)
TWO_STOPS = recipe_from_order(Order(90.0, 14.0, 800.0, None, 60.0, 170.0), RADIUS, 30.0, 27.5)
STEEP = recipe_from_order(Order(300.0, 45.0, 640.0, 12.0, 90.0, 100.0), RADIUS, 75.0, 70.0)
FLAT = recipe_from_order(Order(6.0, 0.0, 350.0, None, 150.0, 40.0), RADIUS, 8.0)
FORWARD = recipe_from_order(Order(70.0, -10.0, 700.0, 0.0, 50.0, 150.0), RADIUS, 40.0)
WATCHED = (
    "straight between bends must be at least 65.0 mm, got 31.8 mm",
    f"Mind the {ONE_WORD}.",
    *("A warning of a good length, as the limits give it. " * 3,) * 4,
)
OUTER_FIRST = tuple(USUAL_HOLDS[place] for place in (3, 0, 2, 1))


def _bench(name="order 999999", recipe=TWO_STOPS, order=HARD_ORDER, **more):
    given = {"warnings": WATCHED, "holds": OUTER_FIRST, "number": 999_999, "rider": LONG_NAME, "wanted": "2026-12-31"}
    return BenchSheet(name, order, recipe, LONG_TUBE, LONG_DIE, SHOP.bender, **given | more)


WIDE_TOLERANCE = Tolerance(12.5, 123.4, 99.9, 45.5)
CROSSBAR = Tube(22.2, 2.9)
FITTED = crossbar(TWO_STOPS, LONG_TUBE.outside_diameter_mm, CROSSBAR, 40.0, 5.0)
LOW = recipe_from_order(Order(60.0, 0.0, 750.0, None, 60.0, 170.0), RADIUS, 20.0)


@cache
def week_of(unit):
    """A week of all orders of the file, with a tube and a die of a shop that has long names for them."""
    tubes = (replace(SHOP.tubes[0], name=LONG_TUBE.name), *SHOP.tubes[1:])
    dies = (replace(SHOP.dies[0], name=LONG_DIE.name), *SHOP.dies[1:])
    rack = Rack(LONG_TUBE.name, (2000.0, 3000.0), (1000.0, 870.0), 12345.67)
    shop = replace(SHOP, tubes=tubes, dies=dies, racks=(rack,))
    orders = training_orders(orders_from_file(DEMO / "orders.toml"))
    days, riders = (None, "2026-12-01", "2026-12-31"), (LONG_NAME, "", FOREIGN)
    made = []
    for order in orders:
        with suppress(BendError):
            made.append(replace(order, state="planned", way=best_way(shop, order.wish)))
    numbered = [
        replace(one, number=999_999 - place, rider=riders[place % 3], wanted=days[place % 3])
        for place, one in enumerate(made * 3)
    ]
    gone = tuple(f"Order a rise of 106.0 mm: {LONG_DIE.name} holds 65.0 mm (order {one})" for one in range(12))
    return replace(week_from_orders(shop, numbered, unit), left_out=gone)


def week_plan(unit, size):
    """The pages of the plan alone: the bench sheets of its bars are looked at by themselves."""
    return _plan(week_of(unit), size, unit)


NAMES = tuple(f"{name} {number}" for number in range(5) for name in (LONG_NAME, FOREIGN, "a", ONE_WORD, "Łucja"))


@cache
def class_of_many():
    done = tuple(
        Done(kind.name, seed, 1 + seed % 3, 1 + seed % 2, seed % 3 == 0, "2026-11-02", habits=(f"it is {seed} " * 30,))
        for kind in KINDS for seed in range(30)
    )  # fmt: skip
    return overview_of(dict.fromkeys(NAMES, done) | {"nobody": ()})


def charts(number=8):
    dies = [replace(LONG_DIE, name=f"{LONG_DIE.name} {one}", centerline_radius_mm=70.0 + 15.0 * one)
            for one in range(number)]  # fmt: skip
    return [Chart(LONG_TUBE, die, backsweep_deg=12.5, width_mm=812.5, clamp_flat_mm=63.5, controls_mm=152.4,
                  stock_length_mm=1234.5) for die in dies]  # fmt: skip


HARD = {
    "bench, long names": partial(bench_sheet_pdf, _bench(LONG_NAME)),
    "bench, long names, inches": partial(bench_sheet_pdf, _bench(ONE_WORD, unit="in", rider=ONE_WORD), "Letter"),
    "bench, foreign": partial(bench_sheet_pdf, _bench(FOREIGN, rider=FOREIGN, wanted=None), "Letter"),
    "bench, empty": partial(
        bench_sheet_pdf,
        _bench("", LOW, Order(60.0, 0.0, 750.0), warnings=(), holds=USUAL_HOLDS, number=0, rider="", wanted=None),
    ),
    "bench, steep": partial(bench_sheet_pdf, _bench("steep", STEEP), "Letter"),
    "bench, steep, inches": partial(bench_sheet_pdf, _bench("steep", STEEP, unit="in")),
    "bench, flat": partial(bench_sheet_pdf, _bench("flat", FLAT, holds=USUAL_HOLDS)),
    "bench, forward, inches": partial(bench_sheet_pdf, _bench("forward", FORWARD, unit="in"), "Letter"),
    "check, steep": partial(check_sheet_pdf, CheckSheet(LONG_NAME, STEEP, 22.225, WIDE_TOLERANCE)),
    "check, steep, inches": partial(
        check_sheet_pdf, CheckSheet(ONE_WORD, STEEP, 22.225, WIDE_TOLERANCE, "in"), "Letter"
    ),
    "check, flat": partial(check_sheet_pdf, CheckSheet("", FLAT, 22.225), "Letter"),
    "check, forward": partial(check_sheet_pdf, CheckSheet(FOREIGN, FORWARD, 22.225)),
    "cope, long": partial(cope_wrap_pdf, CopeWrap(LONG_NAME, FITTED)),
    "cope, long, inches": partial(cope_wrap_pdf, CopeWrap(ONE_WORD, FITTED, "in"), "Letter"),
    "long sheet, steep": partial(full_size_pdf, FullSize(LONG_NAME, STEEP, 22.225), LONG),
    "long sheet, flat": partial(full_size_pdf, FullSize("", FLAT, 22.225), LONG),
    "long sheet, forward": partial(full_size_pdf, FullSize(FOREIGN, FORWARD, 22.225, "in"), LONG),
    "rider, steep": partial(
        rider_pdf, RiderPage(LONG_NAME, STEEP, LONG_TUBE, None, FLAT, "mm", LONG_NAME, "2026-12-31")
    ),
    "rider, steep, inches": partial(
        rider_pdf, RiderPage(ONE_WORD, TWO_STOPS, LONG_TUBE, FITTED, STEEP, "in", ONE_WORD, "2026-12-31"), "Letter"
    ),
    "rider, flat": partial(rider_pdf, RiderPage("", FLAT, LONG_TUBE), "Letter"),
    "rider, forward": partial(rider_pdf, RiderPage(FOREIGN, FORWARD, LONG_TUBE, None, TWO_STOPS, rider=FOREIGN)),
    "week, full": lambda: pages_pdf(week_plan("mm", "A4"), "week"),
    "week, full, inches": lambda: pages_pdf(week_plan("in", "Letter"), "week"),
    "overview, full": lambda: overview_pdf(class_of_many()),
    "overview, full, Letter": lambda: overview_pdf(class_of_many(), "Letter"),
    **{
        f"wall {what}, {unit}, {size}": partial(lambda make, unit, size: make(unit, size), make, unit, size)
        for what, make in {
            "pair": lambda unit, size: pair_sheet(charts()[2], size, unit).pdf("pair"),
            "settings": lambda unit, size: settings_sheet(charts()[2], size, unit).pdf("settings"),
            "which die": lambda unit, size: pages_pdf(die_sheets(charts(), size, unit), "dies"),
        }.items()
        for unit, size in (("mm", "A4"), ("in", "Letter"), ("mm", "A3"))
    },
    "wall chart": lambda: wall_chart(charts()[2], "Letter").page.pdf("chart"),
    **{f"class, {kind.name}": partial(class_sheet_pdf, ClassSheet(kind.name, 31, 3, 2), "Letter") for kind in KINDS},
}
