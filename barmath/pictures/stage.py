"""The place where a bar is shown in space: one plot, one eye and one light for every panel, and the stem."""

from __future__ import annotations

import k3d
import numpy as np

from barmath.arrays import Array
from barmath.bending.bench_parts import rod
from barmath.pictures.bench_meshes import AIR, NOTHING, html_label, part_mesh, rgb, rod_from, words_html

HEIGHT_PX, FOV_DEG = 300, 24.0
TARGET_MM, TOWARD_EYE = (-22.0, -40.0, 34.0), (-0.21, -0.9, 0.38)
"""What the eye of a rider looks at, and the way from there to the eye."""

SHOWN_MM = (970.0, 290.0)
"""Least width and height of the picture, at the bar. So most bars are shown at one scale."""

STEEL = "#4a5560"
CLAMP_MM = 40.0
"""How wide a stem's clamp is drawn."""

_AROUND_TUBE_MM = 6.0
_MIDDLE = np.zeros(3)
_STEM_MM = ((0.0, -10.0, -1.0), (0.0, -72.0, -12.0))
_STEERER_MM = ((0.0, -82.0, -52.0), (0.0, -82.0, 12.0))


class Stage:
    """One plot of k3d, and its objects by name in `things`.

    k3d would draw after each change of an object. So it only draws when it is asked to, once all of them are in place.

    Parameters
    ----------
    name : str
        Of the plot.
    """

    def __init__(self, name: str) -> None:
        self.plot = k3d.plot(
            height=HEIGHT_PX, grid_visible=False, menu_visibility=False, camera_auto_fit=False, camera_fov=FOV_DEG,
            background_color=rgb(AIR), lighting=1.6, antialias=1, logarithmic_depth_buffer=False, camera_no_zoom=True,
            camera_no_pan=True, axes_helper=0.0, grid=(-500.0, -400.0, -200.0, 500.0, 400.0, 300.0),
            grid_auto_fit=False, render_on_change=False, colorbar_object_id=0, name=name,
        )  # fmt: skip
        self.things: dict = {}

    def add(self, name: str, thing: k3d.objects.Drawable) -> None:
        """Take in an object, unseen at first."""
        thing.visible = False
        self.things[name] = thing
        self.plot += thing

    def add_label(self, name: str) -> None:
        """Take in a label without words."""
        self.add(name, html_label(name))

    def add_rod(self, name: str, radius_mm: float, colour: str = STEEL, opacity: float = 1.0) -> None:
        """Take in a rod that `reach` puts in its place."""
        self.add(name, part_mesh(rod(1.0, radius_mm), colour, name, opacity))

    def add_stem(self, of: str = "", opacity: float = 1.0, share: float = 1.0) -> None:
        """Take in stem, steerer and clamp of a bar, `share` times as thick as others; their names end in `of`."""
        for name, radius_mm in (("stem", 13.0 * share), ("steerer", 15.0 * share), ("clamp", 1.0)):
            self.add_rod(name + of, radius_mm, opacity=opacity)
        self.reach("stem" + of, *_STEM_MM)
        self.reach("steerer" + of, *_STEERER_MM)

    def reach(self, name: str, start_mm: Array | tuple, end_mm: Array | tuple, radius_mm: float = 1.0) -> None:
        """Let a rod reach from one point to another, `radius_mm` times as thick as it was made."""
        place = rod_from(np.array(start_mm), np.array(end_mm))
        place[:3, 1:3] *= radius_mm
        if not np.array_equal(self.things[name].model_matrix, place := place.astype(np.float32)):  # else it is sent
            self.things[name].model_matrix = place

    def clamp(self, tube_diameter_mm: float, width_mm: float = CLAMP_MM, at: Array = _MIDDLE, of: str = "") -> None:
        """Put the clamp round a tube."""
        half = np.array([0.5 * width_mm, 0.0, 0.0])
        self.reach("clamp" + of, at - half, at + half, 0.5 * tube_diameter_mm + _AROUND_TUBE_MM)

    def write(self, name: str, words: str, place_mm: Array) -> None:
        """Write words at a place."""
        with self.things[name].hold_sync():  # one message
            self.things[name].text = words_html(words) if words else NOTHING
            self.things[name].position = place_mm.astype(np.float32)
