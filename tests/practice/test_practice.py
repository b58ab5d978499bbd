"""Exercises: solvable, fair, and checked with right, nearly right and typically wrong answers over 500 seeds each."""

import json
import os
import re
from dataclasses import replace

import numpy as np
import pytest

from barmath import BendError, Recipe, cope_ordinates_mm, marks_from_recipe, shape_from_recipe
from barmath.panels.practice import CHOOSE, PracticePanel
from barmath.paper.class_sheet import ClassSheet, class_sheet_pages, class_sheet_pdf
from barmath.practice.course import BY_NAME, KINDS, code_of, exercise
from barmath.practice.exercise import COMPUTE, ESTIMATE, STEPS, answer_text, check, numeric, worked
from barmath.practice.finishing_work import cope
from barmath.practice.progress import FORMAT, Done, add_to_file, level_after, progress_from_file
from barmath.practice.scene import LEVELS, dice, scene
from barmath.shop.order_seven import ORDER

SEEDS = range(500)


@pytest.mark.parametrize("name", BY_NAME)
def test_over_500_seeds_every_answer_is_judged_as_it_should_be(name):
    without_habit = 0
    for seed in SEEDS:
        made = exercise(name, seed, 1 + seed % 3)
        assert [question.step for question in made.questions] == list(STEPS)
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
            without_habit += question.step != ESTIMATE and not question.habits
    assert without_habit == 0


def _judge_numbers(question, seed):
    answer, tolerance = question.answer, question.tolerance
    assert question.low <= answer <= question.high
    for side in (-1.0, 1.0):
        near = answer + side * 2.0 * tolerance
        if question.low <= near <= question.high:
            verdict = check(question, repr(near))
            assert verdict.nearly, (seed, question.text)
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
    assert len({exercise(name, seed, 3).given + exercise(name, seed, 3).solution for seed in range(30)}) > 15


@pytest.mark.parametrize("name", BY_NAME)
def test_no_verdict_tells_the_answer_and_the_solution_does(name):
    for seed in range(60):
        made = exercise(name, seed, 3)
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


def test_marks_and_rise_are_what_the_package_says():
    for seed in range(100):
        made = exercise("marks", seed, 3)
        at = marks_from_recipe(made.recipe)
        assert made.questions[1].answer == pytest.approx(at.inner_end_mm)
        assert made.questions[2].answer == pytest.approx(at.outer_start_mm)
        given = exercise("rise", seed, 1)
        words = given.given[0].split()
        bend, radius, straight = (float(words[k]) for k in (7, 14, 18))
        flat = Recipe(50.0, bend, straight, 0.0, bend, 200.0, radius)
        assert given.questions[1].answer == pytest.approx(shape_from_recipe(flat).rise_mm, abs=1e-6)


def test_the_tip_of_a_cope_is_its_shortest_ordinate():
    made = exercise("cope", 3, 1)
    words = made.given[0].replace(";", "").split()
    branch, header, angle = float(words[3]), float(words[9]), float(words[14])
    z = cope_ordinates_mm(branch, header, angle, np.arange(361.0))
    axis = float(made.questions[2].text.split(" it is ")[1].split()[0])
    assert made.questions[2].answer == pytest.approx(axis - 2.0 * z.min(), abs=1e-6)


def test_a_habit_that_cannot_be_told_apart_is_left_out():
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
        (lambda: exercise("juggling", 1), "exercise must be one of marks"),
        (lambda: exercise("marks", -1), "seed must be at least 0.0"),
        (lambda: exercise("marks", 1.5), "seed must be a whole number"),
        (lambda: exercise("marks", 1, 4), "level must be at most 3.0"),
        (lambda: ClassSheet("marks", 1, 1, 25), "apprentices must be at most 24.0"),
        (lambda: ClassSheet("marks", 1, 1, 2.5), "apprentices must be a whole number"),
        (lambda: Done("marks", 1, 1, 1, "yes", "2026-01-02"), "first try must be true or false"),
        (lambda: Done("juggling", 1, 1, 1, True, "2026-01-02"), "exercise must be one of"),
    ],
)
def test_what_is_no_exercise_is_refused(ask, words):
    with pytest.raises(BendError) as refused:
        ask()
    assert str(refused.value).startswith(words)


def test_the_level_grows_with_success_and_falls_with_failure():
    right, wrong = (Done("marks", 1, 1, 3, ok, "2026-01-02") for ok in (True, False))
    other = replace(right, kind="rise")
    assert level_after((), "marks") == 1
    assert level_after((right,), "marks") == 1
    assert level_after((right, right), "marks") == 2
    assert level_after((right, other, right, right, right), "marks") == 3
    assert level_after((right,) * 10, "marks") == 3
    assert level_after((right, right, wrong, right, wrong, wrong), "marks") == 1
    assert level_after((wrong,) * 5, "marks") == 1
    assert level_after((right, right), "rise") == 1


