"""DEVELOPERS.md names files and names of the code: each of them is there."""

import re
from itertools import chain

import pytest
from conftest import ROOT
from parsed import MODULES, text_of

NAMED = re.findall(r"`([^`]+)`", (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"))
"""Whatever the book sets as code."""

PLACEHOLDERS = ("NN", "NAME", ".venv")
WHERE = ("", "barmath", "tests")
FILES = {one for one in NAMED if re.fullmatch(r"[\w/*.]+(?:/|\.(?:py|md|txt|ipynb))", one)}
CODE = {one for one in NAMED if re.fullmatch(r"[A-Za-z_]\w+", one)}


def own(names):
    return sorted(one for one in names if not any(word in one for word in PLACEHOLDERS))


@pytest.mark.parametrize("file", own(FILES))
def test_a_file_that_the_book_names_is_there(file):
    assert any(list((ROOT / folder).glob(file)) for folder in WHERE)


def test_a_name_that_the_book_names_is_in_the_code():
    tests = (ROOT / "tests").rglob("*.py")
    words = set(re.findall(r"\w+", " ".join(map(text_of, chain(MODULES, tests)))))
    words |= {path.stem for path in MODULES}
    assert [name for name in own(CODE) if name not in words] == []


def test_the_book_names_enough_of_both():
    assert len(own(FILES)) >= 25
    assert len(own(CODE)) >= 20
