"""Every kind of printed paper, by its name: what makes its PDF."""

import re
from dataclasses import replace
from functools import partial
from pathlib import Path

from nightly import NIGHTLY

from barmath import recipe_from_order
from barmath.bending import USUAL_HOLDS
from barmath.crossbars import crossbar
from barmath.panels.chosen_way import best_way
from barmath.paper.bench_data import BenchSheet
from barmath.paper.bench_sheet import bench_sheet_pdf
from barmath.paper.check_sheet import CheckSheet, check_sheet_pdf
from barmath.paper.class_overview import overview_pdf
from barmath.paper.class_sheet import ClassSheet, class_sheet_pdf
from barmath.paper.cope_wrap import CopeWrap, cope_wrap_pdf
from barmath.paper.figures import figures
from barmath.paper.full_size import FullSize, full_size_pdf
from barmath.paper.handout import handout_pdf
from barmath.paper.rider_page import RiderPage, rider_pdf
from barmath.paper.sizes import LONG
from barmath.paper.week import week_pdf
from barmath.paper.week_data import week_from_orders
from barmath.practice.bets import lessons_with_bets
from barmath.practice.class_overview import overview_of
from barmath.records import training_orders
from barmath.shop import (
    CROSSBAR,
    DIE,
    ORDER,
    TUBE,
    order_seven_recipe,
    orders_from_file,
    shop_from_file,
)  # fmt: skip
from barmath.shop.order_seven import two_stop_recipe

DEMO = Path(__file__).parents[1] / "notebooks" / "demo"
SHOP = shop_from_file(DEMO / "shop.toml")
ONE, TWO = order_seven_recipe(), two_stop_recipe()
FITTED = crossbar(ONE, TUBE.outside_diameter_mm, CROSSBAR)
UPSWEPT = replace(ORDER, upsweep_deg=5.0)
BENCH = BenchSheet("order 7", ORDER, TWO, SHOP.tubes[0], DIE, SHOP.bender)
RIDER = "Annemarie van der Laan"


def planned(*numbers):
    """Orders of the training shop, each with its best way."""
    orders = [one for one in training_orders(orders_from_file(DEMO / "orders.toml")) if one.number in numbers]
    return [replace(order, state="planned", way=best_way(SHOP, order.wish)) for order in orders]


INNER_FIRST = tuple(USUAL_HOLDS[place] for place in (1, 0, 3, 2))

SHEETS = {
    **{name: make for name, make in figures(SHOP) if name.endswith(".pdf")},
    "bench, two stops": partial(bench_sheet_pdf, BENCH, "Letter"),
    "bench, inches": partial(bench_sheet_pdf, replace(BENCH, unit="in", recipe=ONE, holds=INNER_FIRST)),
    "bench, upsweep ordered": partial(
        bench_sheet_pdf, replace(BENCH, order=UPSWEPT, recipe=recipe_from_order(UPSWEPT, ONE.radius_mm, 30.0, 27.5))
    ),
    "bench, watch": partial(bench_sheet_pdf, replace(BENCH, warnings=("Mind the roll.", "Mind the hook. " * 12))),
    "bench, for a rider": partial(bench_sheet_pdf, replace(BENCH, rider=RIDER, wanted="2026-12-10")),
    "check, inches": partial(check_sheet_pdf, CheckSheet("order 7", TWO, 22.225, SHOP.accepted, "in"), "Letter"),
    "cope, inches": partial(cope_wrap_pdf, CopeWrap("order 7", FITTED, "in"), "Letter"),
    "tiles": partial(full_size_pdf, FullSize("order 7", ONE, 22.225, crossbar=FITTED)),
    "long sheet, inches": partial(full_size_pdf, FullSize("order 7", TWO, 22.225, "in", FITTED), LONG),
    "rider": partial(rider_pdf, RiderPage("order 7", ONE, TUBE, FITTED, TWO)),
    "rider, inches": partial(
        rider_pdf, RiderPage("order 7", TWO, TUBE, FITTED, None, "in", RIDER, "2026-12-10"), "Letter"
    ),
    "week": lambda: week_pdf(week_from_orders(SHOP, planned(1, 7, 12))),
    "week, days and riders": lambda: week_pdf(
        week_from_orders(SHOP, [replace(one, rider=RIDER, wanted=f"2026-12-0{one.number}") for one in planned(1, 7)]),
        "Letter",
        "in",
    ),
    **{
        f"class, {kind}": partial(class_sheet_pdf, ClassSheet(kind, 31, level, 2), "Letter")
        for kind, level in (("pair", 2), ("marks", 3), ("slip", 1), ("faulty bend", 3), ("hands", 2))
    },
    "overview": lambda: overview_pdf(overview_of({f"apprentice {one}": () for one in range(12)})),
    **{f"handout {lesson}": partial(handout_pdf, lesson) for lesson in lessons_with_bets()},
}
if not NIGHTLY:  # the other dies and lessons have the same forms
    SHEETS = {
        name: make for name, make in SHEETS.items() if not re.match(r"wall_die_1[25]|handout (?!0[569]|12)", name)
    }
