"""The solids of the bench are closed, and wound so that an eye outside sees their outer faces."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from barmath.bending.bench_parts import finder_solids, parts_of_bender, rod, sector_mm, sector_triangles
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
