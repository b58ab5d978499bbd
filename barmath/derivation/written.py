"""A formula as a person writes it: one text that is typeset in its own order, computed, and handed to SymPy.

SymPy sorts what it prints. So the lines of a lesson are texts such as `"R*(1 - cos(a))"`, and the same text is read
three times: by `typeset` for the page, by `worth` with numbers for the calculator, and by `worth` with symbols for the
proof. No line can then say one thing and prove another.
"""

from __future__ import annotations

import ast
from collections.abc import Callable, Mapping
from operator import add, mul, pow, sub, truediv
from typing import Any

LETTERS = {
    "phi": r"\varphi", "psi": r"\psi", "beta": r"\beta", "upsilon": r"\upsilon", "gamma": r"\gamma",
    "kappa": r"\kappa", "delta": r"\delta", "l_1": r"\ell_1", "l_2": r"\ell_2",
    "d_right": r"d_{\mathrm{right}}", "d_back": r"d_{\mathrm{back}}", "d_up": r"d_{\mathrm{up}}",
    "half_width": r"\mathrm{half\ width}", "rise_level": r"\mathrm{rise}_{\mathrm{level}}", "half_turn": r"180^\circ",
}  # fmt: skip
"""How a name is typeset; one letter is its own, and a longer word is set upright."""

_CALLS = {"asin": r"\arcsin", "atan": r"\arctan", "acos": r"\arccos"}
_SUM, _PRODUCT, _SIGN, _POWER, _WHOLE = range(5)  # how strongly a formula holds together: weaker parts get brackets
_DO = {ast.Add: add, ast.Sub: sub, ast.Mult: mul, ast.Div: truediv, ast.Pow: pow}


def typeset(text: str, numbers: Mapping[str, str] | None = None) -> str:
    r"""LaTeX of a formula, its terms and factors sorted as in the text.

    Parameters
    ----------
    text : str
        Names, numbers, + - * / **, sin cos tan asin acos atan sqrt, and (right, back, up) for three components.
    numbers : mapping of str to str
        What is written in place of a name, such as "30^\circ" for "a".

    Examples
    --------
    >>> from barmath.derivation.written import typeset
    >>> typeset("R*(1 - cos(a))")
    'R\\,(1 - \\cos a)'
    >>> typeset("R*(1 - cos(a))", {"R": "105", "a": r"30^\circ"})
    '105 \\cdot (1 - \\cos 30^\\circ)'
    """
    return _Setter(numbers or {}).set(ast.parse(text, mode="eval").body)[0]


class _Setter:
    def __init__(self, numbers: Mapping[str, str]) -> None:
        self.numbers, self.times = numbers, r" \cdot " if numbers else r"\,"

    def set(self, node: ast.expr) -> tuple[str, int]:
        """The LaTeX of a node, and how strongly it holds together."""
        return getattr(self, f"_{type(node).__name__.lower()}")(node)

    def _within(self, node: ast.expr, least: int) -> str:
        words, strength = self.set(node)
        return words if strength >= least else f"({words})"

    def _name(self, node: ast.Name) -> tuple[str, int]:
        if node.id in self.numbers:
            return self.numbers[node.id], _SIGN if self.numbers[node.id].startswith("-") else _WHOLE
        head, _, below = node.id.partition("_")
        plain = node.id if len(head) == 1 else rf"\mathrm{{{node.id}}}"
        return LETTERS.get(node.id, f"{head}_{{{below}}}" if below and len(head) == 1 else plain), _WHOLE

    def _constant(self, node: ast.Constant) -> tuple[str, int]:
        return str(node.value), _WHOLE

    def _tuple(self, node: ast.Tuple) -> tuple[str, int]:
        return "(" + r",\; ".join(self.set(part)[0] for part in node.elts) + ")", _WHOLE

    def _unaryop(self, node: ast.UnaryOp) -> tuple[str, int]:
        return f"-{self._within(node.operand, _PRODUCT)}", _SUM

    def _call(self, node: ast.Call) -> tuple[str, int]:
        return self._called(node), _PRODUCT

    def _called(self, node: ast.Call, power: str = "") -> str:
        name, argument = node.func.id, node.args[0]  # type: ignore[attr-defined]
        if name == "sqrt":
            return rf"\sqrt{{{self.set(argument)[0]}}}"
        head = _CALLS.get(name, rf"\{name}") + power
        if isinstance(argument, ast.Name | ast.Constant) or _is_root(argument):
            return f"{head} {self.set(argument)[0]}"
        if isinstance(argument, ast.BinOp) and isinstance(argument.op, ast.Div):
            top, below = (self.set(part)[0] for part in (argument.left, argument.right))
            return rf"{head} \tfrac{{{top}}}{{{below}}}" if below == "2" else rf"{head} \frac{{{top}}}{{{below}}}"
        return f"{head}({self.set(argument)[0]})"

    def _binop(self, node: ast.BinOp) -> tuple[str, int]:
        if isinstance(node.op, ast.Add | ast.Sub):
            sign = "+" if isinstance(node.op, ast.Add) else "-"
            return f"{self.set(node.left)[0]} {sign} {self._within(node.right, _PRODUCT)}", _SUM
        if isinstance(node.op, ast.Mult):
            return self._product(node.left, node.right)
        if isinstance(node.op, ast.Div):
            return rf"\frac{{{self.set(node.left)[0]}}}{{{self.set(node.right)[0]}}}", _PRODUCT
        power = self.set(node.right)[0]
        if isinstance(node.left, ast.Call) and node.left.func.id != "sqrt":  # type: ignore[attr-defined]
            return self._called(node.left, f"^{{{power}}}"), _PRODUCT
        return f"{self._within(node.left, _WHOLE)}^{{{power}}}", _POWER

    def _product(self, left: ast.expr, right: ast.expr) -> tuple[str, int]:
        signed = isinstance(left, ast.UnaryOp)
        first = self.set(left)[0] if signed else self._within(left, _PRODUCT)
        times = r" \cdot " if isinstance(right, ast.Constant) else self.times
        return f"{first}{times}{self._within(right, _PRODUCT)}", _SUM if signed else _PRODUCT


def _is_root(node: ast.expr) -> bool:
    return isinstance(node, ast.Call) and node.func.id == "sqrt"  # type: ignore[attr-defined]


def worth(
    text: str,
    values: Mapping[str, object],
    functions: Mapping[str, Callable],
    vector: Callable[[list], object],
) -> Any:
    """What a formula is worth where each name has a value.

    Parameters
    ----------
    text : str
        As for `typeset`.
    values : mapping of str to numbers or symbols
        Angles in radians.
    functions : mapping of str to functions
        The sine and its like, for such values.
    vector : function of a list of three
        What makes a vector of them.

    Examples
    --------
    >>> import math
    >>> from barmath.derivation.written import worth
    >>> worth("R*sin(a)", {"R": 105.0, "a": math.pi / 2}, {"sin": math.sin}, tuple)
    105.0
    """

    def of(node: ast.expr) -> Any:
        if isinstance(node, ast.Name):
            return values[node.id]
        if isinstance(node, ast.Constant):
            return node.value
        if isinstance(node, ast.Tuple):
            return vector([of(part) for part in node.elts])
        if isinstance(node, ast.UnaryOp):
            return -of(node.operand)
        if isinstance(node, ast.Call):
            return functions[node.func.id](of(node.args[0]))  # type: ignore[attr-defined]
        assert isinstance(node, ast.BinOp), node
        return _DO[type(node.op)](of(node.left), of(node.right))

    return of(ast.parse(text, mode="eval").body)
