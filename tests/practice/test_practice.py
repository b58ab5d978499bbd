"""Exercises: solvable, fair, and checked with right, nearly right and typically wrong answers over many seeds each."""

import json
import math
import os
import re
from collections import Counter
from dataclasses import asdict, replace
from functools import cache

import numpy as np
import pytest
from nightly import NIGHTLY
from practice.sums import worked_out

from barmath import BendError, Recipe, cope_ordinates_mm, marks_from_recipe, shape_from_recipe
from barmath.closed_forms.sensitivity import INNER_BEND, OUTER_BEND, OUTER_MARK, sensitivities_from_recipe
from barmath.panels.practice import CHOOSE, PracticePanel
from barmath.paper.class_sheet import ClassSheet, class_sheet_pages, class_sheet_pdf
from barmath.practice.course import BY_NAME, KINDS, code_of, exercise
from barmath.practice.exercise import COMPUTE, ESTIMATE, STEPS, answer_text, check, numeric, worked
from barmath.practice.finishing_work import cope
from barmath.practice.inches import ANSWER, KINDS_IN_INCHES
from barmath.practice.one_more import force_at, other_ordinate
from barmath.practice.progress import FORMAT, Done, add_to_file, level_after, progress_from_file
from barmath.practice.scene import LEVELS, dice, scene
from barmath.shop.order_seven import ORDER

SEEDS = range(3 * 500 if NIGHTLY else 90)
"""Five hundred a level in the nightly run, thirty a level each day."""


made_once = cache(exercise)


@cache
def every_seed(name):
    """An exercise for each seed, the three levels in turn."""
    return [made_once(name, seed, 1 + seed % 3) for seed in SEEDS]


def of_level(name, level, most=30):
    """Exercises of one level, made once for all tests."""
    return [made for made in every_seed(name) if made.level == level][:most]


@pytest.mark.parametrize("name", BY_NAME)
def test_over_many_seeds_every_answer_is_judged_as_it_should_be(name):
    without_habit = 0
    for seed, made in zip(SEEDS, every_seed(name), strict=True):
        assert [question.step for question in made.questions] == list(STEPS[: 4 if made.level == LEVELS[-1] else 3])
        for question in made.questions:
            right = str(question.answer)
            assert check(question, right).right, (seed, question.text)
            if question.choices:
                assert question.answer in question.choices
                assert {habit.value for habit in question.habits} == set(question.choices) - {question.answer}
            else:
                _judge_numbers(question, seed)
            for habit in question.habits:
                verdict = check(question, str(habit.value))
                assert verdict.honest, (seed, question.text, habit)
                assert not verdict.right, (seed, question.text, habit)
                assert verdict.habit == habit.words, (seed, question.text, habit)
                assert habit.words.startswith("you "), "a mistake is said with the one who makes it"
            without_habit += question.step != ESTIMATE and not question.habits
    assert without_habit == 0


def _judge_numbers(question, seed):
    answer, tolerance = question.answer, question.tolerance
    assert question.low <= answer <= question.high
    for side in (-1.0, 1.0):
        near = answer + side * 2.0 * tolerance
        if question.low <= near <= question.high:
            verdict = check(question, repr(near))
            assert verdict.words.startswith("Nearly.") == (2.0 * tolerance <= question.nearly_within()), (
                seed,
                question.text,
            )
            assert not verdict.right
            assert verdict.off == pytest.approx(side * 2.0 * tolerance, rel=1e-6)
            assert ("too large" if side > 0 else "too small") in verdict.words
    for none in ("", "  ", "a lot", repr(question.high + 1.0), "nan"):
        verdict = check(question, none)
        assert not verdict.honest
        assert verdict.words.startswith("Try it first")


@pytest.mark.parametrize("name", BY_NAME)
def test_equal_seeds_give_equal_exercises_and_other_seeds_other_ones(name):
    assert exercise(name, 7, 2) == exercise(name, 7, 2)
    assert len({made.given + made.solution for made in of_level(name, 3)}) > 15


@pytest.mark.parametrize("name", BY_NAME)
def test_no_verdict_says_the_answer_and_the_solution_does(name):
    for made in of_level(name, 3):
        for question in made.questions:
            if question.choices:
                words = check(question, "none of these").words
                assert words.startswith("Try it first")
                continue
            for wrong in (question.low, question.high):
                verdict = check(question, repr(wrong))
                if not verdict.right and len(answer_text(question).split()[-2]) > 3:
                    told = verdict.words.split(" Hint")[0].replace(f"{question.low:.0f} to", "")
                    assert answer_text(question) not in told
        lines = worked(made, {COMPUTE: "12.3"})
        assert answer_text(made.questions[1]) in lines[1]
        assert "You said 12.3." in lines[1]


