"""The shop's own file: its tubes, dies, bender and stops, in a small TOML text that a builder edits by hand."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

from barmath.closed_forms.records import check_single
from barmath.refusal import BendError, checked, checked_single, quoted, unknown
from barmath.shop.bender import MEASURES, Bender
from barmath.shop.die_calibration import NUMBERS, DieCalibration
from barmath.shop.rack import USUAL_KERF_MM, Rack
from barmath.shop.stock import CHROMOLY_4130, TIGHTEST_IN_DIAMETERS, Material, Tube
from barmath.shop.tolerance import Tolerance
from barmath.shop.toml_reading import TomlReader, text_from_file
from barmath.shop.tooling import USUAL_BENDS_DEG, Die

ANY_STEP_DEG, FINEST_STEP_DEG = 0.5, 0.25
"""Steps in which a stop that can be set anywhere is tried, and the finest: common practice, no source."""

USUAL_STOCK_MM = 1000.0
"""Longest tube where the file says nothing: common practice, no source."""

TABLES = {"name", "bender", "stops", "stock", "stem", "material", "tube", "die", "calibration", "accepted", "rack"}
"""What a shop's file may hold at its top."""

ACCEPTED = {
    "sweep_deg": "sweep_deg", "rise": "rise_mm", "rock": "rock_mm", "roll_deg": "roll_deg",
    "touch_share": "touch_share", "heat_deg": "heat_deg",
}  # fmt: skip
"""Keys under [accepted] in the file, and the fields of `Tolerance` they fill."""


@dataclass(frozen=True)
class Shop:
    """What the shop has: tubes in the rack, dies on the shelf, and the bender they go on."""

    name: str
    tubes: tuple[Tube, ...]
    dies: tuple[Die, ...]
    bender: Bender = field(default_factory=Bender)
    stop_bends_deg: tuple[float, ...] = USUAL_BENDS_DEG
    stock_length_mm: float = USUAL_STOCK_MM
    stem_width_mm: float | None = None
    calibrations: tuple[DieCalibration, ...] = ()
    accepted: Tolerance = field(default_factory=Tolerance)
    racks: tuple[Rack, ...] = ()
    kerf_mm: float = USUAL_KERF_MM

    def rack(self, tube: Tube) -> Rack:
        """What there is of that tube and can be bought; where the file says nothing, the longest stock is bought."""
        own = [rack for rack in self.racks if rack.tube == tube.name]
        return own[0] if own else Rack(tube.name, (self.stock_length_mm,))

    def calibration(self, tube: Tube, die: Die, batch: str = "") -> DieCalibration | None:
        """The last calibration of that tube on that die: of the batch if it has one, else of any."""
        own = [one for one in self.calibrations if (one.tube, one.die) == (tube.name, die.name)]
        of_batch = [one for one in own if batch and one.batch == batch]
        found = of_batch or own
        return found[-1] if found else None

    def dies_for(self, tube: Tube) -> tuple[Die, ...]:
        """The dies as they do with that tube: with what was calibrated, and the straight that this bender's hook needs.

        A ratio given with the die itself was measured on the shop's first tube; another tube's is worked out.
        It raises BendError if the tube holds arrays.
        """
        check_single(tube)
        return tuple(self._die_for(tube, die) for die in self.dies)

    def die_for(self, tube: Tube, name: str) -> Die:
        """The die of that name as it does with that tube. It raises BendError if there is none."""
        check_single(tube)
        return self._die_for(tube, self.die(name))

    def _die_for(self, tube: Tube, die: Die) -> Die:
        calibration = self.calibration(tube, die)
        die = replace(die, least_straight_mm=self.bender.hook_needs_mm(die))
        if calibration is not None:
            return calibration.on(die)
        return die if tube == self.tubes[0] else replace(die, springback_ratio=None)

    def tube(self, name: str) -> Tube:
        """The tube of that name. It raises BendError if there is none."""
        return _named("tube", self.tubes, name)

    def die(self, name: str) -> Die:
        """The die of that name. It raises BendError if there is none."""
        return _named("die", self.dies, name)


def shop_from_file(path: str | Path) -> Shop:
    """The shop described by the TOML file at `path`.

    Raises
    ------
    BendError
        The file cannot be read, or something in it cannot be: the message gives its name and line.

    Examples
    --------
    >>> from barmath.shop import shop_from_file
    >>> shop_from_file("notebooks/demo/shop.toml").dies[0].name
    'die 102'
    """
    path = Path(path)
    return shop_from_toml(text_from_file(path), path.name)


