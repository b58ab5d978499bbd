"""The numbers in a lesson's prose: which there are, and which of them a lesson's claims cover.

Each lesson NN has a file `lesson_NN.py` beside this one with two things:

- `said()` gives phrases of the prose whose numbers it works out again, as f-strings: `f"a lever of {lever:.0f} mm"`.
  A phrase must be in the prose letter by letter. So the test fails where the lesson and the package do not agree.
- `GIVEN` has phrases whose numbers nobody can work out, each with the reason: they are chosen, measured, or come from a
  named source.

A number that is in no phrase fails the test. The rules below leave out what is no claim: headings, numbers of lessons
and of list items, code, names such as "order 7", and the line with the time.
"""

import json
import re
from collections.abc import Iterable
from pathlib import Path

NUMBER = re.compile(r"(?<![\w.])[-+−]?\d+(?:[.,]\d+)*")
NO_CLAIM = (
    r"^#.*$",  # headings
    r"^\*\*Time:\*\*.*$",
    r"^\s*\d+\. |(?<=\*\* )\d\. |(?<=[.?] )\d\. (?=[A-Z])",  # items of a list
    r"(?s:```.*?```)",
    r"\((?:-?[01], ){2}-?[01]\)",  # directions along an axis
    r"[\^/(]2\b|\b2 \\|[\\(]1 [-+−] (?=[\\kc])",  # powers, halves and ones of a formula in letters
    r"`[^`]*`",
    r"\[1[0-5]\b[^\]]*\]\([^)]*\)|\]\([^)]*\)|(?<![\d.])0\d\b(?!\.)",  # links; lessons such as 04
    r"(?i:\b(?:part|parts|section|lesson|order|question) \d+)",
    r"\b(?:die|Die) \d+\b",
    r"\b7/8 x 0\.\d+\b",
    r"\b(?:ISO 4210(?:-\d)?|ASME B31\.\d|B31\.\d|B36\.\d+|4130)\b",
)
_LEFT_OUT = re.compile("|".join(NO_CLAIM), re.MULTILINE)


def prose_of(notebook: Path) -> list[str]:
    """The text of each markdown cell."""
    cells = json.loads(notebook.read_text(encoding="utf-8"))["cells"]
    return ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown"]


def not_found(prose: Iterable[str], phrases: Iterable[str]) -> list[str]:
    """The phrases that no cell has."""
    cells = list(prose)
    return [phrase for phrase in phrases if not any(phrase in cell for cell in cells)]


def not_claimed(prose: Iterable[str], phrases: Iterable[str]) -> list[str]:
    """Each number of the prose that no phrase covers, with the words around it."""
    found = []
    for cell in prose:
        covered = [match.span() for match in _LEFT_OUT.finditer(cell)]
        for phrase in phrases:
            covered += [match.span() for match in re.finditer(re.escape(phrase), cell)]
        for number in NUMBER.finditer(cell):
            if not any(start <= number.start() and number.end() <= end for start, end in covered):
                around = cell[max(0, number.start() - 40) : number.end() + 30].replace("\n", " ")
                found.append(f"{number.group()}: ...{around}...")
    return found
