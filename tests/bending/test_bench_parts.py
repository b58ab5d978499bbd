"""The solids of the bench are closed, and wound so that an eye outside sees their outer faces."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from barmath.bending.bench_parts import finder_solids, parts_of_bender, rod, sector_mm, sector_triangles
from barmath.bending.bench_places import turn, turn_about_z
from barmath.bending.holds import LEFT, RIGHT
from barmath.shop.setup import Setup
from barmath.shop.shop_file import shop_from_file
from barmath.shop.tooling import Springback

SHOP = shop_from_file(Path(__file__).resolve().parents[2] / "notebooks" / "demo" / "shop.toml")


def setup_of(turns):
    return Setup(22.225, SHOP.dies[0], Springback(0.032, 101.6), replace(SHOP.bender, turns=turns))


def volume_mm3(corners, triangles):
    # the divergence theorem: one tetrahedron from the middle to each triangle
    one, two, three = ((corners - corners.mean(0))[triangles[:, which]] for which in range(3))
    return float((one * np.cross(two, three)).sum() / 6.0)


@pytest.mark.parametrize("turns", [LEFT, RIGHT])
def test_every_face_of_every_solid_looks_outward_whichever_way_the_bender_turns(turns):
    solids = parts_of_bender(setup_of(turns)) | finder_solids() | {"rod": rod(1.0, 14.0)}
    assert len(solids) == 13
    for name, solid in solids.items():
        assert volume_mm3(solid.corners_mm, solid.triangles) > 0.0, name
    assert volume_mm3(*solids["rod"][:2]) == pytest.approx(np.pi * 14.0**2, rel=0.02)  # a rod of 1 mm


@pytest.mark.parametrize("turns", [LEFT, RIGHT])
def test_the_arc_of_the_handle_is_seen_from_above_as_long_as_its_angle(turns):
    setup = setup_of(turns)
    one, two, three = (sector_mm(setup, 30.0)[sector_triangles(setup.bender.die_side)[:, which]] for which in range(3))
    areas = 0.5 * np.cross(two - one, three - one)
    assert (areas[:, 2] > 0.0).all()
    far = 3.4 * 101.6
    assert areas.sum(0) == pytest.approx([0.0, 0.0, np.pi / 12.0 * (far**2 - (far - 0.22 * 101.6) ** 2)], rel=1e-3)


def levels(solid):
    return solid.corners_mm[:, 2].min(), solid.corners_mm[:, 2].max()


def from_pivot_mm(parts, name):
    die = parts["die"].corners_mm[:, :2]
    return np.linalg.norm(parts[name].corners_mm[:, :2] - 0.5 * (die.min(0) + die.max(0)), axis=1)


@pytest.mark.parametrize("below", [None, 60.0])
def test_the_frame_is_below_the_die_and_the_arm_runs_between_them(below):
    setup = setup_of(LEFT)
    setup = replace(setup, bender=replace(setup.bender, frame_below_mm=below, frame_reach_mm=below))
    parts = parts_of_bender(setup)
    half = 0.5 * setup.tube_diameter_mm
    for name in ("hook", "follower", "die"):
        assert levels(parts["frame"])[1] < levels(parts[name])[0], name
    over = parts["handle"].corners_mm[from_pivot_mm(parts, "handle") < from_pivot_mm(parts, "frame").max()]
    assert levels(parts["frame"])[1] < over[:, 2].min() < over[:, 2].max() < -half
    assert levels(parts["stop"])[0] == pytest.approx(levels(parts["frame"])[1])
    if below is not None:
        assert levels(parts["frame"])[1] == pytest.approx(-below)


def test_the_table_carries_the_frame_and_reaches_as_far_as_was_measured():
    setup = setup_of(LEFT)
    parts = parts_of_bender(replace(setup, bender=replace(setup.bender, table_below_mm=150.0, table_reach_mm=400.0)))
    assert levels(parts["table"])[1] == pytest.approx(levels(parts["frame"])[0]) == pytest.approx(-150.0)
    assert from_pivot_mm(parts, "table").max() == pytest.approx(400.0)
    assert levels(parts["table"])[0] == pytest.approx(-176.0)
    bare = replace(setup, bender=replace(setup.bender, table_below_mm=None, table_reach_mm=None))
    assert "table" not in parts_of_bender(bare)


def test_a_place_on_the_way_is_its_share_of_the_turn_and_of_the_line():
    start, end = np.eye(4), turn_about_z(90.0)
    start[:3, 3], end[:3, 3] = (-2.0, 4.0, 8.0), (10.0, 20.0, 40.0)
    first, half, last = turn(start, end, np.array([0.0, 0.5, 1.0]))
    assert first == pytest.approx(start)
    assert last == pytest.approx(end)
    assert half[:3, 3] == pytest.approx([4.0, 12.0, 24.0])
    assert half[:3, :3] == pytest.approx(turn_about_z(45.0)[:3, :3])
    assert half[3] == pytest.approx([0.0, 0.0, 0.0, 1.0])


def test_the_hook_is_a_back_outside_the_tube_with_a_lip_above_it_and_one_below():
    setup = setup_of(LEFT)
    half, radius = 0.5 * setup.tube_diameter_mm, 101.6
    corners = parts_of_bender(setup)["hook"].corners_mm
    axis = radius - np.abs(corners[:, 1] - corners[:, 1].max() - 1.0)  # from the pivot: the lips end 1 mm inside
    outward = radius - axis
    assert np.unique(outward.round(6)).size == 3  # back, where lips and back meet, and the end of the lips
    in_the_way = (np.abs(corners[:, 2]) < half) & (outward < half)
    assert not in_the_way.any()
    assert corners[:, 2].min() < -half < half < corners[:, 2].max()
