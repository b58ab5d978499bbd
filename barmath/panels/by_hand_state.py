"""From what is set in the panel of your own hands to what it shows: pure functions, no widgets."""

from __future__ import annotations

from dataclasses import dataclass, replace

from barmath.bending.bench_film import Film, film_of_pull
from barmath.bending.by_hand import Pull, bent_by_hand, habits_of_pulls, padded, pulls_from_settings
from barmath.bending.failing import Failing, failing_of_station
from barmath.bending.holds import BENDS, LEFT, RIGHT, USUAL_HOLDS, Hold, bend_name, made_so_far
from barmath.bending.mistakes import shows_on_the_bench
from barmath.bending.sequences import bend_sequence
from barmath.bending.settings import Setting, settings_from_bends, tangent_points_mm
from barmath.panels.markup import bullets, heading, paragraph, table
from barmath.panels.ordered_bar_state import OrderedBar
from barmath.refusal import BendError, counted
from barmath.shop.order_seven import BEND_DEG
from barmath.shop.setup import Setup
from barmath.shop.shop_file import Shop
from barmath.space.centerline import TubeBends, bends_from_recipe, cut_length_mm
from barmath.space.drawing import Drawing, drawing_from_bends, drawing_from_recipe
from barmath.space.two_sides import TwoSides, two_sides_from_bends

PULLS = len(BENDS)
"""How many bends a bar has."""

NOTHING_READ = -1
"""Is picked where the angle finder is not read."""


@dataclass(frozen=True)
class HandState:
    """Everything that can be set in the panel. Lengths in mm, angles in degrees.

    `pulls` are made; the other fields set the next one. `piece` is the straight piece to read, from the left end,
    `NOTHING_READ` for none; `leads` the side to which it leads off.
    """

    bar: OrderedBar = OrderedBar()
    pulls: tuple[Pull, ...] = ()
    hooked: str = RIGHT
    mark_mm: float = 400.0
    piece: int = NOTHING_READ
    reading_deg: float = 0.0
    leads: str = LEFT
    stop_deg: float = BEND_DEG
    bars: bool = False

    def pull(self, shop: Shop) -> Pull:
        """The next pull."""
        read_on = None if self.piece == NOTHING_READ or not self.pulls else self.piece
        return Pull(
            self.hooked, self.mark_mm, self.stop_deg, read_on, self.reading_deg, self.leads == shop.bender.turns
        )


@dataclass(frozen=True)
class HandReadout:
    """What the panel shows.

    `wanted` is the bar ordered, `length_mm` its tube and `marks` its lines by name. `film` shows the tube ready
    for the next pull, or None; `failing` what cannot be done there. `made` is the finished bar, `ghost` the bar
    ordered, both None before the last pull; `sides` and `ordered` what both measure, `shows` how it is seen to be
    another one, `habits` what led there.
    """

    setup: Setup | None
    wanted: TubeBends | None
    length_mm: float
    marks: tuple[tuple[str, float], ...]
    film: Film | None
    failing: Failing | None
    made: Drawing | None
    ghost: Drawing | None
    sides: TwoSides | None
    ordered: TwoSides | None
    shows: tuple[str, ...]
    habits: tuple[str, ...]
    refusal: str


_NOTHING = HandReadout(None, None, 0.0, (), None, None, None, None, None, None, (), (), "")


def hand_readout(shop: Shop, state: HandState) -> HandReadout:
    """Work out what the panel shows. A refusal is part of the readout, never raised."""
    try:
        recipe, setup = state.bar.recipe(shop), state.bar.setup(shop)
        bends = bends_from_recipe(recipe)
        length = float(cut_length_mm(bends))
    except BendError as refusal:
        return replace(_NOTHING, refusal=str(refusal))
    out = replace(_NOTHING, setup=setup, wanted=bends, length_mm=length, marks=_marks(bends))
    try:
        if len(state.pulls) < PULLS:
            film, failing = film_of_hand((*state.pulls, state.pull(shop)), out, moving=False)
            return replace(out, film=film, failing=failing)
        bent = bent_by_hand(state.pulls, length, setup)
        sides = two_sides_from_bends(bent.bends, float(recipe.stem_roll_deg))
        return replace(
            out, sides=sides,
            ordered=two_sides_from_bends(bends, float(recipe.stem_roll_deg)),
            shows=shows_on_the_bench(bent.bends, bends, sides),
            made=drawing_from_bends(bent.bends, setup.tube_diameter_mm, float(recipe.stem_roll_deg)),
            ghost=drawing_from_recipe(recipe, setup.tube_diameter_mm),
            habits=habits_of_pulls(state.pulls, bends, setup),
        )  # fmt: skip
    except BendError as refusal:
        return replace(out, refusal=str(refusal))


