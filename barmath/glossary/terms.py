"""The words of the trade: what each means, where it is taught, and its sketch."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from barmath.glossary import of_the_bar as bar
from barmath.glossary import of_the_bench as bench
from barmath.glossary import of_the_metal as metal
from barmath.glossary import of_the_shop as shop
from barmath.glossary.sketch import Sketch


class Term(NamedTuple):
    """A word, its meaning in a sentence or two, the lesson ("02") that shows it at work, and its sketch."""

    name: str
    meaning: str
    lesson: str
    sketch: Callable[[], Sketch]


GROUPS: dict[str, tuple[Term, ...]] = {
    "The shop": (
        Term("rider", "The person who orders the bar, and steers with it.", "00", shop.rider),
        Term("bicycle", "What the bar is for: the rider steers it with the bar.", "00", shop.bicycle),
        Term("shop", "The place where bars are built. Its file lists its tubes, its dies and its bender.", "01",
             shop.shop),
        Term("bench", "The table at which tube is marked and bent, and where the bar is checked.", "01", shop.bench),
        Term("tube", "What a bar is bent from: a straight, round pipe with a thin wall.", "01", shop.tube),
        Term("batch", "Tubes that came in one delivery. They spring back nearly alike.", "09", shop.batch),
        Term("check", "To read the finished bar and compare it with the order, before anybody rides it.", "07",
             shop.check),
        Term("calibration", "The shop's own springback and offset, worked out from bends that were measured.", "09",
             shop.calibration),
        Term("chart", "Lines over two scales: go from the rise across to a line, then down to the setting.", "10",
             shop.chart),
        Term("map", "A chart of orders: each place is one order, and its shade says if it can be made.", "04",
             shop.map_of_orders),
    ),
    "The bar": (
        Term("bar", "The bent tube that the rider holds. A riser bar has five straights and four bends.", "00",
             shop.riser_bar),
        Term("clamp flat", "The straight in the middle, which the stem holds. You measure from its middle.", "00",
             bar.clamp_flat),
        Term("inner bend", "The bend beside the clamp flat, one on each side; it turns the tube upward.", "02",
             bar.inner_bend),
        Term("riser", "The straight between the two bends of a side; the hook holds it for the outer bend.", "01",
             bar.riser),
        Term("outer bend", "The bend that turns the riser into the grip.", "02", bar.outer_bend),
        Term("grip", "The outer straight, for hand, lever and shifter.", "00", bar.grip),
        Term("centre line", "The line through the middle of the tube. Every length here is measured along it.", "02",
             bar.centre_line),
        Term("rise", "How high the middle of the bar's end is over the clamp axis. It depends on how the bar is "
             "turned in its stem.", "00", bar.rise),
        Term("width", "From one end to the other, straight across.", "00", bar.width),
        Term("setback", "How far the bar's ends are behind the clamp axis.", "00", bar.setback),
        Term("backsweep", "The angle between grip and clamp axis, seen from above.", "00", bar.backsweep),
        Term("upsweep", "The angle between grip and clamp axis, seen from the front.", "00", bar.upsweep),
        Term("sweep", "How far a grip turns away from straight across: its backsweep or its upsweep.", "00",
             shop.sweep),
        Term("roll", "The turn of the tube about its riser before the outer bend. It swings the grip backward.", "02",
             bar.roll),
        Term("stem roll", "The turn of the whole bar in its stem, seen from the side.", "12", bar.stem_roll),
        Term("risers upright, grips level", "Two ways to clamp a bar, with two rises. Say which one is "
             "meant.", "00", bar.two_rises),
        Term("room for controls", "The length of straight grip that hand, lever and shifter need.", "01",
             bar.controls),
        Term("cut length", "The length of the straight tube that the bar is bent from.", "01", bar.cut_length),
        Term("mark", "A pencil line on the straight tube, where a bend begins or ends: lined up with the die's edge.",
             "01", bar.mark),
        Term("corner, take-out", "The corner is where the straights beside a bend would meet; the take-out is how far "
             "it is from the bend's start.", "02", bar.corner),
        Term("order", "What the rider wishes: rise, backsweep, width and what goes with them.", "01", bar.order),
        Term("recipe", "What is cut, marked and set to make one bar: length, marks, stop and reading.", "01",
             bench.recipe),
        Term("way", "A die, its bends and a position in the stem that together make an order.", "04", bar.way),
        Term("tolerance", "How far off its wanted value a measure of the finished bar may be.", "07", bar.tolerance),
        Term("twist", "One riser is out of the other's plane, seen along the clamp axis.", "07", bar.twist),
    ),
    "Bender and angle finder": (
        Term("bender", "The machine that bends the tube: die, hook, follower and a handle.", "01", bench.bender),
        Term("slack", "How far the handle moves before the tube begins to bend.", "05", bench.slack),
        Term("die", "The round block with a groove, on which the tube is bent.", "03", bench.die),
        Term("centre-line radius", "From the die's pivot to the middle of the tube in its groove: R.", "03",
             bench.centre_line_radius),
        Term("hook", "Holds the tube to the die, behind the bend.", "05", bench.hook),
        Term("follower", "Presses the tube into the groove while it goes round.", "05", bench.follower),
        Term("stop", "It ends the way of the handle, at the angle that you set.", "01", bench.stop),
        Term("sequence of bends", "Which bend you make first, which next. An order is what the rider asks for.", "05",
             bench.sequence_of_bends),
        Term("flat", "A straight piece of tube on which the angle finder is laid.", "05", bench.flat),
        Term("tangent point", "Where a straight ends and an arc begins, or the other way round.", "02",
             bench.tangent_point),
        Term("free end", "The side of the tube that comes round as it is bent. It needs room.", "05", bench.free_end),
        Term("arm", "One side of the tube, from a bend out to its end. A bent arm can be level, high or low, and it "
             "swings.", "05", bench.arm),
        Term("line-up offset", "How far past the die's edge the bend really begins.", "06", bench.line_up_offset),
        Term("springback", "By how much a bend opens when it is let go.", "06", bench.springback),
        Term("least straight", "The straight tube that a bender needs beside a bend to hold on to.", "03",
             bench.least_straight),
        Term("angle finder", "A dial with a needle that hangs down: it reads a slope.", "05", bench.angle_finder),
        Term("clamp reading", "The slope of the clamp flat when the tube is right for the outer bend.", "02",
             bench.clamp_reading),
        Term("rise window", "From the least to the largest rise that a die can give for an order.", "03",
             bench.rise_window),
    ),
    "Checking and the crossbar": (
        Term("gap on the table", "The gap under a grip when the bar is on a flat table.", "07",
             bench.gap_on_the_table),
        Term("rocking", "The bar tips on a flat table, because its two sides are not in one plane.", "07",
             bench.rocking),
        Term("tweak", "A small change of a bend by hand: open it or close it.", "07", bench.tweak),
        Term("crossbar", "The thin tube brazed between the risers.", "08", bench.fitted_crossbar),
        Term("braze", "To join two tubes with a filler metal that melts before the steel does.", "08", shop.braze),
        Term("joint angle", "Between the axes of two tubes that meet, on the acute side.", "08", bench.joint_angle),
        Term("cope", "The end of a tube cut so that it sits on another one.", "08", bench.cope),
        Term("wrap", "The curve of a cope on paper, to wrap round the tube and file to.", "08", bench.wrap),
        Term("fillet", "The filler metal in the corner of a brazed joint.", "08", bench.brazed_joint),
    ),
    "Tube, metal and hands": (
        Term("outside diameter, wall", "The two sizes by which a tube is sold.", "03", metal.tube_size),
        Term("wall thinning", "A bend stretches the wall on its outside and thickens it on its inside.", "03",
             metal.wall_thinning),
        Term("out of round", "How far a bend has flattened: largest less smallest diameter, divided by the nominal.",
             "03", metal.out_of_round),
        Term("elastic, plastic", "An elastic bend springs back; a plastic one remains.", "06", metal.elastic),
        Term("yield", "The stress at which the metal begins to remain bent. It is a band, never one number.", "13",
             metal.yield_band),
        Term("bending moment", "Force times lever arm.", "13", metal.bending_moment),
        Term("first yield", "The moment at which the outermost fibre yields.", "13", metal.first_yield),
        Term("fully plastic moment", "The moment at which the whole section has yielded: the tube folds.", "13",
             metal.plastic_moment),
        Term("stem", "Holds the bar in front of the steering axis.", "12", metal.stem),
        Term("head angle", "The slope of the steering axis, at its back.", "12", metal.head_angle),
        Term("middle of the hand", "The place on the grip by which two bars are compared.", "12", metal.hand),
        Term("turn of the wrist", "The angle between the grips of two bars.", "12", metal.wrist_turn),
    ),
}  # fmt: skip
"""Every term, in groups as one meets them."""

TERMS: tuple[Term, ...] = tuple(term for group in GROUPS.values() for term in group)
