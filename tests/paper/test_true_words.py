"""Random bars in random orders: every sentence of the steps is read back and its claim worked out again.

A sentence that no reader here knows fails, so that no word goes unchecked. The second route goes by the points of the
tube in the bender, and by bending the tube with the mistake that a sentence warns of.
"""

import re
from dataclasses import replace
from itertools import permutations, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barmath import Bender, BendError, Die, Recipe, Springback, shape_from_recipe
from barmath.bending.holds import LEFT, RIGHT, STRAIGHTS, Hold, poses_from_recipe
from barmath.bending.mistakes import FLIPPED, SIGN
from barmath.bending.settings import bends_from_settings, settings_from_bends
from barmath.bending.steps import bench_steps
from barmath.closed_forms.forward import grips_level
from barmath.lengths import length_text
from barmath.paper.bench_parts import _finder_setting, _slopes
from barmath.space.centerline import bends_from_recipe, cut_length_mm
from barmath.space.two_sides import two_sides_from_bends

PLANS = [
    tuple(map(Hold, order, hooks)) for order in permutations(range(4)) for hooks in product((LEFT, RIGHT), repeat=4)
]
DIE = Die(88.9, line_up_offset_mm=1.5)
SPRINGBACK = Springback(0.03, 88.9)
recipes = st.builds(
    Recipe,
    clamp_flat_mm=st.floats(30.0, 120.0),
    inner_bend_deg=st.floats(8.0, 45.0),
    straight_mm=st.floats(20.0, 150.0),
    roll_deg=st.floats(-75.0, 75.0),
    outer_bend_deg=st.floats(8.0, 45.0),
    grip_mm=st.floats(120.0, 250.0),
    radius_mm=st.just(SPRINGBACK.finished_radius_mm),
    stem_roll_deg=st.floats(-20.0, 20.0),
)
benders = st.builds(Bender, st.sampled_from(("left", "right")), finder_foot_mm=st.none() | st.floats(20.0, 160.0))


class Bench:
    """One step, with the tube in the bender as points."""

    def __init__(self, recipe, holds, bender, place, step, plan):
        self.recipe, self.holds, self.bender, self.place, self.step = recipe, holds, bender, place, step
        self.plan, self.setting, self.hold, self.bends = plan, plan[place], holds[place], bends_from_recipe(recipe)
        self.points = step.pose.before_mm
        self.made = {hold.number for hold in holds[:place]}

    def along(self, straight):
        """Unit vector along a straight away from the bender, from its two ends."""
        first, last = self.step.pose.ends(straight)
        run = self.points[last] - self.points[first]
        run = run if STRAIGHTS.index(straight) > self.hold.number else -run
        return run / np.linalg.norm(run)

    def turned_by(self, mistake):
        """By how much `mistake` at this step turns the plane of its bend, degrees, from bending the tube."""
        one = self.setting
        changed = {"toward_die": not one.toward_die} if mistake is FLIPPED else {"reading_deg": -one.reading_deg}
        wrong = replace(one, **changed)
        later = [replace(setting, read_on=None) for setting in self.plan[self.place + 1 :]]
        planes = []
        for this in (one, wrong):
            settings = (*self.plan[: self.place], this, *later)
            out = bends_from_settings(settings, float(cut_length_mm(self.bends)), SPRINGBACK, DIE, self.bender)
            alpha = np.cumsum(out.rolls_deg)
            planes.append(alpha[self.hold.number] - alpha[self.holds[0].number])
        off = planes[1] - planes[0]
        return off - 360.0 * round(off / 360.0)

    def grip_after(self, mistake, angle):
        """That angle of this step's grip on a bar that is else as planned."""
        rolls, turned = self.bends.rolls_deg.copy(), self.turned_by(mistake)
        number, sign, side = (1, -1.0, 0) if self.step.side == "left" else (3, 1.0, 1)
        rolls[number] += sign * turned
        sides = two_sides_from_bends(replace(self.bends, rolls_deg=rolls), self.recipe.stem_roll_deg)
        return float(getattr(sides, f"{angle}_deg")[side])


def close(words, value, by=0.051):
    assert float(words) == pytest.approx(value, abs=by)


def same_angle(words, value):
    off = float(words) - value
    assert abs(off - 360.0 * round(off / 360.0)) < 0.051


def leads(at, flat, where, verb, lead, side):
    assert behind(at, where)
    along = at.along(at.step.read_straight)
    assert (along[1] > 0.0) == (lead == "left")
    assert (side == "the side the bend turns to") == (lead == at.bender.turns)
    assert verb == "points"
    assert flat == at.step.read_on


