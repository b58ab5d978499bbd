"""Records are copied, pickled and compared, and keep nothing of a caller's that the caller can still change."""

import copy
import pickle
from dataclasses import FrozenInstanceError, asdict, is_dataclass

import numpy as np
import pytest
from faces import BENT_BAR, FACES

from barmath import Die, Order, Recipe, Springback, Tube, shape_from_recipe
from barmath.bending.settings import Slips
from barmath.closed_forms.records import Shape
from barmath.rider.hands import Stem
from barmath.space.centerline import TubeBends

RECORDS = {
    Order: {"rise_mm": 78.0, "backsweep_deg": 12.0, "width_mm": 780.0, "upsweep_deg": 3.0, "clamp_flat_mm": 50.0,
            "controls_mm": 180.0},
    Recipe: {"clamp_flat_mm": 50.0, "inner_bend_deg": 25.0, "straight_mm": 75.0, "roll_deg": 31.0,
             "outer_bend_deg": 25.0, "grip_mm": 227.0, "radius_mm": 90.0, "stem_roll_deg": 3.0},
    Shape: {"rise_mm": 78.0, "backsweep_deg": 12.0, "upsweep_deg": 1.0, "width_mm": 780.0, "setback_mm": 40.0,
            "cut_length_mm": 817.0},
    Tube: {"outside_diameter_mm": 22.225, "wall_mm": 1.4732},
    Die: {"centerline_radius_mm": 88.9, "least_straight_mm": 65.0, "line_up_offset_mm": 1.0, "largest_bend_deg": 90.0,
          "tube_diameter_mm": 22.2, "springback_ratio": 0.03, "stop_offset_deg": 0.1, "groove_depth_mm": 10.0,
          "rim_height_mm": 20.0},
    Springback: {"ratio": 0.03, "die_radius_mm": 88.9},
    Stem: {"length_mm": 50.0, "angle_deg": 6.0, "head_angle_deg": 65.0},
    Slips: {"mark_mm": 1.0, "stop_deg": 0.2, "reading_deg": 0.3, "roll_deg": 0.1, "springback": 0.001},
}  # fmt: skip
FIELDS = [(record, name) for record, given in RECORDS.items() for name in given]


@pytest.mark.parametrize(("record", "name"), FIELDS, ids=lambda one: getattr(one, "__name__", one))
def test_a_record_keeps_no_array_that_its_caller_can_change(record, name):
    value = RECORDS[record][name]
    whole = np.full((2, 3), value)
    for theirs in (whole, whole[1], np.broadcast_to(whole[0], (4, 3))):
        made = record(**{**RECORDS[record], name: theirs})
        whole *= 1.01
        assert np.all(getattr(made, name) == value)
        with pytest.raises(ValueError, match="read-only"):
            getattr(made, name)[0] = 7.0
        whole[:] = value


def test_a_row_keeps_no_array_that_its_caller_can_change():
    parts = [np.full(3, 60.0), np.full(2, 25.0), np.zeros(2), np.full(2, 90.0)]
    row = TubeBends(*parts)
    before = copy.deepcopy(row)
    for part in parts:
        part += 1.0
    for name in row.__dataclass_fields__:
        assert np.array_equal(getattr(row, name), getattr(before, name))


def test_a_large_result_is_kept_without_a_copy():
    recipe = Recipe(**{**RECORDS[Recipe], "straight_mm": np.linspace(60.0, 90.0, 100_000)})
    shape = shape_from_recipe(recipe)
    assert shape.rise_mm.base is shape.width_mm.base is not None  # rows of the one array that was worked out


@pytest.mark.parametrize("face", FACES, ids=lambda face: face.name)
def test_what_a_function_gives_is_copied_and_pickled(face):
    made = face.run()
    for again in (copy.copy(made), copy.deepcopy(made), pickle.loads(pickle.dumps(made))):
        assert type(again) is type(made)
        if is_dataclass(made):
            assert repr(again) == repr(made)


def test_a_bar_is_copied_compared_and_frozen():
    bar = BENT_BAR.run()
    assert pickle.loads(pickle.dumps(bar)) == copy.deepcopy(bar) == bar
    assert len({bar, copy.deepcopy(bar)}) == 1
    assert asdict(bar)["readings"] == {"rise_left": 77.0, "width": 781.0}
    with pytest.raises(TypeError):
        bar.readings["rise_left"] = 1.0
    with pytest.raises(FrozenInstanceError):
        bar.name = "other"
