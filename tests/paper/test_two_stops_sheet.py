"""The bench sheet of a bar with two stops, read back from its PDF: no step shows the other bends' stop."""

import re
from itertools import permutations, product
from pathlib import Path

import pytest
from printed import pages_of, text_of, words_of

from barmath import Order, recipe_from_order, springback_from_tube
from barmath.bending.holds import BENDS, LEFT, RIGHT, USUAL_HOLDS, Hold
from barmath.bending.stops import stop_moves
from barmath.paper.bench_data import BenchSheet
from barmath.paper.bench_sheet import bench_sheet_pdf
from barmath.shop.offsets import stop_from_bend_deg
from barmath.shop.shop_file import shop_from_file

SHOP = shop_from_file(Path(__file__).parents[2] / "notebooks" / "demo" / "shop.toml")
TUBE = SHOP.tubes[0]
DIE = SHOP.die_for(TUBE, SHOP.dies[0].name)
SPRINGBACK = springback_from_tube(TUBE, DIE)
ORDER = Order(90.0, 14.0, 800.0, None, 60.0, 170.0)
BENDS_DEG = {"inner": 30.0, "outer": 27.5}
SEQUENCES = [
    tuple(map(Hold, order, hooks)) for order in permutations(range(4)) for hooks in product((LEFT, RIGHT), repeat=4)
]
STOPS = {bend: f"{float(stop_from_bend_deg(angle, SPRINGBACK, DIE)):.1f}°" for bend, angle in BENDS_DEG.items()}


def sheet(holds=USUAL_HOLDS, outer=27.5, unit="mm"):
    recipe = recipe_from_order(ORDER, SPRINGBACK.finished_radius_mm, 30.0, outer)
    return BenchSheet("order 7", ORDER, recipe, TUBE, DIE, SHOP.bender, holds=holds, unit=unit)


@pytest.mark.parametrize("holds", [USUAL_HOLDS, *SEQUENCES[5::107]])
def test_the_sheet_of_any_sequence_shows_at_each_step_the_stop_of_its_bend(holds):
    pdf = bench_sheet_pdf(sheet(holds))
    words = words_of(pages_of(pdf)[0])
    tops = {word.text: word.y for word in words if re.match(r"[1-4]\. (Left|Right)", word.text)}
    assert len(tops) == 4
    edges = [*sorted(tops.values()), min(word.y for word in words if word.text == "measured")]
    bends = [BENDS[hold.number][1] for hold in holds]
    for place, bend in enumerate(bends):
        inside = [word.text for word in words if edges[place] <= word.y < edges[place + 1]]
        other = "outer" if bend == "inner" else "inner"
        assert STOPS[bend] in inside
        assert STOPS[other] not in inside
        line = next(text for text in inside if f"{bend.upper()} stop" in text)
        assert line.startswith("move to") == (place > 0 and bends[place - 1] != bend)
    head = {word.text: word for word in words if word.y < edges[0]}
    for bend in ("inner", "outer"):
        numbers = " and ".join(str(place) for place, name in enumerate(bends, 1) if name == bend)
        title = head[f"Stop for {bend.upper()} bends {numbers}"]
        below = [word for word in words if abs(word.x - title.x) < 0.5 and 0.0 < word.y - title.y < 9.0]
        assert [word.text for word in below] == [STOPS[bend]]
    times = {1: "once", 2: "twice", 3: "3 times"}[stop_moves([BENDS_DEG[bend] for bend in bends])]
    assert f"The stop is moved {times}." in text_of(pdf)


def test_the_sheet_of_one_stop_has_one_big_stop():
    told = text_of(bench_sheet_pdf(sheet(outer=None)))
    assert "all four bends; 30.0 deg after springback" in told
    assert "stop is moved" not in told
    assert "OUTER" not in told
    assert "INNER" not in told


def test_where_the_finder_is_not_set_to_the_sweep_the_sheet_says_both_numbers():
    said = "set the angle finder on the clamp flat to 15.1 deg, not to the backsweep of 14.0 deg"
    assert said in text_of(bench_sheet_pdf(sheet()))
    assert "not to the backsweep" not in text_of(bench_sheet_pdf(sheet(outer=None)))


def test_the_strip_names_the_stop_of_each_bend():
    words = words_of(pages_of(bench_sheet_pdf(sheet()))[0])
    risers = [word.y for word in words if word.text == "riser"]
    rows = [sorted(word.text.rpartition(" ")[2] for word in words if abs(word.y - y) < 0.5) for y in risers]
    named = sorted(2 * list(STOPS.values()))
    assert any(named == [text for text in row if text in STOPS.values()] for row in rows)
