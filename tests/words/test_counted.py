"""A number before a noun in the plural may be one: "1 bars" is no English. `counted` writes both."""

import re
from pathlib import Path

BARMATH = Path(__file__).resolve().parents[2] / "barmath"

NOUNS = "test bends|bars|rows|orders|ways|entries|readings|marks|pieces|tubes|sheets|exercises|steps|bends|dies|offcuts"
NUMBER_AND_NOUN = re.compile(
    rf"\{{([^{{}}]*(?:len\(|count|bars|bends|added|known|entries|made|asked)[^{{}}]*)\}} (?:{NOUNS})\b"
)

NEVER_ONE = {
    "barmath/bending/by_hand.py": "a bar of the shop has two bends or more",
    "barmath/bending/mistakes.py": "a bar has four bends",
    "barmath/space/drawing.py": "a bar has four bends",
    "barmath/practice/bets/lesson_00.py": "a bar has four bends, two on a side",
    "barmath/practice/bets/lesson_03.py": "hundreds of orders",
    "barmath/panels/calibration_state.py": "said where there is more than one",
}


def test_a_count_is_written_with_its_noun_by_one_function():
    found = {}
    for file in sorted(BARMATH.rglob("*.py")):
        for line in file.read_text(encoding="utf-8").splitlines():
            if NUMBER_AND_NOUN.search(line):
                found.setdefault(file.relative_to(BARMATH.parent).as_posix(), []).append(line.strip())
    assert set(found) == set(NEVER_ONE)
