"""Wrap templates and full-size drawings: true scale measured on what poppler prints, and the panel."""

import io
import shutil
import subprocess
from html import unescape
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader

from barmath import BendError, Order, Tube, recipe_from_order
from barmath.crossbars.crossbar import STATIONS_DEG, crossbar, unrolled_mm
from barmath.panels.crossbar import CrossbarPanel, crossbar_panel
from barmath.panels.crossbar_state import AT_HEIGHT
from barmath.panels.shell import FAULT
from barmath.paper.cope_wrap import CopeWrap, cope_wrap_pdf
from barmath.paper.full_size import FullSize, full_size_pdf, long_page
from barmath.paper.sizes import LONG
from barmath.pictures.crossbar_in_space import OF_CROSSBAR
from barmath.shop.shop_file import shop_from_file

DEMO = Path(__file__).resolve().parents[2] / "notebooks" / "demo" / "shop.toml"
RECIPE = recipe_from_order(Order(78.0, 12.0, 780.0, controls_mm=180.0), 91.472, 25.0)
BAR = crossbar(RECIPE, 22.225, Tube(9.525, 0.889), 40.0)
DRAWING = FullSize("order 7", RECIPE, 22.225)
needs_poppler = pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="no pdftoppm: install poppler-utils")
DPI = 300
MM = DPI / 25.4
TRUE_MM = 0.1


def printed(pdf: bytes, folder: Path, page: int = 1) -> np.ndarray:
    """One page as poppler prints it: grey, 0 black to 255 white."""
    (folder / "page.pdf").write_bytes(pdf)
    command = ["pdftoppm", "-gray", "-r", str(DPI), "-f", str(page), "-l", str(page), "-singlefile", "page.pdf", "page"]
    subprocess.run(command, cwd=folder, check=True)
    raw = (folder / "page.pgm").read_bytes()
    width, height = map(int, raw.split(maxsplit=3)[1:3])
    return np.frombuffer(raw[-width * height :], np.uint8).reshape(height, width)


@needs_poppler
def test_the_tube_is_as_thick_on_the_drawing_as_in_the_hand(tmp_path):
    # up the middle of the clamp flat, beside the centre line: two edges a tube's diameter apart
    dots = printed(full_size_pdf(DRAWING, LONG), tmp_path)
    column = dots[round(60.0 * MM) :, round((long_page(DRAWING).width / 2.0 + 10.0) * MM)] < 100
    edges = np.flatnonzero(np.diff(column.astype(int)) == 1) / MM
    assert edges[1] - edges[0] == pytest.approx(22.225, abs=TRUE_MM) or edges[2] - edges[0] == pytest.approx(
        22.225, abs=TRUE_MM
    )


@needs_poppler
def test_the_wrap_is_as_long_as_the_tube_is_round(tmp_path):
    dots = printed(cope_wrap_pdf(CopeWrap("order 7", BAR)), tmp_path) < 128
    runs = []
    for row in dots[round(45.0 * MM) : round(110.0 * MM)]:  # the base line of a wrap is its longest dark run
        edges = np.flatnonzero(np.diff(np.concatenate([[0], row, [0]]).astype(int)))
        runs.append(int(np.max(edges[1::2] - edges[::2], initial=0)))
    assert max(runs) / MM == pytest.approx(np.pi * 9.525 + 0.25, abs=TRUE_MM)


def test_the_wrap_is_the_cope_unrolled_and_the_right_one_its_mirror_image():
    high = crossbar(RECIPE, 22.225, Tube(9.525, 0.889), 66.0)
    left, right = (unrolled_mm(high, end)[0] for end in ("left end", "right end"))
    np.testing.assert_allclose(left[:, 0], np.radians(STATIONS_DEG) * 9.525 / 2.0)
    np.testing.assert_allclose(left[:, 1] + high.outside_mm.min(), high.outside_mm)
    np.testing.assert_allclose(right[:, 1], left[::-1, 1])
    assert np.abs(right[:, 1] - left[:, 1]).max() > 0.1  # on a bend the two are not the same
    with pytest.raises(BendError, match="Choose right end or left end: end must be one of these, got 'top'"):
        unrolled_mm(high, "top")


