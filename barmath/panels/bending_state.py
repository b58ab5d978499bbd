"""From what is set in the panel of the bender to what it shows: pure functions, no widgets."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from html import escape

from barmath.bending.bench_film import Film, film_of_plan
from barmath.bending.clearance import MEETS
from barmath.bending.failing import Failing, failing_of_station
from barmath.bending.finder import Flat, flats_to_read
from barmath.bending.holds import BENDS, RIGHT, STRAIGHTS, USUAL_HOLDS, Hold, bend_name, made_so_far
from barmath.bending.sequences import BendSequence, bend_sequence, every_bend_sequence
from barmath.bending.settings import settings_from_bends
from barmath.bending.spread import ReadingSlope, slope_of_reading
from barmath.bending.stations import FINDER, failures_of
from barmath.bending.steps import Step, bench_steps
from barmath.bending.swing import Keepout, keepout_from_swing, swing
from barmath.bending.unsure import unsure, unsure_words
from barmath.lengths import length_text
from barmath.panels.bending_asked_state import Asked, Tries, asked_at, first_tries
from barmath.panels.markup import heading, numbered, paragraph, table
from barmath.panels.ordered_bar_state import OrderedBar
from barmath.panels.pick_rows import Head, Row
from barmath.paper.bench_data import BenchSheet
from barmath.refusal import BendError
from barmath.shop.setup import Setup
from barmath.shop.shop_file import Shop
from barmath.space.centerline import TubeBends, bends_from_recipe

NO_TRIES: tuple[Tries, ...] = ((),) * 4


@dataclass(frozen=True)
class BendingState:
    """Everything that can be set in the panel. Lengths in mm, angles in degrees.

    `step` is the bend that is shown, from 0. `asking` asks before each bend with something to read: `tries` holds the
    answers by step, the first one first. Each is the side to which the flat leads and what it shows.
    """

    bar: OrderedBar = OrderedBar()
    holds: tuple[Hold, ...] = USUAL_HOLDS
    step: int = 0
    asking: bool = False
    tries: tuple[Tries, ...] = NO_TRIES


@dataclass(frozen=True)
class BendingReadout:
    """What the panel shows: all sequences, the chosen one with its steps, the film of it, or why there is none.

    `failing` says by step what this bender cannot do. `flats` are those left to read at the step shown, by name. Beside
    each is what a degree misread does to the finished bar. `asked` is what is asked at this step, None where nothing
    is; `score` the first tries that were right, and all first tries.
    """

    sequences: tuple[BendSequence, ...]
    sequence: BendSequence | None
    steps: tuple[Step, ...]
    film: Film | None
    failing: dict[int, Failing]
    keepout: Keepout | None
    flats: tuple[tuple[str, Flat, ReadingSlope], ...]
    asked: Asked | None
    score: tuple[int, int]
    refusal: str

    @property
    def open_question(self) -> bool:
        """Whether an answer is still asked for."""
        return self.asked is not None and self.asked.open


def bending_readout(shop: Shop, state: BendingState) -> BendingReadout:
    """Work out what the panel shows. A refusal is part of the readout, never raised."""
    sequences: tuple[BendSequence, ...] = ()
    try:
        recipe, setup = state.bar.recipe(shop), state.bar.setup(shop)
        bends = bends_from_recipe(recipe)
        sequences = _ranked(shop, replace(state, holds=USUAL_HOLDS, step=0, asking=False, tries=NO_TRIES))
        sequence = bend_sequence(bends, state.holds, setup)
        steps = bench_steps(recipe, setup.springback, setup.die, setup.bender, holds=state.holds)
        film = film_of_bar(shop, state.bar, state.holds)
    except BendError as refusal:
        return BendingReadout(sequences, None, (), None, {}, None, (), None, (0, 0), str(refusal))
    made = made_so_far(state.holds)
    failing = {
        number: found
        for number, station in enumerate(sequence.stations)
        if (found := failing_of_station(station, bends, made[number], setup))
    }
    step, asked = steps[state.step], None
    if state.asking and step.reading_deg is not None:
        asked = asked_at(step, state.tries[state.step], recipe, bends, state.holds, setup)
    return BendingReadout(
        sequences=sequences,
        sequence=sequence,
        steps=steps,
        film=film,
        failing=failing,
        keepout=keepout_from_swing(swing(bends, made[state.step], state.holds[state.step], setup), setup),
        flats=_flats(bends, state, setup),
        asked=asked,
        score=first_tries(steps, state.tries, recipe),
        refusal="",
    )


_PLACES = ("1st", "2nd", "3rd", "4th")
SEQUENCE_HEADS = (Head("Fits"), *map(Head, _PLACES), Head("Straight", number=True), Head("Arms", number=True))
"""Heads of the table of sequences: the least straight that is left over, and the least room round the arms."""

SEQUENCE_KEY = (
    "L is left and R is right. After each bend you read what the hook holds for it. If the sequence does not fit, you "
    "read the first bend that fails, and why."
)

_CLEAR_MM = 1e6  # by which "clear" is sorted: more than any arm has


def sequence_row(key: int, sequence: BendSequence) -> Row:
    """The four bends with what the hook holds for each, and what they leave over; or why they fail."""
    holds = tuple(map(_hold_words, sequence.holds))
    if not sequence.fits:
        return Row(key, ("no", *holds, _short_reason(sequence), None), ("no", *holds, None, None), bad=True)
    straight, room = sequence.least_straight_mm, min(sequence.least_clearance_mm, _CLEAR_MM)
    words = f"{straight:.0f}", "clear" if room == _CLEAR_MM else f"{room:.0f}"
    return Row(key, ("yes", *holds, *words), ("yes", *holds, straight, room))


def _short_reason(sequence: BendSequence) -> str:
    # the first step and need that fail
    return next(
        f"{place}: {_missing(need, spare)}"
        for place, station in zip(_PLACES, sequence.stations, strict=True)
        for need, spare in station.spare.items()
        if spare < -1e-6
    )


def _missing(need: str, spare: float) -> str:
    if need == FINDER:
        return "no flat to read"
    return f"an arm meets the {need}" if spare == MEETS else f"{need} lacks {-spare:.0f} mm"


def _near(clear: float, thing: str) -> str:
    if clear == float("inf"):
        return "no arm"
    return f"meets the {thing}" if clear == MEETS else f"{clear:.0f} mm, {thing}"


def reason_html(readout: BendingReadout) -> str:
    """Why the chosen sequence fits or fails, step by step, as a table."""
    if readout.sequence is None:
        return ""
    rows = []
    for number, (station, step) in enumerate(zip(readout.sequence.stations, readout.steps, strict=True), 1):
        near = min(station.clearance_mm, key=lambda thing: station.clearance_mm[thing])
        clear = station.clearance_mm[near]
        cells = [
            f"{number}. {bend_name(station.hold.number)}",
            f"{station.behind_mm:.0f} mm",
            f"{station.ahead_mm:.0f} mm",
            "none yet" if station.flat is None and number == 1 else step.read_on or "none",
            "" if station.flat is None else f"{station.flat.roll_per_reading:.1f}",
            _near(clear, near),
            "; ".join(failures_of(station, len(BENDS))) or "can be done",
        ]
        rows.append(cells)
    head = ("Bend", "behind", "ahead", "flat", "roll", "nearest", "verdict")
    notes = (
        "Behind: straight tube for the hook. Ahead: for the follower, once the bend is made. Roll: how many "
        "degrees wrong the tube is turned if you misread one degree. Nearest: what the arms come closest "
        "to in the whole swing."
    )
    return table(rows, head, words=(0, 3, 5, 6), caption="Why this sequence fits or fails") + paragraph(notes)


def flats_html(readout: BendingReadout, state: BendingState) -> str:
    """Every flat left to read at the step shown, what it should read, and what a degree misread does."""
    if not readout.flats or readout.open_question:
        return ""
    columns = [
        (f"{abs(flat.reading_deg):.1f}", f"{flat.length_mm:.0f}", f"{flat.roll_per_reading:.1f}",
         f"{slope.backsweep_deg:.2f}", f"{slope.twist_deg:.2f}")
        for _, flat, slope in readout.flats
    ]  # fmt: skip
    quantities = ("should read, deg", "long, mm", "roll", "backsweep", "twist")
    rows = list(zip(quantities, *columns, strict=True))  # a column for each flat: six side by side were cut off
    head = ("Flat", *(name for name, *_ in readout.flats))
    words = (
        "Roll, backsweep, twist: how many degrees each one changes if you misread one degree on that flat. The first "
        "flat is used."
    )
    return heading("Flats left to read") + table(rows, head, caption="Flats left to read") + paragraph(words)


def step_html(readout: BendingReadout, state: BendingState) -> str:
    """What the builder reads at the step that is shown."""
    if not readout.steps:
        return ""
    step = readout.steps[state.step]
    if readout.open_question:
        return heading(step.title) + paragraph("The tube is at its mark. Answer both questions, then it is bent.")
    mark = f"Mark: {length_text(step.mark_mm, 'mm')} from the middle"
    short = [f"Hook: {step.hold}", mark, f"Stop: {step.stop_deg:.1f} deg"]
    if step.reading_deg is not None:
        short.insert(2, f"Finder: {abs(step.reading_deg):.1f} deg on the {step.read_on}")
    figures = "".join(f"<li>{escape(words)}</li>" for words in short)
    check = paragraph(" ".join(step.check), "Before going on:")
    space = "" if readout.keepout is None else paragraph(_keep_out(readout.keepout), "Keep out of it:")
    return f'{heading(step.title)}<ul class="barmath-figures">{figures}</ul>' + numbered(step.do) + check + space


def sheet_from_readout(shop: Shop, state: BendingState, readout: BendingReadout, name: str) -> BenchSheet:
    """The bench sheet of the sequence that is shown; raises BendError if there is none that the bender can do."""
    if readout.sequence is None:
        raise BendError(readout.refusal)
    if not readout.sequence.fits:
        raise BendError(f"choose another sequence, because this bender cannot do this one: {readout.sequence.reason()}")
    recipe, (tube, die) = state.bar.recipe(shop), state.bar.tools_as_bent(shop)
    sure = unsure_words(unsure(recipe, tube, die, shop.calibration(tube, die)), "mm")
    return BenchSheet(
        name, state.bar.order(), recipe, tube, die, shop.bender, holds=state.holds, springback_words=sure,
        accepted=shop.accepted,
    )  # fmt: skip


def asked_again(state: BendingState) -> BendingState:
    """`state` with every question still to be answered, at the first bend."""
    return replace(state, step=0, tries=NO_TRIES)


def _flats(bends: TubeBends, state: BendingState, setup: Setup) -> tuple[tuple[str, Flat, ReadingSlope], ...]:
    if state.step == 0:
        return ()
    made = made_so_far(state.holds)[state.step]
    return tuple(
        (" to ".join(dict.fromkeys((STRAIGHTS[flat.straight], STRAIGHTS[flat.last]))), flat,
         slope_of_reading(bends, state.holds, state.step, flat, setup))
        for flat in flats_to_read(bends, state.holds[state.step], made, setup.bender)
    )  # fmt: skip


@lru_cache(maxsize=4)
def _ranked(shop: Shop, bar: BendingState) -> tuple[BendSequence, ...]:
    # kept, for going from bend to bend changes nothing in it
    bends, setup = bends_from_recipe(bar.bar.recipe(shop)), bar.bar.setup(shop)
    return every_bend_sequence(bends, setup.springback, setup.die, setup.tube_diameter_mm, setup.bender)


@lru_cache(maxsize=8)
def film_of_bar(shop: Shop, bar: OrderedBar, holds: tuple[Hold, ...]) -> Film:
    """The film of a bar's bends; the same one as long as nothing of them changes."""
    bends, setup = bends_from_recipe(bar.recipe(shop)), bar.setup(shop)
    settings = settings_from_bends(bends, holds, setup.springback, setup.die, setup.bender)
    return film_of_plan(bends, holds, setup, tuple(setting.mark_mm for setting in settings))


def _hold_words(hold: Hold) -> str:
    side, bend = BENDS[hold.number]
    straight = STRAIGHTS[hold.number + (hold.hooked == RIGHT)].split()[-1]
    return f"{side[0].upper()} {bend}, {straight}"


def _keep_out(keep: Keepout) -> str:
    low, high = (f"{abs(z):.0f} mm {_side_of(z)}" for z in (keep.lowest_mm, keep.highest_mm))
    return (
        f"the tube sweeps up to {keep.tube_reach_mm:.0f} mm from the die's pivot, from {low} to {high} the tube in the "
        f"hook. With the handle, keep {keep.reach_mm:.0f} mm clear."
    )


def _side_of(height: float) -> str:
    return "below" if height < 0.0 else "above"
