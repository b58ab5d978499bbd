"""The shop's own file: its tubes, dies, bender and stops, in a small TOML text that a builder edits by hand."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

from barmath.lengths import length_mm
from barmath.refusal import BendError, checked
from barmath.stock import CHROMOLY_4130, Material, Tube
from barmath.tooling import Bender, Die
from barmath.ways import USUAL_BENDS_DEG

LARGEST_FILE = 1_000_000
"""Bytes beyond which a file is surely not a shop's file."""


@dataclass(frozen=True)
class Shop:
    """What the shop has: tubes in the rack, dies on the shelf, and the bender they go on."""

    name: str
    tubes: tuple[Tube, ...]
    dies: tuple[Die, ...]
    bender: Bender = field(default_factory=Bender)
    stop_bends_deg: tuple[float, ...] = USUAL_BENDS_DEG
    stock_length_mm: float = 1000.0
    stem_width_mm: float | None = None

    def tube(self, name: str) -> Tube:
        """The tube of that name; raises BendError where there is none."""
        return _named("tube", self.tubes, name)

    def die(self, name: str) -> Die:
        """The die of that name; raises BendError where there is none."""
        return _named("die", self.dies, name)


def shop_from_file(path: str | Path) -> Shop:
    """The shop described by the TOML file at `path`.

    Raises
    ------
    BendError
        Where the file cannot be read or says something that cannot be: one sentence with the file's name and line.
    """
    path = Path(path)
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise BendError(f"{path.name}: a shop's file has at most {LARGEST_FILE} bytes, got {path.stat().st_size}")
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as fault:
        raise BendError(f"{path.name}: the shop's file could not be read ({fault.strerror}): check its name") from None
    except UnicodeDecodeError as fault:
        line = fault.object[: fault.start].count(b"\n") + 1
        raise BendError(f"{path.name}, line {line}: the file must be UTF-8 text: save it again as UTF-8") from None
    return shop_from_toml(text, path.name)


def shop_from_toml(text: str, source: str = "shop file") -> Shop:
    """The shop that a TOML text describes; `source` names it in refusals. Raises BendError as `shop_from_file`."""
    try:
        parsed = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        words = str(fault)
        raise BendError(f"{source}: this is not the TOML that was expected: {words[0].lower()}{words[1:]}") from None
    except RecursionError:
        raise BendError(f"{source}: the file is nested too deeply to be a shop's file") from None
    return _Reader(text, source).shop(parsed)


Named = TypeVar("Named", Tube, Die)
Made = TypeVar("Made")


def _named(what: str, things: tuple[Named, ...], name: str) -> Named:
    for thing in things:
        if thing.name == name:
            return thing
    raise BendError(f"{what} must be one of {', '.join(thing.name for thing in things)}, got {name!r:.40}")