@pytest.mark.parametrize("page", ["A4", "Letter"])
def test_the_template_says_what_is_cut_and_how(page):
    pdf = PdfReader(io.BytesIO(cope_wrap_pdf(CopeWrap("order <7>", BAR), page)))
    words = " ".join(pdf.pages[0].extract_text().split())
    numbers = (f"{BAR.cut_length_mm:.1f} mm", "25.0°")
    for told in (
        *numbers,
        "order <7>",
        "right end",
        "left end",
        "pencil line",
        "Fumes: work in fresh air",
        "100 mm long",
    ):
        assert told in words


def test_equal_drawings_are_equal_bytes_and_an_unknown_unit_is_refused():
    assert full_size_pdf(DRAWING, LONG) == full_size_pdf(DRAWING, LONG)
    with pytest.raises(BendError):
        FullSize("order 7", RECIPE, 22.225, "ft")
    with pytest.raises(BendError):
        full_size_pdf(DRAWING, "A9")


# ---- the panel


@pytest.fixture
def panel(tmp_path):
    return CrossbarPanel(shop_from_file(DEMO), sheets_folder=tmp_path)


@pytest.mark.parametrize("name", ["height", "diameter", "wall", "allowance"])
@pytest.mark.parametrize("end", ["low", "high"])
def test_every_slider_goes_to_both_its_ends(panel, name, end):
    panel.place.value = AT_HEIGHT
    row = getattr(panel, name)
    row.value = getattr(row, end)
    assert FAULT not in panel.message.value
    assert "barmath-message" in panel.message.value


def test_a_branch_wider_than_the_bar_is_refused_and_only_the_bar_is_shown(panel):
    things = panel.picture.things
    assert all(things[name].visible for name in ("tube", *OF_CROSSBAR))
    panel.diameter.value = 28.0
    said = unescape(panel.message.value)
    assert "Swap the tubes or choose a thinner branch: branch diameter must be at most the header's 22.225 mm" in said
    assert things["tube"].visible
    assert not any(things[name].visible for name in OF_CROSSBAR)
    assert not any(len(trace.x) for trace in panel.figure.data)
    assert panel.said.value == ""
    with pytest.raises(BendError, match="branch diameter must be"):
        panel.cope_wrap("order 7", "A4")


def test_the_crossbar_in_space_has_its_length_and_its_wall_and_can_be_lifted_out(panel):
    fitted, crossbar = panel.readout.bar, panel.picture.things["crossbar"]
    rings = crossbar.vertices.reshape(8, -1, 3)
    outside, inside = rings[:2], rings[4:6]
    length = np.ptp(outside[..., 0]) + 2.0 * fitted.allowance_mm
    assert length == pytest.approx(fitted.cut_length_mm, abs=1e-3)
    assert panel.picture.things["cut"].text.count(f"cut {fitted.cut_length_mm:.1f} mm") == 1
    for ring, diameter in ((outside, 12.7), (inside, 12.7 - 2 * 0.889)):
        middle = fitted.joint_mm * [0.0, 1.0, 1.0]
        across = np.linalg.norm((ring - middle)[..., 1:], axis=-1)
        np.testing.assert_allclose(across, 0.5 * diameter, atol=1e-3)
    panel.lifted.value = True
    assert crossbar.model_matrix[2, 3] > 12.7
    panel.lifted.value = False
    np.testing.assert_array_equal(crossbar.model_matrix, np.eye(4))


@pytest.mark.parametrize("text", ["", "thick", "-3", "nan", "1e400"])
def test_nonsense_is_said_and_changes_nothing(panel, text):
    before = panel.readout.bar.cut_length_mm
    panel.wall.box.value = text
    assert panel.readout.bar.cut_length_mm == before
    assert FAULT not in panel.message.value
    assert "crossbar wall" in panel.message.value.lower()


def test_what_is_shown_follows_place_height_and_unit(panel):
    assert panel.readout.bar.height_mm == pytest.approx(64.49, abs=0.01)
    panel.place.value, panel.height.value = AT_HEIGHT, 40.0
    assert panel.readout.bar.height_mm == pytest.approx(40.0)
    panel.unit.value = "in"
    assert " in" in panel.said.value
    pdf, png = panel.cope_wrap("order 7", "Letter")
    assert pdf.startswith(b"%PDF")
    assert png.startswith(b"\x89PNG")
    pdf, png = panel.full_size_drawing("order 7", LONG)
    assert len(PdfReader(io.BytesIO(pdf)).pages) == 1
    assert png.startswith(b"\x89PNG")


def test_running_the_cell_again_shows_the_same_panel():
    assert crossbar_panel(DEMO) is crossbar_panel(DEMO)
