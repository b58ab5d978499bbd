"""Handlebars against the standards for bicycles, as far as barmath uses them: it screens and does not approve a bar."""

import pytest

from barmath import BendError, Order
from barmath.clamping import GRIP_DIAMETER_MM, STEM_CLAMPS_MM


@pytest.mark.parametrize("width_mm", [350.0, 1000.0])
def test_the_overall_width_may_be_from_350_to_1000_mm(width_mm):
    # ISO 4210-2:2014, 4.7.1, read in its national adoption TBIS 4210-2:2018; seen
    assert Order(70.0, 8.0, width_mm).width_mm == width_mm
    beyond = width_mm + (1.0 if width_mm > 500.0 else -1.0)
    with pytest.raises(BendError, match=r"the range of ISO 4210-2 4\.7\.1"):
        Order(70.0, 8.0, beyond)


def test_stems_clamp_four_sizes_and_grips_one():
    # 22.2, 25.4, 31.8 and 35.0 mm, grips 22.2: sizes in common use; ISO 6699 and JIS D 9412, clauses from memory
    assert STEM_CLAMPS_MM == (22.2, 25.4, 31.8, 35.0)
    assert GRIP_DIAMETER_MM == 22.2
