"""The modules of the package as text and as syntax trees, read and parsed once for all tests."""

import ast
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
MODULES = sorted((ROOT / "barmath").rglob("*.py"))


@cache
def text_of(path: Path) -> str:
    """The text of a module."""
    return path.read_text(encoding="utf-8")


@cache
def tree_of(path: Path) -> ast.Module:
    """The syntax tree of a module."""
    return ast.parse(text_of(path))


@cache
def nodes_of(path: Path) -> tuple[ast.AST, ...]:
    """Every node of a module, in the order of `ast.walk`."""
    return tuple(ast.walk(tree_of(path)))
