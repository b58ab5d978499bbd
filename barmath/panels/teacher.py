"""The panel of a teacher: the whole class, the page of it that prints, files put away or deleted."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import ipywidgets as widgets

from barmath.panels.entry import button, choice_row
from barmath.panels.markup import heading, paragraph, table
from barmath.panels.sheet import SheetWriter
from barmath.panels.shell import Shell, guarded, kept
from barmath.practice.bets import lessons_with_bets
from barmath.practice.class_overview import ClassOverview, delete, files_in, overview_of, progress_of_folder, put_away
from barmath.practice.course import KINDS
from barmath.saving import real_path

NOBODY = "no file"
MOST_HABITS = 8


class TeacherPanel(Shell):
    """What a class has done, read from its folder of progress files.

    Attributes
    ----------
    overview : ClassOverview
    asked : "put away", "delete" or ""
        What the teacher is asked about and has not answered yet.
    """

    refused, fits = "Not done", "Done"

    def __init__(self, folder: str | Path, sheets_folder: str | Path = "sheets") -> None:
        super().__init__()
        self.folder = Path(folder)
        self.again = button("Read the files again", self._read)
        self.tables = widgets.HTML()
        self.who, who_row = choice_row("File of", [NOBODY], NOBODY, self._chosen)
        self.put_away = button("Put this file away", lambda _: self._ask("put away"))
        self.delete = button("Delete this file", lambda _: self._ask("delete"))
        self.question = widgets.HTML()
        self.yes, self.no = button("Yes", self._do), button("No", self._leave)
        self.asked = ""
        self.writer = SheetWriter(
            sheets_folder, self._made, "the page of the class", "whole class", to_scale=False, named=False
        )
        lessons = list(lessons_with_bets())
        self.lesson, lesson_row = choice_row("Handout of lesson", lessons, lessons[0])
        self.lesson.observe(self._of_lesson, "value")
        who_row.layout.max_width = "620px"
        self.handout = SheetWriter(
            sheets_folder, self._handed_out, "the handout", f"handout {lessons[0]}", to_scale=False, named=False,
            rows=[lesson_row],
        )  # fmt: skip
        self.fill(self.again, self.tables, who_row, self.put_away, self.delete, self.question, self.yes, self.no,
                  self.message, self.writer.box, self.handout.box)  # fmt: skip
        self._show()

    def _show(self) -> None:
        progress, left_out = progress_of_folder(self.folder)
        self.overview = overview_of(progress)
        self.tables.value = overview_html(self.overview)
        own = [name for name in self.overview.names if name in files_in(self.folder)]
        self.who.options = own or [NOBODY]
        self.put_away.disabled = self.delete.disabled = not own
        self._forget()
        self.message.value = ""
        if left_out:
            self.say(warnings=left_out)

    @guarded
    def _read(self, _: object) -> None:
        self._show()

    @guarded
    def _chosen(self, _: dict) -> None:
        self._forget()

    @guarded
    def _ask(self, what: str) -> None:
        name, self.asked = self.who.value, what
        words = {
            "put away": f"Put away the file of {name}? It moves to the folder 'put away', and you can move it back.",
            "delete": f"Delete the file of {name}? Nobody can bring it back.",
        }
        self.question.value = paragraph(words[what])
        self._show_answers("")

    @guarded
    def _do(self, _: object) -> None:
        name, what = self.who.value, self.asked
        if not what:
            return
        act: Callable[[Path, str], object] = put_away if what == "put away" else delete
        self._forget()
        act(self.folder, name)
        self.report(f"the file of {name} is {'put away' if what == 'put away' else 'deleted'}.", self._show)

    @guarded
    def _leave(self, _: object) -> None:
        self._forget()

    def _forget(self) -> None:
        self.asked = self.question.value = ""
        self._show_answers("none")

    def _show_answers(self, display: str) -> None:
        self.yes.layout.display = self.no.layout.display = display

    def _made(self, _: str, size: str) -> tuple[bytes, bytes]:
        from barmath.paper.class_overview import overview_pdf, overview_png  # Matplotlib, only when a page is made

        self._show()
        return overview_pdf(self.overview, size), overview_png(self.overview, size)

    @guarded
    def _of_lesson(self, change: dict) -> None:
        self.handout.name.value = f"handout {change['new']}"

    def _handed_out(self, _: str, size: str) -> tuple[bytes, bytes]:
        from barmath.paper.handout import handout_pdf, handout_png

        return handout_pdf(self.lesson.value, size), handout_png(self.lesson.value, size)


def overview_html(overview: ClassOverview) -> str:
    """The tables of a class: how far each apprentice is, what is hard, and which habits are seen."""
    if not overview.names:
        return paragraph(
            "No progress file is in the folder notebooks/progress yet. It is made when somebody finishes an exercise."
        )
    kinds = [kind for kind in KINDS if kind.name in overview.whole]
    rows = [
        [f"{kind.lesson} {kind.words}", *(_cell(overview, name, kind.name) for name in overview.names)]
        for kind in kinds
    ]  # fmt: skip
    words = {kind.name: f"{kind.lesson} {kind.words}" for kind in KINDS}
    hard = [[words[kind], f"{100.0 * share:.0f} %", str(overview.whole[kind].done)]
            for kind, share in overview.hardest()]  # fmt: skip
    habits = [[one.words, words[one.kind], str(one.apprentices), str(one.times)]
              for one in overview.habits[:MOST_HABITS]]  # fmt: skip
    parts = [
        heading("How far each apprentice is"),
        paragraph("A cell with 2: 3/5 means: the next exercise is of level 2, and 3 of 5 were right at the first try."),
        table(rows, ["", *overview.names], caption="Level and exercises of each apprentice"),
        heading("What is hard"),
        table(hard, ["", "right at the first try", "done"], caption="Share right at the first try"),
        heading("Mistakes behind wrong answers"),
        table(habits, ["mistake", "exercise", "apprentices", "exercises"], words=(0, 1),
              caption="Mistakes behind wrong answers") if habits else paragraph("None so far."),
    ]  # fmt: skip
    return "".join(parts)


def _cell(overview: ClassOverview, name: str, kind: str) -> str:
    at = overview.standings.get((name, kind))
    return f"{at.level}: {at.first}/{at.done}" if at else "–"


def teacher_panel(folder: str | Path, sheets_folder: str | Path = "sheets") -> widgets.VBox:
    """The panel of a teacher for a notebook; `folder` holds the progress files of the class."""
    key = (real_path(folder), real_path(sheets_folder))
    return kept(TeacherPanel, key, lambda: TeacherPanel(folder, sheets_folder))
