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

IMPORT = (ast.Import, ast.ImportFrom)
MODULES = sorted((ROOT / "barmath").rglob("*.py"))


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


@pytest.fixture(scope="module")
def notebooks(committed) -> dict[str, dict]:
    paths = sorted((committed / "notebooks").rglob("*.ipynb"))
    return {path.name: json.loads(path.read_text(encoding="utf-8")) for path in paths}


def code_cells(book: dict) -> list[dict]:
    return [cell for cell in book["cells"] if cell["cell_type"] == "code"]


def requirements() -> list[Requirement]:
    lines = (ROOT / "requirements.txt").read_text(encoding="utf-8").splitlines()
    return [Requirement(line) for line in lines if line and not line.startswith(("#", "-e"))]


def test_the_top_level_is_the_agreed_one(committed):
    assert {path.name for path in committed.iterdir() if not path.name.startswith(".")} == TOP_LEVEL


@pytest.mark.parametrize("path", MODULES, ids=module_id)
def test_imports_point_down_only(path):
    names, barred = imported_names(path), FLOORS[floor_of(path)]
    assert not {name for name in names for package in barred if lies_in(name, package)}


@pytest.mark.parametrize("path", MODULES, ids=module_id)
def test_only_the_derivation_and_those_above_it_import_it(path):
    if floor_of(path) == "mathematics":
        assert not {name for name in imported_names(path) if lies_in(name, "barmath.derivation")}


@pytest.mark.parametrize("path", MODULES, ids=module_id)
def test_scipy_is_imported_only_inside_the_function_that_needs_it(path):
    at_once = [node for node in ast.parse(path.read_text(encoding="utf-8")).body if isinstance(node, IMPORT)]
    assert not [node.lineno for node in at_once if "scipy" in ast.unparse(node)]


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
    texts = [path for path in committed.rglob("*") if path.is_file() and path.suffix not in {".pdf", ".png"}]
    assert not [path.name for path in texts if needle.search(path.read_bytes())]


def test_notebooks_are_committed_without_outputs_and_widget_state(notebooks):
    assert not [name for name, book in notebooks.items() if "widgets" in book["metadata"]]
    cells = [(name, cell) for name, book in notebooks.items() for cell in code_cells(book)]
    assert not [name for name, cell in cells if cell["outputs"] or cell["execution_count"]]


def test_notebooks_open_without_asking_for_a_kernel(notebooks):
    assert not [name for name, book in notebooks.items() if book["metadata"]["kernelspec"]["name"] != "python3"]


def test_the_first_cell_of_a_notebook_is_its_title(notebooks):
    first = {name: book["cells"][0] for name, book in notebooks.items()}
    assert not [name for name, cell in first.items() if cell["cell_type"] != "markdown"]
    assert not [name for name, cell in first.items() if not "".join(cell["source"]).startswith("# ")]


def test_the_code_cells_of_notebooks_are_short(notebooks):
    sources = [(name, "".join(cell["source"])) for name, book in notebooks.items() for cell in code_cells(book)]
    assert not [(name, source) for name, source in sources if len(source.splitlines()) > LONGEST_CELL]


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
