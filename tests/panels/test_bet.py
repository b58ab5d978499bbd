"""A bet comes before its result, and the two are then side by side."""

import re

import ipywidgets as widgets
import pytest

from barmath.panels.bet import BetBox, Result, after_bet, bet_box, bet_then, shown
from barmath.panels.shell import FAULT
from barmath.practice.bets import bet_names, bet_of, lessons_with_bets, outcome
from barmath.refusal import BendError

EVERY = [(lesson, name) for lesson in lessons_with_bets() for name in bet_names(lesson)]


@pytest.fixture
def box():
    return BetBox("03", "ends of the window")


def press(button: widgets.Button) -> None:
    button.click()


def test_nothing_of_a_result_is_there_before_its_bet(box):
    called = []
    result = Result([box], lambda: called.append(1) or "the ends meet")
    assert not called
    assert "ends meet" not in result.box.children[1].value
    box.entry.value = "both ends rise"
    press(box.place)
    assert called == [1]
    assert "the ends meet" in result.box.children[2].value


def test_a_result_that_comes_later_is_shown_at_once(box):
    press(box.show_me)
    result = Result([box], lambda: {"die 102": "74 mm"})
    assert "74 mm" in result.box.children[2].value
    assert box.shown


def test_a_result_that_answers_two_bets_waits_for_both(box):
    other = BetBox("03", "smallest bend")
    result = Result([box, other], lambda: "both are answered")
    assert "ends of the window, smallest bend" in result.box.children[1].value
    press(box.show_me)
    assert "your bet above: smallest bend." in result.box.children[1].value
    press(other.show_me)
    assert "both are answered" in result.box.children[2].value


def test_a_bet_of_nothing_opens_nothing(box):
    press(box.place)
    assert not box.answered
    assert "Choose one of the answers first, then bet." in box.message.value


def test_a_bet_can_be_placed_once(box):
    box.entry.value = "both ends rise"
    press(box.place)
    assert box.place.disabled
    assert box.entry.disabled


