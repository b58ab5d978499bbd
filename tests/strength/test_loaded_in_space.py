"""A bar under a load in space: coloured by its stress, with its loads; nothing of it without a bar."""

import numpy as np
import pytest
from conftest import ROOT

from barmath import CHROMOLY_4130, shape_from_recipe
from barmath.crossbars.crossbar import crossbar
from barmath.panels.strength import StrengthPanel
from barmath.pictures.loaded_in_space import LoadedPicture, on_scale
from barmath.pictures.stage import TARGET_MM
from barmath.pictures.strength import strength_figure, update_strength
from barmath.shop.order_seven import CROSSBAR, TUBE, order_seven_recipe
from barmath.shop.shop_file import shop_from_file
from barmath.space.drawing import FACETS, drawing_from_recipe
from barmath.strength.load_cases import FROM_END_MM, LATERAL, LOAD_CASES, TORSION
from barmath.strength.screen import loaded_bar
from barmath.strength.stressed_tube import RINGS, stressed_tube

DEMO = ROOT / "notebooks" / "demo" / "shop.toml"
RECIPE = order_seven_recipe()
FITTED = crossbar(RECIPE, TUBE.outside_diameter_mm, CROSSBAR)


def shown_in_space(case, fitted=None):
    bar, diameter = loaded_bar(RECIPE, TUBE, case, fitted), TUBE.outside_diameter_mm
    picture = LoadedPicture()
    picture.load(bar, stressed_tube(RECIPE, diameter, bar))
    picture.show(drawing_from_recipe(RECIPE, diameter), {})
    return bar, picture.things


def test_the_picture_in_space_shows_loads_and_colours_each_place_by_its_stress():
    bar, things = shown_in_space(LATERAL)
    assert "1000 N" in things["words of the right load"].text
    assert [name for name in ("left load", "right load", "marks", "crossbar") if things[name].visible] == ["right load"]
    arrow = things["right load"].model_matrix
    assert arrow[:3, 0] / np.linalg.norm(arrow[:3, 0]) == pytest.approx([0.0, 0.0, -1.0], abs=1e-6)
    assert f"{bar.elastic_mpa:.0f} MPa" in things["most"].text
    place = things["tube"].attribute.reshape(RINGS + 2, FACETS)
    assert (place == place[:, :1]).all()
    middles = things["tube"].vertices.reshape(RINGS + 2, FACETS, 3)[:RINGS].mean(1)
    for side in (bar.right, bar.left):
        ring = np.linalg.norm(middles - side.points_mm[:, None], axis=-1).argmin(1)
        level = np.digitize(side.elastic_mpa, [CHROMOLY_4130.yield_low_mpa, CHROMOLY_4130.yield_high_mpa])
        assert (np.floor(place[ring, 0]) == level).mean() > 0.95  # two rings are in one place where a load begins
    assert place.max() > 2.0
    _, things = shown_in_space(TORSION, FITTED)
    assert all("turned by 40 N m" in things[f"words of the {name} load"].text for name in ("left", "right"))
    assert things["crossbar"].visible
    assert not things["right load"].visible
    assert things["tube"].attribute.max() < 1.0


def test_the_colours_change_at_both_ends_of_the_yield_band_and_nowhere_between():
    bar, things = shown_in_space(LATERAL)
    places, *parts = things["tube"].color_map.reshape(-1, 4).T
    assert (np.diff(places) > 0.0).all()  # k3d drops the first of two colours at one place
    material = bar.material
    low, high = material.yield_low_mpa, material.yield_high_mpa

    def colour(stress):
        at = on_scale(bar, np.array([stress])) / things["tube"].color_range[1]
        return [float(np.interp(at[0], places, part)) for part in parts]

    assert colour(low + 2.0) == pytest.approx(colour(high - 2.0))
    assert colour(high + 6.0) == pytest.approx(colour(2.0 * high))
    red, green, blue = colour(low - 6.0)
    assert max(red, green, blue) - min(red, green, blue) < 0.1  # grey up to the band


