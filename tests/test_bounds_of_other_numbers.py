"""A bound that is another number of the same call: what is just inside is taken, what is just outside is refused."""

from dataclasses import replace

import numpy as np
import pytest

from barmath import BendError, Die, Order, Tube, springback_from_tube
from barmath.crossbars.cope import cope_ordinates_mm
from barmath.planning.cut_list import cut_list
from barmath.planning.even_bend import even_bend_deg
from barmath.shop.clamping import clamping_warnings
from barmath.shop.forming import forming_from_bend, out_of_round
from barmath.shop.offsets import bend_from_stop_deg
from barmath.shop.order_seven import ORDER, TUBE, order_seven_recipe
from barmath.shop.stock import CHROMOLY_4130
from barmath.shop.tooling import check_die_takes_tube
from barmath.space.centerline import bends_from_recipe, cut_length_mm, points_at
from barmath.strength.load_cases import FROM_END_MM, LATERAL
from barmath.strength.screen import loaded_bar

RECIPE = order_seven_recipe()
PLAY = Die(101.6, stop_offset_deg=2.0)
BAND = replace(CHROMOLY_4130, yield_low_mpa=400.0, yield_mpa=500.0, yield_high_mpa=600.0)
END_MM = float(cut_length_mm(bends_from_recipe(RECIPE)))

MOST, LEAST, BELOW, ABOVE = (1.0, True), (-1.0, True), (1.0, False), (-1.0, False)
"""Which way leads out of the bound, and whether the bound itself is inside."""

CASES = [
    ("low end of the yield", lambda x: replace(BAND, yield_low_mpa=x, yield_mpa=600.0), 600.0, MOST),
    ("yield", lambda x: replace(BAND, yield_mpa=x), 600.0, MOST),
    ("yield", lambda x: replace(BAND, yield_mpa=x), 400.0, LEAST),
    ("tube wall", lambda x: Tube(22.0, x), 11.0, MOST),
    ("centre-line radius", lambda x: forming_from_bend(Tube(22.0, 1.5), x), 11.0, ABOVE),
    ("die radius", lambda x: check_die_takes_tube(Tube(22.0, 1.5), Die(x)), 11.0, ABOVE),
    ("smallest diameter", lambda x: out_of_round(22.5, x, 22.0), 22.5, MOST),
    ("stop", lambda x: bend_from_stop_deg(x, springback_from_tube(TUBE, PLAY), PLAY), 2.0, ABOVE),
    ("least upsweep", lambda x: replace(ORDER, least_upsweep_deg=x, most_upsweep_deg=3.0), 3.0, MOST),
    ("width of the stem", lambda x: loaded_bar(RECIPE, TUBE, LATERAL, stem_width_mm=x), RECIPE.clamp_flat_mm, MOST),
    ("grip", lambda x: loaded_bar(replace(RECIPE, grip_mm=x), TUBE, LATERAL), FROM_END_MM, LEAST),
    ("place along the tube", lambda x: points_at(bends_from_recipe(RECIPE), x), END_MM, MOST),
    ("branch diameter", lambda x: cope_ordinates_mm(x, 22.0, 80.0, np.arange(8)), 22.0, MOST),
    ("piece", lambda x: cut_list([x], [1000.0, 2000.0], kerf_mm=2.0), 2000.0, MOST),
    ("piece", lambda x: cut_list([x], 1000.0, offcuts_mm=[2500.0], kerf_mm=2.0), 2500.0, MOST),
    ("piece", lambda x: cut_list([x, 900.0], 1000.0, kerf_mm=0.0), 1.0, LEAST),
    ("stock length", lambda x: cut_list(1.0, [x, 1000.0], kerf_mm=2.0), 1.0, LEAST),
    ("offcut", lambda x: cut_list(1.0, 1000.0, offcuts_mm=[x], kerf_mm=2.0), 1.0, LEAST),
    ("largest bend", lambda x: even_bend_deg(Order(90, 14, 800), TUBE, Die(101.6), 30.0, x), 30.0, LEAST),
]


@pytest.mark.parametrize(("words", "call", "bound", "kind"), CASES, ids=[f"{case[0]} {case[2]:g}" for case in CASES])
def test_the_bound_is_where_the_refusal_says_and_counts_as_it_says(words, call, bound, kind):
    out, takes_bound = kind
    call(bound - out * 1e-4)
    beyond = [bound + out * 1e-4] if takes_bound else [bound + out * 1e-4, bound]
    if takes_bound:
        call(bound)
    for number in beyond:
        with pytest.raises(BendError) as refused:
            call(number)
        assert refused.value.why.startswith(f"{words} must be "), refused.value.why


def test_a_clamp_flat_as_long_as_the_stem_is_wide_is_enough():
    warned = [clamping_warnings(TUBE, flat, 45.0) for flat in (45.0 - 1e-4, 45.0, 45.0 + 1e-4)]
    assert len(warned[0]) == len(warned[1]) + 1 == len(warned[2]) + 1
    assert any(words.startswith("clamp flat must be at least 45.0 mm") for words in warned[0])
