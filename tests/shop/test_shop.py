"""The shop's file: what a builder writes is read as meant, and what cannot be is refused with the file and the line."""

import re
from dataclasses import replace

import numpy as np
import pytest
from conftest import ROOT

from barmath import Bender, BendError, Die, Tube
from barmath.lengths import MM_PER_INCH
from barmath.planning.ways import every_way
from barmath.refusal import remedy_first
from barmath.shop import order_seven
from barmath.shop.shop_file import Shop, shop_from_file, shop_from_toml
from barmath.shop.toml_reading import LARGEST_FILE, TomlReader
from barmath.shop.tooling import USUAL_BENDS_DEG

DEMO = ROOT / "notebooks" / "demo" / "shop.toml"

SMALL = """\
name = "our shop"

[[tube]]
name = "thin"
outside_diameter = "7/8 in"
wall = "0.058 in"

[[die]]
name = "tight"
centerline_radius = '3 1/2"'
"""
AFTER_SMALL = len(SMALL.splitlines()) + 1
ANOTHER_TUBE = '[[tube]]\nname = "thin"\noutside_diameter = 22.2\nwall = 1.5\n'
ANOTHER_DIE = '[[die]]\nname = "tight"\ncenterline_radius = 115\n'
MATERIAL = """\
[[material]]
name = "soft"
elastic_modulus_mpa = 200000
density_kg_m3 = 7800
yield_mpa = 300
yield_low_mpa = 250
yield_high_mpa = 350
tensile_mpa = 400
elongation_percent = 20
"""


def refused(text: str) -> str:
    with pytest.raises(BendError) as refusal:
        shop_from_toml(text, "shop.toml")
    return str(refusal.value)


# ---- a good file


def test_the_training_shop_has_its_tubes_and_dies():
    shop = shop_from_file(DEMO)
    assert shop.name == "the training shop"
    assert shop.tubes[0] == order_seven.TUBE
    assert shop.tube("7/8 x 0.049").wall_mm < shop.tube("7/8 x 0.065").wall_mm
    assert shop.tube("25.4 x 1.5").outside_diameter_mm == 25.4
    radii_in = {die.name: die.centerline_radius_mm / MM_PER_INCH for die in shop.dies}
    assert radii_in == pytest.approx({"die 102": 4.0, "die 127": 5.0, "die 152": 6.0})


def test_the_training_shops_remarks_can_be_taken_into_use():
    text = re.sub(r"^# (\[|\w+ = )", r"\1", DEMO.read_text(encoding="utf-8"), flags=re.MULTILINE)
    shop = shop_from_toml(text)
    assert shop.die("die 102").springback_ratio == pytest.approx(1 / 30, abs=0.0005)
    assert shop.stem_width_mm == 45.0


def test_the_training_shop_can_make_a_usual_order_of_its_own():
    shop = shop_from_file(DEMO)
    ways = every_way(order_seven.ORDER, shop.tubes[0], shop.dies, bends_deg=shop.stop_bends_deg)
    assert ways.feasible[0]


def test_what_is_left_out_has_its_usual_value():
    assert shop_from_toml(SMALL) == Shop(
        name="our shop",
        tubes=(Tube(22.225, 0.058 * MM_PER_INCH, name="thin"),),
        dies=(Die(88.9, 65.0, 0.0, 90.0, name="tight"),),
        bender=Bender("left"),
        stop_bends_deg=USUAL_BENDS_DEG,
        stock_length_mm=1000.0,
        stem_width_mm=None,
    )


