"""The right choice of each question by a second route: read back from the text of the exercise, or from two bars."""

import json
import math
import re
from dataclasses import replace
from functools import cache

import pytest
from conftest import LESSONS
from practice.sums import NUMBER, worked_out

from barmath import Recipe, shape_from_recipe
from barmath.closed_forms.sensitivity import INNER_BEND, OUTER_BEND, OUTER_MARK, sensitivities_from_recipe
from barmath.practice.course import BY_NAME
from barmath.practice.exercise import ESTIMATE, MORE, check

SEEDS = range(36)


@cache
def each(name):
    """Exercises of one kind, the three levels in turn, in millimetres."""
    return [BY_NAME[name].make(name, BY_NAME[name].lesson, seed, 1 + seed % 3) for seed in SEEDS]


def numbers(pattern, made):
    """What a pattern finds in the given lines, as numbers."""
    found = re.search(pattern, " ".join(made.given))
    return [float(one) for one in found.groups()] if found else []


def test_smaller_outer_bends_lift_the_grip_and_larger_ones_lower_it():
    flat = Recipe(60.0, 25.0, 90.0, 0.0, 25.0, 180.0, 105.0)  # four equal bends without sweep: the grips are level
    seen = set()
    for made in each("pair"):
        question = made.questions[0]
        smaller = "outer bends are smaller" in question.text
        upsweep = float(shape_from_recipe(replace(flat, outer_bend_deg=20.0 if smaller else 30.0)).upsweep_deg)
        assert question.answer == ("more" if upsweep > 0.0 else "less")
        seen.add(question.answer)
    assert seen == {"more", "less"}


def test_a_wrong_pair_misses_the_rise_or_has_an_upsweep_that_is_not_accepted():
    for made in each("pair"):
        (rise,) = numbers(r"Ordered: rise (\S+) mm", made)
        for name, reason in made.questions[1].habits:
            low, high, upsweep = numbers(rf"{name}: [^;]*; rises from (\S+) to (\S+) mm, upsweep (\S+) deg", made)
            misses = not low <= rise <= high
            assert misses == ("does not reach the rise ordered" in reason)
            assert misses or not 0.0 <= upsweep <= 8.0


def _rise(radius, bend, straight):
    return float(shape_from_recipe(Recipe(60.0, bend, straight, 0.0, bend, 180.0, radius)).rise_mm)


def test_a_larger_radius_raises_the_lowest_rise_and_leaves_the_slope_of_the_riser():
    seen = set()
    for made in each("die"):
        text, answer = made.questions[0].text, made.questions[0].answer
        radii = (100.0, 120.0) if "larger" in text else (120.0, 100.0)
        if "lowest rise" in text:
            before, after = (_rise(radius, 25.0, 65.0) for radius in radii)
        else:
            before, after = (_rise(radius, 25.0, 75.0) - _rise(radius, 25.0, 65.0) for radius in radii)
        changed = after - before
        assert answer == ("remains the same" if abs(changed) < 1e-9 else "is higher" if changed > 0 else "is lower")
        seen.add(answer)
    assert len(seen) == 3


def test_the_die_to_take_is_the_one_of_the_largest_radius_that_makes_the_rise():
    for made in each("die"):
        wanted, bend = numbers(r"rise (\S+) mm, bends of (\S+) deg", made)
        (share,) = numbers(r"springs back by (\S+) %", made) or [0.0]
        found = re.findall(r"(die [ABC]) (\S+) mm \(highest (\S+) mm\)", made.given[1])
        fits = []
        for name, own, highest in found:
            lowest = _rise(float(own) / (1.0 - share / 100.0), bend, 65.0)
            if lowest <= wanted <= float(highest):
                fits.append((float(own), name))
        assert max(fits)[1] == made.questions[2].answer
        own = {name: words for name, words in made.questions[2].habits}
        assert {name for name, words in own.items() if "gentler one fits" in words} == {n for _, n in fits[:-1]}
        for name, radius, highest in found:
            if name in own and "gentler" not in own[name]:
                low, high = map(float, re.search(r"(\d+) to (\d+) mm$", own[name]).groups())
                assert low == pytest.approx(_rise(float(radius) / (1.0 - share / 100.0), bend, 65.0), abs=0.6)
                assert high == pytest.approx(float(highest), abs=0.6)


