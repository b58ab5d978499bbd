"""What SymPy makes of a step of the lesson: the derived forms, and the proof of each line."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import sympy as sp

from barmath.derivation import forward, inverse, special, steps
from barmath.derivation.lines import DEFINED, LINES, Line
from barmath.derivation.steps import Quantity, Step, Vector, in_mathematics, vanishes
from barmath.derivation.written import worth

FUNCTIONS = {name: getattr(sp, name) for name in ("sin", "cos", "tan", "asin", "acos", "atan", "sqrt")}
_X, _H, _DELTA = sp.symbols("x H delta", positive=True)
_WITH_UNITS = {quantity.symbol.name: quantity.symbol for quantity in steps.QUANTITIES}
_KNOWN = {
    **_WITH_UNITS, **{name: sp.Symbol(name, positive=True) for name in ("rise_level", "x")}, "T": inverse.T, "x": _X,
    "half_turn": sp.pi,
}  # fmt: skip

_DERIVED: dict[str, Callable[[], tuple[Step, ...]]] = {
    "turn": lambda: (forward.riser_direction(),),
    "arc": lambda: (forward.arc_from_small_steps(),),
    "corner": lambda: (forward.take_out(), *forward.half_tangent_forms()),
    "roll": lambda: (forward.outer_toward(),),
    "grip": lambda: (forward.grip_direction(),),
    "legs": lambda: (forward.corner_points()[-1],),
    "stem": lambda: (forward.measures()["rise"], forward.measures()["backsweep"]),
    "finder": lambda: (forward.bench_vertical(), forward.clamp_reading()),
    "asked": lambda: (inverse.two_bends_upright_condition(),),
    "solve": lambda: (inverse.two_bends_upright_roll(),),
    "least": lambda: (inverse.upright_least_bend(), inverse.upright_most_backsweep()),
    "other": lambda: (inverse.upright_condition(),),
    "lengths": lambda: (*inverse.rise_and_width(), inverse.lever(), *inverse.straight_and_grip()),
    "upsweep": lambda: (inverse.equal_bends_roll(), inverse.equal_bends_lean(), *inverse.two_bends_roll()),
    "habit": lambda: (special.habit_exact(), special.habit_error(), special.habit_unequal_bends()),
    "offset": lambda: (
        special.flat_offset(), special.offset_multiplier(), special.offset_shrink(), special.offset_gain(),
        special.offset_spacing(),
    ),
    "inner bend": lambda: (*inverse.shares_along_the_riser(), *inverse.inner_bend_angles()),
}  # fmt: skip


class Worked(NamedTuple):
    """A derived form in words and LaTeX."""

    says: str
    latex: str


def derived(step: str) -> tuple[Worked, ...]:
    """The forms that SymPy derives for a step of the lesson, sorted as it needs them."""
    return tuple(Worked(one.title, _equation(one)) for one in _DERIVED[step]())


def letters(step: str) -> tuple[Quantity, ...]:
    """The letters of these forms, with what each means; sorted as in `QUANTITIES`."""
    forms = [part for one in _DERIVED[step]() for part in (one.left, one.right)]
    used = set().union(*(form.free_symbols for form in forms))
    return tuple(quantity for quantity in steps.QUANTITIES if quantity.symbol in used)


def _equation(one: Step) -> str:
    sign = r"\approx" if one.is_approximate else "="
    return f"{in_mathematics(one.left)} {sign} {in_mathematics(one.right)}"


def proofs(step: str) -> dict[str, bool]:
    """Whether SymPy finds that nothing is left of each line that can be proven, by what the line says.

    A line with sides that are always equal must vanish as left less right. An equation must be the sum of those that it
    follows from, each times what the line names.
    """
    lines = LINES.get(step, ())
    return {line.says: _proven(line, lines, step) for line in lines if line.always or line.by}


def _proven(line: Line, lines: tuple[Line, ...], step: str) -> bool:
    known = symbols(step)
    if line.always:
        sides = [in_symbols(side, known) for side in line.sides if side.isidentifier() is False or side in known]
        return all(vanishes(sp.sympify(one - sides[0])) for one in sides[1:])
    total = _less(line, known) - sum(in_symbols(by, known) * _less(lines[at], known) for at, by in line.by.items())
    return vanishes(sp.sympify(total))


def _less(line: Line, known: dict[str, sp.Basic]) -> sp.Basic:
    left, right = (in_symbols(side, known) for side in line.sides)
    return left - right


def in_symbols(text: str, known: dict[str, sp.Basic]) -> sp.Basic:
    """A written formula in SymPy."""
    return worth(text, known, FUNCTIONS, Vector)


def symbols(step: str = "") -> dict[str, sp.Basic]:
    """What each name of the lines is in SymPy: a symbol, or what it means.

    In the step "solve" the long side and its angle are symbols, and the legs are worked out of them.
    """
    known = dict(_KNOWN)
    for name, text in DEFINED.items():
        if name not in known:
            known[name] = in_symbols(text, known)
    if step == "solve":
        known |= {"H": _H, "delta": _DELTA, "A": _H * sp.cos(_DELTA), "B": _H * sp.sin(_DELTA)}
    return known
