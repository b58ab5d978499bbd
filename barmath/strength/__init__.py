"""A check of a bar's strength, on paper: load cases, sections, moments and stresses. It never approves a bar."""

from barmath.strength.bent_section import bent_section, straight_section
from barmath.strength.load_cases import (
    LATERAL,
    LOAD_CASES,
    MOST_SET_MM,
    MOUNTAIN_ONLY,
    SCREENED_ONLY,
    TORSION,
    LoadCase,
)
from barmath.strength.screen import STEM_WIDTH_MM, LoadedBar, loaded_bar
from barmath.strength.strength_study import first_yield_by_width

__all__ = [
    "LATERAL",
    "LOAD_CASES",
    "MOST_SET_MM",
    "MOUNTAIN_ONLY",
    "SCREENED_ONLY",
    "STEM_WIDTH_MM",
    "TORSION",
    "LoadCase",
    "LoadedBar",
    "bent_section",
    "first_yield_by_width",
    "loaded_bar",
    "straight_section",
]
