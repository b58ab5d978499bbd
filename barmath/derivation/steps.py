"""The tools of the derivation: symbols with their units, a step, what is proven, and a derived form as a number.

Angles are radians and lengths millimetres, as inside barmath. Nothing that computes a bar imports SymPy: the derivation
is beside the shipped functions, and the tests hold one against the other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

import numpy as np
import sympy as sp
from sympy.printing.latex import LatexPrinter

from barmath.refusal import Number

Vector = sp.ImmutableDenseMatrix
"""Three components: right, back, up."""

a, b, phi, psi = sp.symbols("a b phi psi", real=True)
beta, upsilon, gamma, kappa = sp.symbols("beta upsilon gamma kappa", real=True)
c, s, g, R = sp.symbols("c s g R", positive=True)
leg_0, leg_1, leg_2 = sp.symbols("leg_0 leg_1 leg_2", positive=True)
rise, setback, half_width, cut_length = sp.symbols("rise setback half_width cut_length", real=True)


@dataclass(frozen=True)
class Quantity:
    """A symbol of the derivation: what it means, its unit, and how it is written in mathematics."""

    symbol: sp.Symbol
    meaning: str
    unit: str
    latex: str


QUANTITIES = (
    Quantity(a, "inner bend", "rad", "a"),
    Quantity(b, "outer bend", "rad", "b"),
    Quantity(phi, "roll between the two bends", "rad", r"\varphi"),
    Quantity(psi, "stem roll", "rad", r"\psi"),
    Quantity(c, "half the clamp flat", "mm", "c"),
    Quantity(s, "straight of the riser, between the arcs", "mm", "s"),
    Quantity(g, "straight of the grip", "mm", "g"),
    Quantity(R, "finished centre-line radius", "mm", "R"),
    Quantity(leg_0, "middle to the inner corner", "mm", r"\ell_0"),
    Quantity(leg_1, "inner corner to outer corner", "mm", r"\ell_1"),
    Quantity(leg_2, "outer corner to bar end", "mm", r"\ell_2"),
    Quantity(beta, "backsweep", "rad", r"\beta"),
    Quantity(upsilon, "upsweep", "rad", r"\upsilon"),
    Quantity(gamma, "total turn, from the clamp axis to the grip", "rad", r"\gamma"),
    Quantity(kappa, "clamp reading", "rad", r"\kappa"),
    Quantity(rise, "height of the bar-end centre above the clamp axis", "mm", r"\mathrm{rise}"),
    Quantity(setback, "how far the bar-end centre is behind the clamp axis", "mm", r"\mathrm{setback}"),
    Quantity(half_width, "half the width, middle to bar-end centre", "mm", r"\mathrm{half\ width}"),
    Quantity(cut_length, "straight tube that makes the whole bar", "mm", r"\mathrm{cut\ length}"),
)
"""Every symbol that describes a recipe, its bar or an order."""

_LATEX = {quantity.symbol: quantity.latex for quantity in QUANTITIES}


@dataclass(frozen=True)
class Step:
    """One step of the derivation: what it says in words, and its equation.

    A notebook shows it as mathematics; `left` and `right` are the two sides. `is_approximate` marks a first term of a
    series, shown with a wavy sign.
    """

    title: str
    equation: sp.Eq
    is_approximate: bool = False

    @property
    def left(self) -> sp.Basic:
        """Left side of the equation."""
        return self.equation.lhs

    @property
    def right(self) -> sp.Basic:
        """Right side of the equation."""
        return self.equation.rhs

    def _repr_markdown_(self) -> str:
        sign = r"\approx" if self.is_approximate else "="
        return f"{self.title}\n\n$${in_mathematics(self.left)} {sign} {in_mathematics(self.right)}$$"


def step(title: str, left: object, right: object, *, is_approximate: bool = False) -> Step:
    """The step `left` = `right`; a text on the left names a vector."""
    if isinstance(left, str):
        left = sp.MatrixSymbol(left, 3, 1)
    return Step(title, sp.Eq(left, right, evaluate=False), is_approximate)


def in_mathematics(expression: sp.Basic) -> str:
    """LaTeX of `expression`, with the letters of `QUANTITIES` and words set upright."""
    named = expression.free_symbols | expression.atoms(sp.MatrixSymbol)
    letters = {symbol: _LATEX.get(symbol) or _upright(symbol.name) for symbol in named}
    settings = {"symbol_names": letters, "mat_delim": "(", "fold_func_brackets": True, "inv_trig_style": "full"}
    latex = _Printer({**settings, "order": "rev-grlex", "mul_symbol": r"\,"}).doprint(_plain_signs(expression))
    if isinstance(expression, sp.MatrixBase):
        latex = latex.replace(r"\frac", r"\dfrac").replace("\\\\", r"\\[4pt]")
    return latex.replace(r"\operatorname{atan}_{2}", r"\mathrm{atan2}")


def _plain_signs(expression: sp.Basic) -> sp.Basic:
    """The same with each product's minus sign moved into a difference that it turns around: -x (y - z) is x (z - y)."""

    def turned(product: sp.Mul) -> sp.Expr:
        factors = list(product.args)
        for place, factor in enumerate(factors):
            terms = factor.args if isinstance(factor, sp.Add) else ()
            if len(terms) == 2 and any(term.could_extract_minus_sign() for term in terms):
                number = factors[0] if factors[0].is_Number and place else sp.Integer(1)
                rest = [one for at, one in enumerate(factors) if at != place and not (at == 0 and one.is_Number)]
                other = sp.Add(*(-term for term in terms))
                return (
                    sp.Mul(-number, *rest, other, evaluate=False)
                    if -number != 1
                    else sp.Mul(*rest, other, evaluate=False)
                )
        return product

    return expression.replace(lambda part: part.is_Mul and part.args[0].is_negative, turned)


