"""The house stands: its top level, imports that point down, small modules, clean notebooks, no trace of one machine."""

import ast
import importlib
import json
import re
import subprocess
import sys
import tomllib
from collections import Counter
from functools import cache
from importlib.metadata import version
from pathlib import Path

import numpy as np
import pytest
from conftest import ROOT
from packaging.requirements import Requirement
from parsed import MODULES, nodes_of, text_of, tree_of

import barmath

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
LONGEST_BODY = 50
NINE_BODIES_IN_TEN = 18
"""Lines of a function without its first lines and its docstring."""

GROUND = {"refusal", "arrays", "fields", "lengths", "saving"}
"""Modules that lie flat in `barmath/`, beside `__init__`: every room stands on them."""

MATHEMATICS = {
    # room: the rooms that it may import, and with them all that those may import
    "closed_forms": set(),
    "derivation": {"closed_forms", "space"},
    "space": {"closed_forms"},
    "shop": {"closed_forms"},
    "checking": {"space", "shop"},
    "bending": {"shop", "space", "checking"},
    "planning": {"bending"},
    "crossbars": {"space", "shop"},
    "strength": {"crossbars"},
    "records": {"bending", "checking"},
    "rider": {"records", "planning"},
}
ALL_MATHEMATICS = set(MATHEMATICS) - {"derivation"}
ROOMS = MATHEMATICS | {
    "practice": ALL_MATHEMATICS,
    "glossary": ALL_MATHEMATICS,
    "pictures": ALL_MATHEMATICS | {"derivation", "practice", "glossary"},
    "paper": ALL_MATHEMATICS | {"practice", "glossary"},
    "panels": ALL_MATHEMATICS | {"practice", "glossary", "pictures", "paper"},
}

FACES = [
    "closed_forms",
    "space",
    "shop",
    "checking",
    "planning",
    "bending",
    "crossbars",
    "strength",
    "records",
    "rider",
    "practice",
    "glossary",
]
"""Rooms whose `__init__` hands on what lessons, panels, tests and outside checks call."""

MOST_PARAMETERS = 6

MORE_PARAMETERS = {
    # public functions that take more, by what each of their parameters is
    "what a shop has and what is asked for; the rest is given by name, and seldom": {"every_way", "die_choice"},
    "a plan with the tools one by one, as lessons give them; by name luck and the stem": {
        "spread_of_sequence", "spread_of_settings",
    },
    "a mistake at a step of a plan; by name how the bar is measured and how large the mistake is": {
        "outcome_of_mistake",
    },
    "called as today by lessons and outside callers, most of it by name and seldom given": {
        "nearest_bars", "same_hands", "loaded_bar", "first_yield_by_width",
    },
    "a check: the words and bounds of one number, by name": {"checked"},
    "the numbers of a bar, as plain as a compiled loop takes them": {"along_legs", "measures_of_many"},
    "the one kernel of planning: each of its views gives, by name, the few that are its own": {"candidates"},
    "a figure that is changed in place: each thing that it shows": {
        "update_record", "update_windows_figure", "update_choice_figure",
    },
    "a pen on paper: place, size and look": {"text", "paragraph", "box", "draw_steps"},
    "a question: each thing that is asked and shown": {"numeric", "number_bet"},
}  # fmt: skip
"""Public functions of more than `MOST_PARAMETERS`, with the reason: this list may only shrink."""

DRAWN = {"plotly", "k3d", "matplotlib", "mpl_toolkits"}
WIDGETS = {"ipywidgets", "IPython", "anywidget"}
LIBRARIES = {
    # room: the libraries that it must not import
    "derivation": DRAWN | WIDGETS,
    "pictures": {"sympy", "matplotlib"} | WIDGETS,
    "paper": {"sympy", "plotly", "k3d"} | WIDGETS,
    "panels": {"sympy"},
}
ELSEWHERE = {"sympy"} | DRAWN | WIDGETS
ABOVE_NUMPY = ["sympy", "scipy", "matplotlib", "plotly", "k3d", "ipywidgets", "anywidget", "IPython"]