A_SHORT_LIST = {"rise", "slip", "reading", "finder", "direction", "stop", "cope", "print", "moment"}
"""Kinds whose numbers are rounder for a beginner; the others start from an order, with its numbers worked out."""


def _numbers_given(name, level):
    given = " ".join(line for made in of_level(name, level) for line in made.given)
    return set(re.findall(r"\d+\.\d+|\d+", given))


@pytest.mark.parametrize("name", BY_NAME)
def test_a_beginner_meets_fewer_numbers_than_the_others(name):
    first, second, last = (len(_numbers_given(name, level)) for level in LEVELS)
    assert first < second < 1.1 * last
    if name in A_SHORT_LIST:
        assert first < 0.4 * second


def test_marks_and_rise_are_what_the_package_says():
    for made in of_level("marks", 3):
        at = marks_from_recipe(made.recipe)
        assert made.questions[1].answer == pytest.approx(at.inner_end_mm)
        assert made.questions[2].answer == pytest.approx(at.outer_start_mm)
        assert made.questions[3].answer == pytest.approx(2.0 * at.end_mm, abs=0.2)
    for given in of_level("rise", 1):
        words = given.given[0].split()
        bend, radius, straight = (float(words[k]) for k in (7, 14, 18))
        flat = Recipe(50.0, bend, straight, 0.0, bend, 200.0, radius)
        assert given.questions[1].answer == pytest.approx(shape_from_recipe(flat).rise_mm, abs=1e-6)


def test_the_tip_of_a_cope_is_its_shortest_ordinate():
    made = exercise("cope", 3, 1)
    words = made.given[0].replace(";", "").split()
    branch, header, angle = float(words[3]), float(words[9]), float(words[14])
    z = cope_ordinates_mm(branch, header, angle, np.arange(361.0))
    axis = float(made.questions[2].text.split(" risers are ")[1].split()[0])
    assert made.questions[2].answer == pytest.approx(axis - 2.0 * z.min(), abs=1e-6)


def test_an_exercise_without_a_question_for_each_step_is_refused():
    made = exercise("marks", 1)
    with pytest.raises(BendError, match=r"must ask one question for each of Estimate, Compute, Act, got Compute$"):
        replace(made, questions=made.questions[1:2])


def test_a_habit_that_looks_like_another_is_left_out():
    question = numeric(COMPUTE, "?", "mm", 10.0, 0.5, (0.0, 50.0), ((10.2, "a"), (20.0, "b"), (20.1, "c"), (90.0, "d")))
    assert [habit.words for habit in question.habits] == ["b"]
    with pytest.raises(BendError, match=r"answer of an exercise must be from 0\.0 to 5\.0 mm, got 10\.0 mm"):
        numeric(COMPUTE, "?", "mm", 10.0, 0.5, (0.0, 5.0))


@pytest.mark.parametrize("typed", ["95.3", "95,3", "3 3/4 in", "95.3 mm"])
def test_an_answer_is_read_as_a_shop_writes_it(typed):
    question = numeric(COMPUTE, "?", "mm", 95.25, 0.1, (0.0, 500.0))
    assert check(question, typed).right


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: exercise("juggling", 1), "Choose marks, rise"),
        (lambda: exercise("marks", -1), "seed must be at least 0"),
        (lambda: exercise("marks", 1.5), "seed must be a whole number"),
        (lambda: exercise("marks", 1, 4), "level must be at most 3"),
        (lambda: ClassSheet("marks", 1, 1, 25), "apprentices must be at most 24"),
        (lambda: ClassSheet("marks", 1, 1, 2.5), "apprentices must be a whole number"),
        (lambda: Done("marks", 1, 1, 1, "yes", "2026-01-02"), "first try must be true or false"),
        (lambda: Done("juggling", 1, 1, 1, True, "2026-01-02"), "exercise must be one of these"),
    ],
)
def test_what_is_no_exercise_is_refused(ask, words):
    with pytest.raises(BendError) as refused:
        ask()
    assert words in str(refused.value)


def test_the_level_grows_with_success_and_falls_with_failure():
    def level(answers, kind="marks"):
        done = [Done("marks", seed, 1, 3, one == "r", "2026-01-02") for seed, one in enumerate(answers)]
        return level_after((*done[:1], Done("rise", 1, 1, 3, True, "2026-01-02"), *done[1:]), kind)

    levels = {"": 1, "r": 1, "rr": 2, "rrrr": 3, "rrrrrrrrrr": 3, "rrwrww": 1, "wwwww": 1}
    assert {answers: level(answers) for answers in levels} == levels
    assert level("rr", "rise") == 1


