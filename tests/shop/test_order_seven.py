"""Order 7 is one bar: in the demo shop's files, in the panels, in lesson 01 and in the README."""

import ast
import json
import re

import pytest
from conftest import NOTEBOOKS, ROOT

from barmath import Order
from barmath.panels.budget_state import BudgetState
from barmath.panels.crossbar_state import CrossbarState
from barmath.panels.dies_state import WindowsState
from barmath.panels.map_state import MapState
from barmath.panels.mistakes import MistakeState
from barmath.panels.order_state import ONE, OrderState, readout_from_state
from barmath.panels.ordered_bar_state import OrderedBar
from barmath.panels.strength_state import StrengthState, strength_readout
from barmath.panels.two_bars_state import TwoBarsState, two_bars_readout
from barmath.planning.chart_data import Chart
from barmath.planning.ways import every_way
from barmath.shop.order_seven import BEND_DEG, CROSSBAR, DIE, ORDER, TUBE, order_seven_recipe
from barmath.shop.orders import orders_from_file
from barmath.shop.shop_file import shop_from_file
from barmath.strength.load_cases import LATERAL
from barmath.strength.screen import loaded_bar

DEMO = ROOT / "notebooks" / "demo"
SHOP = shop_from_file(DEMO / "shop.toml")
SEVEN = order_seven_recipe()


def orders_in(text: str) -> list[Order]:
    """What `Order(...)` makes wherever it is called in Python text with numbers alone."""
    calls = [node for node in ast.walk(ast.parse(text)) if isinstance(node, ast.Call)]
    found = [call for call in calls if getattr(call.func, "id", "") == "Order"]
    return [
        Order(*map(ast.literal_eval, one.args), **{k.arg: ast.literal_eval(k.value) for k in one.keywords})
        for one in found
    ]


def code_of(notebook) -> str:
    cells = json.loads(notebook.read_text(encoding="utf-8"))["cells"]
    return "\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "code")


def test_the_demo_shop_has_its_order_its_tube_and_its_die():
    assert next(named.order for named in orders_from_file(DEMO / "orders.toml") if named.name == "order 7") == ORDER
    assert (SHOP.tubes[0], SHOP.dies[0]) == (TUBE, DIE)
    assert BEND_DEG in SHOP.stop_bends_deg


def test_the_best_way_with_one_stop_of_the_order_panel_is_the_recipe_of_all_lessons():
    bar = readout_from_state(SHOP, OrderState(stops=ONE)).bar
    assert (bar.order, bar.die, bar.recipe) == (ORDER, DIE, SEVEN)
    assert not bar.warnings


def test_every_panel_opens_with_it():
    assert OrderedBar().recipe(SHOP) == SEVEN
    assert CrossbarState().bar.recipe(SHOP) == SEVEN
    branch = CrossbarState()
    assert (branch.branch_diameter_mm, branch.branch_wall_mm) == (CROSSBAR.outside_diameter_mm, CROSSBAR.wall_mm)
    assert WindowsState().order() == ORDER
    for state in (WindowsState(), BudgetState(), MistakeState()):
        assert getattr(state, "bend_deg", BEND_DEG) == BEND_DEG
    for state in (BudgetState(), MapState(), Chart(TUBE, DIE)):
        for name in ("width_mm", "backsweep_deg", "clamp_flat_mm", "controls_mm"):
            assert getattr(state, name) == getattr(ORDER, name)
    mistake = MistakeState()
    assert (mistake.roll_deg, mistake.straight_mm) == pytest.approx((SEVEN.roll_deg, SEVEN.straight_mm), abs=0.05)
    loaded = loaded_bar(SEVEN, TUBE, LATERAL, out_of_round=StrengthState().out_of_round)
    assert strength_readout(SHOP, StrengthState()).bar.elastic_mpa == loaded.elastic_mpa
    assert two_bars_readout(SHOP, None, TwoBarsState()).a.recipe == SEVEN


def test_lesson_01_and_the_readme_write_it_out_and_no_other_lesson_does():
    for notebook in NOTEBOOKS:
        written = orders_in(code_of(notebook))
        assert written == ([ORDER] if notebook.name.startswith("01") else [one for one in written if one != ORDER])
    lines = re.findall(r"^>>> (.*)$", (ROOT / "README.md").read_text(encoding="utf-8"), re.MULTILINE)
    assert orders_in("\n".join(lines)) == [ORDER]


def test_the_demo_orders_teach_some_are_for_no_die_and_some_for_a_tight_one_only():
    makes = []
    for named in orders_from_file(DEMO / "orders.toml"):
        stops, stock = SHOP.stop_bends_deg, SHOP.stock_length_mm
        ways = every_way(named.order, TUBE, SHOP.dies, bends_deg=stops, stock_length_mm=stock, equal_only=True)
        makes.append(frozenset(ways.die(row).name for row in range(len(ways)) if ways.feasible[row]))
    names = [die.name for die in SHOP.dies]
    for dies in ([], names[:1], names[:2], names):
        assert 3 <= makes.count(frozenset(dies)) <= 12
