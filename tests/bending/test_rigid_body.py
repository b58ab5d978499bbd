"""What comes out of pulls, against a tube of points that a bender moves about: rigid-body kinematics of its own.

Nothing here is taken from the closed forms. The tube is points of its centre line, each with its place along the
straight tube. For a pull it is laid into the bender and turned about its axis until a flat shows the reading: that roll
is searched for, not worked out. Then the free part is carried round the die. Last, both tubes are laid upon each other
without a mirror (Kabsch, Acta Crystallographica A32, 1976, by `scipy.spatial.transform.Rotation.align_vectors`).
"""

from typing import NamedTuple

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation

from barmath.bending.by_hand import Pull, bent_by_hand, pulls_from_settings
from barmath.bending.holds import LEFT, RIGHT
from barmath.bending.plans import PLANS
from barmath.bending.settings import settings_from_bends
from barmath.closed_forms.inverse import recipe_from_order
from barmath.refusal import BendError
from barmath.shop.bender import Bender
from barmath.shop.order_seven import BEND_DEG, ORDER, TUBE
from barmath.shop.setup import setup_from_tube
from barmath.shop.tooling import Die
from barmath.space.centerline import bends_from_recipe, cut_length_mm, points_at

SAME_MM = 1e-9
DIE = Die(101.6, line_up_offset_mm=2.5, stop_offset_deg=0.8)
SETUPS = {turns: setup_from_tube(TUBE, DIE, Bender(turns=turns)) for turns in (LEFT, RIGHT)}
LOOKED_AT = np.radians(np.arange(-180.0, 181.0, 2.0)) + 0.01
"""Rolls among which a reading is searched for."""


class Points(NamedTuple):
    """A tube: places along the straight tube, where they are now, and where each bend begins and ends along it."""

    places: np.ndarray
    points: np.ndarray
    arcs: tuple[tuple[float, float], ...]

    def at(self, place: float) -> np.ndarray:
        """Where a place of one of the straights is."""
        return np.array([np.interp(place, self.places, axis) for axis in self.points.T])

    def piece(self, number: int) -> tuple[float, float]:
        """Begin and end of one of the straight pieces, counted from the left end."""
        edges = [self.places[0], *(edge for arc in sorted(self.arcs) for edge in arc), self.places[-1]]
        return edges[2 * number], edges[2 * number + 1]

    def toward(self, piece: int, place: float) -> np.ndarray:
        """The unit vector along a piece toward a place of the tube that is not on it."""
        begin, end = (self.at(edge) for edge in self.piece(piece))
        along = (end - begin) / np.linalg.norm(end - begin)
        return along if self.piece(piece)[1] <= place else -along


def rigidly_pulled(tube: Points, pull: Pull, setup) -> Points:
    """The tube after one pull; ValueError if no roll shows the reading."""
    onward = 1.0 if pull.hooked == LEFT else -1.0  # the free end is the tube's right end, or its left end
    left = 1.0 if setup.bender.turns == LEFT else -1.0
    tangent = pull.mark_mm + onward * DIE.line_up_offset_mm
    on_die = np.radians(pull.stop_deg - DIE.stop_offset_deg)
    arc, theta = DIE.centerline_radius_mm * on_die, on_die * (1.0 - setup.springback.ratio)

    # lay it in: the tangent point to the origin, the free side along +x
    near, beyond = tube.at(tangent), tube.at(tangent + onward * 5.0)
    ahead = (beyond - near) / np.linalg.norm(beyond - near)
    laid, _ = Rotation.align_vectors([[1.0, 0.0, 0.0]], [ahead])
    if pull.read_on is not None:
        flat = laid.apply(tube.toward(pull.read_on, tangent))  # toward the bender
        laid = Rotation.from_rotvec([searched_roll(flat, pull, left), 0.0, 0.0]) * laid
    points = laid.apply(tube.points - near)

    # bend: what is drawn round the die becomes an arc, what is beyond it is carried on, the held side does not move
    drawn = onward * (tube.places - tangent)
    radius = arc / theta
    turned = np.clip(drawn, 0.0, arc) / radius
    bow = np.stack([radius * np.sin(turned), left * radius * (1.0 - np.cos(turned)), np.zeros_like(turned)], -1)
    carried = Rotation.from_rotvec([0.0, 0.0, left * theta]).apply(points - [arc, 0.0, 0.0])
    carried += [radius * np.sin(theta), left * radius * (1.0 - np.cos(theta)), 0.0]
    points = np.where((drawn <= 0.0)[:, None], points, np.where((drawn < arc)[:, None], bow, carried))
    return Points(tube.places, points, (*tube.arcs, tuple(sorted((tangent, tangent + onward * arc)))))


