"""From what is set in the panel of the bender to what it shows: pure functions, no widgets."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from barmath.bending.bender_scene import MOMENTS, BenderScene, scene_of_step
from barmath.bending.clearance import MEETS
from barmath.bending.finder import Flat, flats_to_read
from barmath.bending.holds import BENDS, LEFT, RIGHT, STRAIGHTS, USUAL_HOLDS, Hold, bend_name, made_so_far
from barmath.bending.sequences import FINDER, BendOrder, bend_order, every_bend_order, failures_of
from barmath.bending.spread import ReadingSlope, slope_of_reading
from barmath.bending.step_words import STRAIGHT_BACK
from barmath.bending.steps import Step, bench_steps
from barmath.bending.swing import Keepout, keepout_from_swing, swing
from barmath.bending.unsure import unsure, unsure_words
from barmath.closed_forms.records import Recipe
from barmath.panels.markup import heading, numbered, paragraph, table
from barmath.panels.ordered_bar_state import OrderedBar
from barmath.paper.bench_data import BenchSheet
from barmath.refusal import BendError
from barmath.shop.setup import Setup
from barmath.shop.shop_file import Shop
from barmath.space.centerline import TubeRow, row_from_recipe

PLACES_A_BEND = MOMENTS + 1
"""Places of the slider that one bend takes: lying in the bender, going round, sprung back."""

LAST_PLACE = 4 * PLACES_A_BEND - 1

NO_ANSWER = "?"
NO_GUESSES = ((NO_ANSWER, NO_ANSWER),) * 4


@dataclass(frozen=True)
class BendingState:
    """Everything that can be set in the panel. Lengths in mm, angles in degrees.

    `place` goes from 0 to `LAST_PLACE`: bend after bend, moment after moment. `asking` hides each bend with something
    to read until both guesses are made: `leads` and `shows` hold them by step ("?" not made yet).
    """

    bar: OrderedBar = OrderedBar()
    holds: tuple[Hold, ...] = USUAL_HOLDS
    place: int = 0
    asking: bool = False
    guesses: tuple[tuple[str, str], ...] = NO_GUESSES

    @property
    def step(self) -> int:
        """Which bend of the plan is shown, from 0."""
        return min(max(self.place, 0), LAST_PLACE) // PLACES_A_BEND

    @property
    def moment(self) -> int:
        """Which moment of that bend."""
        return min(max(self.place, 0), LAST_PLACE) % PLACES_A_BEND


@dataclass(frozen=True)
class Verdict:
    """What is said of one guess."""

    right: bool
    words: str


@dataclass(frozen=True)
class BendingReadout:
    """What the panel shows: all orders, the chosen one with its steps, the scene, or why there is none.

    `flats` are those left to read at the step shown, by name, with what a degree misread does to the finished bar.
    `hidden` is True while the guesses of this step are still asked for. `choices` are the readings to choose from.
    """

    orders: tuple[BendOrder, ...]
    order: BendOrder | None
    steps: tuple[Step, ...]
    scene: BenderScene | None
    keepout: Keepout | None
    flats: tuple[tuple[str, Flat, ReadingSlope], ...]
    hidden: bool
    choices: tuple[str, ...]
    verdicts: tuple[Verdict, ...]
    score: tuple[int, int]
    refusal: str


def bending_readout(shop: Shop, state: BendingState) -> BendingReadout:
    """Work out what the panel shows. A refusal is part of the readout, never raised."""
    orders: tuple[BendOrder, ...] = ()
    try:
        recipe, setup = state.bar.recipe(shop), state.bar.setup(shop)
        row = row_from_recipe(recipe)
        orders = _ranked(shop, replace(state, holds=USUAL_HOLDS, place=0, asking=False, guesses=NO_GUESSES))
        order = bend_order(row, state.holds, setup)
        steps = bench_steps(recipe, setup.springback, setup.die, setup.bender, holds=state.holds)
    except BendError as refusal:
        return BendingReadout(orders, None, (), None, None, (), False, (), (), (0, 0), str(refusal))
    asked = state.asking and steps[state.step].reading_deg is not None
    guess = state.guesses[state.step]
    hidden = asked and NO_ANSWER in guess
    step, moment = (state.step - 1, MOMENTS) if hidden else (state.step, state.moment)
    before = made_so_far(state.holds)[step]
    return BendingReadout(
        orders=orders,
        order=order,
        steps=steps,
        scene=scene_of_step(row, state.holds, step, moment, setup),
        keepout=keepout_from_swing(swing(row, before, state.holds[step], setup), setup),
        flats=_flats(row, state, setup),
        hidden=hidden,
        choices=reading_choices(steps[state.step], recipe) if asked else (),
        verdicts=() if hidden or not asked else _verdicts(steps[state.step], guess, recipe),
        score=_score(steps, state, recipe),
        refusal="",
    )


def reading_choices(step: Step, recipe: Recipe) -> tuple[str, ...]:
    """Readings to choose from: the right one, and those that the usual slips lead to."""
    wanted = abs(step.reading_deg or 0.0)
    slips = (0.0, abs(recipe.roll_deg), recipe.inner_bend_deg, recipe.outer_bend_deg, 2.0 * wanted, 90.0 - wanted)
    told = sorted({f"{wanted:.1f}", *(f"{slip:.1f}" for slip in slips)}, key=float)
    keep = sorted(told, key=lambda text: (text != f"{wanted:.1f}", abs(float(text) - wanted)))[:5]
    return tuple(sorted(keep, key=float))


def order_label(order: BendOrder) -> str:
    """One line: the four bends with what the hook holds for each, whether the bender can do it, and why in short."""
    words = " ".join(f"{_short(hold):<8}" for hold in order.holds)
    return f"{'yes' if order.fits else 'no ':<4}{words} {_short_reason(order)}".replace(" ", "\u00a0")


ORDER_HEAD = "can 1st      2nd      3rd      4th      why"
ORDER_KEY = "R, L: right, left. I, O: inner, outer bend. Then what lies in the hook."


_PLACES = ("1st", "2nd", "3rd", "4th")


def _short_reason(order: BendOrder) -> str:
    # of an order that fits what it leaves least of; of another the first step and need that fail
    for place, station in zip(_PLACES, order.stations, strict=True):
        for need, spare in station.spare.items():
            if spare < -1e-6:
                return f"{place}: {_missing(need, spare)}"
    near = order.least_clearance_mm
    return f"{order.least_straight_mm:.0f} mm spare, " + ("free" if near == float("inf") else f"clear {near:.0f}")


def _missing(need: str, spare: float) -> str:
    if need == FINDER:
        return "no flat"
    return f"meets the {need}" if spare == MEETS else f"{need} {spare:.0f} mm"


def _near(clear: float, thing: str) -> str:
    if clear == float("inf"):
        return "no arm"
    return f"meets the {thing}" if clear == MEETS else f"{clear:.0f} mm, {thing}"


def reason_html(readout: BendingReadout) -> str:
    """Why the chosen order fits or fails, step by step, as a table."""
    if readout.order is None:
        return ""
    rows = []
    for number, (station, step) in enumerate(zip(readout.order.stations, readout.steps, strict=True), 1):
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
        "Behind: straight tube for the hook. Ahead: for the follower, once the bend is made. Roll: degrees that the "
        "tube is turned wrong for a degree misread. Nearest: what the arms come closest to through the whole swing."
    )
    return table(rows, head, words=(0, 3, 5, 6), caption="Why this order fits or fails") + paragraph(notes)


def flats_html(readout: BendingReadout, state: BendingState) -> str:
    """Every flat left to read at the step that is shown, what it should read, and what a degree misread does."""
    if not readout.flats or readout.hidden:
        return ""
    rows = [
        (name, f"{abs(flat.reading_deg):.1f}", f"{flat.length_mm:.0f}", f"{flat.roll_per_reading:.1f}",
         f"{slope.backsweep_deg:.2f}", f"{slope.twist_deg:.2f}")
        for name, flat, slope in readout.flats
    ]  # fmt: skip
    head = ("Flat", "should read, deg", "long, mm", "roll", "backsweep", "twist")
    words = (
        "Roll, backsweep, twist: by how many degrees a degree misread there turns the tube and the finished bar. The "
        "first is used."
    )
    return heading("Flats left to read") + table(rows, head, caption="Flats left to read") + paragraph(words)


def step_html(readout: BendingReadout, state: BendingState) -> str:
    """What the builder is told at the step that is shown."""
    if not readout.steps:
        return ""
    step = readout.steps[state.step]
    if readout.hidden:
        return heading(step.title) + paragraph("Answer both questions, then the tube is laid into the bender.")
    check = paragraph(" ".join(step.check), "Before going on:")
    space = "" if readout.keepout is None else paragraph(_keep_out(readout.keepout), "Keep out of it:")
    return heading(step.title) + numbered(step.do) + check + space


def question(step: Step) -> str:
    """What is asked before a step is shown."""
    return f"{step.title}: the {step.hold}. To which side must the {step.read_on} lead, and what must it show?"


def sheet_from_readout(shop: Shop, state: BendingState, readout: BendingReadout, name: str) -> BenchSheet:
    """The bench sheet of the order that is shown; raises BendError where there is none that the bender can do."""
    if readout.order is None:
        raise BendError(readout.refusal)
    if not readout.order.fits:
        raise BendError(f"the order must be one that this bender can do, got one where {readout.order.reason()}")
    recipe, (tube, die) = state.bar.recipe(shop), state.bar.tools(shop)
    sure = unsure_words(unsure(recipe, tube, die, shop.calibration(tube, die)), "mm")
    return BenchSheet(
        name, state.bar.order(), recipe, tube, die, shop.bender, holds=state.holds, springback_words=sure,
        accepted=shop.accepted,
    )  # fmt: skip


def asked_again(state: BendingState) -> BendingState:
    """`state` with every guess still to be made, at the first place."""
    return replace(state, place=0, guesses=NO_GUESSES)


def _flats(row: TubeRow, state: BendingState, setup: Setup) -> tuple[tuple[str, Flat, ReadingSlope], ...]:
    if state.step == 0:
        return ()
    made = made_so_far(state.holds)[state.step]
    return tuple(
        (" to ".join(dict.fromkeys((STRAIGHTS[flat.straight], STRAIGHTS[flat.last]))), flat,
         slope_of_reading(row, state.holds, state.step, flat, setup))
        for flat in flats_to_read(row, state.holds[state.step], made, setup.bender)
    )  # fmt: skip


@lru_cache(maxsize=4)
def _ranked(shop: Shop, bar: BendingState) -> tuple[BendOrder, ...]:
    # kept, for going from bend to bend changes nothing in it
    row, setup = row_from_recipe(bar.bar.recipe(shop)), bar.bar.setup(shop)
    return every_bend_order(row, setup.springback, setup.die, setup.tube_diameter_mm, setup.bender)


def _verdicts(step: Step, guess: tuple[str, str], recipe: Recipe) -> tuple[Verdict, ...]:
    leads, shows = guess
    sideways = step.pose.sideways(step.read_straight)
    side = "straight on" if abs(sideways) < STRAIGHT_BACK else LEFT if sideways > 0.0 else RIGHT
    wanted = f"{abs(step.reading_deg or 0.0):.1f}"
    first = Verdict(leads == side, f"the {step.read_on} leads to the {side}" if side in (LEFT, RIGHT) else side)
    return first, Verdict(shows == wanted, _reading_words(step, shows, wanted, recipe))


def _reading_words(step: Step, shows: str, wanted: str, recipe: Recipe) -> str:
    told = f"the angle finder shows {wanted} deg"
    if shows == wanted:
        return told
    habits = {
        f"{recipe.inner_bend_deg:.1f}": "you took the bend itself: the flat shows only what of it stands out of level",
        f"{abs(recipe.roll_deg):.1f}": "you took the roll between the bend planes: the flat shows the sine of the bend "
        "times the sine of the roll",
        "0.0": "level would put both bends into one plane",
        f"{2.0 * float(wanted):.1f}": "you took it twice",
    }
    return f"{told}; {habits.get(shows, 'try again with the next bend')}"


def _score(steps: tuple[Step, ...], state: BendingState, recipe: Recipe) -> tuple[int, int]:
    verdicts = [
        verdict
        for step, guess in zip(steps, state.guesses, strict=True)
        if step.reading_deg is not None and NO_ANSWER not in guess
        for verdict in _verdicts(step, guess, recipe)
    ]
    return sum(verdict.right for verdict in verdicts), len(verdicts)


def _short(hold: Hold) -> str:
    side, bend = BENDS[hold.number]
    straight = STRAIGHTS[hold.number + (hold.hooked == RIGHT)].split()[-1]
    return f"{side[0].upper()}{bend[0].upper()} {straight}"


def _keep_out(keep: Keepout) -> str:
    low, high = (f"{abs(z):.0f} mm {_side_of(z)}" for z in (keep.lowest_mm, keep.highest_mm))
    return (
        f"the tube sweeps up to {keep.tube_reach_mm:.0f} mm from the die's pivot, between {low} and {high} the tube in "
        f"the hook; with the handle {keep.reach_mm:.0f} mm must be clear."
    )


def _side_of(height: float) -> str:
    return "below" if height < 0.0 else "above"