def test_a_stop_that_can_be_set_anywhere_is_tried_in_steps_from_the_smallest_bend_to_the_largest():
    stops = SMALL + "[stops]\nbends_deg = [20, 30]\nany = "
    assert shop_from_toml(stops + "true\n").stop_bends_deg == tuple(np.arange(20.0, 30.1, 0.5))
    assert shop_from_toml(stops + "true\nstep_deg = 2.5\n").stop_bends_deg == (20.0, 22.5, 25.0, 27.5, 30.0)
    assert shop_from_toml(stops + "false\n").stop_bends_deg == (20.0, 30.0)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("any = 1", "Type true or false, without quotes: any must be true or false, got 1"),
        (
            "any = true\nstep_deg = 0.0",
            "Type a number from 0.25 to 10.0 deg: step of the stop must be at least 0.25 deg, got 0.0 deg",
        ),
        ("any = true\nstep_deg = 'fine'", "step of the stop must be a number"),
    ],
)
def test_a_stop_that_cannot_be_stepped_is_refused(line, words):
    with pytest.raises(BendError, match=words):
        shop_from_toml(f"{SMALL}[stops]\nbends_deg = [20, 30]\n{line}\n")


def test_everything_a_shop_can_say_is_read():
    text = SMALL.replace('wall = "0.058 in"', 'wall = "1,5 mm"\nmaterial = "soft"') + (
        'least_straight = "2 1/2 in"\nline_up_offset = -1.5\nlargest_bend_deg = 60\ntube_diameter = 22.2\n'
        "springback_ratio = 0.04\n[bender]\nturns = 'right'\n[stops]\nbends_deg = [20, 25.5]\n"
        "[stock]\nlongest = '39 in'\n[stem]\nwidth = 45\n" + MATERIAL
    )
    shop = shop_from_toml(text)
    assert shop.dies == (Die(88.9, 63.5, -1.5, 60.0, 22.2, 0.04, "tight"),)
    assert (shop.tubes[0].wall_mm, shop.tubes[0].material.name) == (1.5, "soft")
    assert shop.tubes[0].material.yield_mpa == 300.0
    assert shop.bender == Bender("right")
    assert shop.stop_bends_deg == (20.0, 25.5)
    assert (shop.stock_length_mm, shop.stem_width_mm) == (pytest.approx(990.6), 45.0)


def test_a_file_from_another_editor_reads_the_same(tmp_path):
    path = tmp_path / "shop.toml"
    path.write_bytes(b"\xef\xbb\xbf" + SMALL.replace("\n", "\r\n").encode())
    assert shop_from_file(path) == shop_from_toml(SMALL)


def test_a_tube_or_die_that_is_not_there_is_refused_with_those_that_are():
    shop = shop_from_file(DEMO)
    with pytest.raises(BendError, match=r"Choose die 102, die 127 or die 152: die must be one of these, got 'die 90'$"):
        shop.die("die 90")
    with pytest.raises(BendError, match=r"7/8 x 0.065, 7/8 x 0.049 or 25.4 x 1.5: tube must be one of these, got ''$"):
        shop.tube("")


# ---- broken files