def test_the_setting_to_look_at_is_the_one_with_that_place_among_the_three():
    names = {"the stop of the inner bends": INNER_BEND, "the stop of the outer bends": OUTER_BEND,
             "the outer mark": OUTER_MARK}  # fmt: skip
    for made in each("slip"):
        slopes = sensitivities_from_recipe(made.recipe)
        ordered = sorted(names, key=lambda name: -abs(float(slopes[names[name]].rise_mm)))
        question = made.questions[2]
        place = 0 if "the rise most?" in question.text else 1 if "second most" in question.text else 2
        assert question.answer == ordered[place]
        by_outer, by_mark = (abs(float(slopes[slip].rise_mm)) for slip in (OUTER_BEND, OUTER_MARK))
        reasons = {
            "the stop of the inner bends": "the inner bend has the longest lever arm",
            "the stop of the outer bends": f"the outer bend has a shorter lever arm, {by_outer:.1f} mm a degree",
            "the outer mark": f"a millimetre of mark is only {by_mark:.1f} mm of rise",
        }
        assert {reason for _, reason in question.habits} == {
            f"you do not compare the three, but {reasons[name]}" for name in names if name != question.answer
        }


def _straight(made, after):
    found = re.search(rf"straight tube {after} .*?: (.*?) mm\. ", made.given[0])[1]
    return sum(float(one) for one in re.findall(NUMBER, found))


def test_what_the_hook_can_hold_follows_from_the_riser_and_what_hook_and_follower_need():
    holds = {"only the riser": (True, False), "only the grip": (False, True), "either of them": (True, True)}
    seen = set()
    for made in each("order"):
        marks = numbers(r"marks at (\S+) mm and (\S+) mm", made)
        riser = marks[1] - marks[0] if marks else numbers(r"riser straight of (\S+) mm", made)[0]
        works = riser >= _straight(made, "behind"), riser >= _straight(made, "ahead of")
        assert holds.get(made.questions[2].answer, (False, False)) == works
        seen.add(works)
        for way, reason in made.questions[2].habits:
            claimed = holds.get(way, (False, False))
            hook, follower = (f"{_straight(made, after):.0f} mm of riser that" for after in ("behind", "ahead of"))
            assert {
                f"you do not check the {hook} the hook needs": claimed[0] and not works[0],
                f"you do not check the {follower} the follower needs": claimed[1] and not works[1],
                "you think that the hook needs more of the riser than it does": works[0] and not claimed[0],
                "you think that the follower needs as much of the riser as the hook": works[1] and not claimed[1],
            }[reason]
    assert len(seen) == 4


def test_the_faulty_bend_explains_both_the_rise_and_the_backsweep_of_its_side():
    for made in each("faulty bend"):
        read = {
            name: float(value) - float(wanted)
            for name, wanted, value in re.findall(r"(\w+ \w+): wanted (\S+), read (\S+) ", " ".join(made.given))
        }
        slopes = {
            which: tuple(map(float, re.search(rf"of {which} bend adds (\S+) mm(?: of rise)? and (\S+) deg",
                                              made.given[-1]).groups()))
            for which in ("inner", "outer")
        }  # fmt: skip
        side = max(("left", "right"), key=lambda one: abs(read[f"Rise {one}"]))
        assert made.questions[0].answer == side

        def left_over(which, side=side, slopes=slopes, read=read):
            by_rise, by_sweep = slopes[which]
            return abs(read[f"Backsweep {side}"] - read[f"Rise {side}"] / by_rise * by_sweep)

        assert made.questions[1].answer == f"{side} {min(slopes, key=left_over)} bend"


def test_the_whole_sheet_is_as_much_too_small_or_too_large_as_its_line():
    for made in each("print"):
        ends = numbers(r"runs from (\S+) to (\S+) mm", made)
        line = ends[1] - ends[0] if ends else numbers(r"measures (\S+) mm", made)[0]
        assert made.questions[0].answer == ("smaller than true" if line < 100.0 else "larger than true")


def test_only_below_the_low_end_of_the_band_no_tube_yields():
    seen = set()
    for made in each("moment"):
        stress, (low, high) = worked_out(made.questions[1].numbers), numbers(r"band: (\d+) to (\d+) MPa", made)
        answer = made.questions[2].answer
        assert answer.startswith("no tube" if stress < low else "some or all")
        other = next(words for value, words in made.questions[2].habits if value.startswith(("no tube", "some")))
        assert f"{low:.0f} to {high:.0f} MPa" in other
        seen.add(answer)
    assert len(seen) == 2


def test_the_clamp_flat_goes_downhill_or_uphill_by_the_three_things_that_change_it():
    for made in each("direction"):
        turns, side, hold = re.search(
            r"comes round to the (\w+)\. For the (\w+) outer bend: (.*)", made.given[1]
        ).groups()
        changes = (side == "left") + ("grip in the hook" in hold) + (turns == "right")
        ways = ("downhill", "uphill")
        assert made.questions[0].answer == ways[changes % 2]
        assert made.questions[2].answer == ways[(changes + 1) % 2]
        for question in made.questions[3:]:  # on a bender that turns the other way, the other side of the bar or not
            named = re.search(r"the same (\w+) outer bend", question.text)[1]
            assert question.answer == ways[(changes + 1 + (named != side)) % 2]


