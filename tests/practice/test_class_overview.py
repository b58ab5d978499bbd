"""A class of twelve, from the panel of practice through its files to the teacher's page."""

import json
import os
import random
import subprocess
import sys
from collections import defaultdict

import pytest
from conftest import ROOT
from practice.test_practice import _answer

from barmath import BendError
from barmath.panels.practice import PracticePanel
from barmath.panels.teacher import TeacherPanel
from barmath.paper.class_overview import overview_pages, overview_pdf
from barmath.practice.class_overview import delete, overview_of, progress_of_folder, put_away
from barmath.practice.course import KINDS, code_of, exercise
from barmath.practice.progress import Done, add_to_file, progress_from_file
from barmath.saving import make_folder

PRACTISED = ("marks", "rise", "stop")
ONE = Done("marks", 12, 1, 1, True, "2026-01-02")


@pytest.fixture(scope="module")
def class_of_twelve(tmp_path_factory):
    """The folder of a class, and every exercise that was done in it, written down beside: who, kind, right at once."""
    folder = tmp_path_factory.mktemp("progress")
    dice, log = random.Random(23), []
    for number in range(1, 13):
        panel = PracticePanel(folder, seed=number)
        panel.who.value = f"apprentice {number}"
        for kind in PRACTISED:
            panel.kind.value = kind
            for seed in dice.sample(range(1000), dice.randint(0, 4)):
                panel.seed.value = str(seed)
                right, level = dice.random() < 0.6, panel.exercise.level
                habits = []
                if not right:
                    habits = [q.habits[0].words for q in panel.exercise.questions if q.habits]
                    _answer(panel, right=False)
                _answer(panel)
                assert panel.finished
                log.append((panel.who.value, kind, level, right, habits))
    return folder, log


def test_the_teacher_s_page_has_the_numbers_of_a_plain_count(class_of_twelve):
    folder, log = class_of_twelve
    progress, left_out = progress_of_folder(folder)
    overview = overview_of(progress)
    assert not left_out
    assert sum(len(done) for done in progress.values()) == len(log) > 40
    assert set(overview.names) == {who for who, *_ in log}
    printed = [text.get_text() for text in overview_pages(overview)[0].axes.texts]
    for name in overview.names:
        for kind in PRACTISED:
            own = [right for who, what, _, right, _ in log if (who, what) == (name, kind)]
            at = overview.standings.get((name, kind))
            assert (at.done, at.first) == (len(own), sum(own)) if own else at is None
            if own:
                assert at.level == _level(own)
                assert f"{sum(own)}/{len(own)}" in printed
    for kind in PRACTISED:
        every = [right for _, what, _, right, _ in log if what == kind]
        assert (overview.whole[kind].done, overview.whole[kind].first) == (len(every), sum(every))
        assert f"{100 * sum(every) / len(every):.0f} %" in printed
    people = defaultdict(set)
    for who, kind, _, _, habits in log:
        for words in habits:
            people[kind, words].add(who)
    found = {(one.kind, one.words): one.apprentices for one in overview.habits}
    assert found == {key: len(names) for key, names in people.items()}
    assert overview.habits[0].apprentices == max(map(len, people.values()))
    assert overview.habits[0].words in printed


def _level(right):
    # by hand: up after two right, down after two wrong, from 1 to 3
    level, row = 1, []
    for one in right:
        row = [*row, one] if row[-1:] == [one] else [one]
        if len(row) == 2:
            level, row = min(max(level + (1 if one else -1), 1), 3), []
    return level


def test_the_page_prints_and_more_than_twelve_take_another(class_of_twelve):
    overview = overview_of(progress_of_folder(class_of_twelve[0])[0])
    assert len(overview_pages(overview, "Letter")) == 1
    assert overview_pdf(overview) == overview_pdf(overview)
    more = overview_of({f"apprentice {number}": (ONE,) for number in range(1, 26)})
    assert more.names[:3] == ("apprentice 1", "apprentice 2", "apprentice 3")
    assert more.names[-1] == "apprentice 25"
    assert len(overview_pages(more)) == 3
    assert len(overview_pages(overview_of({}))) == 1
    full = {"a": tuple(Done(kind.name, 1, 1, 1, False, "2026-01-02", ("one " * 60,)) for kind in KINDS)}
    for size in ("A4", "Letter"):
        (page,) = overview_pages(overview_of(full), size)
        *rest, last = sorted(text.get_position()[1] for text in page.axes.texts)
        assert rest[-1] < last < page.height - 6.0


