"""The pictures of the real thing that README.md and DEVELOPERS.md show, taken in a browser into figures/.

python tests/browser/take_pictures.py
"""

import shutil
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests"))

from browser.driver import Lab, NotebookPage, find_chromium  # noqa: E402

PICTURES = {
    "order_panel": ("01_order_to_bench", ".barmath-panel", 1700),
    "frame": ("00_start_here", ".barmath-panel", 1200),
}


def main() -> None:
    """Take every picture."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        copy, home = Path(folder, "copy"), Path(folder, "home")
        home.mkdir()
        shutil.copytree(ROOT / "notebooks", copy / "notebooks")
        browser, lab = play.chromium.launch(executable_path=find_chromium()), Lab(root=copy, home=home)
        try:
            for name, (notebook, selector, width) in PICTURES.items():
                page = NotebookPage(browser, lab, notebook, width, height=2200)
                page.run_all()
                shown = page.page.locator(selector).first
                shown.scroll_into_view_if_needed()
                page.page.wait_for_timeout(3000)
                shown.screenshot(path=ROOT / "figures" / f"{name}.png")
                page.close()
        finally:
            lab.stop()
            browser.close()


if __name__ == "__main__":
    main()