def test_the_same_exercise_counts_once(tmp_path):
    path = tmp_path / "apprentice 1.json"
    one = Done("marks", 12, 1, 4, True, "2026-01-02")
    assert add_to_file(path, one) == (one,)
    assert add_to_file(path, one) == add_to_file(path, replace(one, first_try=False, tries=3)) == (one,)
    assert add_to_file(path, replace(one, level=2)) == (one, replace(one, level=2)) == progress_from_file(path)
    assert level_after((one,) * 4, "marks") == 1  # as a file of before may have it


def test_a_file_of_the_format_before_is_read_and_kept_as_it_was(tmp_path):
    path = tmp_path / "apprentice 1.json"
    one = Done("marks", 12, 1, 4, True, "2026-01-02")
    bare = {name: value for name, value in asdict(one).items() if name != "habits"}
    old = json.dumps({"format": 1, "done": [bare, bare]})
    path.write_text(old)
    assert progress_from_file(path) == (one, one)
    assert path.read_text() == old
    other = replace(one, seed=13, habits=("the start is taken for the end",))
    add_to_file(path, other)
    assert progress_from_file(path) == (one, other)
    assert json.loads(path.read_text())["format"] == FORMAT
    assert (tmp_path / "apprentice 1.json.before").read_text() == old
    add_to_file(path, replace(one, seed=14))
    assert (tmp_path / "apprentice 1.json.before").read_text() == old


ONE_SIDED = {
    ("reading", 0): 2,  # the finder never shows just the roll, and never more than it
    ("pair", 0): 2,  # with other outer bends the upsweep is never the same
    ("finder", 0): 2,  # its bars are those whose reading is not the sweep
    ("print", 0): 2,  # a wrong line never leaves the rest of the sheet true
    ("print", 2): 1,  # a sheet that is off is printed again, whatever is off
    ("record", 2): 1,  # its choices are other ones for every seed
    ("moment", 2): 2,  # a screen never approves a bar
}
"""How many answers can be right if not all of them can: by kind and place of the question, with the reason."""


@pytest.mark.parametrize("name", BY_NAME)
def test_each_choice_is_right_about_equally_often(name):
    for place in range(4):
        asked = [made.questions[place] for made in every_seed(name) if len(made.questions) > place]
        asked = [question for question in asked if question.choices]
        if not asked:
            continue
        count = len(asked[0].choices)
        if len({question.choices for question in asked}) > 1:  # shuffled: no place is a better guess
            _is_even(Counter(question.choices.index(question.answer) for question in asked), count, len(asked))
        by_words = Counter(re.sub("the roll|the finder shows", "", str(question.answer)) for question in asked)
        if name != "record":
            _is_even(by_words, ONE_SIDED.get((name, place), count), len(asked))


def _is_even(counts, ways, asked):
    # within four standard deviations of an even draw
    assert len(counts) == ways, counts
    spread = 4.0 * math.sqrt(asked * (1.0 / ways) * (1.0 - 1.0 / ways))
    assert all(abs(count - asked / ways) <= spread for count in counts.values()), counts


def is_near(question, text):
    return check(question, text).words.startswith("Nearly.")


def test_a_slip_of_80_percent_is_not_nearly_right():
    for name in BY_NAME:
        for made in every_seed(name)[:30]:
            for question in made.questions:
                if not question.choices and abs(question.answer) > 5.0 * question.tolerance:
                    off = [is_near(question, repr(share * question.answer)) for share in (0.2, 0.5, 1.5, 1.8)]
                    assert not any(off), question.text
    question = numeric(ESTIMATE, "Roughly?", "mm", 10.0, 4.0, (0.0, 100.0))
    assert check(question, "14").right
    assert not is_near(question, "18")


def test_a_nearly_right_answer_is_near_by_the_answer_s_own_size():
    question = numeric(COMPUTE, "How long?", "mm", 10.0, 1.0, (0.0, 100.0))
    assert [is_near(question, text) for text in ("11.5", "12", "12.1", "13")] == [True, True, False, False]


JUNK = ("", "abc", "0", "0.001", "1", "-1", "99999", "1e9", "nan", "inf", "12 apples", "--", "<b>1</b>", "999")


@pytest.mark.parametrize("kind", BY_NAME)
def test_junk_pressed_many_times_does_not_open_the_solution(kind, tmp_path):
    panel = PracticePanel(tmp_path, seed=5)
    panel.kind.value = kind
    numbers = [q for q in panel.exercise.questions if not q.choices]
    for junk in JUNK * 3:
        for (box, row), question in zip(panel.entries, panel.exercise.questions, strict=True):
            known = [question.answer, *(habit.value for habit in question.habits)]
            try:
                is_one = not question.choices and any(float(junk) / 4 <= one <= 4 * float(junk) for one in known)
            except ValueError:
                is_one = False
            if not question.choices and not is_one and float(min(known)) > 0.0:
                box.value = junk
            row.children[1].children[2].click()
    assert numbers
    assert panel.solution.disabled
    assert not list(tmp_path.glob("*.json"))


