"""The bar in space: its pieces in their colours, its ghost while something moves, and what it says in words."""

from dataclasses import replace

import numpy as np
import pytest

from barmath.panels.bar_view import BarView
from barmath.panels.two_bars import TwoBarsPanel
from barmath.panels.two_bars_state import BarChoice, TwoBarsState
from barmath.pictures.bar_in_space import COLOURS, NAMED, BarPicture
from barmath.pictures.bench_meshes import INSIDE
from barmath.pictures.stage import SHOWN_MM, TARGET_MM
from barmath.pictures.two_bars import NAMES
from barmath.shop.order_seven import TUBE, order_seven_recipe
from barmath.shop.shop_file import shop_from_file
from barmath.space.drawing import FACETS, PIECES, drawing_from_recipe

WORDS = {"rise": "rise 90.0 mm", "backsweep": "backsweep 14.0 deg"}


class Clock:
    now_s = 100.0

    def __call__(self):
        return self.now_s


def bar_with(**changes):
    return drawing_from_recipe(replace(order_seven_recipe(), **changes), TUBE.outside_diameter_mm)


def middles(thing):
    """Where the middle of each ring of a tube is."""
    return thing.vertices.reshape(-1, FACETS, 3).mean(1)


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def picture(clock):
    made = BarPicture(clock)
    made.show(bar_with(), WORDS)
    return made


def test_every_piece_of_the_tube_has_its_own_colour_up_to_its_ends(picture):
    tube = picture.things["tube"]
    assert len(tube.colors) == len(tube.vertices)
    rings, ends = np.split(tube.colors.reshape(-1, FACETS), [-2])
    assert (rings == rings[:, :1]).all()
    assert (ends == int(INSIDE[1:], 16)).all()
    starts = np.flatnonzero(np.diff(rings[:, 0])) + 1
    assert len(starts) == len(PIECES) - 1
    assert [int(rings[at, 0]) for at in (0, *starts)] == [int(COLOURS[piece][1:], 16) for piece in PIECES]
    corners, ends = np.split(tube.vertices.reshape(-1, FACETS, 3), [-2])
    np.testing.assert_array_equal(corners[starts], corners[starts - 1])  # neighbours meet
    np.testing.assert_allclose(corners[[0, -1]], bar_with().surface[[0, -1]], atol=1e-3)
    np.testing.assert_array_equal(ends, corners[[0, -1]])


def test_a_tube_is_closed_and_seen_from_outside_alone(picture):
    tube = picture.things["tube"]
    assert tube.side == "front"
    corners, triangles = tube.vertices.astype(float), tube.indices.reshape(-1, 3)
    a, b, c = np.moveaxis(corners[triangles], 1, 0)
    volume = np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0  # by the divergence theorem, above 0 if all face outward
    length = np.linalg.norm(np.diff(bar_with().points, axis=0), axis=1).sum()
    area = FACETS / 8.0 * np.sin(2.0 * np.pi / FACETS) * TUBE.outside_diameter_mm**2
    assert volume == pytest.approx(length * area, rel=1e-2)
    edges = np.sort(np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]]), axis=1)
    places = np.unique(corners.round(3) + 0.0, axis=0, return_inverse=True)[1].ravel()
    _, shared = np.unique(np.sort(places[edges], axis=1), axis=0, return_counts=True)
    assert (shared == 2).all()


def test_marks_are_bands_around_the_tube_at_the_ends_of_the_risers(picture):
    bands = picture.things["marks"].vertices.reshape(4, 2, FACETS, 3)
    np.testing.assert_allclose(bands.mean(1), bar_with().mark_rings[:, :-1], atol=1e-3)
    np.testing.assert_allclose(np.linalg.norm(bands[:, 0] - bands[:, 1], axis=-1), 2.6, atol=1e-3)


def test_the_ghost_is_the_bar_at_rest_before_a_slider_began_to_move(picture, clock):
    ghost = picture.things["ghost"]
    at_rest = middles(picture.things["tube"])
    clock.now_s += 5.0
    for straight in (102.0, 104.0, 106.0):
        clock.now_s += 0.1
        picture.show(bar_with(straight_mm=straight), WORDS)
        assert ghost.visible
        np.testing.assert_allclose(middles(ghost), at_rest, atol=1e-3)
    last = middles(picture.things["tube"])
    clock.now_s += 5.0
    picture.show(bar_with(straight_mm=90.0), WORDS)
    np.testing.assert_allclose(middles(ghost), last, atol=1e-3)


