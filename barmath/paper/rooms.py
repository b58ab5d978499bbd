"""The rooms of this package as a picture for the people who work on it: each room, its subject, and what it imports.

Read off the code itself, so that it is true whenever it is made again.
"""

from __future__ import annotations

import ast
import io
from functools import cache
from pathlib import Path

from matplotlib.figure import Figure
from matplotlib.patches import FancyBboxPatch

HOME = Path(__file__).resolve().parents[1]
GROUND = "ground"
WIDE, TALL, ACROSS, UP = 3.1, 0.86, 3.5, 1.5


def rooms() -> tuple[str, ...]:
    """The folders of the package, and "ground" for the modules beside them."""
    return (GROUND, *sorted(path.name for path in HOME.iterdir() if (path / "__init__.py").exists()))


def modules_of(room: str) -> list[Path]:
    """The modules of a room, without its face."""
    folder = HOME if room == GROUND else HOME / room
    return sorted(path for path in folder.glob("*.py") if path.name != "__init__.py")


def subject_of(room: str) -> str:
    """The first sentence of a room's face."""
    if room == GROUND:
        return "refusals, arrays, lengths, saving"
    said = ast.get_docstring(ast.parse((HOME / room / "__init__.py").read_text(encoding="utf-8"))) or ""
    return said.splitlines()[0].rstrip(".") if said else ""


@cache
def arrows() -> dict[str, frozenset[str]]:
    """For each room the other rooms that its modules import."""
    found = {}
    for room in rooms():
        names = {name for path in modules_of(room) for name in _imported(path)}
        found[room] = frozenset(names & set(rooms()) - {room, GROUND})
    return found


def floors() -> dict[str, int]:
    """How high each room is: one above the highest room that it imports."""
    heights: dict[str, int] = {}

    def height(room: str) -> int:
        if room not in heights:
            heights[room] = 0 if room == GROUND else 1 + max(map(height, arrows()[room]), default=0)
        return heights[room]

    for room in rooms():
        height(room)
    return heights


def rooms_png(dpi: float = 80.0) -> bytes:
    """The picture: rooms floor by floor; an arrow leads to a room that is imported and reached by no other way."""
    heights, places = floors(), {}
    for floor in range(max(heights.values()) + 1):
        here = [room for room in rooms() if heights[room] == floor]
        for number, room in enumerate(here):
            places[room] = ((number - (len(here) - 1) / 2.0) * ACROSS, floor * UP)
    half = max(abs(x) for x, _ in places.values()) + ACROSS / 2.0
    top = max(y for _, y in places.values()) + UP / 2.0
    figure = Figure(figsize=(2.0 * half, top + UP / 2.0))
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0), xlim=(-half, half), ylim=(-UP / 2.0, top))
    axes.axis("off")
    for room, (x, y) in places.items():
        for other in _direct(room):
            to_x, to_y = places[other]
            axes.annotate(
                "", (to_x, to_y + TALL / 2.0), (x, y - TALL / 2.0),
                arrowprops={"arrowstyle": "-|>", "color": "0.55", "linewidth": 0.8, "shrinkA": 0, "shrinkB": 0},
            )  # fmt: skip
    for room, (x, y) in places.items():
        axes.add_patch(_box(x, y))
        many = f"{len(modules_of(room))} modules"
        axes.text(x, y + 0.2, room, ha="center", va="center", fontsize=12, fontweight="bold", zorder=3)
        axes.text(x, y - 0.08, many, ha="center", va="center", fontsize=8, color="0.4", zorder=3)
        axes.text(x, y - 0.28, _short(subject_of(room)), ha="center", va="center", fontsize=7.5, zorder=3)
    picture = io.BytesIO()
    figure.savefig(picture, dpi=dpi, metadata={"Software": None})
    return picture.getvalue()


def _imported(path: Path) -> set[str]:
    nodes = [node for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(node, ast.ImportFrom)]
    return {node.module.split(".")[1] for node in nodes if node.module and node.module.startswith("barmath.")}


def _direct(room: str) -> list[str]:
    # of the rooms imported, those that no other imported room reaches: the rest would only cross the picture
    reached = {far for near in arrows()[room] for far in _reach(near)}
    return sorted(arrows()[room] - reached)


def _reach(room: str) -> set[str]:
    return {far for near in arrows()[room] for far in {near} | _reach(near)}


def _box(x: float, y: float) -> FancyBboxPatch:
    return FancyBboxPatch(
        (x - WIDE / 2.0, y - TALL / 2.0), WIDE, TALL, boxstyle="round,pad=0,rounding_size=0.08",
        facecolor="#eef3f8", edgecolor="#005a9c", linewidth=1.0, zorder=2,
    )  # fmt: skip


def _short(words: str) -> str:
    return words if len(words) <= 52 else words[:50].rsplit(" ", 1)[0] + " ..."