def behind(at, where):
    flat_right = STRAIGHTS.index(at.step.read_straight) > at.hold.number
    return (where == "ahead of the die") == (flat_right == (at.hold.hooked == LEFT))


def straight_on(at, flat, where, way):
    assert behind(at, where)
    assert abs(at.along(at.step.read_straight)[1]) < 0.021
    assert way == ("on" if where == "ahead of the die" else "back")


def one_down(at):
    assert abs(at.turned_by(FLIPPED)) > 179.0
    assert at.step.bend == "inner"
    assert {1, 2} <= at.made | {at.hold.number}


def other_plane(at, mistake):
    assert abs(at.turned_by(mistake)) > 0.05


def upsweep_instead(at, got, angle, meant):
    mistake = FLIPPED if angle == "upsweep" else SIGN
    close(meant, getattr(shape_from_recipe(at.recipe), f"{angle}_deg"))
    same_angle(got, at.grip_after(mistake, angle))


def inward(at):
    assert max(abs(at.grip_after(FLIPPED, angle)) for angle in ("upsweep", "backsweep")) > 89.9


def opposite_before(at):
    before = at.step.reading_deg * BEFORE[0].reading_deg
    assert before < 0.0
    assert BEFORE[0].read_on == at.step.read_on == "clamp flat"


def slopes(at, flat, way, side, hangs, about, below):
    along, end = at.along(at.step.read_straight), at.points[0 if side == "left" else -1]
    assert flat == at.step.read_on
    assert (along[2] < 0.0) == (way == "downhill")
    assert (end[2] < 0.0) == (hangs == "is low") == (below == "below")
    close(about, abs(end[2]), 0.51)


def reads(at, flat, reading):
    assert flat == at.step.read_on
    close(reading, abs(np.degrees(np.arcsin(at.along(at.step.read_straight)[2]))))


def level(at, flat):
    reads(at, flat, 0.0)


def hooked(at, straight, end):
    held = STRAIGHTS[at.hold.number + (at.hold.hooked == RIGHT)]
    assert (straight, end) == (held, LEFT if at.hold.hooked == RIGHT else RIGHT)
    assert at.points[0 if end == "left" else -1, 0] > 0.0


def marked(at, side, bend, from_middle):
    assert (side, bend) == (at.step.side, at.step.bend)
    middle = 0.5 * float(cut_length_mm(at.bends))
    assert from_middle == length_text(abs(at.setting.mark_mm - middle))
    assert (at.setting.mark_mm > middle) == (side == "right")


def bent(at, stop, stays, turns):
    close(stop, at.setting.stop_deg)
    close(stays, at.bends.bends_deg[at.hold.number])
    free = at.step.pose.free[-1]
    to_left = at.step.pose.after_mm[free, 1] - at.points[free, 1]
    assert (to_left > 0.0) == (turns == "left")


def stop_set(at, verb, stop, bends):
    same = [one for one, hold in zip(at.plan, at.holds, strict=True) if (hold.number in (1, 2)) == (bends == "inner")]
    assert at.setting in same
    for one in same:
        close(stop, one.stop_deg)
    before = at.plan[at.place - 1] if at.place else None
    assert verb == ("Set" if before is None else "Leave" if before in same else "Move")


def not_sweep(at, reading, sweep):
    reads(at, "clamp flat", reading)
    close(sweep, abs(shape_from_recipe(at.recipe).backsweep_deg))
    assert abs(float(reading) - float(sweep)) > 0.3 - 0.101


def angle_off(at, side, straight, angle, other):
    close(angle, at.bends.bends_deg[at.hold.number])
    assert side == at.step.side
    assert {"grip": "riser", "riser": "clamp flat"}[straight] == other


def each_riser(at, angle):
    assert at.made | {at.hold.number} == {1, 2}
    close(angle, at.recipe.inner_bend_deg)


def between(at, side, angle):
    assert not at.made
    assert side == at.step.side
    close(angle, at.bends.bends_deg[at.hold.number])


def still_shows(at, reading):
    assert at.step.read_on == "clamp flat"
    first, last = at.step.pose.ends("clamp flat")
    run = at.step.pose.after_mm[last] - at.step.pose.after_mm[first]
    close(reading, abs(np.degrees(np.arcsin(run[2] / np.linalg.norm(run)))))


def in_phase(at):
    assert at.made | {at.hold.number} == {1, 2}


