"""In inches everything is in inches: every panel that has the choice, every sheet and chart, word by word."""

import html
import re

import ipywidgets as widgets
import numpy as np
import plotly.graph_objects as go
import pytest
from every_panel import PANELS, parts_of
from printed import text_of

from barmath.panels.pick_table import PickTable
from barmath.panels.sheet import SheetWriter
from barmath.paper.wall_pairs import die_sheets, pair_sheet
from barmath.paper.wall_settings import settings_sheet
from barmath.pictures.inches import axes_in
from barmath.planning.chart_data import Chart
from barmath.shop.shop_file import shop_from_file

MM = re.compile(r"(?<![A-Za-z])mm(?![A-Za-z])|millimet", re.IGNORECASE)


def said_by(widget):
    """Every word that a widget shows."""
    for name in ("value", "description", "placeholder", "tooltip"):
        words = getattr(widget, name, None)
        if isinstance(words, str):
            yield words
    chooser = widgets.ToggleButtons | widgets.Dropdown | widgets.RadioButtons | widgets.Select | widgets.SelectMultiple
    if isinstance(widget, chooser):
        words = [str(option) for option in widget._options_labels]
        if words != ["mm", "inches"]:
            yield from words
    if isinstance(widget, PickTable):
        yield from words_in(
            [widget.title, [head["words"] for head in widget.heads], [row["cells"] for row in widget.rows]]
        )
    if isinstance(widget, go.Figure):
        yield from words_in(widget.to_plotly_json())


def words_in(thing):
    if isinstance(thing, str):
        yield thing
    elif isinstance(thing, dict):
        for name, inner in thing.items():
            if name != "bdata":  # numbers, packed
                yield from words_in(inner)
    elif isinstance(thing, list | tuple):
        for inner in thing:
            yield from words_in(inner)
    elif hasattr(thing, "tolist") and getattr(thing, "dtype", None) is not None and thing.dtype.kind in "OU":
        yield from words_in(thing.tolist())


def shown(words):
    return " ".join(html.unescape(re.sub(r"<style.*?</style>|<[^>]+>", " ", words, flags=re.DOTALL)).split())


def in_mm(words):
    """Every place where mm is said, with what is beside it."""
    text = shown(words)
    return [text[max(0, at.start() - 40) : at.end() + 15] for at in MM.finditer(text)]


WITH_CHOICE = ("order", "bench page", "inspection", "crossbar", "record", "two bars", "strength", "week")


@pytest.fixture(params=PANELS)
def panel(request, demo_copy, tmp_path):
    (tmp_path / "folder").mkdir()
    one = PANELS[request.param](demo_copy / "shop.toml", tmp_path / "folder")
    assert (one.unit is not None) is (request.param in WITH_CHOICE)
    if one.unit is None:
        pytest.skip("a panel in mm: it has no choice of units")
    one.unit.value = "in"
    return one


def test_a_panel_in_inches_says_nothing_in_mm(panel):
    found = [place for part in parts_of(panel.box) for words in said_by(part) for place in in_mm(words)]
    assert not found


def in_inches(axis):
    return axis.tickmode == "array"


def test_axes_of_one_scale_are_all_in_inches_or_none_and_nothing_is_less_than_nothing(panel):
    for figure in (part for part in parts_of(panel.box) if isinstance(part, go.Figure)):
        axes = {axis.plotly_name: axis for axis in (*figure.select_xaxes(), *figure.select_yaxes())}
        for name, axis in axes.items():
            same = [axes[f"{axis.scaleanchor[0]}axis{axis.scaleanchor[1:]}"]] if axis.scaleanchor else []
            beside = [one for other, one in axes.items() if other[0] == name[0]]
            same += [one for one in beside if axis.range and one.range == axis.range]
            assert {in_inches(one) for one in same} <= {in_inches(axis)}, (name, axis.title.text)
            assert not {"-0", "-0.0"} & set(axis.ticktext or ())


def test_back_in_mm_the_axes_are_as_before(panel):
    figures = [part for part in parts_of(panel.box) if isinstance(part, go.Figure)]
    panel.unit.value = "mm"
    for axis in (axis for figure in figures for axis in (*figure.select_xaxes(), *figure.select_yaxes())):
        assert axis.tickmode is None or "die" in axis.ticktext[0]
        assert axis.ticktext is None or "die" in axis.ticktext[0]


def test_a_refusal_in_inches_says_nothing_in_mm(panel):
    for sentence in ("width must be at most 900.0 mm, got 950.0 mm: choose less", "from 41.2 to 86.8 mm"):
        panel.say(sentence, [sentence], sentence)
        assert not in_mm(panel.message.value)
        assert panel.message.value.count(" in") >= 3


def test_every_sheet_that_a_panel_writes_in_inches_is_in_inches(panel):
    writers = [thing for thing in vars(panel).values() if isinstance(thing, SheetWriter)]
    for writer in writers:
        pdf, _ = writer.make("order 7", "Letter")
        assert not in_mm(text_of(pdf)), writer.write.description


@pytest.mark.parametrize("sheet", [settings_sheet, pair_sheet, lambda chart, *how: next(die_sheets([chart], *how))])
def test_a_sheet_for_the_wall_in_inches_says_nothing_in_mm(root, sheet):
    shop = shop_from_file(root / "notebooks" / "demo" / "shop.toml")
    page = sheet(Chart(shop.tubes[0], shop.dies[1]), "Letter", "in")
    assert not in_mm(text_of(page.pdf("sheet")))


def test_under_the_pointer_the_length_follows_the_data_and_goes_back_to_mm():
    figure = go.Figure([go.Scatter(x=x, y=[1.0, 2.0], hovertemplate="%{x:.1f} mm: %{y}") for x in ([25.4, 50.8],) * 2])
    for _ in range(2):
        axes_in(figure, "in")
        assert [trace.hovertext for trace in figure.data] == [("1 in", "2 in")] * 2
        assert "mm" not in figure.data[1].hovertemplate
    figure.data[0].x = [12.7, np.nan]
    axes_in(figure, "in")
    assert figure.data[0].hovertext == ("1/2 in", "")
    axes_in(figure, "mm")
    assert {trace.hovertemplate for trace in figure.data} == {"%{x:.1f} mm: %{y}"}