def searched_roll(flat: np.ndarray, pull: Pull, left: float) -> float:
    """The roll at which a flat climbs toward the bender by its reading, and leads off to the side that was wanted."""

    def rolled(roll: float) -> np.ndarray:
        return Rotation.from_rotvec([roll, 0.0, 0.0]).apply(flat)

    def off(roll: float) -> float:
        return rolled(roll)[2] - np.sin(np.radians(pull.reading_deg))

    heights = Rotation.from_rotvec(LOOKED_AT[:, None] * [1.0, 0.0, 0.0]).apply(flat)[:, 2]
    seen = heights - np.sin(np.radians(pull.reading_deg))
    for place in np.flatnonzero(seen[:-1] * seen[1:] < 0.0):
        roll = brentq(off, LOOKED_AT[place], LOOKED_AT[place + 1], xtol=1e-15)
        leads_left = -rolled(roll)[1] > 0.0  # away from the bender
        if leads_left == (pull.toward_die == (left > 0.0)):
            return roll
    raise ValueError("the flat is never as steep as the reading")


def straight_tube(length: float, pulls) -> Points:
    """A tube with a point every 10 mm, and at both ends of what each pull draws round the die."""
    arcs = [np.radians(pull.stop_deg - DIE.stop_offset_deg) * DIE.centerline_radius_mm for pull in pulls]
    starts = [pull.mark_mm + pull.onward * DIE.line_up_offset_mm for pull in pulls]
    ends = [start + pull.onward * arc for start, arc, pull in zip(starts, arcs, pulls, strict=True)]
    places = np.unique([*np.arange(0.0, length, 10.0), length, *starts, *ends])
    return Points(places, places[:, None] * [1.0, 0.0, 0.0], ())


def rigidly_bent(pulls, length: float, setup) -> Points:
    """The tube of points after all the pulls."""
    tube = straight_tube(length, pulls)
    for pull in pulls:
        tube = rigidly_pulled(tube, pull, setup)
    return tube


def apart_mm(pulls, length: float, setup) -> float:
    """How far the tube of the package is from the tube of points, at the worst place."""
    tube = rigidly_bent(pulls, length, setup)
    found, _ = points_at(bent_by_hand(pulls, length, setup).bends, tube.places)
    here, there = found - found.mean(0), tube.points - tube.points.mean(0)
    turn, _ = Rotation.align_vectors(here, there)
    return float(np.linalg.norm(turn.apply(there) - here, axis=-1).max())


def steepest_deg(tube: Points, pull: Pull) -> float:
    """The most that the flat of a pull can show: its angle to the tube in the hook."""
    ahead = tube.at(pull.mark_mm + 5.0) - tube.at(pull.mark_mm)
    off = np.linalg.norm(np.cross(tube.toward(pull.read_on, pull.mark_mm), ahead / np.linalg.norm(ahead)))
    return float(np.degrees(np.arcsin(min(off, 1.0))))


