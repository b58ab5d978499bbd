"""Each field of a record is read by the package or in a notebook: what only tests read is of no use to anybody.

Many records have a field of the same name. So mypy says of which record each `.name` of the package is asked.
"""

import ast
import json
import sys
from collections import defaultdict
from pathlib import Path

import pytest
from mypy import build, nodes, types
from mypy.main import process_options
from mypy.modulefinder import BuildSource
from parsed import MODULES, ROOT, tree_of

WHOLE = {"vars", "asdict", "astuple"}
"""What is called with a record and reads all its fields."""

ALL = "*"
"""A mark for every field of a record."""

_HELD = "a whole answer, held against every way of an order by the tests; lesson 04 needs the first of its arrays"
_SPREAD = "of one side; lesson 05 shows what is apart, and the tests hold all six against the tubes that come out"
_DRAWN = "a chart as drawn: the tests read its numbers off the paper again"

KEPT = {
    **{f"planning.design_map.Combinations.{field}": _HELD for field in ("keys", "spare_mm", "warned")},
    **{f"bending.spread.Spread.{field}": _SPREAD for field in ("backsweep_deg", "rise_mm", "upsweep_deg")},
    **{f"paper.wall_chart.WallChart.{field}": _DRAWN for field in ("lines", "rise")},
}
"""Fields that only tests read, and why they are kept: this list may only shrink."""


def notebooks():
    """The code of each notebook by a name for it."""
    found = {}
    for path in (ROOT / "notebooks").rglob("*.ipynb"):
        cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
        code = ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "code"]
        found[f"lesson_{path.stem}"] = "\n".join(code)
    return found


@pytest.fixture(scope="module")
def checked():
    """The package and the code of the notebooks as mypy understands them; what is installed comes from its store."""
    sources, options = process_options([], stdout=sys.stdout, stderr=sys.stderr)
    options.export_types = options.preserve_asts = True
    package = [one for one in sources if Path(one.path).is_file()]
    return build.build([
        *(BuildSource(one.path, one.module, Path(one.path).read_text(encoding="utf-8")) for one in package),
        *(BuildSource(f"{name}.py", name, text) for name, text in notebooks().items()),
    ], options)  # fmt: skip


def classes_of(kind):
    """The classes that a value of this type may have; none where mypy does not know."""
    kind = types.get_proper_type(kind)
    if isinstance(kind, types.Instance):
        return [kind.type]
    if isinstance(kind, types.UnionType):
        return [one for item in kind.items for one in classes_of(item)]
    if isinstance(kind, types.TupleType):
        return [kind.partial_fallback.type]
    if isinstance(kind, types.TypeVarType):
        return [one for item in (kind.upper_bound, *kind.values) for one in classes_of(item)]
    if isinstance(kind, types.TypeType):
        return classes_of(kind.item)
    return []


def reads(checked):
    """Names that are asked of each class, by its full name."""
    found = defaultdict(set)

    def read(value, *names):
        for one in classes_of(checked.types.get(value)):
            for base in one.mro:
                found[base.fullname].update(names)

    for part in checked.types:
        if isinstance(part, nodes.MemberExpr):
            read(part.expr, part.name)
        elif isinstance(part, nodes.IndexExpr):  # a named tuple is asked by numbers
            read(part.base, ALL)
        elif isinstance(part, nodes.CallExpr) and isinstance(part.callee, nodes.NameExpr):
            if part.callee.name == "getattr":
                name = part.args[1]
                read(part.args[0], name.value if isinstance(name, nodes.StrExpr) else ALL)
            elif part.callee.name in WHOLE and part.args:
                read(part.args[0], ALL)
    return found


def unpacked(tree, count=None):
    """Names that tuples are unpacked into; only those of tuples of `count` names where it is given."""
    into = [node for node in ast.walk(tree) if isinstance(node, ast.Tuple) and isinstance(node.ctx, ast.Store)]
    return {ast.unparse(part) for node in into if count in (None, len(node.elts)) for part in node.elts}


def records(checked):
    """Every record of the package: its module, its class, and the names of its fields."""
    for name, module in checked.files.items():
        for symbol in module.names.values() if name.startswith("barmath.") else ():
            one = symbol.node
            if isinstance(one, nodes.TypeInfo) and one.module_name == name:
                lines = [line for line in one.defn.defs.body if isinstance(line, nodes.AssignmentStmt) and line.type]
                named = [line.lvalues[0].name for line in lines if isinstance(line.lvalues[0], nodes.NameExpr)]
                if one.is_named_tuple or "dataclass" in one.metadata:
                    yield Path(module.path).resolve(), one, named


def test_each_field_of_a_record_is_read(checked):
    """A named tuple is also read where its field's name is unpacked; in its own module with as many names as it has."""
    trees = {path: tree_of(path) for path in MODULES} | {name: ast.parse(text) for name, text in notebooks().items()}
    by_place = {path: unpacked(tree) for path, tree in trees.items()}
    read, unread, seen = reads(checked), set(), 0
    for home, record, fields in records(checked):
        known, seen = read[record.fullname], seen + len(fields)
        if record.is_named_tuple:
            elsewhere = (names for path, names in by_place.items() if path != home)
            known = known.union(unpacked(trees[home], len(fields)), *elsewhere)
        name = record.fullname.removeprefix("barmath.")
        unread |= {f"{name}.{field}" for field in fields if not known & {field, ALL}}
    assert seen > 800
    assert sorted(unread - KEPT.keys()) == sorted(KEPT.keys() - unread) == []