IMPORT = (ast.Import, ast.ImportFrom)


def module_id(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def room_of(path: Path) -> str:
    return path.relative_to(ROOT / "barmath").parts[0].removesuffix(".py")


IN_ROOMS = {room: [path for path in MODULES if room_of(path) == room] for room in map(room_of, MODULES)}
"""The modules of each room; a module outside the rooms is alone under its own name."""


@cache
def allowed_rooms(room: str) -> set[str]:
    """The rooms that a room may import, those of its own rooms included."""
    allowed, todo = {room}, [*ROOMS[room]]
    while todo:
        other = todo.pop()
        if other not in allowed:
            allowed.add(other)
            todo += ROOMS[other]
    return allowed


@cache
def imported_names(path: Path) -> set[str]:
    """Every module that `path` imports, wherever in the file, absolute."""
    package = path.relative_to(ROOT).with_suffix("").parts[:-1]
    names = set()
    for node in nodes_of(path):
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


def test_few_modules_are_flat_and_every_folder_is_a_room_of_the_table():
    inside = [path for path in (ROOT / "barmath").iterdir() if path.name != "__pycache__"]
    assert {path.stem for path in inside if path.suffix == ".py"} == GROUND | {
        "__init__",
        "conftest",
    }  # pytest reads the last
    assert {path.name for path in inside if path.is_dir()} == set(ROOMS)


@pytest.mark.parametrize("file", ["records/order_book.py", "crossbars/crossbar.py"])
def test_the_examples_of_a_file_pass_when_they_are_run_alone(file):
    run = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", f"barmath/{file}"]
    assert subprocess.run(run, cwd=ROOT, capture_output=True, check=False).returncode == 0


def test_the_table_of_rooms_has_no_circle():
    """A room that another may reach may not reach it in its turn."""
    reach = {room: allowed_rooms(room) - {room} for room in ROOMS}
    assert not [(one, other) for one in ROOMS for other in reach[one] if one in reach[other]]


@pytest.mark.parametrize("room", IN_ROOMS)
def test_imports_point_down_only(room):
    names = {name for path in IN_ROOMS[room] for name in imported_names(path)}
    inside = {name.split(".")[1] for name in names if name.startswith("barmath.")}
    if room in GROUND:
        assert inside & set(ROOMS) == set()
    elif room in ROOMS:
        assert (inside & set(ROOMS)) - allowed_rooms(room) == set()
    barred = LIBRARIES.get(room, ELSEWHERE)
    assert not {name for name in names for package in barred if lies_in(name, package)}


def test_no_module_imports_itself_by_a_detour():
    """Modules of one room may use each other, but never in a circle."""
    known = {".".join(path.relative_to(ROOT).with_suffix("").parts): path for path in MODULES}
    arrows = {name: {other for other in imported_names(path) if other in known} for name, path in known.items()}
    done: set[str] = set()

    def follow(name: str, way: tuple[str, ...]) -> None:
        assert name not in way, " > ".join((*way[way.index(name) :], name))
        if name not in done:
            for other in arrows[name]:
                follow(other, (*way, name))
            done.add(name)

    for name in known:
        follow(name, ())


def names_given(path: Path) -> set[str]:
    """What a module names at its top: functions, classes and values."""
    body = tree_of(path).body
    made = {node.name for node in body if isinstance(node, ast.FunctionDef | ast.ClassDef)}
    targets = [part for node in body if isinstance(node, ast.Assign) for one in node.targets for part in ast.walk(one)]
    made |= {part.id for part in targets if isinstance(part, ast.Name)}
    return {name for name in made if not name.startswith("__")}


def test_each_name_of_a_module_is_used(notebooks):
    """In the module itself, in one that imports it, in a notebook or in a test."""
    words = re.compile(r"\w+")
    tests = [path.read_text(encoding="utf-8") for path in (ROOT / "tests").rglob("*.py")]
    cells = ["".join(cell["source"]) for book in notebooks.values() for cell in code_cells(book)]
    outside = {word for text in (*tests, *cells) for word in words.findall(text)}
    outside |= {
        word for path in MODULES for word in re.findall(r"\.(\w+)", text_of(path))
    }  # of what is imported by name
    unused = []
    for path in (path for path in MODULES if "pages" not in path.parts):
        own, home = Counter(words.findall(text_of(path))), ".".join(path.relative_to(ROOT).with_suffix("").parts)
        once = {name for name in names_given(path) - outside if own[name] == 1}
        taken = [set(words.findall(text_of(other))) for other in MODULES if once and home in imported_names(other)]
        unused += [f"{home}.{name}" for name in once.difference(*taken)]
    assert not unused


def test_the_small_package_is_an_evenings_reading():
    texts = [text_of(path) for path in (ROOT / "barmath/closed_forms").glob("*.py")]
    assert sum(len(text.splitlines()) for text in texts) <= 1550


@pytest.mark.parametrize("room", IN_ROOMS)
def test_scipy_is_imported_only_inside_the_function_that_needs_it(room):
    at_once = [(path, node) for path in IN_ROOMS[room] for node in tree_of(path).body if isinstance(node, IMPORT)]
    assert not [f"{module_id(path)}:{node.lineno}" for path, node in at_once if "scipy" in ast.unparse(node)]


@pytest.mark.parametrize("room", IN_ROOMS)
def test_a_module_is_short(room):
    assert not [path.name for path in IN_ROOMS[room] if len(text_of(path).splitlines()) > LONGEST_MODULE]


@cache
def bodies() -> dict[str, int]:
    """The length in lines of each function's body, its docstring left out."""
    kinds, lengths = (ast.FunctionDef, ast.AsyncFunctionDef), {}
    for path in MODULES:
        for node in nodes_of(path):
            if isinstance(node, kinds):
                first = node.body[1 if ast.get_docstring(node) is not None and node.body[1:] else 0]
                lengths[f"{module_id(path)}:{node.lineno} {node.name}"] = node.end_lineno - first.lineno + 1
    return lengths


def test_no_body_is_long():
    assert not [name for name, lines in bodies().items() if lines > LONGEST_BODY]


@pytest.mark.parametrize("room", ROOMS)
def test_the_bodies_of_a_room_are_short(room):
    nine_in_ten = np.percentile([n for name, n in bodies().items() if name.startswith(f"barmath/{room}/")], 90)
    assert nine_in_ten <= NINE_BODIES_IN_TEN


def face_of(room: str) -> ast.Module:
    return tree_of(ROOT / "barmath" / room / "__init__.py")


def exported(room: str) -> list[str]:
    """The names in the `__all__` of a room's face."""
    lists = [ast.literal_eval(node.value) for node in face_of(room).body if isinstance(node, ast.Assign)]
    return lists[0] if lists else []


def names_from_rooms(text: str) -> set[tuple[str, str]]:
    """Room and name of each import from a room in `text`, from its face or from one of its modules."""
    nodes = [node for node in ast.walk(ast.parse(text)) if isinstance(node, ast.ImportFrom) and node.module]
    parts = [(node.module.split("."), alias.name) for node in nodes for alias in node.names]
    return {
        (module[1], name) for module, name in parts if module[0] == "barmath" and module[1:2] and module[1] in ROOMS
    }


@pytest.mark.parametrize("room", FACES)
def test_a_face_only_hands_names_of_its_own_room_on(room):
    docstring, *imports, everything = face_of(room).body
    assert isinstance(docstring, ast.Expr)
    assert isinstance(everything, ast.Assign)
    assert ast.unparse(everything.targets[0]) == "__all__"
    assert {type(node) for node in imports} == {ast.ImportFrom}
    assert all(lies_in(node.module, f"barmath.{room}") for node in imports)
    assert exported(room) == sorted(set(exported(room)), key=exported(room).index)
    assert set(exported(room)) == {alias.asname or alias.name for node in imports for alias in node.names}


@pytest.mark.parametrize("room", FACES)
def test_a_face_exports_what_lessons_and_outside_checks_call(room, notebooks):
    cells = ["".join(cell["source"]) for book in notebooks.values() for cell in code_cells(book)]
    checks = (ROOT / "tests/faces.py").read_text(encoding="utf-8")
    called = {name for text in [*cells, checks] for place, name in names_from_rooms(text) if place == room}
    assert called - set(exported(room)) == set()


def parameters(function: ast.FunctionDef) -> int:
    """How many parameters a caller sees: those of a method without its `self`."""
    given = function.args.posonlyargs + function.args.args + function.args.kwonlyargs
    return sum(one.arg not in {"self", "cls"} for one in given)


def test_a_public_function_takes_six_parameters_or_a_record():
    nodes = [node for path in MODULES for node in nodes_of(path)]
    public = [node for node in nodes if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")]
    many = {function.name for function in public if parameters(function) > MOST_PARAMETERS}
    assert many == set().union(*MORE_PARAMETERS.values())


def test_a_lesson_imports_from_a_rooms_face_and_not_from_its_modules(notebooks):
    cells = [("".join(cell["source"]), name) for name, book in notebooks.items() for cell in code_cells(book)]
    nodes = [(node, name) for text, name in cells for node in ast.walk(ast.parse(text))]
    taken = [(name, node.module) for node, name in nodes if isinstance(node, ast.ImportFrom) and node.module]
    assert taken
    assert not [one for one in taken if any(one[1].startswith(f"barmath.{room}.") for room in FACES)]


@pytest.mark.parametrize("room", IN_ROOMS)
def test_a_module_imports_from_modules_and_never_from_a_face(room):
    """So that no import goes in a circle by way of a room's door."""
    inside = [path for path in IN_ROOMS[room] if path.name != "__init__.py"]
    nodes = [node for path in inside for node in nodes_of(path) if isinstance(node, ast.ImportFrom)]
    taken = [f"{node.module}.{alias.name}" for node in nodes if node.module for alias in node.names]
    taken = [name for name in taken if not (ROOT / f"{name.replace('.', '/')}.py").is_file()]  # whole modules
    faces = {f"barmath.{room}" for room in FACES}
    assert not [name for name in taken if name == "barmath" or name.rpartition(".")[0] in faces | {"barmath"}]


@cache
def functions_of_face(room: str) -> list[ast.FunctionDef]:
    """The functions that a room exports."""
    trees = [tree_of(path) for path in (ROOT / "barmath" / room).glob("*.py")]
    functions = [node for tree in trees for node in tree.body if isinstance(node, ast.FunctionDef)]
    return [node for node in functions if node.name in exported(room)]


def says(function: ast.FunctionDef, words: str) -> bool:
    return words in (ast.get_docstring(function) or "")


@cache
def refuses(function: ast.FunctionDef) -> bool:
    """Whether its own body raises BendError, or calls a check by its name (`check_single`, `checked`, ...)."""
    nodes = [*ast.walk(function)]
    raised = [ast.unparse(node.exc) for node in nodes if isinstance(node, ast.Raise) and node.exc]
    called = [ast.unparse(node.func) for node in nodes if isinstance(node, ast.Call)]
    return any("BendError" in words for words in raised) or any(
        words.startswith(("check_", "checked")) for words in called
    )


@pytest.mark.parametrize("room", FACES)
def test_an_exported_function_has_an_example_that_runs(room):
    """`--doctest-modules` runs them."""
    assert not [function.name for function in functions_of_face(room) if not says(function, ">>>")]


@pytest.fixture(scope="module")
def refusing() -> set[str]:
    """Functions that raise BendError, in their own body or by a function that they call, however deep."""
    rooms = [path for path in MODULES if room_of(path) not in {"pictures", "paper", "panels"}]
    nodes = [node for path in rooms for node in tree_of(path).body]
    functions = [node for node in nodes if isinstance(node, ast.FunctionDef)]
    found = {one.name for one in functions if refuses(one)}
    while more := {one.name for one in functions if calls(one) & found} - found:
        found |= more
    return found


@cache
def calls(function: ast.FunctionDef) -> set[str]:
    return {
        node.func.id for node in ast.walk(function) if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }


NEVER_REFUSE = {
    "order_seven_recipe", "clamp_reading_deg", "rise_lines", "rise_limits_mm", "rocking_words",
    "predicted_and_read", "wrist_turn", "whole", "check",
}  # fmt: skip
"""What they hand on was checked when it was made, or the refusal is caught: this list may only shrink."""


@pytest.mark.parametrize("room", FACES)
def test_an_exported_function_that_refuses_says_when(room, refusing):
    silent = {one.name for one in functions_of_face(room) if one.name in refusing and not says(one, "BendError")}
    assert silent <= NEVER_REFUSE


IN_SENTENCES = {path.parent.name for path in MODULES if path.parent != ROOT / "barmath"} - {"pages"}
"""Rooms that say what they refuse in a section of whole sentences, and where each formula and number is from."""

A_CLAUSE_ALONE = re.compile(r"(?:If|Where|When|Unless|Also|As|For|Otherwise|Raised)\b")


@cache
def documented(room: str) -> list[tuple[str, str, str]]:
    """File, name and docstring of each module, class, function and method of a room."""
    kinds = (ast.Module, ast.ClassDef, ast.FunctionDef)
    paths = sorted((ROOT / "barmath" / room).glob("*.py"))
    found = [(path.name, node) for path in paths for node in nodes_of(path) if isinstance(node, kinds)]
    return [(file, getattr(node, "name", ""), ast.get_docstring(node) or "") for file, node in found]


@pytest.mark.parametrize("room", sorted(IN_SENTENCES))
def test_what_is_refused_is_said_in_whole_sentences(room):
    """`BendError` comes if one of the sentences of its section is true of what was given."""
    sections = {
        (file, name): re.search(r"Raises\n-+\n\w+\n(.*?)(?:\n\n|\Z)", words, re.DOTALL)
        for file, name, words in documented(room)
    }
    said = {name: " ".join(found[1].split()) for name, found in sections.items() if found}
    sentences = [(name, one) for name, words in said.items() for one in re.split(r"(?<=\.) (?=[A-Z`])", words)]
    assert not [one for one in sentences if not one[1].endswith(".") or A_CLAUSE_ALONE.match(one[1])]


@pytest.mark.parametrize("room", sorted(IN_SENTENCES & set(FACES)))
def test_an_exported_function_that_refuses_has_a_section_of_refusals(room, refusing):
    """One that does nothing else says so in its first line, and a check of one number in its first sentence."""
    functions = [one for one in functions_of_face(room) if one.name in refusing - NEVER_REFUSE]
    assert not [
        one.name
        for one in functions
        if not (has_section(one, "Raises") or re.search(r"Raise BendError|it raises BendError", first_line(one)))
    ]


A_SOURCE = re.compile(
    r"barmath\.derivation\.\w|common practice|from memory|our own|our choice|\b(?:ISO|ASME|PFI|NAVEDTRA)\b|\(\d{4}\)"
)
"""What a source looks like: a derivation of the package, a published text with its year, or where none is known."""


@pytest.mark.parametrize("room", sorted(IN_SENTENCES - {"derivation"}))
def test_a_formula_names_its_source(room):
    """In its own docstring or in the module's. A formula is a line that is set off from the text."""
    said = documented(room)
    of_modules = {file: words for file, name, words in said if not name}
    formulas = [one for one in said if re.search(r"\n\n {4}\S[^\n]* = ", re.split(r"\nExamples\n-+\n", one[2])[0])]
    assert not [(file, name) for file, name, words in formulas if not A_SOURCE.search(words + of_modules[file])]


def test_each_derivation_that_is_named_is_there():
    named = {
        found for path in MODULES for found in re.findall(r"barmath\.derivation\.(\w+)(?:\.(\w+))?", text_of(path))
    }
    assert len(named) > 15
    for module, name in sorted(named):
        assert not name or hasattr(importlib.import_module(f"barmath.derivation.{module}"), name), (module, name)
        assert (ROOT / f"barmath/derivation/{module}.py").is_file(), module


NUMBERS = (ast.Constant, ast.Tuple, ast.UnaryOp, ast.BinOp, ast.operator, ast.unaryop, ast.Load)


def is_number(value: ast.expr) -> bool:
    """Whether it is a number, numbers side by side, or arithmetic with numbers."""
    parts = [*ast.walk(value)]
    constants = [part.value for part in parts if isinstance(part, ast.Constant)]
    return bool(constants) and all(isinstance(part, NUMBERS) for part in parts) and all(
        type(constant) in {int, float} for constant in constants
    )  # fmt: skip


@pytest.mark.parametrize("room", sorted(IN_SENTENCES - {"panels", "paper", "pictures"}))
def test_a_number_with_a_name_says_why_it_is_that_number(room):
    """In the text below it and the names beside it, or in a comment. What a layout measures is chosen by eye."""
    silent = []
    for path in (ROOT / "barmath" / room).glob("*.py"):
        lines = text_of(path).splitlines()
        body = tree_of(path).body
        for place, node in enumerate(body):
            if isinstance(node, ast.Assign) and is_number(node.value):
                after = next((one for one in body[place:] if not isinstance(one, ast.Assign)), node)
                said = isinstance(after, ast.Expr) or any("#" in line for line in lines[node.lineno - 1 :][:2])
                silent += [] if said else [f"{path.name}:{node.lineno}"]
    assert not silent


def first_line(function: ast.FunctionDef) -> str:
    return (ast.get_docstring(function) or "").partition("\n")[0]


def has_section(function: ast.FunctionDef, title: str) -> bool:
    return says(function, f"{title}\n{'-' * len(title)}\n")


@pytest.mark.parametrize("room", FACES)
def test_an_exported_function_names_each_of_several_parameters_and_results(room):
    several = [one for one in functions_of_face(room) if parameters(one) > 1]
    assert not [one.name for one in several if not has_section(one, "Parameters")]
    results = [one for one in functions_of_face(room) if re.match(r"tuple\[(?!.*\.\.\.)", ast.unparse(one.returns))]
    assert not [one.name for one in results if not has_section(one, "Returns")]


@pytest.mark.parametrize("room", FACES)
def test_a_section_of_parameters_names_only_parameters(room):
    """`a, b : number` names two; a parameter that was renamed leaves no trace in the docstring."""
    for function in functions_of_face(room):
        section = re.search(
            r"Parameters\n-+\n(.*?)(?:\n\n[A-Z]\w+\n--|\Z)", ast.get_docstring(function) or "", re.DOTALL
        )
        lines = [line for line in section[1].split("\n") if line and line[0] not in " "] if section else []
        named = {name.strip(" *`") for line in lines for name in line.partition(" : ")[0].split(",")}
        args = function.args
        given = {one.arg for one in [*args.posonlyargs, *args.args, *args.kwonlyargs, *filter(None, [args.kwarg])]}
        assert named <= given, function.name


def test_barmath_hands_on_each_of_its_names():
    ask = "import barmath; print(*[name for name in barmath.__all__ if getattr(barmath, name) is None])"
    assert subprocess.run([sys.executable, "-c", ask], cwd=ROOT, capture_output=True, check=True).stdout == b"\n"
    with pytest.raises(AttributeError, match="module 'barmath' has no attribute 'no_such_name'"):
        _ = barmath.no_such_name


def test_the_fields_of_a_record_carry_their_checks():
    """No class checks or sets its fields by hand: see barmath/fields.py."""
    by_hand = ("__post_init__", "object.__setattr__")
    others = [path for path in MODULES if path != ROOT / "barmath" / "fields.py"]
    assert not [path.name for path in others if any(word in text_of(path) for word in by_hand)]


def test_importing_barmath_loads_numpy_and_the_standard_library_only():
    """Each of its names included: the rooms that they lie in are opened only when a name is asked for."""
    ask = "import sys; from barmath import *; print(*sorted({name.partition('.')[0] for name in sys.modules}))"
    loaded = subprocess.run(
        [sys.executable, "-c", ask], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.split()
    assert "numpy" in loaded
    assert not set(loaded) & set(ABOVE_NUMPY)


def test_a_first_bar_loads_no_part_of_numpy_that_it_does_not_use():
    """`numpy.ma` takes a quarter of the time of `import numpy`, and only masked arrays need it."""
    ask = (
        "import sys, barmath\n"
        "barmath.shape_from_recipe(barmath.recipe_from_order(barmath.Order(90, 14, 800), [105, 90], 30))\n"
        "print('numpy.ma' in sys.modules)"
    )
    run = subprocess.run([sys.executable, "-c", ask], cwd=ROOT, capture_output=True, text=True, check=True)
    assert run.stdout == "False\n"


STATES = [path for path in MODULES if path.parent.name == "panels" and path.stem.endswith("_state")]


def test_the_state_of_a_panel_is_worked_out_without_drawing_it():
    names = [".".join(path.relative_to(ROOT).with_suffix("").parts) for path in STATES]
    ask = (
        "import sys, importlib\n"
        "for name in sys.argv[1:]:\n"
        "    importlib.import_module(name)\n"
        "    print(name, *sorted({one.partition('.')[0] for one in sys.modules}))"
    )
    command = [sys.executable, "-c", ask, *names]
    run = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    loaded = {name: set(modules) for name, *modules in map(str.split, run.stdout.splitlines())}
    assert loaded.keys() == set(names)
    assert not [name for name, modules in loaded.items() if modules & (DRAWN | WIDGETS)]


def test_state_observers_and_busy_flag_have_one_home():
    """A panel binds its rows (`FormPanel.bind`); only the form hears of a change, only `Writes` knows who writes."""
    panels = [path for path in MODULES if path.parent.name == "panels"]
    functions = {
        (path.stem, node.name) for path in panels for node in nodes_of(path) if isinstance(node, ast.FunctionDef)
    }
    assert {home for home, name in functions if name == "_changed"} == {"form"}
    assert {home for home, name in functions if name == "writing"} == {"entry", "shell"}
    assert not [path.name for path in panels if re.search(r"_busy|_updating|_muted", text_of(path))]


def test_opening_a_panel_loads_no_drawing_program_for_paper_and_no_grammar():
    """The first picture on the screen need not wait for Matplotlib, nor for what checks the format of a notebook."""
    panels = sorted(path.stem for path in MODULES if path.parent.name == "panels" and path.stem != "__init__")
    late = "{'matplotlib', 'nbformat'} & set(sys.modules)"
    ask = f"import sys; from barmath.panels import {', '.join(panels)}; print({late})"
    run = subprocess.run([sys.executable, "-c", ask], cwd=ROOT, capture_output=True, text=True, check=True)
    assert run.stdout == "set()\n"


def test_the_order_panel_is_imported_without_record_and_order_book():
    """They are a tenth of its import, and nothing of an order is kept before somebody has seen it."""
    ask = (
        "import sys, barmath.panels.order; print([name for name in sys.modules if name.startswith('barmath.records')])"
    )
    run = subprocess.run([sys.executable, "-c", ask], cwd=ROOT, capture_output=True, text=True, check=True)
    assert run.stdout == "[]\n"


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


def test_a_tubes_bends_and_their_sequence_have_names_of_their_own(notebooks):
    """A row is one of a table or a panel, an order is a rider's: neither is anything along a tube."""
    of_tubes = [path for path in MODULES if room_of(path) in {"space", "bending"} and path.name != "__init__.py"]
    words = {path.name: set(re.findall(r"\b\w+\b", text_of(path))) for path in of_tubes}
    assert not [(name, one) for name, found in words.items() for one in found if "row" in one.lower().split("_")]
    other_order = re.compile(
        r"(?i)(?<!\")\border of (?:the |each |its |four )*bends\b|\bbend[ _]orders?\b|\busual order\b(?! ?\d)"
    )
    prose = {path.name: text_of(path) for path in MODULES if path.name != "__init__.py"}
    prose |= {name: "".join("".join(cell["source"]) for cell in book["cells"]) for name, book in notebooks.items()}
    assert not [(name, hit[0]) for name, text in prose.items() for hit in other_order.finditer(text)]
