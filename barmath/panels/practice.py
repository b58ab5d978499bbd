"""The panel of practice: an exercise from a seed, checked step by step; the worked solution after an honest try."""

from __future__ import annotations

import datetime
import random
from html import escape
from pathlib import Path

import ipywidgets as widgets

from barmath.glossary.of_the_bar import views_of_bar
from barmath.panels.entry import button, choice_row, labelled_row, text_row
from barmath.panels.markup import bullets, heading, paragraph
from barmath.panels.shell import Shell, guarded, heard, kept, put_instead, settled
from barmath.pictures.sketch import sketch_svg
from barmath.practice.course import KINDS, LARGEST_SEED, code_from_text, code_of, exercise, seed_from_text
from barmath.practice.exercise import Exercise, Question, check, worked
from barmath.practice.progress import MOST_HABITS, Done, add_to_file, each_once, level_after, progress_from_file
from barmath.saving import file_name, make_folder, real_path
from barmath.shop.cautions import GLASSES, NEAR_JOINT, PLANNING

CHOOSE = "choose one"
PICTURE = (424.0, 150.0)
"""Width and height of each view of the bar, pixels: two are as wide as the panel."""


class PracticePanel(Shell):
    """Exercises for one apprentice.

    Attributes
    ----------
    exercise : Exercise
    tries : dict of step to what was answered last
    """

    cautions = (*PLANNING, GLASSES, NEAR_JOINT)

    fits, refused = "Right", "Not done"

    def __init__(self, folder: str | Path, seed: int | None = None) -> None:
        super().__init__()
        self.folder = Path(folder)
        names = [(f"{kind.lesson}: {kind.words}", kind.name) for kind in KINDS]
        self.kind, kind_row = choice_row("Exercise", names, KINDS[0].name, self._renew)
        start = random.randrange(LARGEST_SEED) if seed is None else seed
        self.seed, seed_row = text_row("Code or seed", str(start), self._renew, _seed_or_code)
        self.who, who_row = text_row("Your name", "apprentice 1", self._renew)
        self.another = button("Another one", self._another)
        self.given, self.kept = widgets.HTML(), widgets.HTML()
        self.steps = widgets.VBox([])
        self.solution = button("Show the worked solution", self._solve)
        self.worked = widgets.HTML()
        self.box.layout.max_width = "860px"
        self.fill(who_row, kind_row, seed_row, self.another, self.kept, self.given, self.steps, self.message,
                  self.solution, self.worked)  # fmt: skip
        self._begin()

    @property
    def path(self) -> Path:
        """The file of this apprentice's progress."""
        return self.folder / file_name(self.who.value.strip() or "apprentice", ".json")

    def _begin(self) -> None:
        done = progress_from_file(self.path)
        code = code_from_text(self.seed.value)
        if code:
            with self.writing():
                self.kind.value = code[0]
            level, seed = code[1:]
        else:
            level, seed = level_after(done, self.kind.value), seed_from_text(self.seed.value)
        self.exercise = made = exercise(self.kind.value, seed, level)
        self.tries: dict[str, str] = {}
        self.honest: dict[str, int] = {}
        self.habits: dict[str, None] = {}
        self.far: dict[str, int] = {}
        self.hinted: dict[str, int] = {}
        self.firsts: dict[str, bool] = {}
        self.finished = self.shown = False
        self.message.value = self.worked.value = ""
        self.solution.disabled = True
        self.kept.value = paragraph(_so_far(done, made.kind, level_after(done, made.kind)))
        code_words = f"Code of this exercise: {code_of(made)}. Its level is {made.level}."
        words = "".join(map(paragraph, (code_words, *made.given)))
        self.given.value = heading(made.title) + words + _pictures(made)
        self.entries = [self._entry(question) for question in made.questions]
        put_instead(self.steps, [box for _, box in self.entries])

    def _entry(self, question: Question) -> tuple[widgets.Widget, widgets.VBox]:
        words = widgets.HTML(paragraph(question.text))
        answer: widgets.Widget
        if question.choices:
            answer = widgets.Dropdown(options=[CHOOSE, *question.choices], value=CHOOSE)
            answer.layout.width = "min(420px, 100%)"
        else:
            answer = widgets.Text("", placeholder=question.unit, continuous_update=False)
            answer.layout.width = "160px"
        said, hinted = widgets.HTML(), widgets.HTML()
        press = button(f"Check: {question.step.lower()}", lambda _: self._check(question, answer, said))
        parts = [answer, press]
        hints = question.hints(self.exercise.level)
        if hints:
            parts.append(button("Hint", lambda pressed: self._hint(question.step, hints, pressed, hinted)))
        return answer, widgets.VBox([words, labelled_row(question.step, *parts), said, hinted])

    @settled
    def _hint(self, step: str, hints: tuple[str, ...], pressed: widgets.Button, hinted: widgets.HTML) -> None:
        shown = self.hinted.get(step, 0) + 1
        self.hinted[step] = shown
        if step not in self.honest:
            self.firsts.setdefault(step, False)
        hinted.value = "".join(paragraph(words, f"Hint {place}:") for place, words in enumerate(hints[:shown], 1))
        pressed.description = f"Hint {shown} of {len(hints)}"
        pressed.disabled = shown >= len(hints)

    @settled
    def _check(self, question: Question, answer: widgets.Widget, said: widgets.HTML) -> None:
        verdict = check(question, str(answer.value))
        kind = "good" if verdict.right else "warn"
        said.value = f'<div role="status" class="barmath-message barmath-{kind}">{escape(verdict.words)}</div>'
        if not verdict.honest:
            return
        step = question.step
        if verdict.habit:
            self.habits[verdict.habit] = None
        if verdict.far:
            self.far[step] = self.far.get(step, 0) + 1
            self.firsts.setdefault(step, False)
            return
        self.tries[step] = str(answer.value)
        self.honest[step] = self.honest.get(step, 0) + 1
        self.firsts.setdefault(step, verdict.right and not self.shown)
        self.solution.disabled = len(self.honest) < len(self.exercise.questions)
        if not self.finished and len(self.honest) == len(self.exercise.questions) and self._all_right():
            self._finish()

    def _all_right(self) -> bool:
        return all(check(q, self.tries.get(q.step, "")).right for q in self.exercise.questions)

    def _finish(self) -> None:
        self._keep(first_try=all(self.firsts.values()) and not self.shown)
        self.finished = True
        self.say("every step is right, and your progress is kept. Take another one.")

    def _keep(self, *, first_try: bool) -> None:
        made, tries = self.exercise, sum(self.honest.values()) + sum(self.far.values())
        done = Done(made.kind, made.seed, made.level, tries, first_try, _today(), tuple(self.habits)[:MOST_HABITS])
        make_folder(self.folder)
        every = add_to_file(self.path, done)
        self.kept.value = paragraph(_so_far(every, made.kind, level_after(every, made.kind)))

    @guarded
    def _solve(self, _: object) -> None:
        if not self.finished and not self.shown:
            self.shown = True
            self.firsts = dict.fromkeys(self.firsts, False)
            self._keep(first_try=False)  # who gives up an exercise is to be seen too
        self.worked.value = heading("Worked") + bullets(worked(self.exercise, self.tries))

    @guarded
    def _another(self, _: object) -> None:
        self._set_seed(random.randrange(LARGEST_SEED))
        self._begin()

    def _set_seed(self, seed: int) -> None:
        with self.writing():
            self.seed.value = str(seed)

    @heard
    def _renew(self, change: dict) -> None:
        if self.refused_entries():
            self.say()
            return
        if change["owner"] is self.kind and code_from_text(self.seed.value):
            self._set_seed(self.exercise.seed)  # of another kind, the code says nothing
        self._begin()


def _seed_or_code(text: str) -> None:
    if not code_from_text(text):
        seed_from_text(text)


def _pictures(made: Exercise) -> str:
    if made.recipe is None:
        return ""
    views = views_of_bar(made.recipe)
    return "".join(sketch_svg(view, f"The bar {view.labels[0].words}.", *PICTURE, letters=13.0) for view in views)


def _so_far(done: tuple[Done, ...], kind: str, level: int) -> str:
    own = [one for one in each_once(done) if one.kind == kind]
    first, at = sum(one.first_try for one in own), f"You are at level {level} of 3."
    if not own:
        return f"{at} You have done none of this kind yet."
    return (
        f"{at} You have done {len(own)} of this kind. {first} of them {'was' if first == 1 else 'were'} right at first."
    )


def _today() -> str:
    return datetime.date.today().isoformat()


def practice_panel(folder: str | Path) -> widgets.VBox:
    """The panel of practice for a notebook; `folder` holds the progress files."""
    return kept(PracticePanel, real_path(folder), lambda: PracticePanel(folder))