class _Reader:
    """Turns parsed tables into records, and any refusal into one that names the file and the line."""

    def __init__(self, text: str, source: str) -> None:
        self.lines = text.splitlines()
        self.source = source

    def shop(self, parsed: Mapping) -> Shop:
        self.known(parsed, "", 0, {"name", "bender", "stops", "stock", "stem", "material", "tube", "die"})
        materials = {CHROMOLY_4130.name: CHROMOLY_4130}
        for place, table in enumerate(self.tables(parsed, "material")):
            material = self.material(table, place)
            materials[material.name] = material
        tubes = tuple(self.tube(table, place, materials) for place, table in enumerate(self.tables(parsed, "tube")))
        dies = tuple(self.die(table, place) for place, table in enumerate(self.tables(parsed, "die")))
        for what, things in (("tube", tubes), ("die", dies)):
            if not things:
                raise BendError(f"{self.source}: a shop must have at least one {what}: add a [[{what}]] table")
            names = [thing.name for thing in things]
            for place, name in enumerate(names):
                if name in names[:place]:
                    raise self.refusal(
                        what, place, "name", f"each {what} must have a name of its own, got {name!r:.40} twice"
                    )
        bender, stops, stock, stem = (self.table(parsed, key) for key in ("bender", "stops", "stock", "stem"))
        self.known(bender, "bender", 0, {"turns"})
        self.known(stops, "stops", 0, {"bends_deg"})
        self.known(stock, "stock", 0, {"longest"})
        self.known(stem, "stem", 0, {"width"})
        return Shop(
            name=self.words(parsed, "", 0, "name", "this shop"),
            tubes=tubes,
            dies=dies,
            bender=self.made("bender", 0, "turns", lambda: Bender(bender.get("turns", "left"))),
            stop_bends_deg=self.made("stops", 0, "bends_deg", lambda: _stops(stops.get("bends_deg", USUAL_BENDS_DEG))),
            stock_length_mm=self.length(stock, "stock", 0, "longest", 1000.0),
            stem_width_mm=self.length(stem, "stem", 0, "width", None),
        )

    def material(self, table: Mapping, place: int) -> Material:
        fields = [name for name in Material.__dataclass_fields__ if name != "name"]
        self.known(table, "material", place, {"name", *fields})
        name = self.words(table, "material", place, "name")
        values: dict[str, Any] = {key: self.needed(table, "material", place, key) for key in fields}
        return self.made("material", place, "", lambda: Material(name=name, **values))

    def tube(self, table: Mapping, place: int, materials: Mapping[str, Material]) -> Tube:
        self.known(table, "tube", place, {"name", "outside_diameter", "wall", "material"})
        name = self.words(table, "tube", place, "name")
        diameter = self.length(table, "tube", place, "outside_diameter")
        wall = self.length(table, "tube", place, "wall")
        material = self.words(table, "tube", place, "material", CHROMOLY_4130.name)
        if material not in materials:
            raise self.refusal(
                "tube", place, "material", f"material must be one of {', '.join(materials)}, got {material!r:.40}"
            )
        return self.made("tube", place, "", lambda: Tube(diameter, wall, materials[material], name))

    def die(self, table: Mapping, place: int) -> Die:
        lengths = {"centerline_radius", "least_straight", "line_up_offset", "tube_diameter"}
        self.known(table, "die", place, {"name", "largest_bend_deg", "springback_ratio", *lengths})
        name = self.words(table, "die", place, "name")
        radius = self.length(table, "die", place, "centerline_radius")
        return self.made(
            "die",
            place,
            "",
            lambda: Die(
                centerline_radius_mm=radius,
                least_straight_mm=self.length(table, "die", place, "least_straight", 65.0),
                line_up_offset_mm=self.length(table, "die", place, "line_up_offset", 0.0),
                largest_bend_deg=table.get("largest_bend_deg", 90.0),
                tube_diameter_mm=self.length(table, "die", place, "tube_diameter", None),
                springback_ratio=table.get("springback_ratio"),
                name=name,
            ),
        )

    def tables(self, parsed: Mapping, what: str) -> list[Mapping]:
        tables = parsed.get(what, [])
        if not isinstance(tables, list) or not all(isinstance(table, Mapping) for table in tables):
            raise self.refusal(what, 0, "", f"each {what} must stand under a line [[{what}]]")
        return tables

    def table(self, parsed: Mapping, what: str) -> Mapping:
        table = parsed.get(what, {})
        if not isinstance(table, Mapping):
            raise self.refusal("", 0, what, f"{what} must stand under a line [{what}]")
        return table

    def known(self, table: Mapping, what: str, place: int, keys: set[str]) -> None:
        for key in table:
            if key not in keys:
                raise self.refusal(what, place, key, f"{key!r:.40} is not known here: use {', '.join(sorted(keys))}")

    def needed(self, table: Mapping, what: str, place: int, key: str) -> object:
        if key not in table:
            raise self.refusal(what, place, "", f"this {what} must have a line {key} = ...")
        return table[key]

    def words(self, table: Mapping, what: str, place: int, key: str, default: str | None = None) -> str:
        value = table.get(key, default) if default is not None else self.needed(table, what, place, key)
        if not isinstance(value, str) or not value.strip() or len(value) > 80:
            raise self.refusal(what, place, key, f"{key} must be a text of 1 to 80 letters, got {value!r:.40}")
        return value.strip()

    def length(self, table: Mapping, what: str, place: int, key: str, *default: float | None) -> Any:
        if default and key not in table:
            return default[0]
        value = self.needed(table, what, place, key)
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            raise self.refusal(
                what, place, key, f'{key} must be a length such as 88.9 or "3 1/2 in", got {value!r:.40}'
            )
        words, negative = key.replace("_", " "), key == "line_up_offset"
        return self.made(what, place, key, lambda: length_mm(value, name=words, allow_negative=negative))

    def made(self, what: str, place: int, key: str, make: Callable[[], Made]) -> Made:
        try:
            return make()
        except BendError as refusal:
            if str(refusal).startswith(self.source):
                raise
            raise self.refusal(what, place, key, str(refusal)) from None

    def refusal(self, what: str, place: int, key: str, sentence: str) -> BendError:
        return BendError(f"{self.source}, line {self.line(what, place, key)}: {sentence}")

    def line(self, what: str, place: int, key: str) -> int:
        # number of the line that holds `key` in the `place`-th table `what`, or that table's own line
        start, seen = 0, -1
        for number, line in enumerate(self.lines if what else []):
            seen += line.strip().startswith((f"[{what}]", f"[[{what}]]"))
            if seen == place:
                start = number
                break
        for number, line in enumerate(self.lines[start:], start):
            if number > start and line.lstrip().startswith("["):
                break
            if key and line.split("=")[0].strip().strip("\"'") == key:
                return number + 1
        return start + 1


def _stops(bends: object) -> tuple[float, ...]:
    if not isinstance(bends, list | tuple) or not bends:
        raise BendError(f"bends_deg must be a list of angles such as [20, 25, 30], got {bends!r:.40}")
    return tuple(float(checked("stop", bend, "deg", least=0.1, below=90.0)) for bend in bends)
