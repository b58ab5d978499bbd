"""What a builder may point a panel at by mistake: links that never end, folders that cannot be made."""

import shutil
import sys

import pytest
from conftest import ROOT

from barmath import BendError
from barmath.panels.bending import bending_panel
from barmath.panels.budget import budget_panel
from barmath.panels.charts import charts_panel
from barmath.panels.class_sheets import ClassSheetPanel, class_sheet_panel
from barmath.panels.crossbar import crossbar_panel
from barmath.panels.dies import choice_panel, windows_panel
from barmath.panels.inspection import inspection_panel
from barmath.panels.map import map_panel
from barmath.panels.mistakes import mistake_panel
from barmath.panels.order import order_panel
from barmath.panels.practice import PracticePanel, practice_panel
from barmath.panels.record import record_panel
from barmath.panels.shell import FAULT
from barmath.panels.strength import strength_panel
from barmath.panels.teacher import teacher_panel
from barmath.panels.two_bars import two_bars_panel
from barmath.panels.words import words_writer
from barmath.practice.progress import progress_from_file

DEMO = ROOT / "notebooks" / "demo"
IN_WORDS = "Choose another name: .* must lead to a file or a folder, got a link that leads back to itself"

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="links need a privilege there")

OPENED = {
    "shop of the order": lambda loop, shop: order_panel(loop),
    "shop of the bender": lambda loop, shop: bending_panel(loop),
    "shop of the budget": lambda loop, shop: budget_panel(loop),
    "shop of the charts": lambda loop, shop: charts_panel(loop),
    "folder of the charts": lambda loop, shop: charts_panel(shop, loop),
    "shop of the crossbar": lambda loop, shop: crossbar_panel(loop),
    "shop of the windows": lambda loop, shop: windows_panel(loop),
    "shop of the next die": lambda loop, shop: choice_panel(loop, DEMO / "orders.toml"),
    "orders of the next die": lambda loop, shop: choice_panel(shop, loop),
    "shop of the inspection": lambda loop, shop: inspection_panel(loop),
    "shop of the map": lambda loop, shop: map_panel(loop),
    "shop of the mistakes": lambda loop, shop: mistake_panel(loop),
    "shop of the strength": lambda loop, shop: strength_panel(loop),
    "shop of the record": lambda loop, shop: record_panel(loop, shop.parent / "record.db"),
    "file of the record": lambda loop, shop: record_panel(shop, loop),
    "shop of two bars": lambda loop, shop: two_bars_panel(loop),
    "record of two bars": lambda loop, shop: two_bars_panel(shop, loop),
    "folder of practice": lambda loop, shop: practice_panel(loop),
    "folder of class sheets": lambda loop, shop: class_sheet_panel(loop),
    "folder of the class": lambda loop, shop: teacher_panel(loop),
    "folder of the words": lambda loop, shop: words_writer(loop),
}


@pytest.fixture
def loop(tmp_path):
    (tmp_path / "a").symlink_to(tmp_path / "b")
    (tmp_path / "b").symlink_to(tmp_path / "a")
    return tmp_path / "a"


@pytest.fixture
def shop(tmp_path):
    return shutil.copy(DEMO / "shop.toml", tmp_path / "shop.toml")


@pytest.mark.parametrize("name", OPENED)
@pytest.mark.parametrize("inside", [False, True], ids=["itself", "inside"])
def test_every_panel_refuses_a_link_that_leads_back_to_itself_in_words(name, inside, loop, shop):
    with pytest.raises(BendError, match=IN_WORDS):
        OPENED[name](loop / "shop.toml" if inside else loop, shop)


def _finish(panel):
    for (box, row), question in zip(panel.entries, panel.exercise.questions, strict=True):
        box.value = str(question.answer)
        row.children[1].children[2].click()


@pytest.mark.parametrize("blocked", ["a file in its way", "a link that leads back to itself"])
def test_a_folder_that_cannot_be_made_is_refused_in_words_when_something_is_kept_in_it(blocked, tmp_path, loop):
    folder = tmp_path / "progress"
    practice, sheets = PracticePanel(folder, seed=5), ClassSheetPanel(folder)
    if blocked == "a file in its way":
        folder.write_text("here first")
        words = "Choose another place: progress must be a folder that can be made (file exists)"
    else:
        folder.symlink_to(loop)
        words = "Choose another name: a must lead to a file or a folder, got a link that leads back to itself"
    _finish(practice)
    sheets.writer.write.click()
    for said in (practice.message.value, sheets.writer.message.value):
        assert words in said
        assert FAULT not in said
    folder.unlink()
    _finish(practice)  # and kept once there is room for it
    assert len(progress_from_file(practice.path)) == 1


def test_a_folder_in_a_file_is_refused_when_the_panel_of_practice_opens_or_keeps(tmp_path):
    (tmp_path / "file").write_text("here first")
    panel = PracticePanel(tmp_path / "file" / "progress", seed=5)
    _finish(panel)
    assert "progress must be a folder that can be made (not a directory)" in panel.message.value
    assert FAULT not in panel.message.value