def shop_from_toml(text: str, source: str = "shop file") -> Shop:
    """The shop that a TOML text describes; `source` names it in refusals.

    Parameters
    ----------
    text : str
    source : str
        What a refusal calls the text.

    Raises
    ------
    BendError
        The text is no TOML, or something in it cannot be: the message gives the line.

    Examples
    --------
    >>> from pathlib import Path
    >>> from barmath.shop import shop_from_toml
    >>> text = Path("notebooks/demo/shop.toml").read_text(encoding="utf-8")
    >>> len(shop_from_toml(text, source="my shop").dies)
    3
    """
    return _ShopReader(text, source).shop()


Named = TypeVar("Named", Tube, Die)
Made = TypeVar("Made")


def _named(what: str, things: tuple[Named, ...], name: str) -> Named:
    for thing in things:
        if thing.name == name:
            return thing
    raise BendError(unknown(what, name, [thing.name for thing in things]))


class _ShopReader(TomlReader):
    """Turns the tables of a shop's file into records."""

    def shop(self) -> Shop:
        parsed = self.parsed
        self.known(parsed, "", 0, TABLES)
        materials = {one.name: one for one in (CHROMOLY_4130, *self.every("material", self.material))}
        tubes = self.every("tube", lambda table, place: self.tube(table, place, materials))
        dies = self.every("die", self.die)
        for what, things in (("tube", tubes), ("die", dies)):
            if not things:
                raise BendError(f"a shop must have at least one {what}: add a [[{what}]] table", self.source)
        for what in ("material", "tube", "die"):
            self.names_of_their_own(what)
        calibrations = self.every("calibration", self.calibration)
        bender, stops, stock, stem, accepted = (
            self.table(parsed, key) for key in ("bender", "stops", "stock", "stem", "accepted")
        )
        self.known(stops, "stops", 0, {"bends_deg", "any", "step_deg"})
        self.known(stock, "stock", 0, {"longest", "kerf"})
        self.known(stem, "stem", 0, {"width"})
        return Shop(
            name=self.words(parsed, "", 0, "name", "this shop"),
            tubes=tubes,
            dies=dies,
            bender=self.bender(bender),
            stop_bends_deg=self.stops(stops),
            stock_length_mm=self.size(stock, "stock", "longest") or USUAL_STOCK_MM,
            stem_width_mm=self.size(stem, "stem", "width"),
            calibrations=calibrations,
            accepted=self.accepted(accepted),
            racks=self.every("rack", lambda table, place: self.rack(table, place, tubes)),
            kerf_mm=self.kerf(stock),
        )

    def every(self, what: str, make: Callable[[Mapping, int], Made]) -> tuple[Made, ...]:
        """What `make` makes of each table [[what]] and its place, sorted as in the file."""
        return tuple(make(table, place) for place, table in enumerate(self.tables(self.parsed, what)))

    def stops(self, table: Mapping) -> tuple[float, ...]:
        bends = self.made("stops", 0, "bends_deg", lambda: _stops(table.get("bends_deg", USUAL_BENDS_DEG)))
        if not self.made("stops", 0, "any", lambda: _yes_or_no(table.get("any", False))):
            return bends
        step = table.get("step_deg", ANY_STEP_DEG)
        return self.made("stops", 0, "step_deg", lambda: _every_stop(min(bends), max(bends), step))

    def rack(self, table: Mapping, place: int, tubes: tuple[Tube, ...]) -> Rack:
        self.known(table, "rack", place, {"tube", "buy", "offcuts", "price_a_metre"})
        tube = self.words(table, "rack", place, "tube")
        self.made("rack", place, "tube", lambda: _named("tube", tubes, tube))
        earlier = [other.get("tube") for other in self.tables(self.parsed, "rack")[:place]]
        if tube in earlier:
            raise self.refusal(
                "rack", place, "tube", f"each tube must have one rack, got {quoted(tube)} twice: delete one"
            )
        buy, offcuts = (self.lengths(table, "rack", place, key) for key in ("buy", "offcuts"))
        return self.made("rack", place, "", lambda: Rack(tube, buy, offcuts, table.get("price_a_metre")))

    def lengths(self, table: Mapping, what: str, place: int, key: str) -> tuple[float, ...]:
        values = table.get(key, [])
        if not isinstance(values, list):
            raise self.refusal(
                what,
                place,
                key,
                f'{key} must be lengths in brackets, got {quoted(values)}: type them as in ["2000 mm"]',
            )
        return tuple(self.length({key: value}, what, place, key) for value in values)

    def kerf(self, table: Mapping) -> float:
        if "kerf" not in table:
            return USUAL_KERF_MM
        kerf = self.length(table, "stock", 0, "kerf")
        return self.made("stock", 0, "kerf", lambda: checked_single("saw kerf", kerf, "mm", least=0.0, most=20.0))

    def accepted(self, table: Mapping) -> Tolerance:
        self.known(table, "accepted", 0, set(ACCEPTED))
        values: dict[str, Any] = {}
        for key in table:
            if key in ("rise", "rock"):
                values[ACCEPTED[key]] = self.length(table, "accepted", 0, key)
            else:
                values[ACCEPTED[key]] = table[key]
                self.ask("accepted", 0, key, table[key])
        return self.made("accepted", 0, "", lambda: Tolerance(**values))

    def calibration(self, table: Mapping, place: int) -> DieCalibration:
        self.known(table, "calibration", place, {"die", "tube", "batch", "date", "source", *NUMBERS})
        texts = {key: self.words(table, "calibration", place, key) for key in ("die", "tube", "date", "source")}
        numbers = {key: self.needed(table, "calibration", place, key) for key in NUMBERS}
        for key, number in numbers.items():
            self.ask("calibration", place, key, number)
        batch = str(table.get("batch", ""))
        values: dict[str, Any] = {**texts, **numbers, "batch": batch}
        return self.made("calibration", place, "", lambda: DieCalibration(**values))

    def names_of_their_own(self, what: str) -> None:
        names = [str(table["name"]).strip() for table in self.tables(self.parsed, what)]
        for place, name in enumerate(names):
            if name in names[:place]:
                raise self.refusal(
                    what,
                    place,
                    "name",
                    f"each {what} must have a name of its own, got {quoted(name)} twice: rename one",
                )

    def size(self, table: Mapping, what: str, key: str) -> float | None:
        if key not in table:
            return None
        length = self.length(table, what, 0, key)
        return self.made(what, 0, key, lambda: checked(f"{key} of the {what}", length, "mm", above=0.0))

    def bender(self, table: Mapping) -> Bender:
        self.known(table, "bender", 0, {"turns", *MEASURES})
        lengths = {f"{key}_mm": self.length(table, "bender", 0, key, None) for key in MEASURES}
        turns = self.made("bender", 0, "turns", lambda: Bender(table.get("turns", "left"))).turns
        return self.made("bender", 0, "", lambda: Bender(turns, **lengths))

    def material(self, table: Mapping, place: int) -> Material:
        fields = [name for name in Material.__dataclass_fields__ if name != "name"]
        self.known(table, "material", place, {"name", *fields})
        name = self.words(table, "material", place, "name")
        values: dict[str, Any] = {key: self.needed(table, "material", place, key) for key in fields}
        for key, value in values.items():
            self.ask("material", place, key, value)
        return self.made("material", place, "", lambda: Material(name=name, **values))

    def tube(self, table: Mapping, place: int, materials: Mapping[str, Material]) -> Tube:
        self.known(table, "tube", place, {"name", "outside_diameter", "wall", "material", "tightest_in_diameters"})
        name = self.words(table, "tube", place, "name")
        diameter = self.length(table, "tube", place, "outside_diameter")
        wall = self.length(table, "tube", place, "wall")
        material = self.words(table, "tube", place, "material", CHROMOLY_4130.name)
        if material not in materials:
            raise self.refusal("tube", place, "material", unknown("material", material, list(materials)))
        tightest = table.get("tightest_in_diameters", TIGHTEST_IN_DIAMETERS)
        self.ask("tube", place, "tightest_in_diameters", tightest)
        return self.made("tube", place, "", lambda: Tube(diameter, wall, materials[material], name, tightest))

    def die(self, table: Mapping, place: int) -> Die:
        lengths = {
            "centerline_radius",
            "least_straight",
            "line_up_offset",
            "tube_diameter",
            "groove_depth",
            "rim_height",
        }
        self.known(table, "die", place, {"name", "largest_bend_deg", "springback_ratio", *lengths})
        name = self.words(table, "die", place, "name")
        radius = self.length(table, "die", place, "centerline_radius")
        for key in ("largest_bend_deg", "springback_ratio"):
            self.ask("die", place, key, table.get(key))
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
                groove_depth_mm=self.length(table, "die", place, "groove_depth", None),
                rim_height_mm=self.length(table, "die", place, "rim_height", None),
            ),
        )


def _stops(bends: object) -> tuple[float, ...]:
    if not isinstance(bends, list | tuple) or not bends:
        raise BendError(f"bends_deg must be a list of angles, got {quoted(bends)}: type them as in [20, 25, 30]")
    return tuple(float(checked("stop", bend, "deg", least=0.1, below=90.0)) for bend in bends)


def _every_stop(least: float, most: float, step_deg: object) -> tuple[float, ...]:
    step = checked_single("step of the stop", step_deg, "deg", least=FINEST_STEP_DEG, most=10.0)
    return tuple(float(bend) for bend in np.arange(least, most + 0.5 * FINEST_STEP_DEG, step))


def _yes_or_no(value: object) -> bool:
    if not isinstance(value, bool):
        raise BendError(f"any must be true or false, got {quoted(value)}: type true or false, without quotes")
    return value
