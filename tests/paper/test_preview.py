"""The picture of a sheet on the screen, drawn from the outlines of its letters, against Matplotlib's own way."""

import io

import numpy as np
import pytest
from matplotlib import image
from matplotlib.text import Text
from printed import fonts_are_inside, pages_of

from barmath.paper.page import Page

NEARLY = 0.006
"""Mean difference of two pictures, of 1: hinting and kerning of type, no more."""


def grey(page):
    return image.imread(io.BytesIO(page.png(110)))[..., :3].mean(axis=-1)


@pytest.fixture(scope="module")
def page():
    page = Page("A4")
    page.text(105.0, 40.0, "left 45.7°", 30.0)
    page.text(105.0, 60.0, "centre 180.3", 30.0, bold=True, align="center")
    page.text(105.0, 80.0, "right 3 1/8 in", 30.0, align="right", colour="0.35")
    page.text(60.0, 200.0, "upward", 40.0, turned=90.0)
    page.text(105.0, 220.0, "", 30.0)
    page.text(105.0, 240.0, " ", 30.0)
    return page


def test_a_picture_drawn_from_outlines_shows_what_matplotlib_draws(page, monkeypatch):
    quick = grey(page)
    monkeypatch.setattr("barmath.paper.page._Line.draw", Text.draw)
    slow = grey(page)
    blank = np.abs(1.0 - slow).mean()
    assert np.abs(quick - slow).mean() < min(NEARLY, 0.5 * blank)
    dark = [np.argwhere(shown < 0.6) for shown in (quick, slow)]
    edges = [(places.min(axis=0), places.max(axis=0)) for places in dark]
    assert np.abs(np.subtract(*edges)).max() <= 3  # dots


def test_the_pdf_still_holds_letters(page, shipped_letters):
    (printed,) = pages_of(page.pdf("letters"))
    assert fonts_are_inside(printed)
