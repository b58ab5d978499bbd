"""A refusal names what it refuses, in the words of its own name, for each number of each public call."""

import re

import pytest
from faces import FACES
from test_refusals import refused

OTHER_WORDS = {
    "value": "backsweep right", "error": "uncertainty", "couple_nm": "turning about the clamp axis", "text": "rise",
    "turn_deg": "roll", "count": "bends of the tube", "lengths_mm": "piece", "seconds": "time to",
    "stations_mm": "place along the tube", "stations_deg": "angle around the branch", "station_deg": "angle around",
    "least_deg": "bend", "most_deg": "bend", "finished_deg": "bend", "inner_bend_deg": "bend", "per_bend": "parts",
    "outside_diameter_mm": "tube diameter", "centerline_radius_mm": "die radius", "radius_in_diameters": "radius",
    "radii_mm": "radius",
}  # fmt: skip
"""Numbers that a refusal calls by another name than the code does."""

EMPTY = {"first_yield_by_width", "every_bend_that_keeps", "recipe_from_record"}
"""Calls that answer nan with nan, or with nothing."""


@pytest.mark.parametrize("face", FACES, ids=lambda face: face.name)
def test_a_number_that_is_none_is_refused_by_its_own_name(face):
    for path, value in face.leaves(deep=False):
        if isinstance(value, float):
            sentence = refused(face, {path: float("nan")})
            if sentence is None:
                assert face.name in EMPTY
                continue
            name = next(part for part in reversed(path) if isinstance(part, str))
            words = OTHER_WORDS.get(name, re.sub(r"_(mm|deg|kg_m3|percent|share|mpa|newton)$", "", name))
            subject = sentence.partition(": ")[2].partition(" must ")[0].lower()
            assert all(word.rstrip("s") in subject for word in re.split("[_ ]", words)), sentence