@pytest.mark.parametrize(
    ("text", "line", "sentence"),
    [
        (SMALL.replace('"0.058 in"', "0.058 in"), 6,
         'a line must be a [heading] or name = value, got \'wall = 0.058 in\' (something is left over behind the '
         'value): '
         'write the line as in wall = "0.058 in"'),
        (SMALL.replace('"0.058 in"', "1,47"), 6,
         "a number must be written with a point, got '1,47': write 1.47"),
        (SMALL.replace('"0.058 in"', "7/8"), 6,
         'a line must be a [heading] or name = value, got \'wall = 7/8\' (something is left over behind the value): '
         'write the line as in wall = "0.058 in"'),
        (SMALL.replace('"thin"', '"thin'), 4,
         'a line must be a [heading] or name = value, got \'name = "thin\' (a quote is not closed): '
         'write the line as in wall = "0.058 in"'),
        (SMALL.replace('"our shop"', "our shop"), 1,
         'a line must be a [heading] or name = value, got \'name = our shop\' (the value is not a number and has '
         'no quotes): '
         'write the line as in wall = "0.058 in"'),
        (SMALL.replace('wall = "0.058 in"', 'name = "again"'), 6,
         "a name must be there once under its heading, got 'name = \"again\"' again: "
         "delete one of the two lines"),
        (SMALL + "[stops]\nbends_deg = [20, 25\n", AFTER_SMALL + 1,
         "a list must end with ], got 'bends_deg = [20, 25': write ] behind its last number"),
        (SMALL + "[stops]\nbends_deg = [20,\n  25]\n[[rack]]\nbuy = [2000  # mm\n\n[stock]\n", AFTER_SMALL + 4,
         "a list must end with ], got 'buy = [2000  # mm': write ] behind its last number"),
        (SMALL.replace("wall", "wal"), 6,
         "a name here must be one of these, got 'wal': "
         "choose material, name, outside_diameter, tightest_in_diameters or wall"),
        ("colour = 3\n" + SMALL, 1,
         "a name here must be one of these, got 'colour': "
         "choose accepted, bender, calibration, die, material, name, rack, stem, stock, stops or tube"),
        (SMALL + "[bender]\nspeed = 3\n", AFTER_SMALL + 1,
         "a name here must be one of these, got 'speed': "
         "choose finder_foot, floor_below, follower, frame_below, frame_reach, handle_reach, hook, table_below, "
         "table_reach or turns"),
        (SMALL + "[bender]\nturns = \"left\"\nhook = 0\nframe_reach = 150\n", AFTER_SMALL + 3,
         "frame must have both frame_below and frame_reach, got only frame_reach: "
         "measure frame_below too, or leave both out"),
        (SMALL + "[bender]\nfinder_foot = 0\n", AFTER_SMALL + 1,
         "foot of the angle finder must be above 0.0 mm, got 0.0 mm: type a number above 0.0 mm"),
        (SMALL.replace('wall = "0.058 in"\n', ""), 3,
         "this tube must have its wall: add a line that begins with wall ="),
        (SMALL.replace('name = "tight"\n', ""), 8, "this die must have its name: add a line that begins with name ="),
        (SMALL.replace('"0.058 in"', '"-0.058 in"'), 6,
         "wall must be at least 0, got '-0.058 in': type it without a minus"),
        (SMALL.replace('"0.058 in"', '"0.058 ft"'), 6,
         "wall must be one length, got '0.058 ft': type a number, for example 80, 80.5 mm or 3 1/8 in"),
        (SMALL.replace('"0.058 in"', "nan"), 6, "wall must be a finite number, got nan: type a number, for example 80"),
        (SMALL.replace('"0.058 in"', "true"), 6, 'wall must be a length, got True: type it as in 101.6 or "4 in"'),
        (SMALL.replace('"0.058 in"', "[1.5]"), 6, 'wall must be a length, got [1.5]: type it as in 101.6 or "4 in"'),
        (SMALL.replace('"0.058 in"', "0"), 6, "tube wall must be above 0.0 mm, got 0.0 mm: type a number above 0.0 mm"),
        (SMALL.replace('"0.058 in"', "12"), 6,
         "tube wall must be at most half the diameter of 22.225 mm, got 12.0 mm: give the wall, not the bore"),
        (SMALL.replace('"7/8 in"', "0"), 5, "tube diameter must be above 0.0 mm, got 0.0 mm: "
         "type a number above 0.0 mm"),
        (SMALL.replace('"thin"', "3"), 4, "name must be a text, got 3: type 1 to 80 letters in quotes"),
        (SMALL.replace('"thin"', '" "'), 4, "name must be a text, got ' ': type 1 to 80 letters in quotes"),
        (SMALL.replace("wall", 'material = "oak"\nwall'), 6,
         "material must be one of these, got 'oak': choose 4130 chromoly, normalised"),
        (SMALL.replace("'3 1/2\"'", "0"), 10, "die radius must be above 0.0 mm, got 0.0 mm: "
         "type a number above 0.0 mm"),
        (SMALL + "largest_bend_deg = 200\n", AFTER_SMALL, "largest bend must be at most 180.0 deg, got 200.0 deg: "
         "type a number above 0.0 deg and up to 180.0 deg"),
        (SMALL + 'springback_ratio = "some"\n', AFTER_SMALL, "springback ratio must be a number, got 'some': "
         "type a number, without quotes"),
        (SMALL + "springback_ratio = 1\n", AFTER_SMALL,
         "springback ratio must be in the usual range, got 1.0, more than any tube springs back: "
         "write 0.01 (1 %) if you mean that"),
        (SMALL + "tube_diameter = 0\n", AFTER_SMALL, "tube diameter of the die must be above 0.0 mm, got 0.0 mm: "
         "type a number above 0.0 mm"),
        (SMALL + ANOTHER_TUBE, AFTER_SMALL + 1, "each tube must have a name of its own, got 'thin' twice: rename one"),
        (SMALL + ANOTHER_DIE, AFTER_SMALL + 1, "each die must have a name of its own, got 'tight' twice: rename one"),
        (SMALL + MATERIAL + MATERIAL, AFTER_SMALL + 10,
         "each material must have a name of its own, got 'soft' twice: rename one"),
        (SMALL + MATERIAL.replace("yield_mpa = 300", "yield_mpa = 400"), AFTER_SMALL + 4,
         "yield must be in its band of 250.0 to 350.0 MPa, got 400.0 MPa: choose a yield inside the band, or a wider "
         "band"),
        (SMALL + '[bender]\nturns = "up"\n', AFTER_SMALL + 1,
         "side to which the bender turns must be one of these, got 'up': choose \"left\" or \"right\""),
        (SMALL + "[stops]\nbends_deg = 20\n", AFTER_SMALL + 1,
         "bends_deg must be a list of angles, got 20: type them as in [20, 25, 30]"),
        (SMALL + "[stops]\nbends_deg = [20, 95]\n", AFTER_SMALL + 1, "stop must be below 90.0 deg, got 95.0 deg: "
         "type a number from 0.1 deg and below 90.0 deg"),
        (SMALL + "[stock]\nlongest = 0\n", AFTER_SMALL + 1, "longest of the stock must be above 0.0 mm, got 0.0 mm: "
         "type a number above 0.0 mm"),
        (SMALL + '[stem]\nwidth = "wide"\n', AFTER_SMALL + 1,
         "width must be one length, got 'wide': type a number, for example 80, 80.5 mm or 3 1/8 in"),
        (SMALL + MATERIAL.replace("yield_mpa", "yield"), AFTER_SMALL + 4,
         "a name here must be one of these, got 'yield': choose density_kg_m3, elastic_modulus_mpa, "
         "elongation_percent, name, tensile_mpa, yield_high_mpa, yield_low_mpa or yield_mpa"),
        (SMALL + MATERIAL.replace('name = "soft"\n', ""), AFTER_SMALL,
         "this material must have its name: add a line that begins with name ="),
        (SMALL + MATERIAL.replace("yield_mpa = 300\n", ""), AFTER_SMALL,
         "this material must have its yield_mpa: add a line that begins with yield_mpa ="),
        (SMALL + ANOTHER_DIE.replace("[[die]]", "[die]").replace("tight", "other"), AFTER_SMALL,
         "a heading in one pair of brackets must be there once, got '[die]' again: "
         "delete this one, or put two brackets round each, as in [[die]]"),
        (SMALL.replace("[[tube]]", "[tube]"), 3, "each tube must be under its own heading: write [[tube]] above each"),
        ("bender = 3\n" + SMALL, 1, "bender must be under its own heading: write [bender] above its lines"),
        ('stock.longest = "much"\n' + SMALL, 1,
         "longest must be one length, got 'much': type a number, for example 80, 80.5 mm or 3 1/8 in"),
        ("# a remark\ntube = [{name = 'a', outside_diameter = 22.2, wall = 12}]\n" + ANOTHER_DIE, 2,
         "tube wall must be at most half the diameter of 22.2 mm, got 12.0 mm: give the wall, not the bore"),
    ],
)  # fmt: skip
def test_a_broken_file_is_refused_with_its_line_and_in_these_words(text, line, sentence):
    assert refused(text) == f"{remedy_first(sentence)} (shop.toml, line {line})"


