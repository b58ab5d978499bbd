"""The tube in the rack: material, size, section properties and mass."""

from __future__ import annotations

import math

import numpy as np

from barmath.fields import frozen, passing
from barmath.refusal import BendError, Number, check_shapes, checked, checked_single, plain, quoted, refuse_where

PSI = 0.006894757293168
"""One pound-force per square inch in MPa (exact conversion factors, rounded to 13 figures)."""


@frozen
class Material:
    """A tube material.

    Parameters
    ----------
    name : str
    elastic_modulus_mpa, density_kg_m3 : number above 0
    yield_mpa : number above 0
        Nominal yield stress.
    yield_low_mpa, yield_high_mpa : number above 0
        The band of the yield of delivered tube: sources differ, so it is never one number.
    tensile_mpa, elongation_percent : number above 0
        Tensile strength, and stretch at fracture of a test piece.

    Raises
    ------
    BendError
        A value is not a positive number, or the nominal yield is outside its band or above the tensile
        strength.
    """

    name: str
    elastic_modulus_mpa: float = passing(checked_single, "elastic modulus", unit="MPa", above=0.0)
    density_kg_m3: float = passing(checked_single, "density", unit="kg/m3", above=0.0)
    yield_mpa: float = passing(checked_single, "yield", unit="MPa", above=0.0)
    yield_low_mpa: float = passing(checked_single, "low end of the yield", unit="MPa", above=0.0)
    yield_high_mpa: float = passing(checked_single, "high end of the yield", unit="MPa", above=0.0)
    tensile_mpa: float = passing(checked_single, "tensile strength", unit="MPa", above=0.0)
    elongation_percent: float = passing(checked_single, "elongation", unit="%", above=0.0)

    def _check_together(self) -> None:
        low, high = plain(self.yield_low_mpa), plain(self.yield_high_mpa)
        if self.yield_low_mpa > self.yield_high_mpa:
            raise BendError(
                f"low end of the yield must be at most its high end of {high} MPa, got {low} MPa: swap the two ends"
            )
        if not self.yield_low_mpa <= self.yield_mpa <= self.yield_high_mpa:
            raise BendError(
                f"yield must be in its band of {low} to {high} MPa, got {plain(self.yield_mpa)} MPa: "
                "choose a yield inside the band, or a wider band"
            )
        if self.tensile_mpa < self.yield_mpa:
            raise BendError(
                f"tensile strength must be at least the yield of {plain(self.yield_mpa)} MPa, got "
                f"{plain(self.tensile_mpa)} MPa: look both up in one table of the metal"
            )


CHROMOLY_4130 = Material(
    name="4130 chromoly, normalised",
    elastic_modulus_mpa=29.0e6 * PSI,
    density_kg_m3=7850.0,
    yield_mpa=75.0e3 * PSI,
    yield_low_mpa=60.0e3 * PSI,
    yield_high_mpa=90.0e3 * PSI,
    tensile_mpa=95.0e3 * PSI,
    elongation_percent=12.0,
)
"""4130 steel, normalised tube, wall up to 0.188 in: 75 ksi yield, 95 ksi tensile, 29.0e6 psi (MIL-HDBK-5J and MMPDS-01
table 2.3.1.0, second-hand), elongation 12 % (MIL-HDBK-5J, from memory). The density is 7850 kg/m3, with
which EN 10220 works out the mass of steel tube; the handbook's 0.283 lb/in3 is 0.2 % less. The yield band of 60 to 90
ksi spans what sources and batches give (its lower end: ASTM A519 typical values, from memory)."""


THINNEST_WALL_MM = 1e-6
"""Far thinner than any tube: what is thinner still is a slip of the unit, and its section would round to nothing."""

TIGHTEST_IN_DIAMETERS = 4.0
"""Die radius over tube diameter below which thin tube dimples without a mandrel: common practice, no source."""


def _checked_material(material: object) -> Material:
    if not isinstance(material, Material):
        raise BendError(f"material must be a Material, got {quoted(material)}: give one, for example CHROMOLY_4130")
    return material