def test_a_number_far_from_answer_and_habits_gets_its_verdict_but_is_no_try():
    question = numeric(COMPUTE, "How long?", "mm", 80.0, 1.0, (0.0, 500.0), ((40.0, "half is taken"),))
    assert [check(question, text).far for text in ("9", "11", "310", "330")] == [True, False, False, True]
    assert "too large" in check(question, "330").words
    assert check(numeric(COMPUTE, "?", "mm", -2.0, 0.1, (-50.0, 50.0)), "9").far


WORDS_ONLY = {("cope", 0), ("faulty bend", 2), ("faulty bend", 3), ("pair", 2), ("pair", 3)}
"""Third hints that are no single sum: a depth compares several, and bend or pair are not to be given away."""

GIVEN_ALREADY = {("order", 1)}
"""Questions whose answer is, for a beginner, one of the given numbers: a third hint would be the answer."""


@pytest.mark.parametrize("name", BY_NAME)
def test_three_hints_name_the_rule_the_formula_and_the_sum_that_gives_the_answer_but_not_its_result(name):
    for made in every_seed(name)[:90]:
        for place, question in enumerate(made.questions):
            if question.choices or ((name, place) in GIVEN_ALREADY and made.level == 1):
                continue
            hints = question.hints(1)
            assert len(hints) == 3, question.text
            assert re.fullmatch(r"(?:[A-Z]|r and R are ).*[.?]", hints[0]), "a hint is a sentence"
            bare = re.escape(f"{question.answer:.1f}")
            assert not any(re.search(rf"(?<![\d.]){bare}(?![\d.])", hint) for hint in hints[:2])
            if (name, place) not in WORDS_ONLY:
                assert worked_out(hints[2]) == pytest.approx(question.answer, abs=question.tolerance), hints
                assert hints[2] != f"{question.answer:.1f}"


@pytest.mark.parametrize("name", BY_NAME)
def test_a_higher_level_gives_fewer_hints(name):
    for question in exercise(name, 5, 1).questions:
        counts = [len(question.hints(level)) for level in LEVELS]
        assert counts == sorted(counts, reverse=True)
        assert counts[-1] <= 1


def test_hints_come_one_by_one_and_an_exercise_with_a_hint_is_not_right_at_the_first_try(tmp_path):
    panel = PracticePanel(tmp_path, seed=5)
    _, row = panel.entries[1]
    hint = row.children[1].children[3]
    question = panel.exercise.questions[1]
    for count in (1, 2, 3):
        assert not hint.disabled
        hint.click()
        assert row.children[3].value.count("Hint ") == count
    assert hint.disabled
    assert question.formula in row.children[3].value
    _answer(panel)
    assert panel.finished
    assert [one.first_try for one in progress_from_file(panel.path)] == [False]


def test_the_habits_of_wrong_answers_are_kept(tmp_path):
    panel = PracticePanel(tmp_path, seed=5)
    habits = [question.habits[0].words for question in panel.exercise.questions if question.habits]
    _answer(panel, right=False)
    _answer(panel, right=False)
    _answer(panel)
    assert [one.habits for one in progress_from_file(panel.path)] == [tuple(habits)]
    assert [one.tries for one in progress_from_file(panel.path)] == [9]


def test_who_gives_up_an_exercise_is_in_the_progress_too(tmp_path):
    panel = PracticePanel(tmp_path, seed=5)
    _answer(panel, right=False)
    panel.solution.click()
    assert [one.first_try for one in progress_from_file(panel.path)] == [False]


def test_the_side_of_the_finder_is_what_the_steps_at_the_bench_say():
    # the sign of the reading, worked out again from the shape: with the other side, the grip points forward
    for made in every_seed("direction")[:60]:
        other = replace(made.recipe, roll_deg=-made.recipe.roll_deg)
        back, forward = (shape_from_recipe(one).backsweep_deg for one in (made.recipe, other))
        assert made.questions[1].answer == pytest.approx(back - forward, abs=1e-6)
        first, last = made.questions[0].answer, made.questions[2].answer
        assert {first, last} == {"downhill", "uphill"}
        assert made.level < 3 or made.questions[3].answer == last
        left = "comes round to the left" in made.given[1]
        known = "right riser in the hook" in made.given[1] or "left grip in the hook" in made.given[1]
        assert first == ("downhill" if left == known else "uphill"), made.given


