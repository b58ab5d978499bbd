"""What is asked before a bend, and what is said of the answer: pure functions, no widgets."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from barmath.bending.bench_film import Film, film_of_plan
from barmath.bending.holds import LEFT, RIGHT, Hold
from barmath.bending.mistakes import shows_on_the_bench
from barmath.bending.settings import bends_from_settings, settings_from_bends
from barmath.bending.step_words import LEVEL_DEG, STRAIGHT_BACK
from barmath.bending.steps import Step
from barmath.closed_forms.records import Recipe
from barmath.refusal import BendError
from barmath.shop.setup import Setup
from barmath.space.centerline import TubeBends, cut_length_mm
from barmath.space.two_sides import two_sides_from_bends

NO_ANSWER = "?"
SHOWN = ("shown", "shown")
"""Instead of an answer: the right one was asked for."""

Tries = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Verdict:
    """What is said of one guess."""

    right: bool
    words: str


@dataclass(frozen=True)
class Asked:
    """What is asked at one step, and how it went so far.

    `open` is True while an answer is still asked for: then the film goes no further than the tube at its mark.
    `choices` are the readings to choose from. `verdicts` is what is said of the last answer, `hint` what helps with the
    next one. `wrong` is the film of a wrong answer, `wrong_words` what comes of it.
    """

    open: bool = False
    choices: tuple[str, ...] = ()
    verdicts: tuple[Verdict, ...] = ()
    hint: str = ""
    wrong: Film | None = None
    wrong_words: str = ""


def asked_at(
    step: Step, tries: Tries, recipe: Recipe, bends: TubeBends, holds: tuple[Hold, ...], setup: Setup
) -> Asked:
    """What is asked at a step with something to read, after `tries`."""
    choices = reading_choices(step, recipe)
    if not tries:
        return Asked(True, choices)
    if tries[-1] == SHOWN:
        return Asked(False, choices, tuple(Verdict(True, words) for words in _answer_words(step)))
    verdicts = _verdicts(step, tries[-1], recipe)
    if all(verdict.right for verdict in verdicts):
        return Asked(False, choices, verdicts)
    film, words = _wrong(step, tries[-1], recipe, bends, holds, setup)
    return Asked(True, choices, verdicts, hint_words(step, recipe), film, words)


def reading_choices(step: Step, recipe: Recipe) -> tuple[str, ...]:
    """Readings to choose from: the right one, and those that the usual slips lead to."""
    wanted = abs(step.reading_deg or 0.0)
    slips = (0.0, abs(recipe.roll_deg), recipe.inner_bend_deg, recipe.outer_bend_deg, 2.0 * wanted, 90.0 - wanted)
    offered = sorted({f"{wanted:.1f}", *(f"{slip:.1f}" for slip in slips)}, key=float)
    keep = sorted(offered, key=lambda text: (text != f"{wanted:.1f}", abs(float(text) - wanted)))[:5]
    return tuple(sorted(keep, key=float))


def question(step: Step) -> str:
    """What is asked before a step is shown."""
    return f"You have the {step.hold}. To which side must the {step.read_on} lead? What must the finder on it show?"


def hint_words(step: Step, recipe: Recipe) -> str:
    """What helps with the question of a step, without its answer."""
    if abs(step.reading_deg or 0.0) < LEVEL_DEG:
        return (
            "The bender bends level, and this bend and the one before it must be in one plane. So how steep may the "
            "flat be? For the side, think of the finished bar: both risers must stand up from the clamp flat."
        )
    return (
        f"The sine of the reading is the sine of the bend ({recipe.inner_bend_deg:.1f} deg) times the sine of the roll "
        f"({abs(recipe.roll_deg):.1f} deg). For the side: an outer bend turns the grip back, against the inner bend."
    )


def first_tries(steps: tuple[Step, ...], tries: tuple[Tries, ...], recipe: Recipe) -> tuple[int, int]:
    """How many first tries were right, and how many were made: a first try counts once, whatever comes after it."""
    firsts = [
        made[0] != SHOWN and all(verdict.right for verdict in _verdicts(step, made[0], recipe))
        for step, made in zip(steps, tries, strict=True)
        if step.reading_deg is not None and made
    ]
    return sum(firsts), len(firsts)


def _answer_words(step: Step) -> tuple[str, str]:
    side = _side(step)
    leads = f"the {step.read_on} leads to the {side}" if side else f"the {step.read_on} leads straight on"
    return leads, f"the angle finder shows {abs(step.reading_deg or 0.0):.1f} deg"


def _side(step: Step) -> str:
    sideways = step.pose.sideways(step.read_straight)
    return "" if abs(sideways) < STRAIGHT_BACK else LEFT if sideways > 0.0 else RIGHT


def _verdicts(step: Step, answer: tuple[str, str], recipe: Recipe) -> tuple[Verdict, Verdict]:
    # a wrong answer gets its habit, but never the right answer
    (leads, shows), (side_words, reading_words) = answer, _answer_words(step)
    wanted = f"{abs(step.reading_deg or 0.0):.1f}"
    side = _side(step)
    return (
        Verdict(leads == side, side_words if leads == side else f"the {step.read_on} must not lead to the {leads}"),
        Verdict(shows == wanted, reading_words if shows == wanted else _habit(shows, wanted, recipe)),
    )


def _habit(shows: str, wanted: str, recipe: Recipe) -> str:
    habits = {
        f"{recipe.inner_bend_deg:.1f}": "you took the bend itself: the flat shows only the part of it "
        "that is out of level",
        f"{abs(recipe.roll_deg):.1f}": "you took the roll between the bend planes: the flat shows the sine of the bend "
        "times the sine of the roll",
        "0.0": "level would put both bends into one plane",
        f"{2.0 * float(wanted):.1f}": "you took the reading twice",
    }
    return habits.get(shows, f"{shows} deg is not what it must show")


def _wrong(
    step: Step, answer: tuple[str, str], recipe: Recipe, bends: TubeBends, holds: tuple[Hold, ...], setup: Setup
) -> tuple[Film | None, str]:
    # what comes of a wrong answer, with the steps after it done by the book
    tools, place = (setup.springback, setup.die, setup.bender), step.number - 1
    settings = settings_from_bends(bends, holds, *tools)
    leads, shows = answer
    reading = float(np.copysign(float(shows), settings[place].reading_deg or 1.0))
    wrong = replace(settings[place], reading_deg=reading, toward_die=leads == setup.bender.turns)
    settings = (*settings[:place], wrong, *settings[place + 1 :])
    try:
        out = bends_from_settings(settings, float(cut_length_mm(bends)), *tools)
        film = film_of_plan(out, holds, setup, tuple(setting.mark_mm for setting in settings), only=place)
    except BendError as refusal:
        return None, f"It cannot be bent like that. {refusal}."
    got, meant = (two_sides_from_bends(one, float(recipe.stem_roll_deg)) for one in (out, bends))
    shows_on_bar = shows_on_the_bench(out, bends, got, meant)
    return film, f"If the later bends are right, this bar comes out: {'; '.join(shows_on_bar) or 'the one ordered'}."
