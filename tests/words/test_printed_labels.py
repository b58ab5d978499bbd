"""Each label of a printed paper is in the glossary's words, or in everyday ones: it is read as the paper is laid out.

`test_words.py` reads the labels that are written as strings where they are printed. Here are those of tables, loops and
records too, as they come out for the demo shop.
"""

import re

import pytest
from every_sheet import RIDER, SHEETS, SHOP
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from words import labels

from barmath.paper.page import Page

OWN_WORDS = {word for tube in SHOP.tubes for word in labels.words_of(f"{tube.name} {tube.material.name}")}
OWN_WORDS |= set(labels.words_of(RIDER))
"""What the demo shop calls its tubes, and a rider of its orders."""

CODE = re.compile(r"\b[a-z-]+-\d+-\d+")
"""What an apprentice types to get one exercise."""

PAPERS = [name for name in SHEETS if not name.endswith(".png") and name != "words_of_the_trade.pdf"]
"""All but the glossary itself."""


@pytest.fixture
def written(monkeypatch):
    """Each line of text that is put on a page from now on, without those of paragraphs; no PDF is made."""
    found, inside = [], []
    text, paragraph = Page.text, Page.paragraph

    def line(page, x, y, words, *more, **how):
        if not inside:
            found.append(words)
        text(page, x, y, words, *more, **how)

    def block(page, *more, **how):
        inside.append(True)
        below = paragraph(page, *more, **how)
        inside.pop()
        return below

    monkeypatch.setattr(Page, "text", line)
    monkeypatch.setattr(Page, "paragraph", block)
    monkeypatch.setattr(Figure, "savefig", lambda *_, **__: None)
    monkeypatch.setattr(PdfPages, "savefig", lambda *_, **__: None)
    return found


@pytest.mark.parametrize("name", PAPERS)
def test_every_word_of_a_printed_label_is_in_the_glossary_or_an_everyday_word(name, written):
    SHEETS[name]()
    short = [words for words in written if labels.is_label(words)]
    assert short
    known = labels.GLOSSARY | labels.PLAIN_WORDS | OWN_WORDS
    found = {word: label for label in short for word in labels.words_of(CODE.sub("", label)) if word not in known}
    assert found == {}, "add the word to barmath/glossary/terms.py, or use one that is there"


def test_labels_of_tables_and_loops_are_taken_down(written):
    for name in ("check, inches", "rider", "week", "wall_die_102_settings_A4_mm.pdf"):
        SHEETS[name]()
    assert {"how to take it", "Setback of the bar ends", "outer mark", "inner mark"} <= set(written)