def test_the_settings_of_a_slip_come_in_the_order_of_their_slopes():
    for made in every_seed("slip")[:60]:
        slopes = sensitivities_from_recipe(made.recipe)
        inner, outer, mark = (abs(float(slopes[one].rise_mm)) for one in (INNER_BEND, OUTER_BEND, OUTER_MARK))
        assert inner > outer > mark


def test_progress_is_kept_and_a_file_of_something_else_is_left_alone(tmp_path):
    path = tmp_path / "apprentice 1.json"
    assert progress_from_file(path) == ()
    one = Done("marks", 12, 1, 4, True, "2026-01-02")
    assert add_to_file(path, one) == (one,)
    other = replace(one, seed=13, habits=("the start is taken for the end",))
    assert add_to_file(path, other) == (one, other) == progress_from_file(path)
    held = json.loads(path.read_text())
    for text in ("", "{", "[]", "null", "[" * 3000, json.dumps({**held, "format": 9}), json.dumps({"format": FORMAT}),
                 json.dumps({"format": FORMAT, "done": [{"kind": "marks"}]}),
                 json.dumps({"format": FORMAT, "done": [{**held["done"][0], "level": "<b>"}]})):  # fmt: skip
        path.write_text(text)
        with pytest.raises(BendError):
            add_to_file(path, one)
        assert path.read_text() == text
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(BendError, match="must be a file of progress"):
        progress_from_file(path)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system starts no process as a copy of another")
@pytest.mark.filterwarnings("ignore:.*multi-threaded.*fork:DeprecationWarning")
def test_two_processes_of_60_tries_each_leave_all_120_in_the_file(tmp_path):
    path = tmp_path / "apprentice 1.json"
    children = []
    for start in (0, 1000):
        child = os.fork()
        if child == 0:
            ended = 1
            try:
                for seed in range(start, start + 60):
                    add_to_file(path, Done("marks", seed, 1, 4, True, "2026-01-02"))
                ended = 0
            finally:
                os._exit(ended)
        children.append(child)
    assert [os.waitpid(child, 0)[1] for child in children] == [0, 0]
    seeds = [one.seed for one in progress_from_file(path)]
    assert sorted(seeds) == [*range(60), *range(1000, 1060)]
    assert [seed for seed in seeds if seed < 1000] == list(range(60))


def _answer(panel, right=True):
    for (box, row), question in zip(panel.entries, panel.exercise.questions, strict=True):
        wrong = next(iter(question.habits)).value if question.habits else 1.5 * question.answer
        box.value = str(question.answer if right else wrong)
        row.children[1].children[2].click()


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_an_exercise_is_done_in_the_panel_and_kept(kind, tmp_path):
    panel = PracticePanel(tmp_path, seed=5)
    panel.kind.value = kind.name
    assert panel.solution.disabled
    assert panel.worked.value == ""
    assert "You have done none of this kind yet" in panel.kept.value
    assert "right at first" not in panel.kept.value
    _answer(panel)
    assert panel.finished
    assert [one.first_try for one in progress_from_file(panel.path)] == [True]
    assert "1 of them was right at first" in panel.kept.value


def test_the_solution_comes_after_a_try_at_every_step_and_then_it_no_longer_counts(tmp_path):
    panel = PracticePanel(tmp_path, seed=5)
    answers = [box for box, _ in panel.entries]
    answers[0].value = "far too much to be a try"
    panel.entries[0][1].children[1].children[2].click()
    assert "Try it first" in panel.entries[0][1].children[2].value
    assert panel.solution.disabled
    _answer(panel, right=False)
    assert "The usual mistake: " in panel.entries[1][1].children[2].value
    assert not panel.solution.disabled
    assert not panel.finished
    panel.solution.click()
    assert "Worked" in panel.worked.value
    _answer(panel)
    assert [one.first_try for one in progress_from_file(panel.path)] == [False]


def test_another_exercise_another_level_and_a_seed_that_is_none(tmp_path):
    panel = PracticePanel(tmp_path, seed=5)
    for _ in range(2):
        _answer(panel)
        panel.another.click()
    assert panel.exercise.level == 2
    before = panel.exercise
    panel.seed.value = "many"
    assert "Type one from 0 to 999999: seed must be a whole number" in panel.message.value
    assert panel.exercise == before
    panel.seed.value = "77"
    assert panel.exercise.seed == 77


