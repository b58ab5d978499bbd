"""Each lesson that asks bets is walked as an apprentice does: Run All first, then one bet after the other."""

import ast
import json
import re
from contextlib import redirect_stdout
from html import unescape
from io import StringIO

import ipywidgets as widgets
import pytest
from conftest import LESSONS, ROOT

from barmath.panels.bet import BetBox, Result
from barmath.panels.shell import FAULT, parts_of
from barmath.practice.bets import bet_names, bet_of

ASKING = [path for path in LESSONS if bet_names(path.name[:2])]
FOLDED = [path for path in LESSONS if path in ASKING or path.name[:2] != "02"]  # the algebra of 02 is its matter
UNITS = {"mm": "mm", "deg": "(?:deg|degrees|°)", "%": "(?:%|per cent)", "N m": "N m", "MPa": "MPa"}
asking = pytest.mark.parametrize("path", ASKING, ids=lambda path: path.stem)


def book_of(path) -> list[dict]:
    return json.loads(path.read_text(encoding="utf-8"))["cells"]


def cells(path, kind: str) -> list[str]:
    return ["".join(cell["source"]) for cell in book_of(path) if cell["cell_type"] == kind]


def is_tool(cell: dict) -> bool:
    """Whether a cell is a page of its own for the bench: the lesson begins below it."""
    return "page" in cell["metadata"].get("tags", [])


@pytest.fixture
def run_all(project_copy, monkeypatch):
    """What each cell of a lesson shows, its tools left out, and everything that it prints."""

    def run(path) -> tuple[list[object], str]:
        monkeypatch.setattr("barmath.panels.shell._kept", {})  # as in a kernel that has just started
        monkeypatch.chdir((project_copy / path.relative_to(ROOT)).parent)
        names: dict[str, object] = {"__name__": "__main__"}
        shown, printed = [], StringIO()
        with redirect_stdout(printed):
            for cell in book_of(path):
                if cell["cell_type"] != "code":
                    continue
                *lines, last = ast.parse("".join(cell["source"])).body
                exec(compile(ast.Module(lines, []), path.name, "exec"), names)
                if is_tool(cell) and isinstance(last, ast.Expr):
                    continue
                if isinstance(last, ast.Expr):
                    shown.append(eval(compile(ast.Expression(last.value), path.name, "eval"), names))
                else:
                    exec(compile(ast.Module([last], []), path.name, "exec"), names)
        return shown, printed.getvalue()

    return run


def html_of(shown: list[object]) -> str:
    """What the widgets of a lesson are made of."""
    parts = [part for one in shown if isinstance(one, widgets.Widget) for part in parts_of(one)]
    return " ".join(part.value for part in parts if isinstance(part, widgets.HTML | widgets.HTMLMath))


def words_of(shown: object) -> str:
    """The words of a widget that a reader sees."""
    if not isinstance(shown, widgets.Widget):
        return str(shown)
    return unescape(re.sub(r"<[^>]+>", " ", html_of([shown])))


def said_before(lesson: str, name: str, texts: list[str]) -> list[str]:
    """Where the number that a bet asks for is said, with its unit."""
    question = bet_of(lesson, name).question
    if question.unit not in UNITS or bet_of(lesson, name).line is not None:
        return []
    answer = float(question.answer)
    number = re.escape(f"{answer:.0f}" if answer >= 100.0 else f"{answer:.1f}")  # rounder ones are said of other things
    if float(question.answer) in map(float, re.findall(r"\d+(?:\.\d+)?", question.text)):  # the question names it too
        return []
    asked = re.compile(rf"(?<![\d.]){number} ?{UNITS[question.unit]}(?!\w)")
    return [text[max(0, found.start() - 60) : found.end()] for text in texts for found in asked.finditer(text)]


def answer(box: BetBox) -> None:
    box.entry.value = box.bet.right_text
    box.place.click()


def shells(shown: list[object], kind: type) -> list:
    parts = [part for one in shown if isinstance(one, widgets.Widget) for part in parts_of(one)]
    return [part.shell for part in parts if isinstance(getattr(part, "shell", None), kind)]


@asking
def test_after_run_all_nothing_is_seen_that_a_bet_asks_for_and_each_bet_opens_the_results_below_it(path, run_all):
    lesson = path.name[:2]
    shown, printed = run_all(path)
    assert not printed
    boxes, results = shells(shown, BetBox), shells(shown, Result)
    assert [box.name for box in boxes] == list(bet_names(lesson))
    assert results or lesson == "14"  # whose answers are words alone
    walked = shells(shown, BetBox | Result)
    places = {one.name: place for place, one in enumerate(walked) if isinstance(one, BetBox)}
    for place, one in enumerate(walked):
        if isinstance(one, Result):
            assert all(places[box.name] < place for box in one.after)
    seen = [*cells(path, "markdown"), *map(words_of, shown)]
    assert not {box.name: said for box in boxes if (said := said_before(lesson, box.name, seen))}
    for box in boxes:
        waiting = [result for result in results if result.open_bets]
        assert all(len(result.box.children) == 2 for result in waiting)  # the care of the page, and one line
        assert all("comes after your bet" in words_of(result.box) for result in waiting)
        opens = [result for result in waiting if result.open_bets == (box.name,)]
        answer(box)
        assert box.answered
        assert [result for result in waiting if not result.open_bets] == opens
        for result in opens:
            assert "comes after your bet" not in words_of(result.box)
            assert len(result.box.children) == 3
    assert not any(result.open_bets for result in results)
    assert re.findall(r"<t[dh][^>]*>[a-z]+(?:_[a-z]+)*_(?:mm|deg|nm|mpa|g)<", html_of(shown)) == []
    assert FAULT not in " ".join(map(words_of, shown))


@asking
def test_no_answer_is_in_a_fold_under_its_question(path):
    assert "<details" not in "".join(cells(path, "markdown"))


@asking
def test_under_each_question_is_its_bet(path):
    book = book_of(path)
    for place, cell in enumerate(book):
        text = "".join(cell["source"])
        if cell["cell_type"] == "markdown" and re.search(r"^(?!\d\. ).*\*\*[^*]*\?\*\*", text, re.MULTILINE):
            below = book[place + 1 : place + 3]  # a table of what is given may be between
            assert any(re.search(r"bet_(?:box|then)\(", "".join(one["source"])) for one in below), text


@pytest.mark.parametrize("path", FOLDED, ids=lambda path: path.stem)
def test_code_is_folded_to_one_line_and_nothing_is_printed(path):
    for cell in book_of(path):
        if cell["cell_type"] == "code":
            assert cell["metadata"].get("jupyter", {}).get("source_hidden"), cell["source"]
            assert "print(" not in "".join(cell["source"])


@asking
def test_what_comes_after_a_bet_has_its_words_above_it(path):
    book = book_of(path)
    for place, cell in enumerate(book):
        if "after_bet(" in "".join(cell["source"]):
            assert "bet_box(" not in "".join(book[place - 1]["source"])


def test_an_answer_that_is_said_is_found():
    assert said_before("03", "room for the arcs", ["so about 149 mm are left"])
    assert not said_before("03", "room for the arcs", ["the tube is 1149 mm, and 149 mmm is no length"])