def film_of_hand(pulls: tuple[Pull, ...], readout: HandReadout, *, moving: bool) -> tuple[Film, Failing | None]:
    """The film of the last of `pulls`, or a still picture of it; and what cannot be done. Raises BendError."""
    if readout.setup is None:
        raise BendError(readout.refusal)
    bent = bent_by_hand(pulls, readout.length_mm, readout.setup)
    bends, setup, step = padded(bent.bends), readout.setup, len(pulls) - 1
    marks = tuple(mark for _, mark in readout.marks[::2])
    film = film_of_pull(bends, bent.holds, setup, marks, read_on=bent.settings[step].read_on, moving=moving)
    station = bend_sequence(bent.bends, bent.holds, setup).stations[step]
    return film, failing_of_station(station, bent.bends, made_so_far(bent.holds)[step], setup)


def planned(shop: Shop, state: HandState, readout: HandReadout) -> HandState:
    """`state` with the next pull set as the usual sequence asks for; raises BendError where the bar is bent already."""
    if readout.wanted is None or readout.setup is None:
        raise BendError(readout.refusal)
    if len(state.pulls) >= PULLS:
        raise BendError("undo a pull, or start again: the bar is bent")
    tools = readout.setup.springback, readout.setup.die, readout.setup.bender
    settings: tuple[Setting, ...] = settings_from_bends(readout.wanted, USUAL_HOLDS, *tools)
    pull = pulls_from_settings(settings)[len(state.pulls)]
    turns = readout.setup.bender.turns
    return replace(
        state, hooked=pull.hooked, mark_mm=round(pull.mark_mm, 1), stop_deg=round(pull.stop_deg, 1),
        piece=NOTHING_READ if pull.read_on is None else pull.read_on, reading_deg=round(pull.reading_deg, 1),
        leads=turns if pull.toward_die else (LEFT if turns == RIGHT else RIGHT),
    )  # fmt: skip


def pieces(state: HandState) -> list[tuple[str, int]]:
    """What the angle finder can be laid on, for a chooser."""
    if not state.pulls:
        return [("nothing: the tube is straight", NOTHING_READ)]
    count = len(state.pulls) + 1
    names = ["the left end", *(f"piece {number + 1} from the left" for number in range(1, count - 1)), "the right end"]
    return [("nothing", NOTHING_READ), *((name, number) for number, name in enumerate(names))]


def hand_html(state: HandState, readout: HandReadout) -> str:
    """How far the bar is, and what came out once it is bent, in words."""
    done = len(state.pulls)
    if readout.sides is None or readout.ordered is None:
        mark = f"{state.mark_mm:.1f} mm from the left end"
        return heading(f"Pull {done + 1} of {PULLS}") + paragraph(
            f"The {state.hooked} end is in the hook. The line {mark} is at the die's edge. The stop is at "
            f"{state.stop_deg:.1f} deg."
        )
    wanted = readout.ordered
    rows = [
        (name, *(f"{value:.1f}" for value in getattr(readout.sides, field)), f"{getattr(wanted, field)[1]:.1f}")
        for name, field in (("Rise, mm", "rise_mm"), ("Backsweep, deg", "backsweep_deg"),
                            ("Upsweep, deg", "upsweep_deg"), ("Half width, mm", "half_width_mm"))
    ]  # fmt: skip
    habits = readout.habits or ("everything was set as the bar needs",)
    return "".join((
        heading("What came out"),
        table(rows, ("The bar", "left", "right", "ordered"), caption="The bar that came out, and the bar ordered"),
        paragraph("", "How it shows on the bench:"),
        bullets(readout.shows or ("nothing that you can see: it is the bar ordered",)),
        paragraph("", "What caused it:"),
        bullets(habits),
    ))  # fmt: skip


def picture_words(state: HandState, readout: HandReadout) -> str:
    """The picture in one sentence, for a screen reader."""
    if readout.made is not None and state.bars:
        return "The bar that came out, and a pale picture of the bar ordered. " + "; ".join(readout.shows)
    red = f" Red: {readout.failing.words}." if readout.failing else ""
    return f"The tube in the bender for pull {len(state.pulls) + 1}, {counted(len(state.pulls), 'bend')} made.{red}"


def _marks(bends: TubeBends) -> tuple[tuple[str, float], ...]:
    # both ends of each arc, the riser's first: those are the pencil marks
    marks = []
    for number, (side, _) in enumerate(BENDS):
        inward = LEFT if (side == LEFT) == (number in (0, 3)) else RIGHT
        for hooked, where in ((RIGHT if inward == LEFT else LEFT, "riser end"), (inward, "far end")):
            place = float(tangent_points_mm(bends, Hold(number, hooked)))
            marks.append((f"{bend_name(number)}, {where}: {place:.1f}", place))
    return tuple(marks)
