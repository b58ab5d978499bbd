"""What the page at the bench puts into the record: what was read of each bend, and the bar."""

from __future__ import annotations

from datetime import date

from barmath.closed_forms.marks import marks_from_recipe
from barmath.panels.bench_page_state import BenchPageState, kept_deg, readings_of, steps_of
from barmath.records.bent_bar import BentBar, TestBend
from barmath.records.record import Record
from barmath.records.record_entry import BAR, BEND, Entry, readable
from barmath.shop.offsets import bench_marks_mm
from barmath.shop.shop_file import Shop

LATEST = 40
"""Among so many of the latest entries of its tube on its die a piece is looked for."""


def bent_bar(shop: Shop, state: BenchPageState) -> BentBar:
    """The bar as the record keeps it; raises BendError where what was typed cannot be read."""
    recipe, (tube, die) = state.recipe(shop), state.bar.tools(shop)
    steps, (inner, outer) = steps_of(shop, state), bench_marks_mm(recipe, die)
    stops = {step.bend: step.stop_deg for step in steps}
    clamp = [step.reading_deg for step in steps if step.bend == "outer" and step.reading_deg is not None]
    return BentBar(
        name=state.name, date=date.today().isoformat(), order=state.bar.order(), tube=tube.name, die=die.name,
        tube_diameter_mm=float(tube.outside_diameter_mm), tube_wall_mm=float(tube.wall_mm),
        die_radius_mm=float(die.centerline_radius_mm), inner_mark_mm=float(inner),
        outer_mark_mm=float(outer), tube_length_mm=2.0 * float(marks_from_recipe(recipe).end_mm),
        inner_stop_deg=stops["inner"], outer_stop_deg=stops["outer"],
        clamp_reading_deg=abs(clamp[0]) if clamp else None, piece=state.piece,
        readings={reading.key: reading.value for reading in readings_of(state)},
    )  # fmt: skip


def bend_read(shop: Shop, state: BenchPageState, number: int) -> TestBend | None:
    """What was read of the bend with that number, from 1, as the record keeps it; None where nothing was read.

    Raises BendError where it cannot be read, or where no tube keeps so much.
    """
    kept = kept_deg(state, number)
    if kept is None:
        return None
    step, (tube, die) = steps_of(shop, state)[number - 1], state.bar.tools(shop)
    return TestBend(
        date.today().isoformat(), tube.name, die.name, float(tube.outside_diameter_mm), float(tube.wall_mm),
        float(die.centerline_radius_mm), step.stop_deg, kept, notes=f"{state.name}: {step.title}",
        piece=state.piece, bend=step.bend, side=step.side,
    )  # fmt: skip


def keep_bend(record: Record, shop: Shop, state: BenchPageState, number: int) -> tuple[int, ...]:
    """Put what was read of a bend into the record, or correct or withdraw what is there; the entries of all bends."""
    bend, entries = bend_read(shop, state, number), list(state.bends)
    there = _of_the_piece(record, BEND, shop, state, steps_of(shop, state)[number - 1].title)
    entry = there.number if there else entries[number - 1]
    if bend is not None and not (entry and _alike(record.entry(entry).holds, bend)):
        entry = record.add(bend, entry or None)
    elif bend is None and entry:
        record.withdraw(entry)
        entry = 0
    entries[number - 1] = entry
    return tuple(entries)


def keep_bar(record: Record, shop: Shop, state: BenchPageState) -> int:
    """Put the bar into the record, or correct what is there; its entry."""
    there, bar = _of_the_piece(record, BAR, shop, state), bent_bar(shop, state)
    entry = there.number if there else state.entry
    return entry if entry and record.entry(entry).holds == bar else record.add(bar, entry or None)


def _of_the_piece(record: Record, kind: str, shop: Shop, state: BenchPageState, title: str = "") -> Entry | None:
    # what is in the record of this piece of tube: more than the page knows, where its kernel died after it was put in
    if not state.piece:
        return None
    tube, die = state.bar.tools(shop)
    for entry in reversed(record.recent(kind, die.name, tube.name, most=LATEST)):
        for held in readable([entry]):
            if isinstance(held, BentBar | TestBend) and held.piece == state.piece and held.notes.endswith(title):
                return entry
    return None


def _alike(kept: object, bend: TestBend) -> bool:
    # a stop that is worked out of the radius and stop in the order book differs by rounding
    return isinstance(kept, TestBend) and kept.kept_deg == bend.kept_deg and abs(kept.stop_deg - bend.stop_deg) < 1e-9