def test_progress_is_kept_and_a_file_of_something_else_is_left_alone(tmp_path):
    path = tmp_path / "apprentice 1.json"
    assert progress_from_file(path) == ()
    one = Done("marks", 12, 1, 4, True, "2026-01-02")
    assert add_to_file(path, one) == (one,)
    assert add_to_file(path, one) == (one, one) == progress_from_file(path)
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
        wrong = next(iter(question.habits)).value if question.habits else question.low
        box.value = str(question.answer if right else wrong)
        row.children[1].children[-1].click()


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_an_exercise_is_done_in_the_panel_and_kept(kind, tmp_path):
    panel = PracticePanel(tmp_path, seed=5)
    panel.kind.value = kind.name
    assert panel.solution.disabled
    assert panel.worked.value == ""
    _answer(panel)
    assert panel.finished
    assert [one.first_try for one in progress_from_file(panel.path)] == [True]
    assert "1 of them right at the first try" in panel.kept.value


def test_the_solution_comes_after_a_try_at_every_step_and_then_it_no_longer_counts(tmp_path):
    panel = PracticePanel(tmp_path, seed=5)
    answers = [box for box, _ in panel.entries]
    answers[0].value = "far too much to be a try"
    panel.entries[0][1].children[1].children[-1].click()
    assert "Try it first" in panel.entries[0][1].children[2].value
    assert panel.solution.disabled
    _answer(panel, right=False)
    assert "That is what comes out when" in panel.entries[1][1].children[2].value
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
    assert "seed must be a whole number from 0 to 999999" in panel.message.value
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


@pytest.mark.parametrize("name", BY_NAME)
@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_a_class_sheet_has_a_page_for_the_teacher_and_one_for_each(name, size):
    sheet = ClassSheet(name, 31, 3, 24)
    pages = class_sheet_pages(sheet, size)
    assert len(pages) == 25
    told = [text.get_text() for text in pages[0].axes.texts]
    seeds = [one.seed for one in sheet.exercises()]
    assert len(set(seeds)) == 24
    assert all(code_of(one) in told for one in sheet.exercises())
    for page in pages[:4]:
        lowest = max(text.get_position()[1] for text in page.axes.texts)
        assert lowest < page.height - 6.0
    answers = [answer_text(one.questions[1]) for one in sheet.exercises()]
    numbers = [answer for answer in answers if answer[0].isdigit()]
    assert all(answer in told for answer in numbers)
    handed_out = [text.get_text() for text in pages[1].axes.texts]
    if numbers:
        assert answers[0] not in handed_out


@pytest.mark.parametrize("name", BY_NAME)
@pytest.mark.parametrize("level", [1, 3])
def test_the_code_of_a_class_sheet_gives_every_apprentice_the_exercise_of_the_teacher_s_page(name, level, tmp_path):
    (sheet,) = ClassSheet(name, 31, level, 1).exercises()
    beginner, old_hand = PracticePanel(tmp_path / "one", seed=5), PracticePanel(tmp_path / "other", seed=6)
    for _ in range(4):  # levels of their own, up to 3
        _answer(old_hand)
        old_hand.another.click()
    for panel in (beginner, old_hand):
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
    (question,) = [one for one in cope("cope", "08", seed, level).questions if "ordinate at station" in one.text]
    assert check(question, f"{round(2.0 * float(question.answer)) / 2.0:.1f}").right


@pytest.mark.parametrize("level", LEVELS)
def test_the_bars_of_exercises_have_the_clamp_flat_and_the_controls_of_the_shop_s_own_order(level):
    order = scene(dice("any", 3, level), level).order
    assert (order.clamp_flat_mm, order.controls_mm) == (ORDER.clamp_flat_mm, ORDER.controls_mm)


def test_of_three_pairs_only_the_right_one_makes_the_rise_with_an_upsweep_that_is_accepted():
    for seed in range(60):
        made = exercise("pair", seed, 1 + seed % 3)
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
        share = float(made.given[5].split("by ")[1].split()[0]) / 100.0
        assert made.questions[2].answer == pytest.approx(suits[made.questions[1].answer][1] / (1.0 - share))
        swapped = [habit for habit in made.questions[2].habits if "swapped" in habit.words]
        assert swapped[0].value == pytest.approx(made.recipe.inner_bend_deg / (1.0 - share))


def test_the_finder_of_two_stops_is_never_set_to_the_sweep():
    for seed in range(100):
        made = exercise("finder", seed, 1 + seed % 3)
        recipe = made.recipe
        reading = np.degrees(
            np.arcsin(np.sin(np.radians(recipe.inner_bend_deg)) * np.sin(np.radians(float(recipe.roll_deg))))
        )
        assert made.questions[1].answer == pytest.approx(reading, abs=1e-9)
        habits = {habit.words: habit.value for habit in made.questions[1].habits}
        sweep = habits["the finder is set to the sweep, which is right only with equal bends"]
        assert sweep == pytest.approx(shape_from_recipe(recipe).backsweep_deg, abs=1e-9)
        assert abs(reading - sweep) > 0.6
        assert made.questions[0].answer == ("more than" if reading > sweep else "less than")
