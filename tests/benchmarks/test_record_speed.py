"""A record of 100 000 bars: opened and looked up without a visible wait, against a plain scan of the same bars."""

import random
import shutil
import sqlite3
import time
from dataclasses import replace

import pytest
from conftest import ROOT

from barmath import Die, Order, Springback, Tube
from barmath.panels.record import RecordPanel
from barmath.records.demo_record import demo_bars
from barmath.records.lookup import distance, nearest_bars
from barmath.records.record import Record
from barmath.records.record_entry import BAR

TUBE, DIE = Tube(22.225, 1.4732, name="7/8 x 0.058"), Die(88.9, name="die 89")


def best_of(count, work):
    times = []
    for _ in range(count):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


@pytest.fixture(scope="module")
def record(tmp_path_factory):
    record, chance = Record(tmp_path_factory.mktemp("record") / "record.db"), random.Random(3)
    base = demo_bars(TUBE, DIE)
    bars = [
        replace(base[k % 40], name=f"order {k}", die=f"die {k % 5}" if k % 3 else "die 89",
                order=Order(chance.uniform(50, 100), chance.uniform(6, 18), 780.0))
        for k in range(100_000)
    ]  # fmt: skip
    record.add_all(bars)
    return record


def test_a_look_up_among_100_000_bars(record):
    order, spring = Order(78.0, 12.0, 780.0), Springback(0.03, 88.9)
    looked = best_of(5, lambda: nearest_bars(record, order, DIE, TUBE.name, spring, 25.0))
    scanned = best_of(1, lambda: sorted(record.bars(), key=lambda bar: distance(bar, order, DIE.name, TUBE.name))[:5])
    opened = best_of(3, lambda: Record(record.path).count())
    print(f"\nlook-up {1e3 * looked:.1f} ms, plain scan {1e3 * scanned:.0f} ms, ratio {looked / scanned:.5f}; "
          f"open and count {1e3 * opened:.0f} ms")  # fmt: skip
    assert looked < 0.02 * scanned


def test_a_list_and_the_panel_of_100_000_bars_open_as_the_bare_columns_are_read(record, tmp_path):
    def columns():
        with sqlite3.connect(record.path) as file:
            read = file.execute("select id, corrects, added, kind, body from entry order by id").fetchall()
        file.close()
        return read

    shutil.copy(ROOT / "notebooks" / "demo" / "shop.toml", tmp_path)
    empty = Record(tmp_path / "empty.db")
    RecordPanel(tmp_path / "shop.toml", empty)  # imports what a panel needs
    bare = best_of(3, columns)
    entries, listed = best_of(3, lambda: record.entries(BAR)), best_of(3, lambda: record.listed(BAR, 400))
    few = best_of(3, lambda: RecordPanel(tmp_path / "shop.toml", empty))
    many = best_of(3, lambda: RecordPanel(tmp_path / "shop.toml", record))
    start = time.process_time()  # of this process alone, whatever else the machine does
    RecordPanel(tmp_path / "shop.toml", record)
    seconds = time.process_time() - start
    print(f"\nbare columns {1e3 * bare:.0f} ms, entries {1e3 * entries:.0f} ms, list of 400 {1e3 * listed:.1f} ms; "
          f"panel {1e3 * many:.0f} ms, of an empty record {1e3 * few:.0f} ms; "
          f"{seconds:.2f} s of computing")  # fmt: skip
    assert entries < 3.0 * bare
    assert listed < 0.1 * bare
    assert many - few < 3.0 * bare
    assert seconds < 1.0
