"""Bars to and from a spreadsheet: comma-separated text; its first line names each column and its unit.

What is written is read back as it was. A builder's own sheet is taken in column by column: `guessed_columns` proposes
which of its headings is what. `bars_from_sheet` reads it so and lists the rows that were refused and why.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from barmath.checking.bench_readings import KINDS
from barmath.closed_forms.records import Order
from barmath.lengths import angle_deg, length_mm
from barmath.records.bent_bar import BentBar, day_from_text
from barmath.records.record import Record
from barmath.records.record_file import digest
from barmath.refusal import BendError, unknown
from barmath.saving import save_bytes

MOST_BYTES = 50_000_000
_DANGEROUS = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
"""What a spreadsheet takes for a formula at the start of a cell, wide letters and leading spaces included."""

_ORDER = (
    "rise_mm", "backsweep_deg", "width_mm", "upsweep_deg", "clamp_flat_mm", "controls_mm", "least_upsweep_deg",
    "most_upsweep_deg",
)  # fmt: skip
_BAR = (
    "name", "date", "tube", "die", "batch", "tube_diameter_mm", "tube_wall_mm", "die_radius_mm", "inner_mark_mm",
    "outer_mark_mm", "tube_length_mm", "inner_stop_deg", "outer_stop_deg", "clamp_reading_deg", "tweaks", "notes",
    "photo", "piece",
)  # fmt: skip
_TEXTS = ("name", "date", "tube", "die", "batch", "tweaks", "notes", "photo", "piece")
_NEEDED = ("name", "date", "rise_mm", "backsweep_deg", "width_mm", "tube", "die", "tube_diameter_mm", "tube_wall_mm",
           "die_radius_mm")  # fmt: skip


def _heading(field: str, start: str = "") -> str:
    words, unit = field, ""
    for ending in ("_mm", "_deg"):
        if field.endswith(ending):
            words, unit = field.removesuffix(ending), f" ({ending[1:]})"
    return f"{start}{words.replace('_', ' ')}{unit}"


HEADINGS = {
    **{field: _heading(field) for field in ("name", "date")},
    **{field: _heading(field, "ordered ") for field in _ORDER},
    **{field: _heading(field) for field in _BAR if field not in ("name", "date")},
    **{f"read {kind.key}": f"read {kind.name.lower()} ({kind.unit})" for kind in KINDS},
}
"""Column by column: the field it holds, and its heading."""


@dataclass(frozen=True)
class SheetRead:
    """What a sheet holds: the bars, of each refused row its line in the sheet and why, and what rows are known by.

    `origins` has one text for each bar, the same whenever the same row is read.
    """

    bars: tuple[BentBar, ...]
    refused: tuple[tuple[int, str], ...]
    origins: tuple[str, ...] = ()


def sheet_from_bars(bars: list[BentBar]) -> bytes:
    """The bars as comma-separated UTF-8 text with a mark at its start that spreadsheets know it by.

    A text that a spreadsheet would take for a formula gets an apostrophe before it. Reading takes the apostrophe off.

    Examples
    --------
    >>> from barmath.records import demo_bars, sheet_from_bars
    >>> from barmath.shop import DIE, TUBE
    >>> len(sheet_from_bars(demo_bars(TUBE, DIE, count=2)).splitlines())  # the headings, then a line a bar
    3
    """
    paper = io.StringIO()
    writer = csv.writer(paper, lineterminator="\r\n")
    writer.writerow(HEADINGS.values())
    for bar in bars:
        writer.writerow([_written(field, bar) for field in HEADINGS])
    return paper.getvalue().encode("utf-8-sig")


def headings_of_sheet(data: bytes) -> list[str]:
    """The headings in the first line of a sheet.

    Raises
    ------
    BendError
        The sheet has no first line.

    Examples
    --------
    >>> from barmath.records import headings_of_sheet
    >>> headings_of_sheet(b"Name;Rise")
    ['Name', 'Rise']
    """
    return _rows(data)[0]


def guessed_columns(headings: list[str]) -> dict[str, str]:
    """For each field, the heading that most likely holds it: the same words, or one that has all of a field's words.

    Examples
    --------
    >>> from barmath.records import guessed_columns
    >>> guessed_columns(["Name", "Colour"])
    {'name': 'Name'}
    """
    found: dict[str, str] = {}
    plain = {heading: heading.lower().strip() for heading in headings}
    for field, heading in HEADINGS.items():
        same = [own for own, words in plain.items() if words in (heading, field, field.replace("_", " "))]
        if same:
            found[field] = same[0]
            continue
        wanted = set(heading.partition(" (")[0].removeprefix("ordered ").split())
        near = [own for own, words in plain.items() if wanted <= set(words.replace("_", " ").split())]
        if near and near[0] not in found.values():
            found[field] = min(near, key=len)
    return found


def bars_from_sheet(
    data: bytes, columns: Mapping[str, str] | None = None, usual: Mapping[str, str] | None = None, unit: str = "mm"
) -> SheetRead:
    """The bars in a sheet.

    Parameters
    ----------
    data : bytes
        UTF-8, or else Windows' western letters; commas, semicolons or tabs between the cells.
    columns : mapping of field to heading
        Which heading holds which field of `HEADINGS`; guessed where not given.
    usual : mapping of field to text
        What to take where a sheet has no such column, such as the tube and the die.
    unit : "mm" or "in"
        What a length without a unit is in, where its heading does not say.

    Returns
    -------
    SheetRead

    Raises
    ------
    BendError
        The text is not a sheet, or a heading is not there. A field that is needed is in no column.

    Examples
    --------
    >>> from barmath.records import bars_from_sheet, demo_bars, sheet_from_bars
    >>> from barmath.shop import DIE, TUBE
    >>> bars = demo_bars(TUBE, DIE, count=2)
    >>> [bar.name for bar in bars_from_sheet(sheet_from_bars(bars)).bars] == [bar.name for bar in bars]
    True
    """
    rows = _rows(data)
    columns = guessed_columns(rows[0]) if columns is None else columns
    exported = rows[0] == list(HEADINGS.values())  # by this record or another: taken letter by letter, nothing guessed
    usual = {} if exported else usual or {}
    for field, heading in columns.items():
        if field not in HEADINGS:
            raise BendError(unknown("column", field, tuple(HEADINGS)))
        if heading not in rows[0]:
            raise BendError(unknown("heading", heading, rows[0]))
    lacking = [HEADINGS[field] for field in _NEEDED if field not in columns and not usual.get(field)]
    if lacking:
        raise BendError(
            f"a sheet must have columns for {', '.join(lacking)}, got none: name the column, or the usual value"
        )
    place = {field: rows[0].index(heading) for field, heading in columns.items()}
    bars, refused, origins = [], [], []
    alike: Counter[str] = Counter()
    for line, row in enumerate(rows[1:], 2):
        if not any(cell.strip() for cell in row):
            continue
        filled = {f: row[k] for f, k in place.items() if k < len(row) and (row[k] if exported else row[k].strip())}
        cells = {**usual, **filled}
        try:
            bars.append(_bar(cells, {f: rows[0][k] for f, k in place.items()}, unit))
        except BendError as refusal:
            refused.append((line, str(refusal)))
            continue
        said = digest(*(f"{head.strip()}={cell.strip()}" for head, cell in zip(rows[0], row, strict=False)))
        alike[said] += 1
        origins.append(digest(said, str(alike[said])))
    return SheetRead(tuple(bars), tuple(refused), tuple(origins))


def write_sheet(record: Record, path: str | Path, *, overwrite: bool = False) -> Path:
    """Write the record's current bars as a sheet; returns where it is.

    Parameters
    ----------
    record : Record
    path : str or path
    overwrite : bool
        Whether a file at `path` may be replaced.

    Raises
    ------
    BendError
        `path` is the record itself, however it is spelled. A file is there and `overwrite` is False.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> from barmath.records import demo_record, write_sheet
    >>> from barmath.shop import DIE, TUBE
    >>> with TemporaryDirectory() as folder:
    ...     write_sheet(demo_record(f"{folder}/record.sqlite", TUBE, DIE), f"{folder}/bars.csv").name
    'bars.csv'
    """
    record.refuse_own(path)
    return save_bytes(path, sheet_from_bars(record.bars()), overwrite=overwrite)


def _bar(cells: Mapping[str, str], headings: Mapping[str, str], unit: str) -> BentBar:
    for field in _NEEDED:
        if not cells.get(field, "").strip():
            raise BendError(f"{HEADINGS[field]} must be given, got an empty cell: fill it in")
    values: dict[str, Any] = {}
    for field, text in cells.items():
        if field == "date":
            values[field] = day_from_text(text)
            continue
        values[field] = _plain(text) if field in _TEXTS else _number(field, text, headings.get(field, ""), unit)
    order = Order(**{field: values[field] for field in _ORDER if field in values})
    readings = {field[5:]: value for field, value in values.items() if field.startswith("read ")}
    rest = {field: values[field] for field in _BAR if field in values}
    return BentBar(order=order, readings=readings, **rest)


def _number(field: str, text: str, heading: str, unit: str) -> float:
    name = HEADINGS[field].partition(" (")[0]
    if heading == HEADINGS[field]:  # as this shop writes it: a number in the unit of its heading, all its figures
        with suppress(ValueError):
            return float(text.replace(",", "."))  # a spreadsheet may have made commas of the points
    if HEADINGS[field].endswith("(deg)"):
        return angle_deg(text.strip(), name=name)
    typed_in = "in" if "(in" in heading.lower() or '"' in heading else "mm" if "mm" in heading.lower() else unit
    return length_mm(text.strip(), name=name, default_unit=typed_in, allow_negative=True)


def _written(field: str, bar: BentBar) -> str:
    if field in _ORDER:
        value = getattr(bar.order, field)
    elif field.startswith("read "):
        value = bar.readings.get(field[5:])
    else:
        value = getattr(bar, field)
    if value is None:
        return ""
    return _harmless(value) if isinstance(value, str) else repr(float(value))


def _harmless(text: str) -> str:
    return f"'{text}" if _is_dangerous(text) else text


def _plain(text: str) -> str:
    return text[1:] if text.startswith("'") and _is_dangerous(text[1:]) else text


def _is_dangerous(text: str) -> bool:
    return text.startswith((*_DANGEROUS, "'")) or text.lstrip().startswith(_DANGEROUS)


def _rows(data: bytes) -> list[list[str]]:
    if len(data) > MOST_BYTES:
        raise BendError(f"a sheet must be at most {MOST_BYTES // 1_000_000} MB, got {len(data) // 1_000_000}: split it")
    text = _text(data)
    first = text.partition("\n")[0]
    between = max(",;\t", key=first.count)
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=between, strict=True))
    except csv.Error as fault:
        raise BendError(f"a sheet must be comma-separated text, got something else ({fault}): save it as CSV") from None
    if not rows or not any(cell.strip() for cell in rows[0]):
        raise BendError("a sheet must have its headings in the first line, got none: add the headings")
    return rows


def _text(data: bytes) -> str:
    if b"\x00" in data:
        raise BendError("a sheet must be comma-separated text, got null bytes: save it as CSV, in UTF-8")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")
