"""The house stands: its top level, imports that point down, small modules, clean notebooks, no trace of one machine."""

import ast
import json
import re
import subprocess
import sys
import tomllib
from importlib.metadata import version
from pathlib import Path

import pytest
from conftest import ROOT
from packaging.requirements import Requirement

TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "requirements.txt",
    "pyproject.toml",
    "notebooks",
    "barmath",
    "tests",
    "figures",
}
LONGEST_MODULE = 350
LONGEST_CELL = 15

DRAWN = {"plotly", "matplotlib", "mpl_toolkits"}
FLOORS = {
    # floor: what it must not import
    "mathematics": {
        "sympy",
        "ipywidgets",
        "IPython",
        "anywidget",
        "barmath.pictures",
        "barmath.paper",
        "barmath.panels",
    }
    | DRAWN,
    "derivation": {"ipywidgets", "IPython", "anywidget", "barmath.pictures", "barmath.paper", "barmath.panels"} | DRAWN,
    "pictures": {"sympy", "matplotlib", "ipywidgets", "IPython", "anywidget", "barmath.paper", "barmath.panels"},
    "paper": {"sympy", "plotly", "ipywidgets", "IPython", "anywidget", "barmath.pictures", "barmath.panels"},
    "panels": {"sympy"},
}
ABOVE_NUMPY = ["sympy", "scipy", "matplotlib", "plotly", "ipywidgets", "anywidget", "IPython"]

MODULES = sorted((ROOT / "barmath").rglob("*.py"))
NOTEBOOKS = sorted((ROOT / "notebooks").rglob("*.ipynb"))


def module_id(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def floor_of(path: Path) -> str:
    first = path.relative_to(ROOT / "barmath").parts[0].removesuffix(".py")
    return first if first in FLOORS else "mathematics"


def imported_names(path: Path) -> set[str]:
    """Every module that `path` imports, wherever in the file, absolute."""
    package = path.relative_to(ROOT).with_suffix("").parts[:-1]
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            parents = package[: len(package) - node.level + 1] if node.level else ()
            base = ".".join([*parents, *([node.module] if node.module else [])])
            names |= {base} | {f"{base}.{alias.name}" for alias in node.names}
    return names


def lies_in(name: str, package: str) -> bool:
    return name == package or name.startswith(package + ".")


def notebook_cells(path: Path) -> list[dict]:
    return json.loads(path.read_text(encoding="utf-8"))["cells"]


def requirements() -> list[Requirement]:
    lines = (ROOT / "requirements.txt").read_text(encoding="utf-8").splitlines()
    return [Requirement(line) for line in lines if line and not line.startswith(("#", "-e"))]


def test_the_top_level_is_the_agreed_one(committed):
    names = {path.relative_to(ROOT).parts[0] for path in committed}
    assert {name for name in names if not name.startswith(".")} == TOP_LEVEL


@pytest.mark.parametrize("path", MODULES, ids=module_id)
def test_imports_point_down_only(path):
    names, barred = imported_names(path), FLOORS[floor_of(path)]
    assert not {name for name in names for package in barred if lies_in(name, package)}


@pytest.mark.parametrize("path", MODULES, ids=module_id)
def test_only_the_derivation_and_those_above_it_import_it(path):
    if floor_of(path) == "mathematics":
        assert not {name for name in imported_names(path) if lies_in(name, "barmath.derivation")}


@pytest.mark.parametrize("path", MODULES, ids=module_id)
def test_a_module_is_short(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST_MODULE


def test_importing_barmath_loads_numpy_and_the_standard_library_only():
    ask = "import sys, barmath; print(*sorted({name.partition('.')[0] for name in sys.modules}))"
    loaded = subprocess.run(
        [sys.executable, "-c", ask], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.split()
    assert "numpy" in loaded
    assert not set(loaded) & set(ABOVE_NUMPY)


def test_no_committed_file_carries_a_path_of_one_machine(committed):
    homes = "|".join(["work", "root", "farm", "home", "Users", "opt", "tmp"])
    needle = re.compile(rf"(?<![\w.~/}}]){'/'}({homes})/[\w.]".encode())
    carriers = [
        module_id(path)
        for path in committed
        if needle.search(path.read_bytes()) and path.suffix not in {".pdf", ".png"}
    ]
    assert not carriers


@pytest.mark.parametrize("path", NOTEBOOKS, ids=module_id)
class TestNotebook:
    def test_it_is_committed_without_outputs_and_widget_state(self, path):
        book = json.loads(path.read_text(encoding="utf-8"))
        assert "widgets" not in book["metadata"]
        assert not [cell for cell in book["cells"] if cell.get("outputs") or cell.get("execution_count")]

    def test_it_opens_without_asking_for_a_kernel(self, path):
        assert json.loads(path.read_text(encoding="utf-8"))["metadata"]["kernelspec"]["name"] == "python3"

    def test_its_first_cell_is_a_title(self, path):
        first = notebook_cells(path)[0]
        assert first["cell_type"] == "markdown"
        assert "".join(first["source"]).startswith("# ")

    def test_its_code_cells_are_short(self, path):
        code = ["".join(cell["source"]) for cell in notebook_cells(path) if cell["cell_type"] == "code"]
        assert max(len(source.splitlines()) for source in code) <= LONGEST_CELL


@pytest.mark.parametrize("pin", requirements(), ids=lambda pin: pin.name)
def test_the_tests_run_with_the_pinned_versions(pin):
    if pin.marker is None or pin.marker.evaluate():
        assert str(pin.specifier) == f"=={version(pin.name)}"


def test_each_dependency_is_pinned_within_its_range():
    pins = {pin.name: str(pin.specifier).removeprefix("==") for pin in requirements()}
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    for dependency in map(Requirement, project["dependencies"]):
        assert dependency.specifier.contains(pins[dependency.name]), dependency


@pytest.mark.parametrize("purpose", ["open", "tests"])
def test_the_readme_gives_a_one_line_command_for_each_purpose(purpose):
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    fenced = re.search(rf"<!-- command: {purpose} -->\s*```\w*\n(.*?)```", readme, re.DOTALL)
    assert fenced, f"README.md has no fenced command after its marker '{purpose}'"
    assert fenced[1].count("\n") == 1
    assert fenced[1].startswith("python3 -m venv")