def test_a_fault_in_a_result_is_seen(box):
    result = Result([box], lambda: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        box._open("", "good")
    assert FAULT in result.message.value


def test_a_cell_that_runs_again_shows_the_same_box():
    assert bet_box("03", "smallest bend") is bet_box("03", "smallest bend")
    assert after_bet("03", "smallest bend", lambda: "x") is not bet_box("03", "smallest bend")


def test_a_count_is_said_without_a_decimal():
    assert outcome(bet_of("03", "orders added"), "4").words.startswith("You bet 4. It is 1. Your bet is 3 too large.")


def test_a_right_choice_is_said_once():
    bet = bet_of("00", "two rises")
    assert outcome(bet, bet.right_text).words == "You bet: it gets smaller. Right."


def test_a_number_near_the_answer_is_not_called_the_answer():
    assert outcome(bet_of("06", "bends to trust"), "12").words == "You bet 12. It is 11. Near enough: right."


def test_a_large_count_is_written_as_the_reason_writes_it():
    bet = bet_of("04", "combinations")
    assert "It is 194 895." in outcome(bet, "1000").words
    assert "194 895" in bet.why


NUMBER = r"(-?\d[\d ]*(?:\.\d+)?)"
SAID = re.compile(rf"You bet {NUMBER}.*?\. It is {NUMBER}.*?\. (?:Right|Near enough|Your bet is {NUMBER})")
NUMBERS = [one for one in EVERY if not bet_of(*one).question.choices and bet_of(*one).line is None]


@pytest.mark.parametrize(("lesson", "name"), NUMBERS)
def test_a_bet_is_said_as_it_was_typed_and_the_difference_fits_both_numbers(lesson, name):
    bet = bet_of(lesson, name)
    low, high = bet.question.low, bet.question.high
    for share in (0.0, 0.137, 0.5, 0.8625, 1.0):
        typed = round(low + share * (high - low), 3)
        words = outcome(bet, f"{typed:.10g}").words
        own, answer, apart = (float((one or "0").replace(" ", "")) for one in SAID.match(words).groups())
        assert own == typed, words
        if "Your bet is" in words:
            assert apart == pytest.approx(abs(own - answer), abs=1e-9), words


@pytest.mark.parametrize(("lesson", "name"), EVERY)
def test_what_is_said_of_a_bet_has_no_space_before_a_full_stop(lesson, name):
    for given in ("", "qwertz", "1e9", "-1"):
        words = outcome(bet_of(lesson, name), given).words
        assert re.search(r"\s[.,:]", words) is None, words


def test_an_unknown_bet_is_refused_with_the_known_ones():
    with pytest.raises(BendError, match="room for the arcs"):
        bet_of("03", "luck")


@pytest.mark.parametrize(("lesson", "name"), EVERY)
def test_each_bet_answers_right_habit_nearly_and_nonsense(lesson, name):
    bet = bet_of(lesson, name)
    question = bet.question
    assert bet.why
    assert question.text.endswith("?")
    assert outcome(bet, bet.right_text).right
    assert not outcome(bet, "qwertz").taken
    for given, words in bet.habit_texts:
        wrong = outcome(bet, given)
        assert wrong.taken
        assert not wrong.right
        assert words in wrong.words
        assert words.startswith("you "), "a mistake is said with the one who makes it"
    if not question.choices and bet.line is None:
        beside = question.answer + 2.0 * question.tolerance
        if beside <= question.high:
            assert not outcome(bet, f"{beside:.12g}").right


@pytest.fixture
def drawing():
    return BetBox("03", "lowest rise by bend")


def test_a_line_is_drawn_by_sliders_and_boxes_and_its_chart_follows(drawing):
    drawing.entry.rows[0].slider.value = 60.0
    drawing.entry.rows[1].box.value = "2 1/2 in"
    assert drawing.entry.value == "60; 63.5; 0; 0; 0"
    assert "your line: 60 at 20, 64 at 25, 0 at 30" in drawing.entry.chart.value
    assert "it is" not in drawing.entry.chart.value


def test_a_line_drawn_with_a_pointer_moves_its_rows_and_a_row_moves_the_line(drawing):
    chart = drawing.entry.chart
    chart.heights = [60.0, 65.0, 0.0, 0.0, 500.0]  # as the page sends it
    assert drawing.entry.value == "60; 65; 0; 0; 160"
    assert drawing.entry.rows[1].box.value == "65.0 mm"
    assert "your line: 60 at 20, 65 at 25" in chart.value
    drawing.entry.rows[2].slider.value = 74.0
    assert chart.heights == [60.0, 65.0, 74.0, 0.0, 160.0]
    press(drawing.place)
    assert not chart.drawable
    chart.heights = [1.0] * 5
    assert drawing.entry.value == "60; 65; 74; 0; 160"


def test_a_line_that_nobody_has_drawn_is_no_bet(drawing):
    press(drawing.place)
    assert not drawing.answered
    assert "Draw a line first" in drawing.message.value
    drawing.entry.rows[0].box.value = "a lot"
    press(drawing.place)
    assert not drawing.answered


def test_the_true_line_is_shown_beside_the_drawn_one_and_the_points_no_longer_move(drawing):
    drawing.entry.value = "60; 60; 60; 60; 60"
    press(drawing.place)
    assert drawing.answered
    assert "too low by up to 39 mm, at 40 deg" in drawing.message.value
    assert "it is: 60 at 20, 65 at 25, 74 at 30" in drawing.entry.chart.value
    assert all(row.slider.disabled for row in drawing.entry.rows)


def test_a_line_beside_the_answer_is_nearly_right_and_a_habit_is_named(drawing):
    bet = drawing.bet
    nearly = "; ".join(f"{height + 1.5 * bet.line.near:g}" for height in bet.line.answer)
    assert outcome(bet, nearly).words.startswith("Nearly. Your line is too high by up to 12 mm")
    assert "forget arcs and grip" in outcome(bet, "22; 27; 32; 37; 42").words
    for wrong in ("1; 2", "1; 2; 3; 4; 1e9", "", "a; b; c; d; e", "0; 0; 0; 0; 0"):
        assert not outcome(bet, wrong).taken


def test_a_long_sentence_in_a_result_may_wrap_and_a_number_does_not():
    words, number = {"load": "the section nearest to folding carries most of it"}, {"rise": "90.0 mm"}
    assert 'class="number"' not in shown(words).children[-1].value
    assert 'class="number"' in shown(number).children[-1].value


@pytest.fixture
def steps(monkeypatch):
    monkeypatch.setattr("barmath.panels.bet.Step._open", {})
    monkeypatch.setattr("barmath.panels.shell._kept", {})
    return [bet_then("02", name, lambda: "the step").shell for name in bet_names("02")[:4]]


def test_of_the_answered_steps_of_a_lesson_two_are_open_and_the_others_are_a_line_with_bet_and_answer(steps):
    assert not any(step.folded for step in steps)  # a question that waits is never folded
    for step in steps[:3]:
        press(step.bet.show_me)
    assert [step.folded for step in steps] == [True, False, False, False]
    assert "It is 0.50 mm. You asked to see it." in steps[0].line.value
    press(steps[3].bet.show_me)
    assert [step.folded for step in steps] == [True, True, False, False]


def test_a_folded_step_opens_and_folds_again(steps):
    for step in steps[:3]:
        press(step.bet.show_me)
    assert steps[0].turn.description == "Open: up the riser"
    press(steps[0].turn)
    assert not steps[0].folded
    assert steps[0].turn.description == "Fold: up the riser"
    press(steps[0].turn)
    assert steps[0].folded


def test_steps_that_are_made_again_after_their_bets_are_folded_alike(steps):
    for step in steps[:3]:
        press(step.bet.show_me)
    again = [bet_then("02", name, lambda: "the step").shell for name in bet_names("02")[:4]]
    assert [step.folded for step in again] == [True, False, False, False]