def test_a_name_is_no_path_and_no_html(tmp_path):
    panel = PracticePanel(tmp_path / "progress", seed=5)
    panel.who.value = "../../<b>me</b>"
    assert panel.path.parent == tmp_path / "progress"
    assert panel.exercise.level == 1
    _answer(panel)
    assert [path.parent for path in tmp_path.rglob("*.json")] == [tmp_path / "progress"]
    panel.kind.value = "order"
    box = panel.entries[0][0]
    assert box.value == CHOOSE


@pytest.mark.parametrize(("name", "size"), [*((name, "A4") for name in BY_NAME), (next(iter(BY_NAME)), "Letter")])
def test_a_class_sheet_has_a_page_for_the_teacher_and_one_for_each(name, size):
    sheet = ClassSheet(name, 31, 3, 4)  # as many rows as pages are looked at; a class of 24 is below
    pages = class_sheet_pages(sheet, size)
    assert len(pages) == 5
    told = [text.get_text() for text in pages[0].axes.texts]
    seeds = [one.seed for one in sheet.exercises()]
    assert len(set(seeds)) == 4
    assert all(code_of(one) in told for one in sheet.exercises())
    for page in pages:
        lowest = max(text.get_position()[1] for text in page.axes.texts)
        assert lowest < page.height - 6.0
    answers = [answer_text(one.questions[1]) for one in sheet.exercises()]
    numbers = [answer for answer in answers if answer[0].isdigit()]
    assert all(answer in told for answer in numbers)
    handed_out = [text.get_text() for text in pages[1].axes.texts]
    if numbers:
        assert answers[0] not in handed_out


def test_a_class_of_24_is_on_one_page_of_the_teacher_with_a_seed_for_each():
    sheet = ClassSheet("faulty bend", 31, 3, 24)  # the longest answers
    pages = class_sheet_pages(sheet, "Letter")
    assert len(pages) == 25
    assert len({one.seed for one in sheet.exercises()}) == 24
    assert max(text.get_position()[1] for text in pages[0].axes.texts) < pages[0].height - 6.0


LATER = {
    "marks": r"finished radius",
    "rise": r"finished radius|riser straight \d+\.\d",
    "die": r"by finished radius",
    "slip": r"deg too far",
    "pair": r"springs back by [\d.]+ %",
    "reading": r"On the level tube in the hook",
    "finder": r"inner bends of [\d.]+ deg",
    "direction": r"sweep back by [\d.]+ deg",
    "order": r"behind the bend: [\d.]+ mm",
    "stop": r"start of the outer bend",
    "faulty bend": r"[Uu]psweep",
    "cope": r"At that height the axes of the risers are",
    "record": r"outer mark \d",
    "print": r"measures [\d.]+ mm",
    "hands": r"to the ground",
    "moment": r"swept back by 0\.0 deg",
}
"""What a beginner is given of each kind, and what later follows from other numbers."""


@pytest.mark.parametrize("name", BY_NAME)
def test_a_zero_has_no_sign_in_what_is_given(name):
    given = [line for level in LEVELS for made in of_level(name, level) for line in made.given]
    assert not [line for line in given if re.search(r"[+-]0 deg", line)]


@pytest.mark.parametrize("name", BY_NAME)
def test_no_zero_has_a_minus_anywhere_in_an_exercise(name):
    for made in every_seed(name):
        asked = [words for q in made.questions for words in (q.text, *q.hints(1), *(habit.words for habit in q.habits))]
        said = [*made.given, *asked, *made.solution]
        assert [words for words in said if re.search(r"(?<![\d.])-0(\.0+)?(?![.\d])", words)] == []


@pytest.mark.parametrize("name", BY_NAME)
def test_a_printed_answer_is_right_when_somebody_types_it(name):
    """An apprentice compares with the solution, and a teacher with the page of answers."""
    for made in every_seed(name):
        for question in made.questions:
            printed = answer_text(question)
            assert check(question, printed.removeprefix("about ")).right, (made.seed, made.level, printed)


@pytest.mark.parametrize("name", BY_NAME)
def test_levels_grow_by_fewer_givens_then_by_one_step_more_with_less_help_and_longer_sums(name):
    said = {}
    for level in LEVELS:
        each = of_level(name, level)
        said[level] = [" ".join((*made.given, *(question.text for question in made.questions))) for made in each]
        assert {len(made.questions) for made in each} == {4 if level == 3 else 3}
        assert {len(q.hints(level)) for made in each for q in made.questions if not q.choices} <= {4 - level, 3 - level}
    assert all(re.search(LATER[name], words) for words in said[1])
    assert not any(re.search(LATER[name], words) for words in said[2] + said[3])
    sums = {
        level: np.mean([
            sum(len(re.findall(r"\d+(?:\.\d+)?", q.numbers)) for q in made.questions) for made in of_level(name, level)
        ])
        for level in LEVELS
    }  # fmt: skip
    assert sums[3] > sums[1] or not any(q.numbers for q in of_level(name, 1)[0].questions)