def test_the_folders_of_a_hub_are_read_each_apprentice_once_and_nothing_there_can_be_deleted(tmp_path):
    for user, name in (("ada", "me"), ("bo", "me"), ("cy", "other")):
        add_to_file(make_folder(tmp_path / user / "progress") / f"{name}.json", ONE)
    add_to_file(make_folder(tmp_path / "ada" / "progress" / "put away") / "old.json", ONE)
    add_to_file(tmp_path / "own.json", ONE)
    progress, left_out = progress_of_folder(tmp_path)
    assert progress == dict.fromkeys(("own", "me (ada)", "me (bo)", "other"), (ONE,))
    assert not left_out
    panel = TeacherPanel(tmp_path)
    assert set(panel.overview.names) == set(progress)
    assert panel.who.options == ("own",)
    for act in (put_away, delete):
        with pytest.raises(BendError, match="choose one of the files in the folder"):
            act(tmp_path, "other")


def test_a_file_of_something_else_is_named_and_the_others_are_read(tmp_path):
    add_to_file(tmp_path / "me.json", ONE)
    (tmp_path / "shopping.json").write_text("[]")
    progress, left_out = progress_of_folder(tmp_path)
    assert progress == {"me": (ONE,)}
    assert len(left_out) == 1
    assert left_out[0].startswith("Choose another name: shopping.json must be a file of progress")
    panel = TeacherPanel(tmp_path)
    assert "shopping.json" in panel.message.value


def test_a_file_is_put_away_only_after_yes_and_kept_with_the_one_of_before(tmp_path):
    for _ in range(2):
        bare = {"kind": "marks", "seed": 1, "level": 1, "tries": 1, "first_try": True, "day": "2026-01-02"}
        (tmp_path / "me.json").write_text(json.dumps({"format": 1, "done": [bare]}))
        add_to_file(tmp_path / "me.json", ONE)
        panel = TeacherPanel(tmp_path)
        panel.put_away.click()
        assert "me" in panel.question.value
        panel.no.click()
        panel.yes.click()
        assert (tmp_path / "me.json").exists()
        panel.put_away.click()
        panel.yes.click()
        assert not (tmp_path / "me.json").exists()
        assert "put away" in panel.message.value
        assert panel.overview.names == ()
    kept = sorted(path.name for path in (tmp_path / "put away").iterdir())
    assert kept == ["me 2.json", "me 2.json.before", "me.json", "me.json.before"]
    assert len(progress_from_file(tmp_path / "put away" / "me.json")) == 2


def test_a_file_is_deleted_only_after_yes_and_nothing_else_is(tmp_path):
    for name in ("me", "you"):
        add_to_file(tmp_path / f"{name}.json", ONE)
    panel = TeacherPanel(tmp_path)
    panel.who.value = "me"
    panel.delete.click()
    panel.who.value = "you"  # another file: the question was about the first
    panel.yes.click()
    assert (tmp_path / "you.json").exists()
    panel.delete.click()
    assert "Nobody can bring it back" in panel.question.value
    panel.yes.click()
    assert panel.overview.names == ("me",)
    assert not [path.name for path in tmp_path.iterdir() if "you" in path.name]


@pytest.mark.parametrize("name", ["../me", "put away/me", "", "nobody", ".hidden"])
def test_a_name_that_is_no_file_of_the_folder_is_refused(name, tmp_path):
    inside = tmp_path / "progress"
    inside.mkdir()
    add_to_file(tmp_path / "me.json", ONE)
    for act in (put_away, delete):
        with pytest.raises(BendError, match="choose one of the files in the folder"):
            act(inside, name)
    assert (tmp_path / "me.json").exists()


def test_a_name_on_the_teacher_s_panel_is_no_html(tmp_path):
    panel = PracticePanel(tmp_path, seed=5)
    panel.who.value = "<b>me</b> & you"
    _answer(panel)
    shown = TeacherPanel(tmp_path).tables.value
    assert "<b>me" not in shown


def test_a_code_is_the_same_exercise_in_another_process():
    words = (
        "from barmath.practice import exercise, code_of\nfrom barmath.practice.course import KINDS\n"
        "for kind in KINDS:\n    made = exercise(kind.name, 31, 3)\n    print(code_of(made), hash_of(made))\n"
    ).replace("hash_of(made)", "made.given, [q.answer for q in made.questions], [q.choices for q in made.questions]")
    asked = {**os.environ, "PYTHONHASHSEED": "12345", "PYTHONPATH": str(ROOT)}
    told = subprocess.run([sys.executable, "-c", words], capture_output=True, text=True, check=True, env=asked)
    here = []
    for kind in KINDS:
        made = exercise(kind.name, 31, 3)
        answers, choices = [q.answer for q in made.questions], [q.choices for q in made.questions]
        here.append(f"{code_of(made)} {made.given} {answers} {choices}")
    assert told.stdout.splitlines() == here


def test_no_notebook_of_an_apprentice_has_a_teacher_s_panel():
    for path in (ROOT / "notebooks").rglob("[0-9]*.ipynb"):
        text = path.read_text(encoding="utf-8")
        if not path.name.startswith("15"):
            assert "class_sheet_panel" not in text
            assert "teacher_panel" not in text
