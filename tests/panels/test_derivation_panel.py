"""The steps of lesson 02: shown without SymPy's work, which comes when its button is pressed."""

import ipywidgets as widgets
import pytest

from barmath.derivation import worked_out
from barmath.derivation.lines import LINES
from barmath.panels.derivation import BARS, StepCard, SympyPart, bar_we_follow, habit_figure, sweeps_figure
from barmath.panels.shell import FAULT, parts_of
from barmath.practice.bets import bet_of


def words(box: widgets.Widget) -> str:
    return " ".join(part.value for part in parts_of(box) if isinstance(part, widgets.HTML | widgets.HTMLMath))


def sympy_of(card: StepCard) -> SympyPart:
    return next(part.shell for part in parts_of(card.box) if isinstance(getattr(part, "shell", None), SympyPart))


@pytest.mark.parametrize("step", LINES)
def test_a_step_is_shown_with_its_picture_and_each_of_its_lines(step):
    shown = words(StepCard(step, "two stops").box)
    assert "<svg" in shown
    assert all(line.says in shown.replace("&#x27;", "'") for line in LINES[step])


def test_sympy_works_only_when_it_is_asked(monkeypatch):
    asked = []
    monkeypatch.setattr(worked_out, "derived", lambda step: asked.append(step) or ())
    part = sympy_of(StepCard("finder", "order 7"))
    assert not asked
    part.ask.click()
    assert asked == ["finder"]


def test_what_sympy_worked_out_is_shown_with_its_proofs():
    part = sympy_of(StepCard("asked", "order 7"))
    part.ask.click()
    shown = words(part.box)
    assert "$$" in shown
    assert shown.count("proven. Left less right is zero") == 3
    assert FAULT not in shown


def test_the_letters_of_what_sympy_worked_out_are_named_once_each():
    part = sympy_of(StepCard("finder", "order 7"))
    part.ask.click()
    letters = words(part.box).partition("The letters: ")[2].partition(".</p>")[0].split("; ")
    assert letters == [r"$a$ inner bend (rad)", r"$\varphi$ roll between the two bends (rad)",
                       r"$\kappa$ clamp reading (rad)"]  # fmt: skip


@pytest.mark.parametrize("bar", BARS)
def test_each_bar_of_the_lesson_is_worked_out(bar):
    assert "30^\\circ" in words(StepCard("solve", bar).box)


def test_the_letters_are_named_before_the_reading_is_asked():
    shown = words(bar_we_follow())
    assert "reading of the angle finder" in shown
    assert f"{bet_of('02', 'finder reads').question.answer:.2f}" not in shown


def test_the_curves_reach_what_their_bets_ask_for():
    backsweep = next(trace for trace in sweeps_figure().data if trace.name == "backsweep")
    assert max(backsweep.y) == pytest.approx(bet_of("02", "most backsweep").question.answer, abs=0.01)
    end = bet_of("02", "end of the habit").question.answer
    thirty = next(trace for trace in habit_figure().data if trace.name == "bends of 30°")
    assert thirty.y[round(end / 0.1)] == pytest.approx(0.1, abs=0.01)