READ_WITH_ERROR = {
    "pair": r"three readings say that it sprang back to ([\d., ]+) and ([\d.]+) deg",
    "stop": r"three readings say that it sprang back to ([\d., ]+) and ([\d.]+) deg",
    "record": r"rise ([\d.]+) mm left and ([\d.]+) mm right",
    "reading": r"shows \+?(-?[\d.]+) deg. Turned end for end on the same place, it shows \+?(-?[\d.]+) deg",
}


@pytest.mark.parametrize("name", READ_WITH_ERROR)
def test_readings_at_the_last_level_differ_by_their_error(name):
    for made in of_level(name, 3):
        words = " ".join((*made.given, *(question.text for question in made.questions)))
        found = re.search(READ_WITH_ERROR[name], words)
        read = {float(one) for part in found.groups() for one in part.split(", ")}
        assert len(read) > 1
        assert max(read) - min(read) <= 1.5


def test_bars_of_two_stops_come_at_the_last_level():
    for name in ("marks", "slip", "direction", "faulty bend", "hands"):
        assert all(made.recipe.inner_bend_deg == made.recipe.outer_bend_deg for made in of_level(name, 2))
        for made in of_level(name, 3):
            assert abs(made.recipe.inner_bend_deg - made.recipe.outer_bend_deg) >= 2.0
            assert 0.0 <= shape_from_recipe(made.recipe).upsweep_deg <= 8.0


@pytest.fixture(scope="module")
def two_apprentices(tmp_path_factory):
    beginner = PracticePanel(tmp_path_factory.mktemp("one"), seed=5)
    old_hand = PracticePanel(tmp_path_factory.mktemp("other"), seed=6)
    for _ in range(4):  # levels of their own, up to 3
        _answer(old_hand)
        old_hand.another.click()
    return beginner, old_hand


@pytest.mark.parametrize("name", BY_NAME)
@pytest.mark.parametrize("level", [1, 3])
def test_the_code_of_a_class_sheet_gives_every_apprentice_the_exercise_of_the_teacher_s_page(
    name, level, two_apprentices
):
    (sheet,) = ClassSheet(name, 31, level, 1).exercises()
    for panel in two_apprentices:
        panel.seed.value = f" {code_of(sheet).upper()} "
        assert panel.exercise == sheet
        assert panel.kind.value == name
        assert code_of(sheet) in panel.given.value
        _answer(panel)
        assert progress_from_file(panel.path)[-1].level == level
        panel.another.click()
        assert panel.exercise.seed != sheet.seed


def test_after_a_code_another_kind_comes_at_the_apprentice_s_own_level(tmp_path):
    panel = PracticePanel(tmp_path, seed=5)
    panel.seed.value = "die 3 31"
    assert (panel.exercise.kind, panel.exercise.level) == ("die", 3)
    panel.kind.value = "rise"
    assert (panel.exercise.kind, panel.exercise.level, panel.exercise.seed) == ("rise", 1, 31)
    before = panel.exercise
    for wrong in ("juggling-1-31", "die-4-31", "die-1-x", "die-31", "-1"):
        panel.seed.value = wrong
        assert "Not taken" in panel.message.value
        assert panel.exercise == before


def test_equal_class_sheets_give_equal_bytes():
    assert class_sheet_pdf(ClassSheet("marks", 1, 1, 2)) == class_sheet_pdf(ClassSheet("marks", 1, 1, 2))


def test_a_wrong_answer_is_put_down_to_the_nearest_habit():
    question = numeric(
        "compute", "How long?", "mm", 50.0, 1.0, (0.0, 100.0), ((60.0, "the first"), (61.5, "the second"))
    )
    assert [check(question, text).habit for text in ("60.2", "61.3", "60.9", "70")] == [
        "the first", "the second", "the second", ""
    ]  # fmt: skip


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("level", [1, 2, 3])
def test_an_ordinate_rounded_to_half_a_millimetre_is_right(seed, level):
    asked = [one for one in cope("cope", "08", seed, level).questions if "ordinate at station" in one.text]
    assert len(asked) == (2 if level == 3 else 1)
    for question in asked:
        assert check(question, f"{round(2.0 * float(question.answer)) / 2.0:.1f}").right


@pytest.mark.parametrize("level", LEVELS)
def test_the_bars_of_exercises_have_the_clamp_flat_and_the_controls_of_the_shop_s_own_order(level):
    order = scene(dice("any", 3, level), level).order
    assert (order.clamp_flat_mm, order.controls_mm) == (ORDER.clamp_flat_mm, ORDER.controls_mm)