class _Printer(LatexPrinter):
    """Sums begin with what is added and end with what is taken away."""

    def _as_ordered_terms(self, expr: sp.Expr, order: str | None = None) -> list[sp.Expr]:
        terms = super()._as_ordered_terms(expr, order=order)
        return sorted(terms, key=lambda term: bool(term.as_coeff_Mul()[0].is_negative))


def _upright(name: str) -> str:
    parts = (part if len(part) == 1 else rf"\mathrm{{{part}}}" for part in name.split("_"))
    return "_".join(f"{{{part}}}" for part in parts)


def vanishes(expression: sp.Basic) -> bool:
    """Whether `expression` is zero for every value of its symbols: a proof, not a sample.

    Parameters
    ----------
    expression : SymPy expression or matrix, rational in its symbols and in sines, cosines and tangents of angles, half
        angles, and sums and whole multiples of them

    Notes
    -----
    Each angle is written as twice its half, and sums are expanded. Then sin^2 + cos^2 = 1 takes every even power of a
    sine out of the numerator. What is left is linear in each sine, and is zero everywhere only if it is the polynomial
    0.
    """
    if isinstance(expression, sp.MatrixBase):
        return all(vanishes(entry) for entry in expression)
    trigonometric = expression.atoms(sp.Function)
    angles = sorted(set().union(*(call.free_symbols for call in trigonometric)), key=str)
    halves = expression.xreplace({angle: 2 * angle for angle in angles})
    plain = sp.expand_trig(halves.rewrite([sp.tan, sp.cot, sp.csc, sp.sec], sp.cos).rewrite(sp.tan, sp.cos))
    numerator = sp.fraction(sp.together(plain))[0]
    for angle in angles:
        sine, cosine = sp.Dummy("sine"), sp.Dummy("cosine")
        polynomial = sp.expand(numerator.xreplace({sp.sin(angle): sine, sp.cos(angle): cosine}))
        numerator = sp.rem(polynomial, sine**2 + cosine**2 - 1, sine)
    return sp.expand(numerator) == 0


def largest_difference(left: sp.Basic, right: sp.Basic, points: Iterable[Mapping[sp.Symbol, object]]) -> float:
    """Largest |left - right| over `points`, each computed to 50 digits.

    It holds a form that `vanishes` cannot decide (roots and arcs) at these points. It is evidence, not a proof.
    """
    return max(float(abs(sp.N((left - right).subs(point), 50))) for point in points)


def numeric(expression: sp.Basic, *symbols: sp.Symbol) -> Callable[..., Number]:
    """A NumPy function of `symbols` (radians, millimetres) that computes `expression`.

    The function takes numbers or arrays that broadcast. It returns a float or an array of the broadcast shape, also if
    the expression lacks a symbol. Where the expression is 0/0 it returns nan.

    Raises ValueError where the expression holds a symbol that is not among `symbols`.
    """
    missing = expression.free_symbols - set(symbols)
    if missing:
        raise ValueError(f"the expression also holds {', '.join(sorted(map(str, missing)))}: name every symbol")
    compiled = sp.lambdify(symbols, expression, "numpy", cse=True)

    def function(*values: Number) -> Number:
        shape = np.broadcast_shapes(*(np.shape(value) for value in values))
        with np.errstate(invalid="ignore", divide="ignore"):
            result = compiled(*(np.asarray(value, dtype=np.float64) for value in values))
        return np.broadcast_to(result, shape).copy() if shape else float(result)

    return function
