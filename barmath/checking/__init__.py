"""Checking the finished bar: what was read at the bench, what was bent, and whether to correct it."""

from barmath.checking.as_bent import (
    PARTS,
    Half,
    bends_from_parts,
    covariance_of_slips,
    halves_from_parts,
    parts_of_recipe,
)
from barmath.checking.as_bent import bends_from_parts as row_from_parts
from barmath.checking.bench_errors import FINDER, MARK, STOP, TOOLS, BenchErrors
from barmath.checking.bench_readings import (
    BY_KEY,
    KINDS,
    Kind,
    Reading,
    check_plausible,
    readings_of_parts,
    wanted_readings,
)
from barmath.checking.inspection import Estimate, Inspection, inspect
from barmath.checking.tweak_words import rocking_words
from barmath.checking.tweaks import LEAVE, NEAR, SCRAP, TOUCH, TWEAK, Advice, Tweak, advice, applied

# `row_from_parts` is handed on for checks outside the project, which learned it first: the package says bends.

__all__ = [
    "BY_KEY",
    "FINDER",
    "KINDS",
    "LEAVE",
    "MARK",
    "NEAR",
    "PARTS",
    "SCRAP",
    "STOP",
    "TOOLS",
    "TOUCH",
    "TWEAK",
    "Advice",
    "BenchErrors",
    "Estimate",
    "Half",
    "Inspection",
    "Kind",
    "Reading",
    "Tweak",
    "advice",
    "applied",
    "bends_from_parts",
    "check_plausible",
    "covariance_of_slips",
    "halves_from_parts",
    "inspect",
    "parts_of_recipe",
    "readings_of_parts",
    "rocking_words",
    "row_from_parts",
    "wanted_readings",
]