def gap(at, words):
    assert words == length_text(abs(shape_from_recipe(grips_level(at.recipe)).rise_mm))


def in_line(at):
    assert abs(shape_from_recipe(grips_level(at.recipe)).backsweep_deg) < 0.05


def nothing(at, *_):
    pass


FLAT = r"(clamp flat|(?:left|right) (?:riser|grip)|bent (?:left|right) arm)"
READERS = [
    (rf"Put the hook on the {FLAT}\. The (left|right) end is the free end, ahead of the die\.", hooked),
    (r"Bring the (left|right) (inner|outer) mark, ([\d.]+ mm) from the middle, to the die's edge\.", marked),
    (r"The tube is still straight: any roll will do\.", lambda at: close(len(at.made), 0)),
    (r"Take up the slack in the hook, then look at the mark(?: and the angle finder)? again\.", nothing),
    (r"Bend to ([\d.]+) deg on the stop; it springs back to ([\d.]+) deg\. "
     r"The free end comes round to the (left|right)\.", bent),
    (rf"Turn the tube until the {FLAT}, (behind the hook|ahead of the die), leads straight (on|back), neither left nor "
     r"right\.", straight_on),
    (rf"Turn the tube until the {FLAT}, (behind the hook|ahead of the die), (points) to the (left|right), "
     r"(the side the bend turns to|away from the side the bend turns to)\.", leads),
    (r"If it points to the other side, one riser points up and the other one down\.", one_down),
    (r"If it points to the other side, the same reading puts the bend into another plane: "
     r"that is another bar\.", lambda at: other_plane(at, FLIPPED)),
    (r"If it points to the other side, this grip gets (-?[\d.]+) deg of (upsweep) instead of "
     r"(-?[\d.]+) deg\.", upsweep_instead),
    (r"If it points to the other side, this grip points inward\.",
     inward),
    (rf"The {FLAT} runs (downhill|uphill) away from the bender: the (left|right) arm (is low|is high), its end "
     r"about (\d+) mm (below|above) the tube in the hook\.", slopes),
    (r"If it slopes the other way, the bend is in another plane: that is another bar\.",
     lambda at: other_plane(at, SIGN)),
    (r"It slopes the other way than for the bend before\.", opposite_before),
    (r"If it slopes the (?:same|other) way, this grip gets (-?[\d.]+) deg of (backsweep) instead of (-?[\d.]+) deg\.",
     upsweep_instead),
    (rf"Lay the angle finder on the {FLAT}: it must show 0\.0 deg, level\.", level),
    (rf"Lay the angle finder on the {FLAT}: it must show ([\d.]+) deg\.", reads),
    (r"Set the angle finder on the clamp flat to ([\d.]+) deg, not to the backsweep of ([\d.]+) deg\.", not_sweep),
    (r"(Set|Move) the stop to ([\d.]+) deg: this is the stop for the (inner|outer) bends\.", stop_set),
    (r"(Leave) the stop at ([\d.]+) deg, the stop for the (inner|outer) bends\.", stop_set),
    (r"Each riser is ([\d.]+) deg off the clamp flat\.", each_riser),
    (r"Lay the bar on a flat table: both risers and the clamp flat touch at once, and the bar does not rock\. If "
     r"it rocks, correct it before the outer bends\.", in_phase),
    (r"The (left|right) (grip|riser) is ([\d.]+) deg off the (riser|clamp flat)\.", angle_off),
    (r"The (left|right) riser is ([\d.]+) deg off the rest of the tube\.", between),
    (r"Before you open the hook, the clamp flat still shows ([\d.]+) deg: the tube has not rolled\.", still_shows),
    (r"Hold both grips down on a flat table: they touch along their whole length\. The gap under the clamp flat is "
     r"([\d.]+ mm) from end to end\. That is the rise with grips level\.", gap),
    (r"Look along both grips: they are in one line\.", in_line),
]  # fmt: skip
BEFORE = [None]


def lies(at, flat, way, lead, straight, side=None, hangs=None, about=None, below=None):
    along = at.along(at.step.read_straight)
    assert flat == at.step.read_on
    assert (abs(along[1]) < 0.021) if straight else (along[1] > 0.0) == (lead == "left")
    if way == "level":
        close(0.0, np.degrees(np.arcsin(along[2])))
    else:
        slopes(at, flat, way, side, hangs, about, below)