@frozen
class Tube:
    """A round tube. The properties of its section are textbook formulas of a ring (from memory).

    Parameters
    ----------
    outside_diameter_mm : number or array, above 0
    wall_mm : number or array, from 1e-6 to half the diameter
    material : Material
    name : str
    tightest_in_diameters : number, above 0
        Die radius over tube diameter below which the tube dimples without a mandrel: common practice, no source.

    Raises
    ------
    BendError
        A size is not a positive number. The wall is thinner than 1e-6 mm or more than the radius.
    """

    outside_diameter_mm: Number = passing(checked, "tube diameter", unit="mm", above=0.0)
    wall_mm: Number = passing(checked, "tube wall", unit="mm", above=0.0, least=THINNEST_WALL_MM)
    material: Material = passing(_checked_material, default=CHROMOLY_4130)
    name: str = ""
    tightest_in_diameters: float = passing(
        checked_single, "tightest bend of the tube in diameters", default=TIGHTEST_IN_DIAMETERS, above=0.0
    )

    def _check_together(self) -> None:
        check_shapes("the tube", self.outside_diameter_mm, self.wall_mm)
        refuse_where(
            np.asarray(self.wall_mm) > np.asarray(self.outside_diameter_mm) / 2.0,
            "tube wall must be at most half the diameter of {diameter} mm, got {wall} mm",
            remedy="give the wall, not the bore",
            diameter=self.outside_diameter_mm,
            wall=self.wall_mm,
        )

    @property
    def inside_diameter_mm(self) -> Number:
        """Bore d = D - 2 t, mm."""
        return self.outside_diameter_mm - 2.0 * self.wall_mm

    @property
    def area_mm2(self) -> Number:
        """Metal in the section, pi (D - t) t, mm2."""
        return math.pi * (self.outside_diameter_mm - self.wall_mm) * self.wall_mm

    @property
    def second_moment_mm4(self) -> Number:
        """Second moment of area I = pi (D^4 - d^4)/64 = pi t (D + d) (D^2 + d^2)/32, mm4."""
        outside, inside = self.outside_diameter_mm, self.inside_diameter_mm
        return math.pi / 32.0 * self.wall_mm * (outside + inside) * (outside**2 + inside**2)

    @property
    def radius_of_gyration_mm(self) -> Number:
        """sqrt(I/A), mm."""
        return (self.second_moment_mm4 / self.area_mm2) ** 0.5

    @property
    def section_modulus_mm3(self) -> Number:
        """Elastic section modulus S = 2 I/D, mm3."""
        return 2.0 * self.second_moment_mm4 / self.outside_diameter_mm

    @property
    def plastic_modulus_mm3(self) -> Number:
        """Plastic section modulus (D^3 - d^3)/6 = t (D^2 + D d + d^2)/3, mm3."""
        outside, inside = self.outside_diameter_mm, self.inside_diameter_mm
        return self.wall_mm * (outside**2 + outside * inside + inside**2) / 3.0

    @property
    def mass_kg_m(self) -> Number:
        """Mass of a metre of tube, kg/m."""
        return self.area_mm2 * 1e-6 * self.material.density_kg_m3

    def mass_g(self, length_mm: Number) -> Number:
        """Mass of `length_mm` of tube, grams. It raises BendError below 0 mm."""
        length = checked("length", length_mm, "mm", least=0.0)
        check_shapes("tube and length", self.mass_kg_m, length)
        return self.mass_kg_m * length

    def plastic_moment_nm(self, yield_mpa: Number | None = None) -> Number:
        """Moment at which the whole section yields, N m, at the nominal yield or at `yield_mpa`.

        It raises BendError if that is not above 0.
        """
        stress = self.material.yield_mpa if yield_mpa is None else checked("yield", yield_mpa, "MPa", above=0.0)
        check_shapes("tube and yield", self.plastic_modulus_mm3, stress)
        return stress * self.plastic_modulus_mm3 * 1e-3
