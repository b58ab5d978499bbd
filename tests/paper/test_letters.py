"""Names in any script: printed as they are written, or the sheet and the panel say what is missing and what to do."""

import io
import shutil
from html import unescape

import pytest
from conftest import ROOT
from every_panel import PANELS
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.font_manager import fontManager
from pypdf import PdfReader

from barmath.paper import letters
from barmath.paper.letters import one_line, printable, unprinted, unprinted_words
from barmath.paper.page import Page

CHINESE = "\u8f66\u628a"
NO_SIGN, NOT_SET = "the sheet's type has no sign for", "cannot join letters or run from right to left"
NAMES = {
    "Cyrillic": ("Руль Анны", ()),
    "Greek": ("Τιμόνι Ελένης", ()),
    "combining marks": ("Jose\u0301 Nguye\u0302\u0303n", ()),
    "Chinese": (f"{CHINESE} 7", (NO_SIGN,)),
    "emoji": ("bar \U0001f6b2\ufe0f", (NO_SIGN,)),
    "Arabic": ("مقود 7", (NOT_SET,)),
    "Hebrew": ("כידון", (NOT_SET,)),
    "Devanagari": ("हैंडल", (NOT_SET,)),
    "Chinese and Arabic": (f"{CHINESE} مقود", (NO_SIGN, NOT_SET)),
}
ON_SHEETS = {
    "Руль Ελένης Jose\u0301": (),
    f"{CHINESE} \U0001f6b2": (NO_SIGN,),
    "מקוד مقود": (NOT_SET,),
    f"{CHINESE} مقود": (NO_SIGN, NOT_SET),
}
SHEETS = {
    "bench sheet": ("order", lambda panel: panel.sheet),
    "bench sheet of an sequence of bends": ("bending", lambda panel: panel.sheet),
    "check sheet": ("inspection", lambda panel: panel.sheet),
    "wrap templates": ("crossbar", lambda panel: panel.wrap),
    "full-size drawing": ("crossbar", lambda panel: panel.full_size),
}


def text_of(pdf):
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())


@pytest.fixture(autouse=True)
def only_the_type_that_comes_along(monkeypatch):
    # another machine may have fonts for these names
    monkeypatch.setattr(letters, "_of_the_machine", list)
    letters.family_of.cache_clear()
    letters.advance.cache_clear()
    yield
    letters.family_of.cache_clear()
    letters.advance.cache_clear()


@pytest.mark.parametrize("sheet", SHEETS)
def test_a_name_in_any_script_is_printed_or_the_sheet_and_the_panel_say_why_not(sheet, tmp_path):
    shutil.copy(ROOT / "notebooks" / "demo" / "shop.toml", tmp_path / "shop.toml")
    panel, writer_of = SHEETS[sheet]
    writer = writer_of(PANELS[panel](tmp_path / "shop.toml", tmp_path))
    names = list(ON_SHEETS.items())
    for place, (name, why) in enumerate(names if sheet == "bench sheet" else names[3:]):
        writer.folder = tmp_path / str(place)
        writer.name.value = name
        writer.write.click()
        (written,) = writer.folder.glob("*.pdf")
        text, said = text_of(written.read_bytes()), unescape(writer.message.value)
        assert printable(name) in text, name
        assert ("Write the name in other letters" in text) == bool(why), name
        for reason in (NO_SIGN, NOT_SET):
            assert (reason in said) == (reason in why), name
        assert all(reason in text for reason in why), name
        assert PdfReader(written).metadata.title.endswith(one_line(name))  # a title needs no type


def test_what_can_be_printed_is_printed_letter_by_letter():
    for name, why in NAMES.values():
        assert bool(unprinted(name)) == bool(why)
        assert (printable(name) == one_line(name)) == (not why)
    assert printable("Jose\u0301") == "José"
    assert printable("half \ud83d of it \ue000") == "half ? of it ?"


def test_the_first_letter_is_named_and_the_others_are_counted():
    said = unprinted_words("\U0001f6b2\u8f66\u628a\u0645")
    assert said == (
        "Write the name in other letters: the sheet's type has no sign for bicycle and 2 more. It cannot join letters "
        "or run from right to left, as arabic letter meem would need."
    )
    assert unprinted_words("") == ""


def test_the_tube_s_and_the_die_s_name_count_too_and_the_line_keeps_to_the_sheet():
    page = Page("A4")
    page.text(20.0, 40.0, f"die {CHINESE}", within=100.0)
    page.paragraph(20.0, 60.0, 60.0, "tube مقود")
    page.text(20.0, 80.0, "die 89")
    (said,) = [text for text in page.axes.texts if text.get_text().startswith("Write")]
    assert NO_SIGN in said.get_text()
    extent = said.get_window_extent(FigureCanvasAgg(page.figure).get_renderer()).extents / page.figure.dpi * 25.4
    assert extent[0] > 5.0
    assert extent[2] < 205.0
    page.window(300.0, 500.0)  # of a larger drawing, it stands on the sheet that is shown
    assert said.get_position() == (300.0 + 105.0, 500.0 + 7.6)


@pytest.fixture
def square_font(tmp_path):
    """A TrueType font made here, whose two Chinese letters are squares."""
    pen = TTGlyphPen(None)
    pen.moveTo((100, 0))
    for corner in ((100, 800), (900, 800), (900, 0)):
        pen.lineTo(corner)
    pen.closePath()
    names = [".notdef", "a", "b"]
    made = FontBuilder(1000, isTTF=True)
    made.setupGlyphOrder(names)
    made.setupCharacterMap({ord(CHINESE[0]): "a", ord(CHINESE[1]): "b"})
    made.setupGlyf(dict.fromkeys(names, pen.glyph()))
    made.setupHorizontalMetrics(dict.fromkeys(names, (1000, 100)))
    made.setupHorizontalHeader(ascent=800, descent=-200)
    made.setupNameTable({"familyName": "Squares of this test", "styleName": "Regular", "psName": "Squares"})
    made.setupOS2(sTypoAscender=800, usWeightClass=400)
    made.setupPost()
    path = tmp_path / "squares.ttf"
    made.save(path)
    before = list(fontManager.ttflist)
    fontManager.addfont(path)
    yield next(one for one in fontManager.ttflist if one not in before)
    fontManager.ttflist[:] = before


def test_a_letter_that_the_type_lacks_is_taken_from_a_font_of_the_machine(square_font, monkeypatch):
    assert printable(CHINESE) == "??"
    letters.family_of.cache_clear()
    letters.advance.cache_clear()
    monkeypatch.undo()
    monkeypatch.setattr(fontManager, "ttflist", [*fontManager.ttflist])
    assert letters.family_of(CHINESE[0]) == square_font.name
    assert letters.advance(CHINESE[0], bold=True) == pytest.approx(1.0, abs=1e-3)
    page = Page("A4")
    page.text(20.0, 40.0, f"order {CHINESE}", 12.0, bold=True)
    pdf = page.pdf("order")
    assert f"order {CHINESE}" in text_of(pdf)
    assert "Write the name" not in text_of(pdf)
    fonts = PdfReader(io.BytesIO(pdf)).pages[0]["/Resources"]["/Font"]
    assert any("Squares" in str(one.get_object()["/BaseFont"]) for one in fonts.values())
