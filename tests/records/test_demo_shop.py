"""The invented shop: its days, its orders from one end of their range to the other, and that each bar could be made."""

from datetime import date
from itertools import pairwise

import numpy as np

from barmath.records.demo_record import Truth, demo_bars, demo_bends
from barmath.shop.order_seven import DIE, TUBE
from barmath.shop.tooling import Springback


def test_test_bends_come_on_the_first_days_and_a_bar_every_nine_days():
    days = [date.fromisoformat(one.date) for one in demo_bars(TUBE, DIE, count=30)]
    assert days[0] == date(2024, 3, 4)
    assert {(later - day).days for day, later in pairwise(days)} == {9}
    of_bends = [date.fromisoformat(one.date) for one in demo_bends(TUBE, DIE)]
    assert of_bends == [date(2024, 3, 4), date(2024, 3, 5), date(2024, 3, 6)]


def test_orders_are_drawn_from_their_whole_range_and_each_bar_could_be_made():
    bars = demo_bars(TUBE, DIE, count=250)
    orders = [bar.order for bar in bars]
    for name, low, high in (("rise_mm", 66.0, 110.0), ("backsweep_deg", 8.0, 18.0), ("width_mm", 760.0, 830.0)):
        drawn = [float(getattr(order, name)) for order in orders]
        assert low <= min(drawn) <= low + 0.1 * (high - low), name
        assert high - 0.1 * (high - low) <= max(drawn) <= high, name
    # what its builder believed: the marks, the stops and the reading lead back to a riser and a grip of their own
    believed = Springback(Truth().believed_ratio, DIE.centerline_radius_mm)
    bends = np.array([float(believed.finished_bend_deg(bar.inner_stop_deg)) for bar in bars])
    assert {*bends.round(6)} == {25.0, 27.5, 30.0, 32.5}
    risers = np.array([bar.outer_mark_mm - bar.inner_mark_mm for bar in bars])
    arcs = float(believed.finished_radius_mm) * np.radians(bends)
    grips = np.array([0.5 * bar.tube_length_mm - bar.outer_mark_mm for bar in bars]) - arcs
    assert 65.0 <= risers.min() < 68.0
    assert grips.min() >= 150.0
    assert [bar.batch for bar in bars[:40]] == ["first"] * 25 + ["second"] * 15
    assert [bar.name for bar in bars[:2]] == ["order 101", "order 102"]