def test_the_bar_to_start_from_has_the_same_die_stop_width_and_sweep():
    for made in each("record"):
        question = made.questions[2]
        assert question.answer.startswith("same die, stop, width and sweep, rise ")
        wanted = numbers(r"same bar with a rise of (\S+) mm", made)[0]
        rises = [numbers(pattern, made) for pattern in (r"rise (\S+) mm, ", r"rise (\S+) mm left and (\S+) mm right")]
        assert rises[0] or rises[1]
        if made.level < 3:
            near = min((float(one) for one in re.findall(r"\brise (\d+) mm, ", " ".join(made.given))),
                       key=lambda rise: (abs(rise - wanted), rise))  # fmt: skip
            assert question.answer.endswith(f"rise {near:.0f} mm")


@pytest.mark.parametrize(("less", "than"), [("The finder will show", "less than"), ("The tube is rolled", "more than")])
def test_the_finder_shows_less_than_the_roll(less, than):
    for made in each("reading"):
        bend, roll = numbers(r"of (\S+) deg, are made. You must roll the tube by (\S+) deg", made)
        assert math.sin(math.radians(bend)) * math.sin(math.radians(roll)) < math.sin(math.radians(roll))
        if made.questions[0].text.startswith(less):
            assert made.questions[0].answer.startswith(than)


NEAR_ENOUGH = {"mm": (0.25, 0.5), "deg": (0.1, 0.4), "%": (0.2, 0.2)}
"""Tolerances of a number: half a millimetre is the width of a pencil line, and a stop is set to tenths of a degree."""


@pytest.mark.parametrize("name", BY_NAME)
def test_a_number_is_right_just_within_its_tolerance_and_an_answer_is_one_just_within_its_span(name):
    for made in each(name):
        for question in made.questions:
            if question.choices:
                continue
            answer, near = float(question.answer), question.tolerance
            least, most = NEAR_ENOUGH.get(question.unit, (0.01 * abs(answer), 0.01 * abs(answer)))
            if question.step == ESTIMATE:
                least, most = 0.12 * abs(answer), 0.4 * abs(answer)
            elif (name, question.step) == ("marks", MORE):
                most = 1.0  # a saw cut
            assert least * 0.999 <= near <= most * 1.001, question.text
            for side in (-1.0, 1.0):
                assert check(question, repr(answer + 0.999 * side * near)).right
                assert not check(question, repr(answer + 1.001 * side * near)).right
            for end, beyond in ((question.low, -0.01), (question.high, 0.01)):
                assert check(question, repr(end)).honest
                assert not check(question, repr(end + beyond)).honest
                assert f"{end:.0f}" in check(question, repr(end + beyond)).words


@pytest.mark.parametrize("name", BY_NAME)
def test_a_span_begins_at_nothing_or_at_a_minus_and_ends_at_a_round_number_beyond_the_answers(name):
    for made in each(name):
        for question in made.questions:
            if not question.choices:
                assert question.high % (5.0 if question.high < 100.0 else 10.0) == 0.0
                assert question.low == -question.high or 0.0 <= question.low <= 1.0 or question.low % 50.0 == 0.0
                assert 1.1 * abs(float(question.answer)) < question.high
                assert all(question.low <= float(habit.value) <= question.high for habit in question.habits)


NEW_TO_LESSONS = {
    "accepts", "being", "confuse", "cotangent", "deep", "deeper", "depth", "divide", "downhill", "except",
    "includes", "loss", "metres", "minus", "newton", "newtons", "obtuse", "ordinate", "printer", "pulled", "runs",
    "scaled", "sharper", "shoe", "sprang", "subtract", "uphill",
}  # fmt: skip
"""Words that an apprentice meets in exercises first."""


def _words(text):
    return set(re.findall("[a-z]+", text.lower()))


@pytest.fixture(scope="module")
def words_of_lessons(root):
    cells = [cell for path in LESSONS for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]]
    glossary = [path.read_text(encoding="utf-8") for path in (root / "barmath" / "glossary").glob("*.py")]
    return set().union(*(_words("".join(cell["source"])) for cell in cells), *map(_words, glossary))


@pytest.mark.parametrize("name", BY_NAME)
def test_exercises_are_in_the_words_of_the_lessons(name, words_of_lessons):
    for made in each(name):
        said = [*made.given, *made.solution]
        for question in made.questions:
            said += [question.text, question.hint, question.formula, *question.choices]
            said += [f"{habit.words} {habit.value}" for habit in question.habits]
        assert _words(" ".join(map(str, said))) <= words_of_lessons | NEW_TO_LESSONS


def test_marks_that_are_given_are_said_to_be_the_ends_of_the_riser():
    for name in BY_NAME:
        for made in each(name):
            given = " ".join(made.given)
            if re.search(r"marks at .* from the middle", given):
                assert re.search("the ends of (the|its) riser", given)
