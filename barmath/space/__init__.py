"""Any bent tube in space: its centre line, its corners, its drawing, its two sides and the bar's parts."""

from barmath.space.anatomy import Feature, features_from_recipe
from barmath.space.centerline import (
    Nodes,
    TubeBends,
    bar_placement,
    bar_points,
    bends_from_recipe,
    check_one_tube,
    cut_length_mm,
    mirrored_bends,
    nodes_of_bends,
    points_at,
    reversed_bends,
    sample_stations,
)
from barmath.space.centerline import TubeBends as TubeRow
from barmath.space.centerline import bends_from_recipe as row_from_recipe
from barmath.space.centerline import mirrored_bends as mirrored_row
from barmath.space.centerline import nodes_of_bends as nodes_of_row
from barmath.space.centerline import reversed_bends as reversed_row
from barmath.space.corners import bends_from_corners, corner_points_mm
from barmath.space.corners import bends_from_corners as row_from_corners
from barmath.space.drawing import Drawing, drawing_from_bends, drawing_from_recipe
from barmath.space.drawing import drawing_from_bends as drawing_from_row
from barmath.space.two_sides import TwoSides, two_sides_from_bends
from barmath.space.two_sides import two_sides_from_bends as two_sides_from_row

# Names with `row` are handed on for checks outside the project, which learned them first: a row is the bends along a
# tube. The package itself says bends.

__all__ = [
    "Drawing",
    "Feature",
    "Nodes",
    "TubeBends",
    "TubeRow",
    "TwoSides",
    "bar_placement",
    "bar_points",
    "bends_from_corners",
    "bends_from_recipe",
    "check_one_tube",
    "corner_points_mm",
    "cut_length_mm",
    "drawing_from_bends",
    "drawing_from_recipe",
    "drawing_from_row",
    "features_from_recipe",
    "mirrored_bends",
    "mirrored_row",
    "nodes_of_bends",
    "nodes_of_row",
    "points_at",
    "reversed_bends",
    "reversed_row",
    "row_from_corners",
    "row_from_recipe",
    "sample_stations",
    "two_sides_from_bends",
    "two_sides_from_row",
]