def test_the_line_said_is_that_of_the_second_table_where_the_second_is_wrong():
    wrong = ANOTHER_TUBE.replace('"thin"', '"thick"').replace("1.5", '"1.5 ft"')
    assert refused(SMALL + "\n" + wrong).endswith(f"(shop.toml, line {AFTER_SMALL + 4})")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "Add a [[tube]] table: a shop must have at least one tube (shop.toml)"),
        (ANOTHER_TUBE, "Add a [[die]] table: a shop must have at least one die (shop.toml)"),
        (
            "deep = " + "[" * 4000,
            "Delete some brackets: the file must have fewer brackets inside one another (shop.toml)",
        ),
    ],
)
def test_a_file_that_is_wrong_as_a_whole_is_refused_in_these_words(text, sentence):
    assert refused(text) == sentence


def test_a_file_that_is_no_utf_8_text_is_refused_with_its_line(tmp_path):
    path = tmp_path / "shop.toml"
    path.write_bytes(SMALL.replace("thin", "dünn").encode("latin-1"))
    with pytest.raises(
        BendError, match=r"^Save the file again as UTF-8: the file must be UTF-8 text \(shop.toml, line 4\)$"
    ):
        shop_from_file(path)


def test_a_huge_file_is_refused_unread(tmp_path):
    path = tmp_path / "shop.toml"
    path.write_bytes(b"#" * (LARGEST_FILE + 1))
    with pytest.raises(
        BendError, match=r"^Choose another file: the file must have at most 1000000 bytes, got 1000001 \(shop.toml\)$"
    ):
        shop_from_file(path)


