"""Every danger of the work has its caution, and each caution stands where the danger is."""

import io
import json
import re
from html import unescape

import pytest
from conftest import LESSONS, ROOT
from every_panel import PANELS, parts_of
from pypdf import PdfReader

from barmath.paper.figures import figures
from barmath.shop import cautions
from barmath.shop.cautions import ALL, BENDING, BRAZING, CHECKING, PLANNING, RIDING, RULES, SAWING
from barmath.shop.shop_file import shop_from_file

DANGERS = {
    "sharp ends and chips": ["cut", "file the edge round", "chips"],
    "files and saws": ["glasses"],
    "what pinches": ["die, hook and follower"],
    "a tube that slips": ["slips", "handle"],
    "an arm that swings": ["swings"],
    "hot steel that looks cold": ["Hot steel looks cold"],
    "4130 that is cooled quickly": ["4130", "still air"],
    "a bend beside a brazed joint": ["beside a brazed joint"],
    "a spoilt bend": ["cracked, kinked or wrinkled is scrap"],
    "open ends of a bar": ["Plug both ends"],
    "a crash": ["After a crash"],
    "a closed tube at the torch": ["vent hole before you braze"],
    "fumes": ["Fumes", "extraction"],
    "fire": ["extinguisher", "half an hour"],
    "a bar that breaks": ["approves no bar", "ISO 4210"],
    "rules": ["Local rules, standards and licensed practice come first"],
}

PANEL_CAUTIONS = {
    "week": {*BENDING},
    "order": {*BENDING, cautions.PLUGS, cautions.SCREEN},
    "bending": {*BENDING},
    "bench page": {*BENDING},
    "by hand": {*BENDING},
    "mistakes": {*CHECKING},
    "inspection": {*CHECKING},
    "record": {*CHECKING},
    "crossbar": {*SAWING, *BRAZING},
    "two bars": {*RIDING},
    "strength": {*RIDING},
    "own bends": {*BENDING},
    "practice": {*PLANNING, cautions.GLASSES, cautions.NEAR_JOINT},
    **{
        name: {*PLANNING}
        for name in ("start", "windows", "next die", "map", "budget", "charts", "class sheets", "teacher")
    },
}

SHEET_CAUTIONS = {
    "bench_sheet": {*BENDING, cautions.SCREEN, cautions.PLUGS},
    "check_sheet": {*CHECKING},
    "cope": {cautions.EDGES, *BRAZING},
    "full_size": {*RIDING},
    "wall_": {*PLANNING},
    "words_of_the_trade": {*PLANNING},
    "class_sheet": {*PLANNING},
}


@pytest.mark.parametrize("words", DANGERS.values(), ids=DANGERS)
def test_every_danger_has_its_caution(words):
    assert not [word for word in words if word.lower() not in " ".join(ALL).lower()]


def test_each_kind_of_work_names_the_rules_first():
    assert {group[0] for group in (BENDING, CHECKING, BRAZING, RIDING, PLANNING)} == {RULES}


@pytest.mark.parametrize("text", ALL)
def test_a_caution_is_short(text):
    assert max(len(sentence.split()) for sentence in re.split(r"[.:] ", text)) <= 20


@pytest.mark.parametrize("name", PANELS)
def test_a_panel_shows_the_cautions_of_its_work(name, demo_copy, tmp_path):
    panel = PANELS[name](demo_copy / "shop.toml", tmp_path)
    shown = " ".join(unescape(str(getattr(part, "value", ""))) for part in parts_of(panel.box))
    assert not [text for text in PANEL_CAUTIONS[name] if text not in shown]


def squeezed(text):
    return re.sub(r"\s+", " ", text)


SHEETS = dict(figures(shop_from_file(ROOT / "notebooks" / "demo" / "shop.toml")))
PDFS = [name for name in SHEETS if name.endswith(".pdf") and not name.startswith(("wall_die_127", "wall_die_152"))]
"""One die's sheets are drawn like another's."""


@pytest.mark.parametrize("name", PDFS)
def test_a_sheet_prints_the_cautions_of_its_work(name):
    wanted = next(texts for start, texts in SHEET_CAUTIONS.items() if name.startswith(start))
    printed = squeezed(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(SHEETS[name]())).pages))
    assert not [text for text in wanted if text not in printed]


def test_cautions_are_written_in_one_place_only():
    """A warning that somebody writes elsewhere would be mended in one place and left wrong in the other."""
    telling = re.compile("glasses on|goggles|extinguisher|ventilation|respirator", re.IGNORECASE)
    home = ROOT / "barmath" / "shop" / "cautions.py"
    assert telling.search(home.read_text(encoding="utf-8"))
    others = [path for path in (ROOT / "barmath").rglob("*.py") if path != home]
    assert not [path.name for path in others if telling.search(path.read_text(encoding="utf-8"))]


LESSON_CAUTIONS = {
    "00": {RULES, cautions.GLASSES, cautions.SCREEN},
    "01": {*BENDING, cautions.SCREEN, cautions.PLUGS},
    "03": {*PLANNING, cautions.SPOILT},
    "05": {*BENDING},
    "06": {*BENDING},
    "07": {*CHECKING},
    "08": {*BRAZING, cautions.EDGES},
    "09": {*CHECKING},
    "11": {*PLANNING, cautions.GLASSES, cautions.NEAR_JOINT},
    "12": {*RIDING},
    "13": {*RIDING},
    "14": {*PLANNING, cautions.GLASSES},
}
"""What a lesson says beside its title; the others say what every plan does."""


@pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)
def test_a_lesson_says_the_cautions_of_its_work_word_for_word_beside_its_title(path):
    first = "".join(json.loads(path.read_text(encoding="utf-8"))["cells"][0]["source"])
    (care,) = re.findall(r"^> \*\*Take care\.\*\* (.*)$", first, re.MULTILINE)
    texts = LESSON_CAUTIONS.get(path.stem[:2], {*PLANNING})
    left = care
    for text in texts:
        assert text in left
        left = left.replace(text, "", 1)
    assert not left.strip()  # nothing said there that is not in the one place


def test_the_readme_says_every_caution_word_for_word():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert not [text for text in ALL if f"- {text}\n" not in readme]
