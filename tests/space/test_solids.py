"""Finished bars as solids of a CAD kernel (Open CASCADE), whose prisms, turned pieces and cuts are not our code.

Needs `cadquery-ocp`, which is large and for this alone: `.venv/bin/python -m pip install cadquery-ocp`.
"""

from math import atan2, degrees, pi, radians

import pytest

from barmath import Order, Recipe, Tube, recipe_from_order, shape_from_recipe
from barmath.crossbars.crossbar import STATIONS_DEG, crossbar

OCP = pytest.importorskip("OCP", reason="cadquery-ocp is not installed")
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut  # noqa: E402
from OCP.BRepBuilderAPI import (  # noqa: E402
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakeWire,
    BRepBuilderAPI_Transform,
)
from OCP.BRepGProp import BRepGProp  # noqa: E402
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism, BRepPrimAPI_MakeRevol  # noqa: E402
from OCP.gp import gp_Ax1, gp_Ax2, gp_Circ, gp_Dir, gp_Lin, gp_Pnt, gp_Trsf, gp_Vec  # noqa: E402
from OCP.GProp import GProp_GProps  # noqa: E402
from OCP.IntCurvesFace import IntCurvesFace_ShapeIntersector  # noqa: E402
from OCP.TopAbs import TopAbs_SOLID  # noqa: E402
from OCP.TopExp import TopExp_Explorer  # noqa: E402

TUBE = Tube(22.225, 1.651)
ORDER_7 = Order(90.0, 14.0, 800.0, None, 60.0, 170.0)
BARS = {
    "order 7": recipe_from_order(ORDER_7, 104.5, 30.0),
    "order 7 of two stops": recipe_from_order(ORDER_7, 130.6, 27.5, 25.0),
    "an upsweep ordered": recipe_from_order(Order(70.0, 10.0, 760.0, 4.0, 50.0, 150.0), 104.5, 27.5),
    "outer bend swept far": Recipe(60.0, 50.0, 110.0, 35.0, 45.0, 180.0, 90.0, 12.0),
}
STEEL_G_MM3 = 7.85e-3
"""The 7850 kg/m3 by which EN 10220 reckons the mass of steel tube."""

X = gp_Dir(1.0, 0.0, 0.0)
CLOSE = 1e-7
"""The kernel works to 1e-7 mm."""


def ring(outside_mm, inside_mm=0.0):
    """The cross-section at the middle of the bar, square to x: a face of the kernel."""
    place = gp_Ax2(gp_Pnt(0.0, 0.0, 0.0), X)
    wires = [
        BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(gp_Circ(place, 0.5 * one)).Edge()).Wire()
        for one in (outside_mm, inside_mm)
        if one
    ]
    face = BRepBuilderAPI_MakeFace(wires[0])
    for hole in wires[1:]:
        hole.Reverse()
        face.Add(hole)
    return face.Face()


class HalfBar:
    """The right half, piece by piece: each starts on the last face of the one before."""

    def __init__(self, recipe, face):
        self.pieces, self.face = [], face
        self.along, self.toward = gp_Dir(1.0, 0.0, 0.0), gp_Dir(0.0, 0.0, 1.0)
        self.push(0.5 * recipe.clamp_flat_mm)
        self.bend(recipe.inner_bend_deg, recipe.radius_mm)
        self.push(recipe.straight_mm)
        self.toward.Reverse()  # the outer bend turns back; its roll is about the riser
        self.toward.Rotate(gp_Ax1(gp_Pnt(), self.along), -radians(float(recipe.roll_deg)))
        self.bend(recipe.outer_bend_deg, recipe.radius_mm)
        self.push(recipe.grip_mm)

    def push(self, length_mm):
        self._add(BRepPrimAPI_MakePrism(self.face, gp_Vec(self.along).Multiplied(float(length_mm))))

    def bend(self, angle_deg, radius_mm):
        pivot = self.middle().Translated(gp_Vec(self.toward).Multiplied(float(radius_mm)))
        axle = gp_Ax1(pivot, self.along.Crossed(self.toward))
        self._add(BRepPrimAPI_MakeRevol(self.face, axle, radians(float(angle_deg))))
        for heading in (self.along, self.toward):
            heading.Rotate(axle, radians(float(angle_deg)))

    def _add(self, made):
        self.pieces.append(made.Shape())
        self.face = made.LastShape()

    def middle(self):
        found = GProp_GProps()
        BRepGProp.SurfaceProperties_s(self.face, found)
        return found.CentreOfMass()

    def volume_mm3(self):
        return sum(volume_mm3(piece) for piece in self.pieces)


