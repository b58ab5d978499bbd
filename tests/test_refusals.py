"""Every refusal of every public function, word by word, in one list to be read: refusals.txt.

Each number of each call in faces.py is put at a few values that are often wrong, each word at a few, two numbers at
arrays that do not go together, and one number of each record at two values. What is refused is in the list with its
sentence; what is not in the list is taken. After a change that is meant, `python tests/test_refusals.py` in the
project's folder writes the list again; read what changed in it.
"""

import ast
import inspect
import re
import sys
from functools import cache
from pathlib import Path

import numpy as np
import pytest

if __name__ == "__main__":
    sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[1])]

from faces import FACES, Call
from parsed import MODULES, nodes_of

from barmath import BendError
from barmath.refusal import remedy_first

LIST = Path(__file__).with_name("refusals.txt")
NUMBERS = (float("nan"), -1.0, 0.0, 0.5, 1e6)
WORDS = ("", "other")


def refused(face: Call, changed: dict) -> str | None:
    try:
        face.run(changed)
    except BendError as refusal:
        return str(refusal).replace("\n", " / ")
    return None


def lines_of(face: Call) -> list[str]:
    leaves = list(face.leaves(deep=False))
    said = []
    for path, value in leaves:
        name = ".".join(map(str, path))
        for put_in in WORDS if isinstance(value, str) else NUMBERS:
            sentence = refused(face, {path: put_in})
            if sentence:
                said.append(f"    {name} = {put_in!r}: {sentence}")
    numbers = [(path, value) for path, value in leaves if isinstance(value, float)]
    for (path, value), (other, beside) in zip(numbers, [*numbers[1:], *numbers[:1]], strict=True):
        if path != other:
            sentence = refused(face, {path: np.full(2, value), other: np.full(3, beside)})
            if sentence:
                said.append(f"    {'.'.join(map(str, path))} and {'.'.join(map(str, other))} apart: {sentence}")
    for name, inner in face.given.items():
        found = [(path, value) for path, value in face.leaves() if path[0] == name and isinstance(value, float)]
        if isinstance(inner, Call) and found:
            path, value = found[0]
            sentence = refused(face, {path: np.full(2, value)})
            if sentence:
                said.append(f"    several at {'.'.join(map(str, path))}: {sentence}")
    return said


def title(place: int) -> str:
    return f"{place + 1}. {FACES[place].name}"


@cache
def listed() -> dict[str, list[str]]:
    """The list as it is written down: the lines below each title."""
    found: dict[str, list[str]] = {}
    for line in LIST.read_text(encoding="utf-8").splitlines():
        if line.startswith("    "):
            found[list(found)[-1]].append(line)
        else:
            found[line] = []
    return found


def test_what_refuses_a_value_of_its_own_says_so():
    """By the name of the error in its docstring. Of a record inside a record the inner one says it."""
    own = re.compile(r"    \w+ (?:=|and) ")
    refusing = [FACES[place] for place in range(len(FACES)) if any(map(own.match, listed()[title(place)]))]
    assert len(refusing) > 100
    assert not [face.name for face in refusing if "BendError" not in (inspect.getdoc(face.make) or "")]


def test_the_list_is_of_these_calls():
    assert list(listed()) == [title(place) for place in range(len(FACES))]


@pytest.mark.parametrize("place", range(len(FACES)), ids=title)
def test_every_refusal_says_what_it_said(place):
    assert lines_of(FACES[place]) == listed()[title(place)]


GIVEN = {
    "22.225", "9.525", "1.473",  # the tubes of faces.py
    "0.001", "0.01", "179.99",  # least and most of what is typed
}  # fmt: skip
"""Numbers of more than one decimal that a refusal may quote: they were given so."""


def test_a_computed_length_or_angle_is_quoted_in_tenths():
    said = {line.partition(": ")[2] for lines in listed().values() for line in lines}
    long = {(number, sentence) for sentence in said for number in re.findall(r"(\d+\.\d{2,}) (?:mm|deg)", sentence)}
    assert not [one for one in long if one[0] not in GIVEN]


def test_each_refusal_says_first_what_to_do():
    """Of a line of a file it first says which line: there is something to do."""
    said = {line.partition(": ")[2] for lines in listed().values() for line in lines}
    assert len(said) > 500
    assert [one for one in said if re.match(r"[^:;]+ must ", one) and not re.match(r"\w+\.toml\b", one)] == []
    assert [one for one in said if remedy_first(one) != one] == []


def said_in(node: ast.Call) -> str:
    """The sentence that a call refuses with, each value in it as a figure, and its remedy; "" for any other call."""
    name = getattr(node.func, "attr", getattr(node.func, "id", ""))
    place = {"BendError": 0, "refuse_where": 1}.get(name)
    if place is None or len(node.args) <= place:
        return ""
    parts = getattr(node.args[place], "values", [node.args[place]])
    words = "".join(str(part.value) if isinstance(part, ast.Constant) else "5" for part in parts)
    return words + ": remedy" * any(word.arg == "remedy" for word in node.keywords)


def test_each_rule_in_the_code_has_its_remedy():
    calls = [(path.name, node) for path in MODULES for node in nodes_of(path) if isinstance(node, ast.Call)]
    said = [(where, said_in(node)) for where, node in calls]
    rules = [(where, words) for where, words in said if " must " in words]
    assert len(rules) > 80
    assert [one for one in rules if not re.search(r" must .*: ", one[1], re.DOTALL)] == []


TO_DO = {
    "begin", "choose", "close", "correct", "end", "enter", "give", "go", "leave", "look", "open", "put", "read", "say",
    "set", "take", "try", "type", "undo", "withdraw", "write",
}  # fmt: skip
"""What a refusal without a rule begins with."""


def test_each_refusal_without_a_rule_says_first_what_to_do():
    """Most of these no call of the list comes to: they are about files, books and what was pressed."""
    calls = [(path.name, node) for path in MODULES for node in nodes_of(path) if isinstance(node, ast.Call)]
    said = [(where, said_in(node)) for where, node in calls]
    others = [(where, words) for where, words in said if words[:1].isalpha() and remedy_first(words) == words]
    assert len(others) > 30
    assert [one for one in others if one[1].split()[0].lower() not in TO_DO] == []


if __name__ == "__main__":
    every = [line for place, face in enumerate(FACES) for line in (title(place), *lines_of(face))]
    LIST.write_text("\n".join(every) + "\n", encoding="utf-8")