def test_a_stressed_tube_is_the_bar_with_the_stress_of_its_stations_and_none_beyond_the_load():
    bar = loaded_bar(RECIPE, TUBE, LATERAL, FITTED)
    rings, stress = stressed_tube(RECIPE, TUBE.outside_diameter_mm, bar)
    ends = drawing_from_recipe(RECIPE, TUBE.outside_diameter_mm).points[[0, -1]]
    np.testing.assert_allclose(rings[[0, -1]].mean(1), ends, atol=1e-6)
    assert stress.max() == bar.elastic_mpa
    beyond = np.abs(rings.mean(1)[:, 0]) > np.abs(bar.right.points_mm[-1, 0]) + 1e-6
    assert beyond.any()
    assert (stress[beyond] == 0.0).all()
    np.testing.assert_allclose(
        np.linalg.norm(rings - rings.mean(1, keepdims=True), axis=-1), 0.5 * TUBE.outside_diameter_mm, atol=1e-6
    )


def test_the_chart_shows_where_the_elastic_answer_stops_being_valid_and_nothing_without_a_bar():
    figure = strength_figure()
    update_strength(figure, loaded_bar(RECIPE, TUBE, LATERAL))
    note = next(note for note in figure.layout.annotations if note.name == "not valid")
    assert note.y == CHROMOLY_4130.yield_low_mpa
    assert all(len(trace.x) for trace in figure.data)
    update_strength(figure, None)
    assert not any(len(trace.x) for trace in figure.data)


def test_a_bar_that_cannot_be_checked_is_not_shown():
    panel = StrengthPanel(shop_from_file(DEMO))
    assert panel.picture.things["tube"].visible
    assert "Checked on paper only" in panel.view.care.says
    panel.stem.value = 60.0
    panel.ordered.clamp_flat.value = 40.0
    assert "Cannot be checked" in panel.message.value
    assert not any(thing.visible for thing in panel.picture.things.values())
    assert panel.legend.value == ""


def test_the_whole_arrow_of_a_load_is_in_the_picture_of_a_high_bar():
    panel = StrengthPanel(shop_from_file(DEMO))
    panel.ordered.rise.value = 120.0
    arrow = panel.picture.things["right load"].model_matrix
    assert panel.picture.things["right load"].visible
    assert TARGET_MM[2] + 0.5 * panel.view.care.shown[1] > arrow[2, 3] > 180.0


def test_the_clamp_in_space_is_as_wide_as_the_stem_and_the_legend_gives_the_yield_band():
    panel = StrengthPanel(shop_from_file(DEMO))
    panel.stem.value = 55.0
    assert np.linalg.norm(panel.picture.things["clamp"].model_matrix[:3, 0]) == pytest.approx(55.0)
    material = panel.readout.bar.material
    for stress in (material.yield_low_mpa, material.yield_high_mpa):
        assert f"{stress:.0f} MPa" in panel.legend.value


@pytest.mark.parametrize("case", [LATERAL, TORSION], ids=["lateral", "torsion"])
def test_the_rings_go_from_the_left_end_to_the_right_one_and_only_the_loaded_part_is_stressed(case):
    shown = stressed_tube(RECIPE, TUBE.outside_diameter_mm, loaded_bar(RECIPE, TUBE, case))
    across = shown.rings_mm.mean(1)[:, 0]
    assert (np.diff(across) >= -1e-9).all()
    half_width = 0.5 * float(shape_from_recipe(RECIPE).width_mm)
    assert (across[0], across[-1]) == pytest.approx((-half_width, half_width))
    outside = half_width - np.abs(across) < FROM_END_MM * np.cos(np.deg2rad(20.0))
    assert outside.any()
    assert (shown.stress_mpa[outside] == 0.0).all()


@pytest.mark.parametrize("case", LOAD_CASES, ids=lambda case: case.name)
@pytest.mark.parametrize("fitted", [None, FITTED], ids=["without a crossbar", "with one"])
def test_the_rings_that_are_drawn_show_the_stress_of_every_station(case, fitted):
    bar = loaded_bar(RECIPE, TUBE, case, fitted)
    rings, stress = stressed_tube(RECIPE, TUBE.outside_diameter_mm, bar)
    middles = rings.mean(1)
    for _, side in bar.sides:
        away = np.linalg.norm(middles[:, None] - side.points_mm, axis=-1)
        drawn, ring = away.min(0) < 1e-6, away.argmin(0)
        assert drawn[side.piece % 2 == 1].all()  # each station of the bends, where stress is no straight line
        np.testing.assert_array_equal(stress[ring[drawn][:-1]], side.elastic_mpa[drawn][:-1])  # there the load begins
        between = np.interp(side.stations_mm, side.stations_mm[drawn], side.elastic_mpa[drawn])
        np.testing.assert_allclose(between, side.elastic_mpa, atol=0.03 * bar.elastic_mpa)  # no eye sees less
    assert stress.max() == bar.elastic_mpa