def test_of_three_pairs_only_the_right_one_makes_the_rise_with_an_upsweep_that_is_accepted():
    for made in every_seed("pair")[:60]:
        rise = float(made.given[0].split("rise ")[1].split()[0])
        suits = {}
        for line in made.given[2:5]:
            name = line.split(":")[0]
            _, outer, low, high, upsweep = map(float, re.findall(r"-?\d+(?:\.\d+)?", line))
            suits[name] = low <= rise <= high and 0.0 <= upsweep <= 8.0, outer
        assert [name for name, (fits, _) in suits.items() if fits] == [made.questions[1].answer]
        shape = shape_from_recipe(made.recipe)
        assert shape.rise_mm == pytest.approx(rise, abs=1e-9)
        assert 0.0 <= shape.upsweep_deg <= 8.0
        numbers = [float(one) for one in re.findall(r"\d+\.\d+", made.given[5])]
        share = numbers[0] / 100.0 if made.level == 1 else 1.0 - np.mean(numbers[1:]) / numbers[0]
        assert made.questions[2].answer == pytest.approx(suits[made.questions[1].answer][1] / (1.0 - share))
        swapped = [habit for habit in made.questions[2].habits if "you swap" in habit.words]
        assert swapped[0].value == pytest.approx(made.recipe.inner_bend_deg / (1.0 - share))


def test_the_finder_of_two_stops_is_never_set_to_the_sweep():
    for made in every_seed("finder")[:90]:
        recipe = made.recipe
        reading = np.degrees(
            np.arcsin(np.sin(np.radians(recipe.inner_bend_deg)) * np.sin(np.radians(float(recipe.roll_deg))))
        )
        assert made.questions[1].answer == pytest.approx(reading, abs=1e-9)
        habits = {habit.words: habit.value for habit in made.questions[1].habits}
        sweep = habits["you set the finder to the sweep, which is right only with equal bends"]
        assert sweep == pytest.approx(shape_from_recipe(recipe).backsweep_deg, abs=1e-9)
        assert abs(reading - sweep) > 0.6
        asks_the_finder = made.questions[0].text.startswith("The reading")
        assert made.questions[0].answer == ("more than" if (reading > sweep) == asks_the_finder else "less than")


def test_from_the_second_level_on_the_finished_radius_of_the_marks_follows_from_the_die():
    for seed in range(30):
        first, later = exercise("marks", seed, 1), exercise("marks", seed, 2)
        assert "finished radius" in first.given[0]
        assert "finished radius" not in later.given[0]
        die, share = (float(one) for one in re.search(r"die of ([\d.]+) mm, with ([\d.]+) %", later.given[0]).groups())
        assert die / (1.0 - share / 100.0) == pytest.approx(float(later.recipe.radius_mm), abs=0.06)


@pytest.mark.parametrize("name", sorted(KINDS_IN_INCHES))
def test_at_the_last_level_half_of_the_exercises_give_inches_and_take_them(name):
    inches = [made for made in of_level(name, 3) if ANSWER in made.given]
    assert 7 <= len(inches) <= 23  # three standard deviations of an even draw
    for made in inches:
        plain = BY_NAME[name].make(name, made.lesson, made.seed, 3)
        lengths = [float(one) for line in plain.given for one in re.findall(r"(-?\d+(?:\.\d+)?) mm\b", line)]
        shown = [25.4 * float(one) for line in made.given for one in re.findall(r"(-?\d+\.\d+) in\b", line)]
        assert shown == pytest.approx(lengths, abs=0.013)
        assert made.questions == plain.questions
        for question in made.questions:
            if question.unit == "mm":
                assert check(question, f"{question.answer / 25.4:.4f} in").right
    assert not [made for made in of_level(name, 2) if ANSWER in made.given]


def test_a_wrong_answer_to_one_more_question_is_the_sum_that_its_words_describe():
    # by hand: 400 MPa x 500 mm3 / 250 mm = 800 N; with 600 MPa 1200 N; with an arm of 500 mm 400 N
    force = force_at((400.0, 600.0), (500.0, "500"), (250.0, "250"))
    assert force.answer == 800.0
    assert {habit.words: habit.value for habit in force.habits} == {
        "you use the high end of the band": 1200.0, "you count the lever arm twice": 400.0,
    }  # fmt: skip
    ordinate = other_ordinate(90.0, 7.0, 3.0, "7")
    assert {habit.words: habit.value for habit in ordinate.habits} == {
        "you use the station of the question before": 3.0, "you use the diameters, not the radii": 14.0,
    }  # fmt: skip