def volume_mm3(shape):
    found = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, found, 1e-9)
    return abs(found.Mass())


def in_the_stem(half, stem_roll_deg):
    """Bar end and heading of the grip, turned in the stem: positive carries the tops of the risers rearward."""
    turn = gp_Trsf()
    turn.SetRotation(gp_Ax1(gp_Pnt(), X), radians(float(stem_roll_deg)))
    end, along = half.middle().Transformed(turn), half.along.Transformed(turn)
    return (end.X(), end.Y(), end.Z()), (along.X(), along.Y(), along.Z())


@pytest.mark.parametrize("name", BARS)
def test_a_solid_bar_has_the_rise_the_sweeps_the_length_and_the_mass(name):
    recipe = BARS[name]
    shape = shape_from_recipe(recipe)
    inside = TUBE.outside_diameter_mm - 2.0 * TUBE.wall_mm
    half = HalfBar(recipe, ring(TUBE.outside_diameter_mm, inside))
    (right, forward, up), (x, y, z) = in_the_stem(half, recipe.stem_roll_deg)
    assert 2.0 * right == pytest.approx(shape.width_mm, abs=1e-6)
    assert -forward == pytest.approx(shape.setback_mm, abs=1e-6)
    assert up == pytest.approx(shape.rise_mm, abs=1e-6)
    assert degrees(atan2(-y, x)) == pytest.approx(shape.backsweep_deg, abs=1e-7)
    assert degrees(atan2(z, x)) == pytest.approx(shape.upsweep_deg, abs=1e-7)
    area = 0.25 * pi * (TUBE.outside_diameter_mm**2 - inside**2)
    assert 2.0 * half.volume_mm3() / area == pytest.approx(shape.cut_length_mm, rel=1e-8)
    assert TUBE.mass_g(shape.cut_length_mm) == pytest.approx(2.0 * half.volume_mm3() * STEEL_G_MM3, rel=1e-8)


def first_hit_x(pieces, y, z):
    """Where a line along x from the middle first meets the outside of the bar."""
    found = []
    for piece in pieces:
        search = IntCurvesFace_ShapeIntersector()
        search.Load(piece, CLOSE)
        search.Perform(gp_Lin(gp_Pnt(0.0, y, z), X), 0.0, 1000.0)
        found += [search.Pnt(place).X() for place in range(1, search.NbPnt() + 1)]
    return min(found)


def cut_tube(branch, joint_mm, pieces):
    """Half a crossbar: a tube along x from the middle into the bar, less the bar."""
    face = ring(branch.outside_diameter_mm, branch.outside_diameter_mm - 2.0 * branch.wall_mm)
    place = gp_Trsf()
    place.SetTranslation(gp_Vec(0.0, float(joint_mm[1]), float(joint_mm[2])))
    left = BRepBuilderAPI_Transform(BRepPrimAPI_MakePrism(face, gp_Vec(float(joint_mm[0]), 0.0, 0.0)).Shape(), place)
    left = left.Shape()
    for piece in pieces:
        left = BRepAlgoAPI_Cut(left, piece).Shape()
    solids, search = [], TopExp_Explorer(left, TopAbs_SOLID)
    while search.More():
        solids.append(search.Current())
        search.Next()
    return max(solids, key=volume_mm3)


@pytest.mark.parametrize(("name", "height_mm"), [("order 7", 45.0), ("order 7", 70.0), ("outer bend swept far", 35.0)])
def test_a_crossbar_s_copes_and_mass_are_those_of_a_tube_cut_by_the_solid_bar(name, height_mm):
    recipe, branch = BARS[name], Tube(15.875, 0.889)
    fitted = crossbar(recipe, TUBE.outside_diameter_mm, branch, height_mm)
    half = HalfBar(recipe, ring(TUBE.outside_diameter_mm))
    edge = fitted.edge_mm()
    for x, y, z in edge[::12]:
        assert first_hit_x(half.pieces, y, z) == pytest.approx(x, abs=0.005)
    assert len(edge) == len(STATIONS_DEG)
    cut = cut_tube(branch, fitted.joint_mm, half.pieces)
    assert fitted.mass_g == pytest.approx(2.0 * volume_mm3(cut) * STEEL_G_MM3, rel=0.002)