def test_while_a_slider_moves_only_what_has_moved_is_sent(picture, clock):
    clock.now_s += 5.0
    picture.show(bar_with(straight_mm=102.0), WORDS)
    sent = set()
    for name, thing in picture.things.items():
        thing.observe(lambda change, name=name: sent.add((name, change["name"])))
    clock.now_s += 0.1
    picture.show(bar_with(straight_mm=104.0), WORDS)
    moved = {("tube", "vertices"), ("marks", "vertices"), ("rise", "position"), ("backsweep", "position")}
    assert sent == moved
    sent.clear()
    clock.now_s += 0.1
    picture.show(drawing_from_recipe(replace(order_seven_recipe(), straight_mm=106.0), 25.4), WORDS)
    assert sent == moved | {("clamp", "model_matrix")}


def test_names_are_where_their_parts_are_when_they_are_asked_for(picture):
    bar = bar_with(straight_mm=120.0)
    picture.show(bar, WORDS)
    picture.name_parts(True)
    for name, piece in NAMED.items():
        np.testing.assert_allclose(picture.things[name].position, bar.nodes[piece : piece + 2].mean(0), atol=1e-3)


def test_the_first_bar_has_a_ghost_that_nobody_sees_so_that_the_page_makes_ready_to_draw_it(picture):
    ghost, tube = picture.things["ghost"], picture.things["tube"]
    assert ghost.visible
    np.testing.assert_allclose(middles(ghost), middles(tube), atol=1e-3)
    thick = [
        np.linalg.norm(thing.vertices.reshape(-1, FACETS, 3) - middles(thing)[:, None], axis=-1).max()
        for thing in (ghost, tube)
    ]
    assert thick[0] < 0.98 * thick[1]


def test_a_bar_that_is_shown_again_has_no_ghost(picture, clock):
    clock.now_s += 5.0
    picture.show(bar_with(), WORDS)
    assert not picture.things["ghost"].visible


def test_parts_are_named_on_demand_and_nothing_is_shown_without_a_bar():
    view = BarView()
    view.show(bar_with(), WORDS)
    things = view.picture.things
    assert not any(things[name].visible for name in NAMED)
    view.names.value = True
    assert all(things[name].visible for name in NAMED)
    assert "rise 90.0 mm" in view.care.says
    view.show(None, {})
    assert not any(thing.visible for thing in things.values())
    assert "cannot be made" in view.care.says


def test_a_wide_bar_is_shown_whole_and_others_at_one_scale():
    view = BarView()
    view.show(bar_with(), WORDS)
    assert view.care.shown == list(SHOWN_MM)
    wide = bar_with(grip_mm=300.0)
    view.show(wide, WORDS)
    assert view.care.shown[0] > np.ptp(wide.points[:, 0]) > SHOWN_MM[0]


def test_a_high_bar_is_shown_whole():
    view = BarView()
    high = bar_with(straight_mm=300.0)
    view.show(high, WORDS)
    assert TARGET_MM[2] + 0.5 * view.care.shown[1] > high.surface[..., 2].max() > 0.5 * SHOWN_MM[1]


@pytest.mark.parametrize("old_rise_mm", [78.0, 88.0, 98.0])
def test_the_name_of_the_lower_of_two_bars_is_below_both_ends_and_the_other_one_above(old_rise_mm, demo_copy):
    panel = TwoBarsPanel(shop_from_file(demo_copy / "shop.toml"), demo_copy / "record.db")
    panel.show(TwoBarsState(BarChoice(rise_mm=old_rise_mm), BarChoice(rise_mm=88.0)))
    things = panel.picture.things
    high = {name: things[f"name of the {name}"].position[2] for name in NAMES}
    ends = {name: middles(things[name])[:, 2].max() for name in NAMES}
    lower = "new bar" if old_rise_mm > 88.0 else "old bar"
    (higher,) = {*NAMES} - {lower}
    assert high[lower] < min(ends.values()) - 40.0
    assert high[higher] > max(ends.values()) - 25.0
