"""Everything in figures/, made by one command: sheets and charts from the demo shop's file, pictures of the screen.

python -m barmath.paper.figures            writes what has changed
python -m barmath.paper.figures --check    writes nothing; says what differs and ends with 1 where something does

The pictures of the screen are taken in a real browser, by tests/browser/take_pictures.py; `--paper` leaves them out.
"""

from __future__ import annotations

import argparse
import io
import re
import subprocess
import sys
import zlib
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
from matplotlib import image
from PIL import Image

from barmath.crossbars.crossbar import crossbar
from barmath.paper.bench_data import BenchSheet
from barmath.paper.bench_sheet import bench_sheet_pdf, bench_sheet_png
from barmath.paper.check_sheet import CheckSheet, check_sheet_pdf
from barmath.paper.class_sheet import ClassSheet, class_sheet_pdf
from barmath.paper.cope_wrap import CopeWrap, cope_wrap_pdf
from barmath.paper.full_size import FullSize, full_size_pdf
from barmath.paper.glossary_sheet import glossary_pdf
from barmath.paper.page import pages_pdf
from barmath.paper.rooms import rooms_png
from barmath.paper.sizes import LONG
from barmath.paper.stops_gain import gain_png
from barmath.paper.wall_chart import wall_chart
from barmath.paper.wall_pairs import die_sheets, pair_sheet
from barmath.paper.wall_settings import settings_sheet
from barmath.planning.chart_data import Chart
from barmath.planning.ways import every_way
from barmath.saving import save_bytes
from barmath.shop.order_seven import BEND_DEG, CROSSBAR, ORDER
from barmath.shop.shop_file import Shop, shop_from_file

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "notebooks" / "demo"
SCREEN = ROOT / "tests" / "browser" / "take_pictures.py"
POINT_TOLERANCE = 0.05
"""How far a number in a PDF may be off, points: far below what a printer shows, above what processors differ by."""

GREY_TOLERANCE = 0.004
"""Mean difference of two pictures, of 1: hinting of type, no more."""

_NUMBER = re.compile(rb"-?\d+\.?\d*|-?\.\d+")
_STREAM = re.compile(rb"stream\r?\n(.*?)\r?\nendstream", re.DOTALL)


def figures(shop: Shop) -> Iterator[tuple[str, Callable[[], bytes]]]:
    """Name of each file, and what makes its bytes."""
    for die in shop.dies:
        chart, stem = Chart(shop.tubes[0], die), f"wall_{die.name.replace(' ', '_')}"
        for size in ("A4", "A3", "Letter"):
            yield f"{stem}_chart_{size}.pdf", partial(_chart_pdf, chart, size)
        for size, unit in (("A4", "mm"), ("Letter", "in")):
            yield f"{stem}_settings_{size}_{unit}.pdf", partial(_settings_pdf, chart, size, unit)
        yield f"{stem}_chart.png", partial(_chart_png, chart)
        yield f"{stem}_settings.png", partial(_settings_png, chart)
        pairs = replace(chart, bends_deg=shop.stop_bends_deg)
        for size, unit in (("A4", "mm"), ("Letter", "in")):
            yield f"{stem}_two_stops_{size}_{unit}.pdf", partial(_pairs_pdf, pairs, size, unit)
        yield f"{stem}_two_stops.png", partial(_pairs_png, pairs)
    yield "wall_which_die_A3.pdf", partial(_dies_pdf, shop)
    sheet = _order_7(shop)
    yield "bench_sheet_order_7.pdf", partial(bench_sheet_pdf, sheet)
    yield "bench_sheet_order_7.png", partial(_bench_sheet_png, sheet)
    checked = CheckSheet("order 7", sheet.recipe, float(sheet.tube.outside_diameter_mm), shop.accepted)
    yield "check_sheet_order_7.pdf", partial(check_sheet_pdf, checked)
    fitted = crossbar(sheet.recipe, float(sheet.tube.outside_diameter_mm), CROSSBAR)
    yield "cope_order_7.pdf", partial(cope_wrap_pdf, CopeWrap("order 7", fitted))
    yield "full_size_order_7.pdf", partial(full_size_pdf, FullSize("order 7", sheet.recipe, 22.225), LONG)
    yield "gain_by_two_stops.png", partial(gain_png, shop)
    yield "rooms.png", rooms_png
    yield "words_of_the_trade.pdf", partial(glossary_pdf, "A4")
    yield "class_sheet_marks.pdf", partial(class_sheet_pdf, ClassSheet("marks", 31, 1, 6))


