"""What a shop writes under [accepted], and how tight its tube bends, reach every panel, sheet, advice and limit."""

from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from barmath.panels.budget_state import BudgetState, budget_html, budget_readout
from barmath.panels.inspection import InspectionPanel
from barmath.panels.order import OrderPanel
from barmath.planning.ways import every_way
from barmath.refusal import BendError
from barmath.shop.order_seven import BEND_DEG, ORDER
from barmath.shop.shop_file import shop_from_file, shop_from_toml
from barmath.shop.tolerance import USUAL, Tolerance

DEMO = Path(__file__).resolve().parents[2] / "notebooks/demo/shop.toml"
TEXT = DEMO.read_text(encoding="utf-8")
SHOP = shop_from_toml(TEXT)
OTHER_TEXT = (
    TEXT.replace("sweep_deg = 1.0", "sweep_deg = 0.5").replace('rise = "3 mm"', 'rise = "1.5 mm"')
    .replace('rock = "2 mm"', 'rock = "1 mm"').replace("roll_deg = 3.0", "roll_deg = 2.0")
    .replace("touch_share = 0.85", "touch_share = 0.5").replace("heat_deg = 0.5", "heat_deg = 1.0")
    .replace("# tightest_in_diameters = 4", "tightest_in_diameters = 5")
)  # fmt: skip
OTHER = shop_from_toml(OTHER_TEXT)


def words_of(pdf: bytes) -> str:
    return " ".join(PdfReader(BytesIO(pdf)).pages[0].extract_text().split())


def test_the_demo_shop_accepts_the_usual_and_says_that_it_has_no_source():
    assert SHOP.accepted == USUAL
    assert "common practice, no source" in TEXT.split("[accepted]")[0].rsplit("# ----", 1)[1]


def test_a_file_without_the_table_accepts_the_usual():
    short = TEXT.split("# ---- What you accept")[0]
    assert "[accepted]" not in short
    assert shop_from_toml(short).accepted == USUAL


def test_what_the_file_accepts_is_read():
    assert OTHER.accepted == Tolerance(0.5, 1.5, 1.0, 2.0, 0.5, 1.0)


def test_the_inspection_panel_and_its_sheet_begin_with_what_the_file_accepts(tmp_path):
    panel = InspectionPanel(OTHER, sheets_folder=tmp_path)
    assert (panel.sweep_tolerance.value, panel.rise_tolerance.value, panel.rock_tolerance.value) == (0.5, 1.5, 1.0)
    sheet = words_of(panel.check_sheet("bar", "A4")[0])
    assert "within 0.5° of the order" in sheet
    assert "rise within 1.5 mm" in sheet
    assert "each roll within 2.0°" in sheet


def test_the_bench_sheet_prints_what_the_file_accepts(tmp_path):
    for text, rise, sweep in ((TEXT, "± 3 mm", "within 1°"), (OTHER_TEXT, "± 1.5 mm", "within 0.5°")):
        file = tmp_path / "shop.toml"
        file.write_text(text, encoding="utf-8")
        words = words_of(OrderPanel(file, sheets_folder=tmp_path).bench_sheet("bar", "A4")[0])
        assert rise in words
        assert sweep in words


def test_the_advice_on_a_bar_follows_the_file(tmp_path):
    def advised(shop):
        panel = InspectionPanel(shop, sheets_folder=tmp_path)
        wanted = panel.readout.wanted
        panel.state = replace(panel.state, typed=tuple(f"{wanted[key] + (0.7 if key == 'backsweep_right' else 0.0):.2f}"
                                                       for key in wanted))  # fmt: skip
        panel.refresh()
        return panel.readout.advice

    assert advised(SHOP).verdict == "leave it, or read more"
    assert "right backsweep is 0.7 deg too large" in advised(OTHER).why
    touched = replace(SHOP, accepted=replace(SHOP.accepted, touch_share=0.5))
    assert advised(touched).verdict == "worth a touch"


def test_the_error_budget_keeps_what_the_file_accepts():
    usual, other = (budget_readout(shop, BudgetState()) for shop in (SHOP, OTHER))
    assert "differ by at most 1 deg of sweep and 3 mm of rise" in usual.good + "".join(usual.warnings)
    assert "differ by at most 0.5 deg of sweep and 1.5 mm of rise" in other.good + "".join(other.warnings)
    assert budget_html(usual.budget, SHOP.accepted.apart) != budget_html(usual.budget, OTHER.accepted.apart)


def test_a_die_is_too_tight_for_a_tube_as_the_file_says():
    def warned(shop):
        tube = shop.tubes[0]
        return [s for s in every_way(ORDER, tube, shop.dies_for(tube)[:1], bends_deg=[BEND_DEG]).warnings(0)
                if "die radius divided by tube diameter" in s]  # fmt: skip

    assert warned(SHOP) == []
    assert warned(OTHER) == [
        "die radius divided by tube diameter must be at least 5.0, tighter bends dimple without a mandrel (common "
        "practice, no source), got 4.571: try it on scrap first"
    ]


@pytest.mark.parametrize(
    ("line", "other", "message"),
    [
        ("sweep_deg = 1.0", "sweep_deg = -1", "tolerance of the sweep must be at least 0.001 deg, got -1.0 deg"),
        ("sweep_deg = 1.0", "sweep_deg = 10",
         "accepted sweep must be in the usual range, got 10.0 deg, coarser than any bench reads"),
        ('rise = "3 mm"', 'rise = "3 in"',
         'accepted rise must be in the usual range, got 76.2 mm, coarser than any bench reads'),
        ('rise = "3 mm"', "rise = true", "rise must be a length"),
        ("touch_share = 0.85", "touch_share = 85",
         "Write 0.85 (85 %) if you mean that: share worth a touch must be in the usual range, got 85.0, more than all "
         "that is accepted"),
        ("touch_share = 0.85", 'touch_share = "much"', "share of the tolerance worth a touch must be a number"),
        ("heat_deg = 0.5", "heat_deg = 5",
         "Write 0.5 if you mean that: closing by heat must be in the usual range, got 5.0 deg, more than any heat "
         "closes"),
        ("roll_deg = 3.0", "rol_deg = 3.0", "rol_deg"),
        ("# tightest_in_diameters = 4", "tightest_in_diameters = 40", "Write 4 if you mean that: "),
        ("# tightest_in_diameters = 4", "tightest_in_diameters = 0",
         "tightest bend of the tube in diameters must be above 0.0, got 0.0"),
    ],
)  # fmt: skip
def test_what_cannot_be_accepted_is_refused_with_its_line(line, other, message):
    text = TEXT.replace(line, other, 1)
    number = next(at for at, one in enumerate(text.splitlines(), 1) if one.startswith(other))
    with pytest.raises(BendError) as refusal:
        shop_from_toml(text, "shop.toml")
    assert str(refusal.value).endswith(f" (shop.toml, line {number})")
    assert message in str(refusal.value)


def test_the_demo_file_on_the_disk_is_the_one_read_here():
    assert shop_from_file(DEMO) == SHOP
