"""Every panel of the notebooks, made anew, for tests that go through all of them."""

from collections.abc import Callable, Iterator
from pathlib import Path

import ipywidgets as widgets
from simulated_shops import copied_demo_record

from barmath.panels.bench_page import BenchPagePanel
from barmath.panels.bending import BendingPanel
from barmath.panels.budget import BudgetPanel
from barmath.panels.by_hand import HandPanel
from barmath.panels.charts import ChartsPanel
from barmath.panels.class_sheets import ClassSheetPanel
from barmath.panels.crossbar import CrossbarPanel
from barmath.panels.dies import ChoicePanel, WindowsPanel
from barmath.panels.inspection import InspectionPanel
from barmath.panels.map import MapPanel
from barmath.panels.mistakes import MistakePanel
from barmath.panels.order import OrderPanel
from barmath.panels.own_bends import OwnBendsPanel
from barmath.panels.practice import PracticePanel
from barmath.panels.record import RecordPanel
from barmath.panels.shell import Shell
from barmath.panels.start import StartPanel
from barmath.panels.strength import StrengthPanel
from barmath.panels.teacher import TeacherPanel
from barmath.panels.two_bars import TwoBarsPanel
from barmath.panels.week import WeekPanel
from barmath.panels.week_state import WeekState, choose_best_ways
from barmath.records.order_book import OrderBook, training_orders
from barmath.records.record import Record
from barmath.shop.orders import orders_from_file
from barmath.shop.shop_file import shop_from_file


def _record(shop_file: Path, folder: Path) -> Record:
    path = folder / "record.db"
    return Record(path) if path.exists() else copied_demo_record(path, shop_file)


def _book(shop_file: Path, folder: Path) -> OrderBook:
    book = OrderBook(folder / "record.db")
    book.add_first(training_orders(orders_from_file(shop_file.parent / "orders.toml")))
    if book.order(7).order.way is None:
        choose_best_ways(shop_from_file(shop_file), book, [7])
    return book


PANELS: dict[str, Callable[[Path, Path], Shell]] = {
    "order": lambda shop, folder: OrderPanel(shop, sheets_folder=folder),
    "windows": lambda shop, folder: WindowsPanel(shop_from_file(shop)),
    "next die": lambda shop, folder: ChoicePanel(shop_from_file(shop), shop.parent / "orders.toml"),
    "map": lambda shop, folder: MapPanel(shop_from_file(shop)),
    "budget": lambda shop, folder: BudgetPanel(shop_from_file(shop)),
    "bending": lambda shop, folder: BendingPanel(shop_from_file(shop), sheets_folder=folder),
    "bench page": lambda shop, folder: BenchPagePanel(shop_from_file(shop), _book(shop, folder)),
    "by hand": lambda shop, folder: HandPanel(shop_from_file(shop)),
    "mistakes": lambda shop, folder: MistakePanel(shop_from_file(shop)),
    "inspection": lambda shop, folder: InspectionPanel(shop_from_file(shop), sheets_folder=folder),
    "crossbar": lambda shop, folder: CrossbarPanel(shop_from_file(shop), sheets_folder=folder),
    "record": lambda shop, folder: RecordPanel(shop, _record(shop, folder)),
    "charts": lambda shop, folder: ChartsPanel(shop_from_file(shop), folder),
    "own bends": lambda shop, folder: OwnBendsPanel(shop_from_file(shop)),
    "practice": lambda shop, folder: PracticePanel(folder, seed=7),
    "class sheets": lambda shop, folder: ClassSheetPanel(folder),
    "teacher": lambda shop, folder: TeacherPanel(folder, folder / "sheets"),
    "two bars": lambda shop, folder: TwoBarsPanel(shop_from_file(shop), _record(shop, folder).path),
    "week": lambda shop, folder: WeekPanel(shop_from_file(shop), _book(shop, folder), folder, WeekState((7,))),
    "start": lambda shop, folder: StartPanel(shop.parent.parent),
    "strength": lambda shop, folder: StrengthPanel(shop_from_file(shop)),
}
"""How to make each panel of a shop's file; what it writes goes into the folder."""


def parts_of(widget: widgets.Widget) -> Iterator[widgets.Widget]:
    """A widget and everything inside it."""
    yield widget
    for inner in getattr(widget, "children", ()):
        yield from parts_of(inner)


def page_sends(widget: widgets.Widget, content: dict) -> None:
    """Let a widget hear a message as it comes from the page, by way of its comm."""
    widget.comm.handle_msg({"content": {"data": {"method": "custom", "content": content}}, "buffers": []})