@pytest.mark.parametrize("seed", range(12))
def test_any_pulls_give_the_tube_that_rigid_parts_give(seed):
    draw = np.random.default_rng(seed)
    setup, count = SETUPS[(LEFT, RIGHT)[seed % 2]], int(draw.integers(3, 7))
    slots = 60.0 + 220.0 * np.arange(count)  # a bend in each, whichever end is in the hook
    length = float(slots[-1] + 280.0)
    tube, pulls = None, []
    for number in draw.permutation(count):
        hooked, stop = (LEFT, RIGHT)[int(draw.integers(2))], float(draw.uniform(12.0, 55.0))
        mark = float(slots[number] + (20.0 if hooked == LEFT else 130.0) + draw.uniform(0.0, 30.0))
        pull = Pull(hooked, mark, stop)
        if pulls:
            others = [piece for piece in range(len(pulls) + 1) if not within(tube.piece(piece), mark)]
            pull = pull._replace(read_on=int(draw.choice(others)), toward_die=bool(draw.integers(2)))
            pull = pull._replace(reading_deg=steepest_deg(tube, pull) * float(draw.uniform(-0.9, 0.9)))
        pulls.append(pull)
        tube = rigidly_bent(pulls, length, setup)
    assert apart_mm(pulls, length, setup) <= SAME_MM


def within(piece: tuple[float, float], place: float) -> bool:
    return piece[0] <= place <= piece[1]


def flipped(pulls, step):
    return changed(pulls, step, toward_die=not pulls[step].toward_die)


def sign_turned(pulls, step):
    return changed(pulls, step, reading_deg=-pulls[step].reading_deg)


def wrong_end_of_the_arc(pulls, step):
    arc = np.radians(pulls[step].stop_deg - DIE.stop_offset_deg) * DIE.centerline_radius_mm
    return changed(pulls, step, mark_mm=pulls[step].mark_mm + pulls[step].onward * arc)


def other_stop(pulls, step):
    return changed(pulls, step, stop_deg=sum({pull.stop_deg for pull in pulls}) - pulls[step].stop_deg)


def swapped_stops(pulls, _):
    both = sum({pull.stop_deg for pull in pulls})
    return [pull._replace(stop_deg=both - pull.stop_deg) for pull in pulls]


def end_for_end(pulls, step):
    return changed(pulls, step, hooked=RIGHT if pulls[step].hooked == LEFT else LEFT)


def changed(pulls, step, **settings):
    return [pull._replace(**settings) if place == step else pull for place, pull in enumerate(pulls)]


WRONG = [flipped, sign_turned, wrong_end_of_the_arc, other_stop, swapped_stops, end_for_end]


def right_pulls(plan, setup):
    recipe = recipe_from_order(ORDER, setup.springback.finished_radius_mm, BEND_DEG, BEND_DEG + 5.0)
    bends = bends_from_recipe(recipe)
    settings = settings_from_bends(bends, PLANS[plan], setup.springback, DIE, setup.bender)
    return pulls_from_settings(settings), float(cut_length_mm(bends))


@pytest.mark.parametrize("turns", [LEFT, RIGHT])
@pytest.mark.parametrize("plan", PLANS)
def test_a_bar_bent_as_it_should_be_is_what_rigid_parts_give(plan, turns):
    pulls, length = right_pulls(plan, SETUPS[turns])
    assert len({pull.stop_deg for pull in pulls}) == 2
    assert apart_mm(pulls, length, SETUPS[turns]) <= SAME_MM


@pytest.mark.parametrize("wrong", WRONG)
@pytest.mark.parametrize(("plan", "turns"), list(zip(PLANS, (LEFT, RIGHT) * len(PLANS), strict=False)))
def test_a_bar_with_a_wrong_pull_is_what_rigid_parts_give(wrong, plan, turns):
    setup = SETUPS[turns]
    (right, length), compared = right_pulls(plan, setup), 0
    for step in range(len(right)):
        try:
            assert apart_mm(wrong(right, step), length, setup) <= SAME_MM
        except BendError:
            continue  # one bend would run into another
        compared += 1
    assert compared >= 1


def test_a_reading_that_no_roll_shows_is_refused_where_rigid_parts_find_none():
    pulls = [Pull(LEFT, 300.0, 25.0), Pull(LEFT, 500.0, 25.0, read_on=0, reading_deg=30.0)]
    with pytest.raises(ValueError, match="never as steep"):
        rigidly_bent(pulls, 900.0, SETUPS[LEFT])
    with pytest.raises(BendError, match="reading on the"):
        bent_by_hand(pulls, 900.0, SETUPS[LEFT])
