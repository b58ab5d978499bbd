"""Reading a small TOML file that a builder edits by hand: every refusal ends with the file and the line."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, TypeVar

from barmath.lengths import length_mm
from barmath.refusal import BendError, quoted, unknown
from barmath.saving import real_path
from barmath.shop.plausible import IF_MEANT, question

LARGEST_FILE = 1_000_000
"""Bytes beyond which a file is surely none that a builder wrote by hand."""

LONGEST_LINE = 5000
"""Letters of a line: a parser takes a minute over a name of fifty thousand dotted parts."""

MOST_PARTS = 8
"""Parts of a dotted name: a parser takes half a minute over a million of them."""

_TEXT = re.compile(r"""=\s*("[^"]*"|'[^']*')""")
_MANY_PARTS = re.compile(rf"""(?:[\w"'-]+[ \t]*\.[ \t]*){{{MOST_PARTS}}}[\w"'-]""")
_COMMA = re.compile(r"""[^"'=#]+=\s*(?P<number>[-+]?\d+,\d+)\s*(#.*)?""")
_PLACE = re.compile(r" \(at (?:line (?P<line>\d+), column \d+|end of document)\)$")

_TWICE = "Cannot overwrite a value"

_PLAIN_WORDS = {
    "Expected newline or end of document after a statement": "something is left over behind the value",
    "Invalid value": "the value is not a number and has no quotes",
    "Illegal character '\\n'": "a quote is not closed",
    "Unterminated string": "a quote is not closed",
    "Unclosed array": "a [ is not closed",
    "Expected '=' after a key in a key/value pair": "the = is missing",
}
# what the parser says, where a builder would not understand it

Made = TypeVar("Made")


def text_from_file(path: str | Path) -> str:
    """The text of a file.

    Raises
    ------
    BendError
        The file cannot be read, is too large, or is not UTF-8 text: the message gives its name.
    """
    path = real_path(path)
    try:
        size = path.stat().st_size
        content = path.read_bytes() if size <= LARGEST_FILE else b""
    except (OSError, ValueError) as fault:
        words = getattr(fault, "strerror", None) or fault
        raise BendError(
            f"the file must be one that can be read ({words}): check the name of the file", path.name or str(path)
        ) from None
    if size > LARGEST_FILE:
        raise BendError(f"the file must have at most {LARGEST_FILE} bytes, got {size}: choose another file", path.name)
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = content[: fault.start].count(b"\n") + 1
        raise BendError(
            "the file must be UTF-8 text: save the file again as UTF-8", f"{path.name}, line {line}"
        ) from None


