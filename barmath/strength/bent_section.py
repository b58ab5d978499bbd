"""A tube's section in a bend: its wall thinned outside and thickened inside, its round flattened, its axis curved.

The section is a cloud of small areas, 5 through the wall at each of 720 places round it. Theta counts from the inside
of the bend. With flattening o = (D_max - D_min)/D and t the straight tube's wall, the outside is at

    toward the inside  n = (D/2)(1 - o/2) cos theta,    square to the bend's plane  b = (D/2)(1 + o/2) sin theta,

and the wall is t R/(R - n): each strip of it is stretched as its own arc is longer than the centre line, and keeps its
metal. On the outermost strip this is the rule of thumb t R/(R + D/2): common practice, no source. The flat way is in
the plane of the bend.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from barmath.arrays import Array
from barmath.closed_forms.records import check_single
from barmath.refusal import checked_single
from barmath.shop.forming import OUT_OF_ROUND_LIMIT, forming_from_bend
from barmath.shop.stock import Tube

MOST_OUT_OF_ROUND = 0.3  # a tube as flat is a kink
MOST_RADIUS_MM = 1e6  # as good as straight
_ROUND, _THROUGH = 720, 5  # places round the section, and through its wall


@dataclass(frozen=True)
class Section:
    """What a section makes of the moments on it. Stresses are those of its outer surface, at m places round it.

    per_in_plane, per_out_of_plane : (m,) stress in MPa per N mm of bending in the plane of the bend and square to it
    per_torsion : (m,) shear stress in MPa per N mm of torsion
    area_mm2, second_moment_in_mm4, second_moment_out_mm4, plastic_in_mm3, plastic_out_mm3, plastic_torsion_mm3 : float
    least_wall_mm : float, the thinnest wall
    """

    per_in_plane: Array
    per_out_of_plane: Array
    per_torsion: Array
    area_mm2: float
    second_moment_in_mm4: float
    second_moment_out_mm4: float
    plastic_in_mm3: float
    plastic_out_mm3: float
    plastic_torsion_mm3: float
    least_wall_mm: float

    def stress_mpa(self, in_plane_nmm: Array, out_of_plane_nmm: Array, torsion_nmm: Array, pull_n: Array) -> Array:
        """Largest equivalent stress (von Mises) on the outer surface, elastic, MPa: sqrt(sigma^2 + 3 tau^2).

        Moments and pull are arrays (k,); a positive moment in the plane closes the bend and puts its inside in push.
        Shear force is left out: it is largest where bending gives nothing.
        """
        along = (
            np.multiply.outer(in_plane_nmm, self.per_in_plane)
            + np.multiply.outer(out_of_plane_nmm, self.per_out_of_plane)
            + np.asarray(pull_n)[..., None] / self.area_mm2
        )
        shear = np.multiply.outer(torsion_nmm, self.per_torsion)
        return np.sqrt((along**2 + 3.0 * shear**2).max(-1))

    def plastic_mpa(self, in_plane_nmm: Array, out_of_plane_nmm: Array, torsion_nmm: Array) -> Array:
        """Yield stress at which the whole section would just yield under these moments, MPa.

        sqrt((M_in/Z_in)^2 + (M_out/Z_out)^2 + (T/Z_T)^2): a circle in moment and torsion, exact for a thin round tube;
        Z_T = pi (D^3 - d^3)/(12 sqrt 3). Pull is left out.
        """
        return np.sqrt(
            (in_plane_nmm / self.plastic_in_mm3) ** 2
            + (out_of_plane_nmm / self.plastic_out_mm3) ** 2
            + (torsion_nmm / self.plastic_torsion_mm3) ** 2
        )


def straight_section(tube: Tube) -> Section:
    """The section of a straight `tube` (no arrays), by its closed forms.

    Raises
    ------
    BendError
        The tube holds arrays: it must be one tube.

    Examples
    --------
    >>> from barmath import Tube
    >>> from barmath.strength import straight_section
    >>> print(f"{straight_section(Tube(22.0, 1.5)).area_mm2:.1f} mm2")
    96.6 mm2
    """
    check_single(tube)
    radius, second = tube.outside_diameter_mm / 2.0, tube.second_moment_mm4
    theta = _places()
    return Section(
        per_in_plane=-radius / second * np.cos(theta),
        per_out_of_plane=radius / second * np.sin(theta),
        per_torsion=np.full(_ROUND, radius / (2.0 * second)),
        area_mm2=tube.area_mm2,
        second_moment_in_mm4=second,
        second_moment_out_mm4=second,
        plastic_in_mm3=tube.plastic_modulus_mm3,
        plastic_out_mm3=tube.plastic_modulus_mm3,
        plastic_torsion_mm3=_plastic_torsion(tube),
        least_wall_mm=tube.wall_mm,
    )


def bent_section(tube: Tube, radius_mm: float, out_of_round: float = OUT_OF_ROUND_LIMIT) -> Section:
    """The section of `tube` (no arrays) in a bend of centre-line radius `radius_mm`.

    Bending in the plane of the bend goes by the theory of curved bars (Winkler; Roark's Formulas for Stress and Strain,
    the chapter on curved bars, from memory): sigma = M (r - r_n)/(A e r) and r_n = A / integral of dA/r, with e the
    distance from r_n to the centre of area. So the inside is stressed more than a straight tube's. Torsion's stress is
    the straight tube's, raised as Bredt's formula for closed thin walls has it: by the wall lost and the area enclosed.

    Parameters
    ----------
    tube : Tube
    radius_mm : number, above half the tube's diameter
    out_of_round : number, 0..0.3
        (D_max - D_min)/D as a caliper gives it. The usual value is the most that ASME B31.1 allows.

    Raises
    ------
    BendError
        The radius is not above the tube's own. A value is outside its range.

    Examples
    --------
    >>> from barmath import Tube
    >>> from barmath.strength import bent_section
    >>> print(f"{bent_section(Tube(22.0, 1.5), 90.0).least_wall_mm:.2f} mm of wall outside the bend")
    1.34 mm of wall outside the bend
    """
    check_single(tube)
    radius = checked_single("centre-line radius", radius_mm, "mm", most=MOST_RADIUS_MM)
    forming_from_bend(tube, radius)
    flat = checked_single("out of round", out_of_round, least=0.0, most=MOST_OUT_OF_ROUND)
    half, wall, strips = tube.outside_diameter_mm / 2.0, tube.wall_mm, _strips(tube, radius, flat)
    n, b, area, walls, ring_n, ring_b = strips
    whole = float(area.sum())
    middle = float((n * area).sum() / whole)
    neutral = whole / float((area / (radius - n)).sum())
    off = radius - middle - neutral
    second_out = float((b**2 * area).sum())
    enclosed = float(ring_n.max() * ring_b.max()) / half**2
    return Section(
        per_in_plane=(radius - ring_n - neutral) / (whole * off * (radius - ring_n)),
        per_out_of_plane=ring_b / second_out,
        per_torsion=half / (2.0 * tube.second_moment_mm4) * wall / walls / enclosed,
        area_mm2=whole,
        second_moment_in_mm4=float(((n - middle) ** 2 * area).sum()),
        second_moment_out_mm4=second_out,
        plastic_in_mm3=_plastic(n, area),
        plastic_out_mm3=_plastic(b, area),
        plastic_torsion_mm3=_plastic_torsion(tube) * float(walls.min()) / wall * enclosed,
        least_wall_mm=float(walls.min()),
    )


class _Strips(NamedTuple):
    """The cloud of small areas: places and sizes (through the wall, round); wall and outer surface (round), mm."""

    n: Array
    b: Array
    area: Array
    walls: Array
    ring_n: Array
    ring_b: Array


def _strips(tube: Tube, radius: float, flat: float) -> _Strips:
    half, theta = tube.outside_diameter_mm / 2.0, _places()
    cosine, sine = np.cos(theta), np.sin(theta)
    long_way, short_way = half * (1.0 + flat / 2.0), half * (1.0 - flat / 2.0)
    walls = np.minimum(tube.wall_mm * radius / (radius - short_way * cosine), short_way)  # a wall ends at the middle
    nodes, weights = np.polynomial.legendre.leggauss(_THROUGH)
    depth = 0.5 * (nodes[:, None] + 1.0) * walls
    area = (long_way - depth) * cosine**2 + (short_way - depth) * sine**2
    area *= 0.5 * weights[:, None] * walls * 2.0 * math.pi / _ROUND
    return _Strips(
        (short_way - depth) * cosine, (long_way - depth) * sine, area, walls, short_way * cosine, long_way * sine
    )


def _places() -> Array:
    return np.linspace(0.0, 2.0 * math.pi, _ROUND, endpoint=False)


def _plastic_torsion(tube: Tube) -> float:
    # Z_T with Z_T tau_yield sqrt 3 = T: (D^3 - d^3) pi/12 over sqrt 3
    return float(tube.plastic_modulus_mm3) * math.pi / (2.0 * math.sqrt(3.0))


def _plastic(place: Array, area: Array) -> float:
    # areas on either side of the line that halves the section, times their distances from it
    order = np.argsort(place, axis=None)
    places, areas = place.ravel()[order], area.ravel()[order]
    held = np.cumsum(areas) - 0.5 * areas
    middle = float(np.interp(0.5 * areas.sum(), held, places))
    return float((np.abs(places - middle) * areas).sum())