def measures(at, kind, angle):
    made = at.made | {at.hold.number}
    close(angle, at.bends.bends_deg[at.hold.number])
    assert {
        "grip": at.step.bend == "outer",
        "riser": at.step.bend == "inner" and len(made) > 1,
        "riser to the rest of the tube": made == {at.hold.number} and at.step.bend == "inner",
        "risers": made == {1, 2},
    }[kind]


ARM = r"; the (left|right) arm (is low|is high), its end about (\d+) mm (below|above) the tube in the hook"
READERS += [
    (r"any roll: the tube is still straight", lambda at: close(len(at.made), 0)),
    (rf"{FLAT} (level), (?:pointing to the (left|right)|(straight on|leading straight (?:on|back)))",
     lies),
    (rf"{FLAT} (downhill|uphill) away from the bender, (?:pointing to the (left|right)|(leading straight (?:on|back)))"
     rf"{ARM}", lies),
    (r"(grip) ([\d.]+) deg off the riser", measures),
    (r"(risers?) ([\d.]+) deg off the clamp flat", measures),
    (r"(riser to the rest of the tube): ([\d.]+) deg", measures),
    (r"; on a flat table the bar does not rock", in_phase),
    (r"; clamp flat still ([\d.]+) deg", still_shows),
    (r"; grips flat on a table, a gap of ([\d.]+ mm) under the clamp flat", gap),
    (r"; both grips in one line", in_line),
]  # fmt: skip


def read_back(at):
    for words in (" ".join([*at.step.do, *at.step.check]), at.step.lie, at.step.measure):
        read_through(at, words)


def read_through(at, left):
    while left:
        for pattern, holds_true in READERS:
            found = re.match(pattern, left)
            if found:
                holds_true(at, *found.groups())
                left = left[found.end() :].lstrip()
                break
        else:
            raise AssertionError(f"no reader for: {left}")


def benches(recipe, holds, bender):
    steps = bench_steps(recipe, SPRINGBACK, DIE, bender, holds=holds)
    plan = settings_from_bends(bends_from_recipe(recipe), holds, SPRINGBACK, DIE, bender)
    poses = poses_from_recipe(recipe, bender, holds=holds)
    for place, (step, pose) in enumerate(zip(steps, poses, strict=True)):
        np.testing.assert_allclose(step.pose.before_mm, pose.before_mm)
        yield Bench(recipe, holds, bender, place, step, plan)


@settings(max_examples=40)
@given(recipes, st.sampled_from(PLANS), benders)
def test_every_sentence_of_the_steps_is_true_of_the_settings(recipe, holds, bender):
    try:
        ats = list(benches(recipe, holds, bender))
    except BendError as refusal:
        assert "must have a flat of" in str(refusal)  # noqa: PT017
        return
    for at in ats:
        read_back(at)
        BEFORE[0] = at.step


@settings(max_examples=40)
@given(recipes, st.sampled_from(PLANS), benders)
def test_the_headline_of_the_sheet_is_true_of_both_outer_bends(recipe, holds, bender):
    try:
        ats = list(benches(recipe, holds, bender))
    except BendError:
        return
    what, value, note = _finder_setting([at.step for at in ats])
    outer = [at for at in ats if at.step.bend == "outer"]
    if what != "Angle finder on the clamp flat":
        for number, reading in zip(re.findall(r"\d", note), value.split(), strict=True):
            close(reading.rstrip("°"), abs(ats[int(number) - 1].setting.reading_deg))
        return
    slopes = [np.degrees(np.arcsin(at.along("clamp flat")[2])) for at in outer]
    for slope in slopes:
        close(value.rstrip("°"), abs(slope))
    ways = ["downhill" if slope < 0.0 else "uphill" for slope in slopes]
    told = note.removesuffix(": both outer bends")
    if told == "level":
        assert max(map(abs, slopes)) < 0.051
    else:
        assert told == (ways[0] if ways[0] == ways[1] else f"first {ways[0]}, then {ways[1]}")


def test_outer_bends_that_both_run_downhill_are_not_called_once_each_way():
    recipe = Recipe(50.0, 25.0, 110.0, 30.0, 25.0, 185.0, SPRINGBACK.finished_radius_mm)
    holds = (Hold(1, LEFT), Hold(0, LEFT), Hold(2, LEFT), Hold(3, LEFT))
    outer = [at.step for at in benches(recipe, holds, Bender()) if at.step.bend == "outer"]
    assert [np.sign(step.reading_deg) for step in outer] == [1.0, 1.0] or _slopes(outer) in ("uphill", "downhill")
    assert "then" not in _slopes(outer)
