"""What pictures are drawn from, and that a picture shows it."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from printed import MM
from tolerances import LENGTH_MM

from barmath import BendError, Recipe, shape_from_recipe
from barmath.paper.page import text_width
from barmath.pictures.bar import empty_figure
from barmath.pictures.frame import frame_figure
from barmath.pictures.views import update_views
from barmath.shop.order_seven import order_seven_recipe
from barmath.space.anatomy import features_from_recipe
from barmath.space.centerline import TubeBends
from barmath.space.drawing import (
    FACETS,
    PIECES,
    drawing_from_bends,
    drawing_from_recipe,
    node_places,
    piece_of_interval,
    triangles,
)

DIAMETER_MM = 22.2
recipes = st.builds(
    Recipe,
    clamp_flat_mm=st.floats(30, 90),
    inner_bend_deg=st.floats(5, 60),
    straight_mm=st.floats(0, 150),
    roll_deg=st.floats(-80, 80),
    outer_bend_deg=st.floats(5, 60),
    grip_mm=st.floats(50, 200),
    radius_mm=st.floats(50, 170),
    stem_roll_deg=st.floats(-30, 30),
)
ORDER_7 = Recipe(50, 25, 118, 29.5, 25, 184, 91.5)


@given(recipes)
def test_every_vertex_of_the_surface_is_a_tube_radius_off_the_centre_line(recipe):
    drawing = drawing_from_recipe(recipe, DIAMETER_MM)
    off = np.linalg.norm(drawing.surface - drawing.points[:, None], axis=2)
    assert np.allclose(off, DIAMETER_MM / 2, atol=LENGTH_MM)


@given(recipes)
def test_the_drawn_bar_ends_where_the_closed_form_says(recipe):
    shape = shape_from_recipe(recipe)
    end = drawing_from_recipe(recipe, DIAMETER_MM).nodes[-1]
    assert end == pytest.approx([shape.width_mm / 2, -shape.setback_mm, shape.rise_mm], abs=LENGTH_MM)


@given(recipes)
def test_facets_run_straight_along_the_tube_without_twist(recipe):
    surface = drawing_from_recipe(recipe, DIAMETER_MM).surface
    nodes = node_places()
    for start, end in zip(nodes[:-1:2], nodes[1::2], strict=True):  # the straights: corresponding vertices run parallel
        steps = surface[end] - surface[start]
        assert np.allclose(steps, steps[0], atol=LENGTH_MM)


def test_the_topology_does_not_depend_on_the_recipe():
    a, b = drawing_from_recipe(ORDER_7, 22.2), drawing_from_recipe(Recipe(40, 60, 0, -50, 8, 90, 150), 25.4)
    assert a.surface.shape == b.surface.shape
    assert triangles().max() == a.surface.shape[0] * FACETS - 1
    assert len(piece_of_interval()) == a.surface.shape[0] - 1


def test_every_edge_of_the_surface_is_shared_by_two_triangles_except_at_the_open_ends():
    edges = np.sort(np.concatenate([triangles()[:, pair] for pair in ([0, 1], [1, 2], [2, 0])]), axis=1)
    _, shared = np.unique(edges, axis=0, return_counts=True)
    assert set(shared) == {1, 2}
    assert (shared == 1).sum() == 2 * FACETS


def test_the_pieces_have_the_lengths_of_the_recipe():
    drawing = drawing_from_recipe(ORDER_7, 22.2)
    straights = np.linalg.norm(np.diff(drawing.nodes, axis=0), axis=1)[::2]
    assert straights == pytest.approx([184, 118, 50, 118, 184], abs=LENGTH_MM)
    assert PIECES[1::2] == ("bend",) * 4


def test_outlines_are_a_tube_diameter_apart():
    front = drawing_from_recipe(ORDER_7, 22.2).front
    assert np.allclose(np.linalg.norm(front[0] - front[1], axis=1), 22.2, atol=LENGTH_MM)


def test_the_picture_shows_the_drawing_and_empties_again():
    figure, drawing = empty_figure(), drawing_from_recipe(ORDER_7, 22.2)
    update_views(figure, drawing, {"rise": "rise 78.0 mm"})
    traces = {trace.name: trace for trace in figure.data}
    assert "rise 78.0 mm" in traces["front dimensions"].text
    assert np.nanmax(traces["front straights"].x) == pytest.approx(drawing.front[..., 0].max())
    update_views(figure, None, {})
    assert all(len(traces[name].x) == 0 for name in ("front straights", "front bends", "above dimensions"))


def test_the_angles_drawn_are_the_angles_measured():
    bar = Recipe(60, 35, 110, 40, 32, 190, 89)
    shape, features = shape_from_recipe(bar), features_from_recipe(bar)
    for name, angle in (
        ("inner bend", 35), ("outer bend", 32), ("roll", 40),
        ("backsweep", shape.backsweep_deg), ("upsweep", shape.upsweep_deg),
    ):  # fmt: skip
        vertex, first, last = features[name].line[[0, 1, -2]]
        legs = [(point - vertex) / np.linalg.norm(point - vertex) for point in (first, last)]
        assert np.degrees(np.arccos(legs[0] @ legs[1])) == pytest.approx(angle, abs=1e-6), name
    rise = features["rise"].line
    assert rise[1, 2] - rise[0, 2] == pytest.approx(shape.rise_mm)
    # a sweep is drawn in the plane that it is measured in, and to the side where the grip goes
    back, up = np.radians(shape.backsweep_deg), np.radians(shape.upsweep_deg)
    for name, toward in (
        ("backsweep", [np.cos(back), -np.sin(back), 0.0]), ("upsweep", [np.cos(up), 0.0, np.sin(up)])
    ):  # fmt: skip
        vertex, first, last = features[name].line[[0, 1, -2]]
        assert (first - vertex) / np.linalg.norm(first - vertex) == pytest.approx([1.0, 0.0, 0.0])
        assert (last - vertex) / np.linalg.norm(last - vertex) == pytest.approx(toward, abs=1e-9), name


def test_lengths_and_names_of_the_frame_are_where_the_bar_has_them():
    shape, features = shape_from_recipe(ORDER_7), features_from_recipe(ORDER_7)
    spans = {name: features[name].line[1] - features[name].line[0] for name in ("rise", "setback", "half width")}
    assert spans["rise"] == pytest.approx([0.0, 0.0, shape.rise_mm], abs=1e-9)
    assert spans["setback"] == pytest.approx([0.0, -shape.setback_mm, 0.0], abs=1e-9)
    assert spans["half width"] == pytest.approx([0.5 * shape.width_mm, 0.0, 0.0], abs=1e-9)
    # the name of a bend is further out than its arc, in the middle between its legs
    vertex, first, last = features["outer bend"].line[[0, 1, -2]]
    name = features["outer bend"].label_at - vertex
    toward = [float(name @ (leg - vertex)) for leg in (first, last)]
    assert toward[0] == pytest.approx(toward[1])
    assert np.linalg.norm(name) > 1.05 * np.linalg.norm(first - vertex)
    for axis in ("right", "forward", "up"):
        assert np.cross(features[axis].label_at, features[axis].line[1]) == pytest.approx(np.zeros(3), abs=1e-9)
        assert np.linalg.norm(features[axis].label_at) > np.linalg.norm(features[axis].line[1])
    places = [feature.label_at for feature in features.values()]
    apart = [np.linalg.norm(one - other) for k, one in enumerate(places) for other in places[:k]]
    assert min(apart) > 10.0, "no name covers another"


def test_the_picture_of_the_frame_names_every_feature():
    bar = Recipe(60, 35, 110, 40, 32, 190, 89)
    figure = frame_figure(drawing_from_recipe(bar, 22.2), features_from_recipe(bar))
    (names,) = [trace.text for trace in figure.data if trace.name == "names"]
    assert {"backsweep", "upsweep", "roll phi", "inner bend a", "outer bend b", "rise", "setback"} <= set(names)


def test_a_tube_that_is_no_bar_is_refused():
    bends = TubeBends([50.0, 60.0, 50.0], [20.0, 30.0], [0.0, 40.0], [90.0, 90.0])
    with pytest.raises(BendError, match="a bar must have 4 bends, got 2"):
        drawing_from_bends(bends, 22.2)


def on_screen(figure, points):
    """Places in the picture in pixels, right and down, as Plotly projects them into the height of the picture."""
    scene = figure.layout.scene
    assert scene.camera.projection.type == "orthographic"
    shares = np.array([scene.aspectratio[axis] for axis in "xyz"])
    low, high = np.array([scene[f"{axis}axis"].range for axis in "xyz"], float).T
    eye = np.array([scene.camera.eye[axis] for axis in "xyz"])
    right = np.cross(-eye, [0.0, 0.0, 1.0])
    right, up = right / np.linalg.norm(right), np.cross(eye, np.cross([0.0, 0.0, 1.0], eye))
    seen = (np.asarray(points) - (low + high) / 2.0) * shares / (high - low)
    return 0.5 * figure.layout.height * np.stack([seen @ right, -(seen @ up) / np.linalg.norm(up)], axis=-1)


TEXT_ABOVE_PX, LETTERS_PX, TEXT_PX = 20.0, 13.0, 13.0
"""How far above its place Plotly writes a name, the size of its letters, and how high they are: read off the page."""


def wide_px(words):
    """How wide words are on the page; paper has the same letters, which it measures in points and mm."""
    return text_width(words, LETTERS_PX) / MM


LESSON_00 = Recipe(60, 35, 110, 40, 32, 190, 105)


@pytest.mark.parametrize("bar", [order_seven_recipe(), LESSON_00], ids=["order 7", "lesson 00"])
def test_no_name_in_the_picture_of_the_frame_is_on_another_or_on_a_line(bar):
    features = features_from_recipe(bar)
    figure = frame_figure(drawing_from_recipe(bar, 22.2), features)
    boxes = {
        one.name: (on_screen(figure, one.label_at) - [0.0, TEXT_ABOVE_PX], [wide_px(one.name), TEXT_PX])
        for one in features.values()
    }
    low, high = np.array([figure.layout.scene[f"{axis}axis"].range for axis in "xyz"]).T
    assert all(((low < one.label_at) & (one.label_at < high)).all() for one in features.values()), "Plotly cuts it"
    lines = {
        one.name: np.concatenate([np.linspace(*ends, 99) for ends in pairwise(one.line)]) for one in features.values()
    }
    for name, (place, size) in boxes.items():
        for other, (second, second_size) in boxes.items():
            apart = np.abs(place - second) > np.add(size, second_size) / 2.0
            assert other == name or apart.any(), (name, other)
        for other, points in lines.items():
            inside = np.abs(on_screen(figure, points) - place) < np.divide(size, 2.0)
            assert not inside.all(axis=-1).any(), (name, "line of", other)


def test_each_line_of_the_frame_is_called_by_its_name_when_it_is_pointed_at():
    features = features_from_recipe(LESSON_00)
    names = {trace.name for trace in frame_figure(drawing_from_recipe(LESSON_00, 22.2), features).data}
    for key, words in {key: feature.name for key, feature in features.items()}.items():
        assert words == key or words in (f"{key} a", f"{key} b", f"{key} phi") or words.endswith(f", {key}")
        assert key in names or key in ("clamp flat", "straight", "grip")
