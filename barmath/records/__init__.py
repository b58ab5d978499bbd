"""What was bent, and what it teaches: bars, test bends, look-up and calibration."""

from barmath.records.bent_bar import BentBar, TestBend, day_from_text
from barmath.records.booked_order import OPEN, STATES, Booked, BookedOrder, ChosenWay, WantedCrossbar
from barmath.records.by_settings import Scatter
from barmath.records.calibration import PARTS, Calibration, calibrate, predicted_and_read
from barmath.records.demo_record import Truth, demo_bars, demo_bends, demo_record
from barmath.records.lookup import SCATTER, Setting, aimed_words, differs, model_setting, nearest_bars
from barmath.records.order_book import OrderBook, order_book, training_orders
from barmath.records.record import Record
from barmath.records.record_entry import BAR, BEND, WITHDRAWAL, Entry, readable
from barmath.records.record_sheet import (
    HEADINGS,
    SheetRead,
    bars_from_sheet,
    guessed_columns,
    headings_of_sheet,
    sheet_from_bars,
    write_sheet,
)

__all__ = [
    "BAR",
    "BEND",
    "HEADINGS",
    "OPEN",
    "PARTS",
    "SCATTER",
    "STATES",
    "WITHDRAWAL",
    "BentBar",
    "Booked",
    "BookedOrder",
    "Calibration",
    "ChosenWay",
    "Entry",
    "OrderBook",
    "Record",
    "Scatter",
    "Setting",
    "SheetRead",
    "TestBend",
    "Truth",
    "WantedCrossbar",
    "aimed_words",
    "bars_from_sheet",
    "calibrate",
    "day_from_text",
    "demo_bars",
    "demo_bends",
    "demo_record",
    "differs",
    "guessed_columns",
    "headings_of_sheet",
    "model_setting",
    "nearest_bars",
    "order_book",
    "predicted_and_read",
    "readable",
    "sheet_from_bars",
    "training_orders",
    "write_sheet",
]
