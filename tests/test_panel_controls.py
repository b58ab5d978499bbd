"""Every control of every panel, moved at random: what cannot be is said, nothing fails, nothing typed becomes HTML."""

import ipywidgets as widgets
import pytest
from every_panel import PANELS, parts_of
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from nightly import NIGHTLY

from barmath.panels.pick_table import PickTable
from barmath.panels.shell import FAULT

HOSTILE = "<img src=x onerror=alert(1)>"
typed = st.one_of(
    st.sampled_from(["", "nan", "-1", "0", "1e400", "7/8 in", "1/0 in", "12,5", "-300", "1e9", HOSTILE, "=1+1", "../x",
                     "\x00", "order 7", "2026-02-30", "٣", "±", "12 ± 0", "77.5 ± 0.3", "9" * 300]),
    st.text(max_size=10),
    st.floats(-200.0, 1200.0).map(lambda number: f"{number:.2f}"),
)  # fmt: skip
SLOWER = {"charts": 10, "class sheets": 25, "week": 10, "teacher": 10, "two bars": 2}
"""Panels that draw a printed page at each move get so many times fewer examples."""

EXAMPLES = settings.default.max_examples // (1 if NIGHTLY else 3)
"""A panel takes longer than a function: a third of the examples, but for the nightly run."""


CONTROLS = (
    widgets.Text, widgets.FloatSlider, widgets.IntSlider, widgets.Play, widgets.Dropdown, PickTable,
    widgets.Checkbox, widgets.Button,
)  # fmt: skip


moves = st.tuples(st.integers(0, 999), typed, st.one_of(st.sampled_from([0.0, 1.0]), st.floats(0.0, 1.0)))
"""Which control, what is typed where something can be typed, and how far along it is set where it has two ends."""


def move(part, words, share) -> None:
    """Move one control there."""
    if isinstance(part, widgets.Text):
        part.value = words
    elif isinstance(part, widgets.FloatSlider):
        part.value = min(part.min + share * (part.max - part.min), part.max)
    elif isinstance(part, widgets.IntSlider | widgets.Play):
        part.value = part.min + round(share * (part.max - part.min))
    elif isinstance(part, widgets.Dropdown) and part.options:
        part.index = round(share * (len(part.options) - 1))
    elif isinstance(part, PickTable) and part.rows:
        part.value = part.offered[round(share * (len(part.rows) - 1))]
    elif isinstance(part, widgets.Checkbox):
        part.value = not part.value
    elif isinstance(part, widgets.Button) and not part.disabled and part.layout.display != "none":
        part.click()


@pytest.mark.parametrize("name", list(PANELS))
def test_no_control_can_make_a_panel_fail(name, demo_copy, tmp_path):
    panel, touched = PANELS[name](demo_copy / "shop.toml", tmp_path), set()

    @settings(max_examples=max(3, EXAMPLES // SLOWER.get(name, 1)), suppress_health_check=list(HealthCheck))
    @given(st.lists(moves, min_size=1, max_size=4))
    def at_random(several):
        for place, words, share in several:
            controls = [part for part in parts_of(panel.box) if isinstance(part, CONTROLS)]
            part = controls[place % len(controls)]
            touched.add(part.model_id)
            move(part, words, share)
            shown = [part.value for part in parts_of(panel.box) if isinstance(part, widgets.HTML)]
            assert not [words for words in shown if FAULT in words or HOSTILE in words]

    at_random()
    assert len(touched) >= min(4, sum(isinstance(part, CONTROLS) for part in parts_of(panel.box)))
