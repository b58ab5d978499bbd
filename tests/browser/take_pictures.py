"""The pictures of the screen in figures/, taken in a real browser; `python -m barmath.paper.figures` calls it.

python tests/browser/take_pictures.py FOLDER            takes them into the folder, those that have changed
python tests/browser/take_pictures.py FOLDER --check    writes nothing; says which differ and ends with 1 where one does
"""

import io
import shutil
import sys
import tempfile
from pathlib import Path

import numpy as np
from PIL import Image
from playwright.sync_api import sync_playwright

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests"))

from browser.driver import Lab, NotebookPage, find_chromium, open_lab  # noqa: E402

from barmath.paper.figures import settled  # noqa: E402

PICTURES = {
    "order_panel": ("01_order_to_bench", ".barmath-panel", 1700),
    "frame": ("00_start_here", ".barmath-panel:not(:has(.barmath-panel)):has(.js-plotly-plot)", 1200),
}
"""Name, notebook, what of its page, and how wide the page is."""

TALL_ENOUGH, MOST_HIGH = 3200, 1180
"""The page is higher than every panel, so that none is scrolled; of a long panel the picture shows the top."""

CHARTS_DRAWN = """selector => [...document.querySelector(selector).querySelectorAll('.js-plotly-plot')].every(
    plot => plot._fullData?.length)"""

HEIGHT_TOLERANCE, GREY_TOLERANCE = 0.04, 0.03
"""Share by which heights, and mean greys of a thumbnail, may differ: another machine's type, no more."""


def taken() -> dict[str, bytes]:
    """Every picture as it looks now, by its file's name."""
    pictures = {}
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        copy, home = Path(folder, "copy"), Path(folder, "home")
        home.mkdir()
        shutil.copytree(ROOT / "notebooks", copy / "notebooks", ignore=shutil.ignore_patterns(".*", "*.db*"))
        browser, lab = play.chromium.launch(executable_path=find_chromium()), Lab(root=copy, home=home)
        try:
            for name, (notebook, selector, width) in PICTURES.items():
                page = NotebookPage(open_lab(browser, lab), lab, notebook, width, height=TALL_ENOUGH)
                page.run_all()
                page.show_every_answer()
                shown = page.page.locator(selector).first
                shown.scroll_into_view_if_needed()
                page.page.wait_for_function(CHARTS_DRAWN, arg=selector.split(":not")[0], timeout=60_000)
                page.page.wait_for_timeout(3000)
                box = shown.bounding_box()
                pictures[f"{name}.png"] = page.page.screenshot(clip=box | {"height": min(box["height"], MOST_HIGH)})
                page.close()
        finally:
            lab.stop()
            browser.close()
    return pictures


def alike(one: bytes, other: bytes) -> bool:
    """Whether two pictures of the screen show the same, as far as type and drawing of two machines agree."""
    pictures = [Image.open(io.BytesIO(data)).convert("L") for data in (one, other)]
    (wide, high), (other_wide, other_high) = (picture.size for picture in pictures)
    thumbs = [np.asarray(picture.resize((60, 60), Image.Resampling.BOX), float) / 255.0 for picture in pictures]
    return (
        wide == other_wide
        and abs(high - other_high) <= HEIGHT_TOLERANCE * high
        and float(np.abs(thumbs[0] - thumbs[1]).mean()) <= GREY_TOLERANCE
    )


def main(folder: Path, check: bool) -> int:
    """Take or compare every picture; 1 where it only compares and one differs, else 0."""
    if find_chromium() is None:
        print("pictures of the screen left as they are: there is no browser here")
        return 0
    differing = [settled(folder / name, data, alike, check) for name, data in taken().items()]
    return int(check and any(differing))


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), "--check" in sys.argv[2:]))
