"""Any bent tube in space: its centre line, its corners, its drawing, its two sides and the bar's parts."""

from barmath.space.anatomy import Feature, features_from_recipe
from barmath.space.centerline import (
    Nodes,
    TubeRow,
    bar_placement,
    bar_points,
    check_single_row,
    cut_length_mm,
    mirrored_row,
    nodes_of_row,
    points_at,
    reversed_row,
    row_from_recipe,
    sample_stations,
)
from barmath.space.corners import corner_points_mm, row_from_corners
from barmath.space.drawing import Drawing, drawing_from_recipe, drawing_from_row
from barmath.space.two_sides import TwoSides, two_sides_from_row

__all__ = [
    "Drawing",
    "Feature",
    "Nodes",
    "TubeRow",
    "TwoSides",
    "bar_placement",
    "bar_points",
    "check_single_row",
    "corner_points_mm",
    "cut_length_mm",
    "drawing_from_recipe",
    "drawing_from_row",
    "features_from_recipe",
    "mirrored_row",
    "nodes_of_row",
    "points_at",
    "reversed_row",
    "row_from_corners",
    "row_from_recipe",
    "sample_stations",
    "two_sides_from_row",
]
