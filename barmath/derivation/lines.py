"""The lines of algebra of the lesson, step by step, each as a person would write it.

Each line of a step is proven from `forward`, `inverse` and the lines before it: `proof` says how.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Line:
    """The same thing written in several ways, one after the other.

    Parameters
    ----------
    says : str
        What the line is about, in words.
    sides : sequence of str
        Formulas, as `written.typeset` reads them, that are equal.
    unit : "mm", "deg", "" for a bare number, or None where the line is for letters only
    by : mapping of int to str
        For an equation that follows from lines before it: each line's place, and what it is multiplied by.
    always : bool
        Whether its sides are equal for every bar. Else it is an equation to solve, or a name that it explains.
    """

    says: str
    sides: tuple[str, ...]
    unit: str | None = ""
    by: Mapping[int, str] = field(default_factory=dict)
    always: bool = False


DEFINED = {
    "t_a": "R*tan(a/2)",
    "t_b": "R*tan(b/2)",
    "l_1": "s + t_a + t_b",
    "l_2": "g + t_b",
    "d_1": "(cos(a), 0, sin(a))",
    "m": "(sin(a)*cos(phi), sin(phi), -cos(a)*cos(phi))",
    "d_right": "cos(a)*cos(b) + sin(a)*sin(b)*cos(phi)",
    "d_back": "sin(b)*sin(phi)",
    "d_up": "sin(a)*cos(b) - cos(a)*sin(b)*cos(phi)",
    "T": "tan(beta)",
    "A": "sin(b)",
    "B": "T*sin(a)*sin(b)",
    "C": "T*cos(a)*cos(b)",
    "H": "sqrt(A**2 + B**2)",
    "delta": "atan(B/A)",
    "across": "half_width - c - t_a",
}
"""What the short names mean, each from those before it."""

_ROLL = "delta + asin(C/H)"
_LEVER = "sin(a)*d_right - cos(a)*d_up"

LINES: dict[str, tuple[Line, ...]] = {
    "turn": (Line("Heading of the riser", ("d_1", "(cos(a), 0, sin(a))")),),
    "arc": (
        Line("To the right", ("right", "R*sin(a)"), "mm"),
        Line(
            "Up: the height of the centre, less what is below it",
            ("up", "R - R*cos(a)", "R*(1 - cos(a))"),
            "mm",
            always=True,
        ),
    ),
    "corner": (
        Line("Take-out", ("t_a", "R*tan(a/2)"), "mm"),
        Line("To the right, by way of the corner", ("t_a + t_a*cos(a)", "R*sin(a)"), "mm", always=True),
        Line("Up, by way of the corner", ("t_a*sin(a)", "R*(1 - cos(a))"), "mm", always=True),
    ),
    "roll": (
        Line(
            "Direction that the outer bend turns toward",
            ("m", "cos(phi)*(sin(a), 0, -cos(a)) + sin(phi)*(0, 1, 0)", DEFINED["m"]),
            always=True,
        ),
    ),
    "grip": (
        Line("Heading of the grip: the same rule", ("d_2", "cos(b)*d_1 + sin(b)*m"), None),
        Line(
            "Its part to the right",
            ("d_right", "cos(b)*cos(a) + sin(b)*(sin(a)*cos(phi))", DEFINED["d_right"]),
            always=True,
        ),
        Line("Its part to the back", ("d_back", "cos(b)*0 + sin(b)*sin(phi)", DEFINED["d_back"]), always=True),
        Line("Its part up", ("d_up", "cos(b)*sin(a) + sin(b)*(-cos(a)*cos(phi))", DEFINED["d_up"]), always=True),
        Line("Backsweep, seen from above", ("beta", "atan(d_back/d_right)"), "deg"),
        Line("Upsweep, seen from the front", ("upsilon", "atan(d_up/d_right)"), "deg"),
    ),
    "legs": (
        Line("Riser leg, corner to corner", ("l_1", "t_a + s + t_b"), "mm"),
        Line("Grip leg, corner to bar end", ("l_2", "t_b + g"), "mm"),
        Line("Rise", ("rise", "l_1*sin(a) + l_2*d_up"), "mm"),
        Line("Half the width", ("half_width", "c + t_a + l_1*cos(a) + l_2*d_right"), "mm"),
    ),
    "stem": (
        Line("Stem roll that makes the grips level", ("psi", "atan(d_up/d_back)"), "deg"),
        Line("Rise with the grips level", ("rise_level", "rise*cos(psi) - setback*sin(psi)"), "mm"),
    ),
    "finder": (Line("Angle that the finder reads", ("kappa", "asin(sin(a)*sin(phi))"), "deg"),),
    "asked": (
        Line("What the backsweep needs", ("d_back", "T*d_right"), None),
        Line(
            "Each part written out",
            ("sin(b)*sin(phi)", "T*(cos(a)*cos(b) + sin(a)*sin(b)*cos(phi))"),
            None,
            {0: "1"},
        ),
        Line(
            "The bracket multiplied out, and the roll on one side",
            ("sin(b)*sin(phi) - T*sin(a)*sin(b)*cos(phi)", "T*cos(a)*cos(b)"),
            None,
            {1: "1"},
        ),
        Line("In short", ("A*sin(phi) - B*cos(phi)", "C"), None, {2: "1"}),
    ),
    "solve": (
        Line("First leg", ("A", "sin(b)")),
        Line("Second leg", ("B", "T*sin(a)*sin(b)")),
        Line("Wanted", ("C", "T*cos(a)*cos(b)")),
        Line("Long side", ("H", "sqrt(A**2 + B**2)")),
        Line("Its angle", ("delta", "atan(B/A)"), "deg"),
        Line(
            "So A is H cos δ, and B is H sin δ",
            (
                "A*sin(phi) - B*cos(phi)",
                "H*(sin(phi)*cos(delta) - cos(phi)*sin(delta))",
                "H*sin(phi - delta)",
            ),
            None,
            always=True,
        ),
        Line("The roll", ("phi", _ROLL), "deg"),
    ),
    "other": (Line("The other roll", ("phi", "delta + half_turn - asin(C/H)"), "deg"),),
    "least": (
        Line("At the limit", ("C", "H"), None),
        Line("One stop: b is a", ("T*cos(a)**2", "sin(a)*sqrt(1 + T**2*sin(a)**2)"), None),
        Line("Squared, with x for sin² a", ("T**2*(1 - x)**2", "x*(1 + T**2*x)"), None),
        Line("Multiplied out: x² cancels", ("T**2 - 2*T**2*x", "x"), None, {2: "1"}),
        Line("So", ("x", "T**2/(1 + 2*T**2)"), None, {3: "-1/(1 + 2*T**2)"}),
        Line("The least bend", ("a", "asin(sqrt(T**2/(1 + 2*T**2)))"), "deg"),
    ),
    "lengths": (
        Line("Up", ("l_1*sin(a) + l_2*d_up", "rise"), None),
        Line("Across", ("l_1*cos(a) + l_2*d_right", "across"), None),
        Line(
            "The first times the part right, less the second times the part up: this removes the grip leg",
            (f"l_1*({_LEVER})", "rise*d_right - across*d_up"),
            None,
            {0: "d_right", 1: "-d_up"},
        ),
        Line("Across, for both legs", ("across", "half_width - c - t_a"), "mm"),
        Line("Riser leg", ("l_1", f"(rise*d_right - across*d_up)/({_LEVER})"), "mm"),
        Line("Straight", ("s", "l_1 - t_a - t_b"), "mm"),
        Line("Grip leg", ("l_2", "(across - l_1*cos(a))/d_right"), "mm"),
        Line("Grip", ("g", "l_2 - t_b"), "mm"),
    ),
    "upsweep": (
        Line("The total turn, one stop", ("cos(gamma)", "cos(a)**2 + sin(a)**2*cos(phi)"), None),
        Line("1 less both sides", ("1 - cos(gamma)", "sin(a)**2*(1 - cos(phi))"), None, {0: "-1"}),
        Line("1 − cos x is 2 sin²(x/2)", ("2*sin(gamma/2)**2", "2*sin(a)**2*sin(phi/2)**2"), None, {1: "1"}),
        Line("Half of both, and the root", ("sin(phi/2)", "sin(gamma/2)/sin(a)"), None),
        Line("The roll", ("phi", "2*asin(sin(gamma/2)/sin(a))"), "deg"),
        Line("Two stops", ("cos(phi)", "(cos(gamma) - cos(a)*cos(b))/(sin(a)*sin(b))"), None),
    ),
    "habit": (
        Line("The finder", ("sin(kappa)", "sin(a)*sin(phi)"), None),
        Line("The grip's part to the back", ("d_back", "sin(b)*sin(phi)"), None),
        Line("The roll cancels", ("sin(kappa)", "d_back*sin(a)/sin(b)"), None, {0: "1", 1: "-sin(a)/sin(b)"}),
    ),
}
"""The lines of each step, by the name of the step."""
