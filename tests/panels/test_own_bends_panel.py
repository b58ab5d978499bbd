"""The reader's own test bends are taken as typed, and change what is known of the stop."""

import pytest
from conftest import ROOT

from barmath.panels.own_bends import OwnBendsPanel
from barmath.panels.own_bends_state import bend_from_text
from barmath.records.calibration import calibrate
from barmath.records.demo_record import demo_bends
from barmath.refusal import BendError
from barmath.shop.order_seven import DIE, TUBE
from barmath.shop.shop_file import shop_from_file


@pytest.fixture
def panel():
    return OwnBendsPanel(shop_from_file(ROOT / "notebooks" / "demo" / "shop.toml"))


def test_typed_bends_say_the_same_as_bends_of_the_record(panel):
    bends = demo_bends(TUBE, DIE)
    for box, one in zip(panel.typed, bends, strict=False):
        box.value = f"{one.stop_deg}; {one.kept_deg}; {one.shift_mm}"
    stop = calibrate(TUBE, DIE, bends).stop_deg(30.0)
    assert f"{stop.value:.1f} ± {stop.error:.1f} deg" in panel.words.value.replace("<wbr>", "")
    assert len(panel.bends) == len(bends)


def test_a_bend_without_a_shift_is_taken_and_an_empty_box_is_none():
    assert bend_from_text("30; 28,6", TUBE, DIE).shift_mm is None
    assert bend_from_text("  ", TUBE, DIE) is None


@pytest.mark.parametrize("text", ["30", "30; 28; 1; 2", "30; a lot", "30; 40", "0; 0"])
def test_what_is_no_test_bend_is_refused_and_the_numbers_before_remain(panel, text):
    before = panel.words.value
    panel.typed[0].value = text
    assert "Not taken" in panel.message.value
    assert panel.words.value == before
    with pytest.raises(BendError):
        bend_from_text(text, TUBE, DIE)
    panel.typed[0].value = "30; 28.6; 1.4"
    assert "Not taken" not in panel.message.value
    assert panel.words.value != before
