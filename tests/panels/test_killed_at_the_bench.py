"""The page at the bench is killed again and again: nothing that was typed is lost, nothing is there twice."""

import json
import os
import random
import signal
import time
from dataclasses import asdict, replace

import pytest
from killing import TIMES, needs_fork, spawned

from barmath.panels.bench_page import BenchPagePanel
from barmath.panels.bench_page_state import BENDS, CHECK, CHOOSE, PAGE_FILE, BenchPageState, state_from_file, steps_of
from barmath.panels.last_order import last_order
from barmath.panels.week_state import choose_best_ways
from barmath.records import Record, order_book
from barmath.shop import shop_from_file

pytestmark = pytest.mark.filterwarnings("ignore:.*multi-threaded.*fork:DeprecationWarning")


@pytest.fixture
def page(demo_copy):
    shop, book = shop_from_file(demo_copy / "shop.toml"), order_book(demo_copy)
    choose_best_ways(shop, book, [7, 8])
    return BenchPagePanel(shop, book)


def goes_on(page):
    """The page after its kernel died: what it shows comes from its file."""
    page.state = state_from_file(page.file) or BenchPageState()
    page.refresh = lambda: None  # so that most kills are over the writing
    page._show_state()


def bend_of(page):
    return steps_of(page.shop, page.state)[page.state.at - BENDS[0]].bend_deg


def works(page, report, attempt, steps=1000):
    """Whoever bends orders 7 and 8 in turn, types what they read and goes on; each step is reported once it is done.

    Each report is of something new, so the work goes on however early its kernel is killed.
    """
    goes_on(page)
    for step in range(steps):
        if page.state.at == CHOOSE and not page.state.number:
            page.number.value = 8 if last_order(page.book.path) == 7 else 7
            report()
        if page.state.at in BENDS and not page.kept_box.value:
            page.kept_box.value = f"{bend_of(page) - 0.001 * attempt - 0.0001 * step:.4f}"
            report()
        if page.state.at == CHECK and not page.boxes[-1].value:
            for box, text in zip(page.boxes, ("14.0", "14.1", "69.6", "70.2"), strict=True):
                box.value = text
            report()
        page.next.click()
        report()


@needs_fork
def test_a_page_killed_at_any_moment_goes_on_where_it_was_and_writes_nothing_twice(page):
    works(page, lambda: None, 0, steps=8)  # loads what it needs
    start = time.perf_counter()
    works(page, lambda: None, 0, steps=8)
    one = (time.perf_counter() - start) / 8.0  # how long a step takes here
    done, chance = 0, random.Random(7)

    def until_killed(into, attempt):
        works(page, lambda: os.write(into, json.dumps(asdict(page.state)).encode() + b"\n"), attempt)

    for attempt in range(TIMES):
        out, into = os.pipe()
        child = spawned(until_killed, into, attempt)
        os.close(into)
        with os.fdopen(out, "rb", buffering=0) as heard:
            said = heard.read(1)
            time.sleep(chance.choice((0.0, chance.uniform(0.0, 3.0 * one))))
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            lines = (said + heard.read()).decode().split("\n")[:-1]
        there = json.loads(page.file.read_text(encoding="utf-8"))
        done += len(lines)
        if lines:
            last = json.loads(lines[-1])
            assert there["turn"] >= last["turn"]
            assert there["turn"] > last["turn"] or there == last
    record, (seven, eight) = Record(page.book.path), map(page.book.order, (7, 8))
    bars, bends = [bar for bar in record.bars() if bar.piece], [bend for bend in record.bends() if bend.piece]
    assert len({bar.piece for bar in bars}) == len(bars) > TIMES // 30
    assert len({(bend.piece, bend.notes) for bend in bends}) == len(bends)
    assert [sum(bend.piece == bar.piece for bend in bends) for bar in bars] == [len(BENDS)] * len(bars)
    assert {seven.order.state, eight.order.state} == {"checked"}
    assert done > TIMES


@needs_fork
@pytest.mark.parametrize("dies_in", ["the record", "the book", "the page's file"])
def test_a_step_cut_short_is_whole_after_the_same_press_again(page, dies_in, monkeypatch):
    """The kernel dies at one of the three files that "Keep it" writes, and the page that is opened again goes on."""
    page.number.value = 8
    while page.state.at < CHECK:
        if page.state.at in BENDS:
            page.kept_box.value = f"{bend_of(page):.1f}"
        page.next.click()
    for box, text in zip(page.boxes, ("8.0", "8.1", "69.6", "70.2"), strict=True):
        box.value = text

    def keep_it():
        dies = {"the record": "add", "the book": "order"}.get(dies_in)
        kill = lambda *_: os.kill(os.getpid(), signal.SIGKILL)  # noqa: E731
        if dies == "add":
            Record.add = kill
        elif dies == "order":
            type(page.book).order = kill
        else:
            page.become = kill
        page.next.click()

    os.waitpid(spawned(keep_it), 0)
    again = BenchPagePanel(page.shop, page.book)
    assert again.state.at == CHECK
    again.next.click()
    (bar,) = [bar for bar in Record(page.book.path).bars() if bar.piece]
    assert bar.readings["rise_left"] == 69.6
    order = page.book.order(8).order
    assert (order.state, dict(order.readings)["rise_left"]) == ("checked", "69.6")
    assert replace(again.state, turn=0) != replace(page.state, turn=0)
    assert state_from_file(page.book.path.with_name(PAGE_FILE)) == again.state
