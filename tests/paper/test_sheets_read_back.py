"""A table of settings read back from its PDF and bent step by step: every bar has the rise and the sweep of its row."""

import re

import numpy as np
import pytest
from printed import pages_of, text_of, words_of
from scipy.spatial.transform import Rotation

from barmath.paper.wall_settings import settings_sheet
from barmath.planning.chart_data import Chart
from barmath.shop.shop_file import shop_from_file

RISE_MM, SWEEP_DEG = 0.3, 0.2
"""What rounding marks to 0.1 mm, readings to 0.1 deg and the radius to 0.1 mm leaves."""


def bent(flat, radius, bend_deg, straight, reading_deg, width):
    """Rise and backsweep of the right half, walked piece by piece with a frame that is carried along."""
    a = np.radians(bend_deg)
    roll = np.arcsin(np.sin(np.radians(reading_deg)) / np.sin(a))
    point, heading, up = np.array([flat / 2.0, 0.0, 0.0]), np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])
    for toward in (up, None):
        if toward is None:  # the second bend goes back down, turned about the riser toward the rear
            point = point + straight * heading
            rear = np.cross(heading, up)
            both = (Rotation.from_rotvec(sign * roll * heading).apply(-up) for sign in (1.0, -1.0))
            toward = max(both, key=lambda way: float(way @ rear))
        for _ in range(2000):
            step = a / 2000.0
            middle = np.cos(step / 2.0) * heading + np.sin(step / 2.0) * toward
            point = point + radius * step * middle
            heading, toward = (
                np.cos(step) * heading + np.sin(step) * toward, np.cos(step) * toward - np.sin(step) * heading
            )  # fmt: skip
        up = toward
    grip = (width / 2.0 - point[0]) / heading[0]
    end = point + grip * heading
    return end[2], np.degrees(np.arctan2(-heading[1], heading[0]))


@pytest.mark.parametrize(("number", "sweep"), [(0, 10.0), (1, 14.0)])
def test_every_setting_on_the_table_makes_the_rise_and_the_sweep_of_its_page(root, number, sweep):
    shop = shop_from_file(root / "notebooks" / "demo" / "shop.toml")
    pdf = settings_sheet(Chart(shop.tubes[0], shop.dies[number], backsweep_deg=sweep)).pdf("settings")
    said = text_of(pdf)
    assert f"sweep {sweep:g}°" in said
    radius = float(re.search(r"([0-9.]+) mm(?: \([^)]*\))? after springback", said).group(1))
    width, flat = (float(number) for number in re.search(r"([0-9.]+) wide, clamp ([0-9.]+),", said).groups())
    rows = {}
    for word in words_of(pages_of(pdf)[0]):
        rows.setdefault(round(word.y, 1), []).append(word)
    lines = [sorted(row, key=lambda word: word.x) for _, row in sorted(rows.items())]
    named = {row[0].text: row[1:] for row in lines}
    bends, inner = named["bend"], named["inner mark"]
    readings = [float(word.text.rstrip("°")) for word in next(row for row in lines if row[0].text == "fi")[2:]]
    columns = np.array([word.x for word in inner])
    offset = float(shop.dies[number].line_up_offset_mm)
    checked = 0
    for row in lines:
        if not re.fullmatch(r"[0-9]+", row[0].text) or row[0].points < 15.0:
            continue
        rise = float(row[0].text)
        for word in row[1:]:
            if not re.fullmatch(r"[0-9.]+", word.text):
                continue
            place = int(np.argmin(np.abs(columns - word.x)))
            bend, mark = float(bends[place].text.rstrip("°")), float(inner[place].text)
            assert mark == pytest.approx(flat / 2.0 + radius * np.radians(bend) + offset, abs=0.15)
            made = bent(flat, radius, bend, float(word.text) - mark, readings[place], width)
            assert made[0] == pytest.approx(rise, abs=RISE_MM), (sweep, rise, bend)
            assert made[1] == pytest.approx(sweep, abs=SWEEP_DEG), (sweep, rise, bend)
            checked += 1
    assert checked >= 8