def alike(one: bytes, other: bytes) -> bool:
    """Whether two files show the same: equal bytes, or numbers of a PDF or greys of a picture that differ by too little
    to be seen.
    """
    if one == other:
        return True
    if one.startswith(b"%PDF") and other.startswith(b"%PDF"):
        return _alike_streams(_streams(one), _streams(other))
    if one.startswith(b"\x89PNG") and other.startswith(b"\x89PNG"):
        pictures = [image.imread(io.BytesIO(data)) for data in (one, other)]
        return (
            pictures[0].shape == pictures[1].shape and float(np.abs(pictures[0] - pictures[1]).mean()) < GREY_TOLERANCE
        )
    return False


def in_sixteen_greys(png: bytes) -> bytes:
    """A picture of black type on white at about a quarter of its size."""
    small = io.BytesIO()
    Image.open(io.BytesIO(png)).convert("L").quantize(16).save(small, "png", optimize=True)
    return small.getvalue()


def settled(place: Path, data: bytes, same: Callable[[bytes, bytes], bool], check: bool) -> bool:
    """Whether the file at `place` is missing or not the `same` as `data`: that is printed, or put right unless asked
    to `check` only.
    """
    there = place.exists()
    if there and same(place.read_bytes(), data):
        return False
    if check:
        print(f"{place.name}: {'differs from what is made now' if there else 'is missing'}")
    else:
        print(f"{save_bytes(place, data, overwrite=True).name}: written")
    return True


def main(arguments: list[str] | None = None) -> int:
    """The command; returns how many files differ where it only checks, else 0."""
    asked = argparse.ArgumentParser(prog="python -m barmath.paper.figures", description=str(__doc__).splitlines()[0])
    asked.add_argument("--check", action="store_true", help="write nothing, say what differs")
    asked.add_argument("--paper", action="store_true", help="leave the pictures of the screen out")
    asked.add_argument("--folder", type=Path, default=ROOT / "figures")
    asked.add_argument("--shop", type=Path, default=DEMO / "shop.toml")
    options = asked.parse_args(arguments)
    differing = 0
    for name, make in figures(shop_from_file(options.shop)):
        differing += settled(options.folder / name, make(), alike, options.check)
    if not options.paper:
        command = [sys.executable, str(SCREEN), str(options.folder), *(["--check"] if options.check else [])]
        differing += subprocess.run(command, check=not options.check).returncode
    return min(differing, 1) if options.check else 0


def _chart_pdf(chart: Chart, size: str) -> bytes:
    return wall_chart(chart, size).page.pdf(f"{chart.die.name}: rise, marks and readings")


def _chart_png(chart: Chart) -> bytes:
    return in_sixteen_greys(wall_chart(chart).page.png(80))


def _settings_pdf(chart: Chart, size: str, unit: str) -> bytes:
    return settings_sheet(chart, size, unit).pdf(f"{chart.die.name}: settings")


def _settings_png(chart: Chart) -> bytes:
    return in_sixteen_greys(settings_sheet(chart).png(80))


def _pairs_pdf(chart: Chart, size: str, unit: str) -> bytes:
    return pair_sheet(chart, size, unit).pdf(f"{chart.die.name}: the best pair of stops for each rise")


def _pairs_png(chart: Chart) -> bytes:
    return in_sixteen_greys(pair_sheet(chart).png(80))


def _dies_pdf(shop: Shop) -> bytes:
    tube = shop.tubes[0]
    charts = [Chart(tube, die, bends_deg=shop.stop_bends_deg) for die in shop.dies_for(tube)]
    return pages_pdf(die_sheets(charts, "A3"), "which stops each die needs for each rise")


def _bench_sheet_png(sheet: BenchSheet) -> bytes:
    return in_sixteen_greys(bench_sheet_png(sheet, dpi=90))


def _order_7(shop: Shop) -> BenchSheet:
    die = shop.dies_for(shop.tubes[0])[0]
    ways = every_way(ORDER, shop.tubes[0], [die], bends_deg=[BEND_DEG])
    return BenchSheet(
        "order 7",
        ORDER,
        ways.recipe(0),
        shop.tubes[0],
        die,
        shop.bender,
        tuple(ways.warnings(0)),
        accepted=shop.accepted,
    )


def _streams(pdf: bytes) -> list[bytes]:
    found = []
    for stream in _STREAM.findall(pdf):
        try:
            found.append(zlib.decompress(stream))
        except zlib.error:
            found.append(stream)
    return found


def _alike_streams(ones: list[bytes], others: list[bytes]) -> bool:
    if len(ones) != len(others):
        return False
    for one, other in zip(ones, others, strict=True):
        if one == other:
            continue
        if _NUMBER.sub(b"#", one) != _NUMBER.sub(b"#", other):
            return False
        numbers = [np.array([float(number) for number in _NUMBER.findall(text)]) for text in (one, other)]
        if np.abs(numbers[0] - numbers[1]).max() > POINT_TOLERANCE:
            return False
    return True


if __name__ == "__main__":
    sys.exit(main())