def test_a_missing_file_a_folder_and_a_name_that_cannot_be_are_refused(tmp_path):
    with pytest.raises(
        BendError,
        match=r"^Check the name of the file: the file must be one that can be read \(.*\) \(absent.toml\)$",
    ):
        shop_from_file(tmp_path / "absent.toml")
    (tmp_path / "folder").mkdir()
    with pytest.raises(
        BendError, match=r"^Check the name of the file: the file must be one that can be read \(.*\) \(folder\)$"
    ):
        shop_from_file(tmp_path / "folder")
    with pytest.raises(BendError, match=r"^Choose another name: file name must be a path without null bytes, got "):
        shop_from_file("shop\0.toml")


def test_the_groove_of_a_die_is_read_where_it_was_measured():
    text = (
        DEMO.read_text(encoding="utf-8")
        .replace("# groove_depth", "groove_depth")
        .replace('# rim_height = "20 mm"', 'rim_height = "3/4 in"')
    )
    measured, other = shop_from_toml(text).dies[:2]
    assert (measured.groove_depth_mm, measured.rim_height_mm) == (11.0, 19.05)
    assert (other.groove_depth_mm, other.rim_height_mm) == (None, None)


@pytest.mark.parametrize(("hook_mm", "needs_mm"), [(None, 65.0), (80.0, 80.0), (40.0, 40.0)])
def test_a_die_of_the_shop_needs_the_straight_that_its_benders_hook_needs(hook_mm, needs_mm):
    shop = shop_from_file(ROOT / "notebooks" / "demo" / "shop.toml")
    shop = replace(shop, bender=replace(shop.bender, hook_mm=hook_mm))
    for tube in shop.tubes:
        assert {die.least_straight_mm for die in shop.dies_for(tube)} == {needs_mm}
        assert shop.die_for(tube, shop.dies[1].name).least_straight_mm == needs_mm


def test_a_line_may_be_as_long_as_the_refusal_says_and_no_longer():
    longest = 'name = "a shop"'.ljust(5000)
    assert TomlReader(longest, "shop.toml").parsed == {"name": "a shop"}
    with pytest.raises(
        BendError, match=r"Break the line in two: a line must have at most 5000 letters \(shop.toml, line 2\)"
    ):
        TomlReader("\n" + longest + " ", "shop.toml")


def test_a_name_may_have_as_many_parts_as_the_refusal_says_and_no_more():
    name = "a.b.c.d.e.f.g.h"
    assert TomlReader(f"{name} = 1", "shop.toml").parsed["a"]
    with pytest.raises(BendError, match=r"a name must have at most 8 parts between dots \(shop.toml, line 1\)"):
        TomlReader(f"{name}.i = 1", "shop.toml")