class TomlReader:
    """The tables of one TOML text, with lines for refusals.

    Parameters
    ----------
    text : str
    source : str
        Name of the file in refusals.

    Raises
    ------
    BendError
        The text is no TOML, or a line or a name is too long.
    """

    def __init__(self, text: str, source: str) -> None:
        self.to_ask: dict[tuple[str, int], BendError] = {}
        self.lines, self.source = text.splitlines(), " ".join(source.split()) or "the file"
        long = next((place for place, line in enumerate(self.lines, 1) if len(line) > LONGEST_LINE), None)
        if long:
            raise self.at(long, f"a line must have at most {LONGEST_LINE} letters: break the line in two")
        dotted = next(
            (place for place, line in enumerate(self.lines, 1) if _MANY_PARTS.search(_TEXT.sub("", line))), None
        )
        if dotted:
            raise self.at(dotted, f"a name must have at most {MOST_PARTS} parts between dots: shorten the name")
        try:
            self.parsed: Mapping = tomllib.loads(text)
        except tomllib.TOMLDecodeError as fault:
            raise self.unreadable(str(fault)) from None
        except RecursionError:
            raise BendError(
                "the file must have fewer brackets inside one another: delete some brackets", self.source
            ) from None

    def at(self, number: int, sentence: str) -> BendError:
        """`sentence` as a refusal of that line of the file."""
        return BendError(sentence, f"{self.source}, line {number}")

    def unreadable(self, fault: str) -> BendError:
        """A fault of the TOML itself as a refusal that shows the line."""
        place = _PLACE.search(fault)
        at = place and place["line"]
        number = int(at) if at else max(len(self.lines), 1)
        line = self.lines[number - 1].strip() if number <= len(self.lines) else ""
        reason = _PLACE.sub("", fault)
        reason = _PLAIN_WORDS.get(reason, reason)
        if comma := _COMMA.fullmatch(line):
            number_typed = comma["number"]
            return self.at(
                number,
                f"a number must be written with a point, got {quoted(number_typed)}: "
                f"write {number_typed.replace(',', '.')}",
            )
        heading = _heading(line)
        again = _TWICE in fault and heading in map(_heading, self.lines[: number - 1])
        if heading and ("twice" in fault or again):
            return self.at(
                number,
                f"a heading in one pair of brackets must be there once, got {quoted(line)} again: "
                f"delete this one, or put two brackets round each, as in [[{heading}]]",
            )
        opened = max((at for at, one in enumerate(self.lines[:number], 1) if _open_list(one)), default=0)
        if reason == _PLAIN_WORDS["Unclosed array"] and opened:
            shown = quoted(self.lines[opened - 1].strip())
            return self.at(opened, f"a list must end with ], got {shown}: write ] behind its last number")
        if _TWICE in fault:
            return self.at(
                number,
                f"a name must be there once under its heading, got {quoted(line)} again: delete one of the two lines",
            )
        return self.at(
            number,
            f"a line must be a [heading] or name = value, got {quoted(line)} ({reason[:1].lower()}{reason[1:]}): "
            'write the line as in wall = "0.058 in"',
        )

    def tables(self, parsed: Mapping, what: str) -> list[Mapping]:
        """The tables under [[what]], none if there are none."""
        tables = parsed.get(what, [])
        if not isinstance(tables, list) or not all(isinstance(table, Mapping) for table in tables):
            raise self.refusal(what, 0, "", f"each {what} must be under its own heading: write [[{what}]] above each")
        return tables

    def table(self, parsed: Mapping, what: str) -> Mapping:
        """The table under [what], empty if there is none."""
        table = parsed.get(what, {})
        if not isinstance(table, Mapping):
            raise self.refusal("", 0, what, f"{what} must be under its own heading: write [{what}] above its lines")
        return table

    def known(self, table: Mapping, what: str, place: int, keys: set[str]) -> None:
        """Refuse keys that are not known, as a misspelt one would be ignored."""
        for key in table:
            if key not in keys:
                raise self.refusal(what, place, key, unknown("a name here", key, sorted(keys)))

    def needed(self, table: Mapping, what: str, place: int, key: str) -> object:
        """The value of a key that must be there."""
        if key not in table:
            raise self.refusal(what, place, "", f"this {what} must have its {key}: add a line that begins with {key} =")
        return table[key]

    def words(self, table: Mapping, what: str, place: int, key: str, default: str | None = None) -> str:
        """A short text; refused where it is missing and there is no default."""
        value = table.get(key, default) if default is not None else self.needed(table, what, place, key)
        if not isinstance(value, str) or not value.strip() or len(value) > 80:
            raise self.refusal(
                what, place, key, f"{key} must be a text, got {quoted(value)}: type 1 to 80 letters in quotes"
            )
        return value.strip()

    def length(self, table: Mapping, what: str, place: int, key: str, *default: float | None) -> Any:
        """A length in mm, from a number or a text such as 7/8 in."""
        if default and key not in table:
            return default[0]
        value = self.needed(table, what, place, key)
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            raise self.refusal(
                what, place, key, f'{key} must be a length, got {quoted(value)}: type it as in 101.6 or "4 in"'
            )
        words, negative = key.replace("_", " "), key == "line_up_offset"
        length = self.made(what, place, key, lambda: length_mm(value, name=words, allow_negative=negative))
        self.ask(what, place, key, length, value)
        return length

    def ask(self, what: str, place: int, key: str, number: object, written: object = None) -> None:
        """Refuse a number that can hardly be meant with a question in its own line; leave to others what is none."""
        if isinstance(number, int | float) and not isinstance(number, bool):
            asked = question(f"{what}.{key}", float(number), written)
            if IF_MEANT in asked:
                raise self.refusal(what, place, key, asked)
            if asked:  # without a guess a rule that says why comes first
                self.to_ask[what, place] = self.refusal(what, place, key, asked)

    def made(self, what: str, place: int, key: str, make: Callable[[], Made]) -> Made:
        """What `make` makes; its refusal gets the file's name and the line of `key`, or of the key it speaks of."""
        try:
            made = make()
        except BendError as refusal:
            if str(refusal).endswith(f"({self.source})") or f" ({self.source}, line " in str(refusal):
                raise
            raise self.refusal(what, place, key or self.blamed(what, place, refusal.why), refusal.as_noted) from None
        if (what, place) in self.to_ask:
            raise self.to_ask[what, place]
        return made

    def blamed(self, what: str, place: int, sentence: str) -> str:
        """The key of a table that a sentence "QUANTITY must ..." is about: the one with most of its words in it."""
        quantity = set(sentence.partition(" must ")[0].split())
        found = self.parsed[what]
        table = found if isinstance(found, Mapping) else self.tables(self.parsed, what)[place]
        keys = {key: quantity & set(key.split("_")) for key in table}
        return max(keys, key=lambda key: len(keys[key])) if any(keys.values()) else ""

    def refusal(self, what: str, place: int, key: str, sentence: str) -> BendError:
        """`sentence` as a refusal with the file's name and the line of `key`."""
        return self.at(self.line(what, place, key), sentence)

    def line(self, what: str, place: int, key: str) -> int:
        """Line of `key` in the `place`-th table `what`, or that table's own line, counted from 1."""
        heads = [number for number, line in enumerate(self.lines) if _heading(line) == what] if what else [0]
        if not what and key:
            own = next((number for number, line in enumerate(self.lines) if _heading(line) == key), None)
            if own is not None:
                return own + 1
        if place >= len(heads):  # written in one line, as in tube = [{...}] or stock.longest = 1000
            return self.line("", 0, what)
        start = heads[place]
        for number, line in enumerate(self.lines[start:], start):
            if number > start and _heading(line):
                break
            if key and line.partition("=")[0].partition(".")[0].strip().strip("\"'") == key:
                return number + 1
        return start + 1


def _open_list(line: str) -> bool:
    # name = [1, 2  with no ] behind it
    value = _TEXT.sub("", line).partition("#")[0].partition("=")[2].strip()
    return value.startswith("[") and "]" not in value


def _heading(line: str) -> str:
    # tube for [tube] and [[tube]]
    found = re.match(r"\s*\[\[?\s*([\w-]+)\s*\]", line)
    return found[1] if found else ""
