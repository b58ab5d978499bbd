"""Each library that barmath asks for has its row, with its licence, in LIBRARIES.md; barmath imports no other.

`python tests/test_libraries.py` prints the licences that the installed packages give.
"""

import ast
import re
import sys
import tomllib
from importlib.metadata import metadata
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).parents[1]
PAGE = Path(__file__).with_name("LIBRARIES.md")
IMPORTED_AS = {"PyNiteFEA": "Pynite"}


def asked_for() -> list[str]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    return [Requirement(line).name for line in project["dependencies"]]


def licence(library: str) -> str:
    """What the metadata of the installed package says: an SPDX expression, or the name in its classifier."""
    said = metadata(library)
    classified = [one.split(" :: ")[-1] for one in said.get_all("Classifier", []) if one.startswith("License ::")]
    return classified[0] if classified else said["License-Expression"]


def pinned() -> list[str]:
    """Every package of requirements.txt that this system and Python need."""
    lines = (ROOT / "requirements.txt").read_text(encoding="utf-8").splitlines()
    every = [Requirement(line) for line in lines if "==" in line and not line.startswith("#")]
    return [one.name for one in every if one.marker is None or one.marker.evaluate()]


def table() -> dict[str, list[str]]:
    """Of each library the other cells of its row: what for, imported with it, licence."""
    rows = PAGE.read_text(encoding="utf-8").partition("| library |")[2].partition("\n\n")[0].splitlines()[2:]
    cells = [[cell.strip() for cell in row.strip("|").split("|")] for row in rows]
    return {name: rest for name, *rest in cells}


def imported() -> set[str]:
    """Every library that a module of barmath imports."""
    found = set()
    for path in (ROOT / "barmath").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                found |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                found.add(node.module.partition(".")[0])
    return found - set(sys.stdlib_module_names) - {"barmath"}


def test_each_library_has_its_row_and_no_row_is_left_over():
    assert list(table()) == asked_for()
    assert all(purpose for purpose, _, _ in table().values())


@pytest.mark.parametrize("library", asked_for())
def test_the_licence_in_the_table_is_the_one_that_the_package_gives(library):
    assert table()[library][2] == licence(library)


def _licensed(words: str) -> list[str]:
    every = {name: metadata(name) for name in pinned()}
    # a whole licence in this field also speaks of what its wheel brings along, so its first line is enough
    given = ("License-Expression", "License", "Classifier")
    said = {
        name: [str(line).partition("\n")[0] for key in given for line in one.get_all(key, [])]
        for name, one in every.items()
    }
    return sorted(name for name, lines in said.items() if re.search(words, " ".join(lines)))


def test_no_package_has_the_gpl_and_those_with_the_mpl_are_named():
    assert _licensed(r"GPL|GNU") == []
    named = re.search(r"have the MPL 2\.0: (.*?)\. ", PAGE.read_text(encoding="utf-8"))[1]
    assert named.split(", ") == _licensed(r"MPL|Mozilla")


def test_barmath_imports_the_libraries_of_the_table_and_uses_each():
    named = {IMPORTED_AS.get(name, name) for name in table()}
    beside = {one for _, along, _ in table().values() for one in along.split(", ") if one}
    used = named - {"voila"} | {"numba"}  # a server that its name starts; and what is used only where it is installed
    assert imported() - beside == used


if __name__ == "__main__":
    print(*(f"{name}: {licence(name)}" for name in asked_for()), sep="\n")
