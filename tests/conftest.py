"""What every test shares: the project's files, a copy to work in, and how hard hypothesis tries."""

import os
import shutil
import subprocess
from pathlib import Path

import pytest
from hypothesis import settings
from xdist.scheduler import LoadScopeScheduling

from barmath.paper.page import SETTINGS

ROOT = Path(__file__).resolve().parents[1]

NOTEBOOKS = sorted((ROOT / "notebooks").glob("*/*.ipynb"), key=lambda path: path.name)
LESSONS = [path for path in NOTEBOOKS if path.name[:2].isdigit()]
"""Every notebook of both shelves, and those with a number, in their order."""

settings.register_profile("ci", derandomize=True, max_examples=100, deadline=None)
settings.register_profile("nightly", max_examples=10_000, deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "ci"))


class OneBrowserAtATime(LoadScopeScheduling):
    """Test by test, but all browser tests on one worker: two browsers would starve each other on two cores.

    The mark `xdist_group` does not do it: pytest-xdist 3.8 writes a private name that pytest 9.2 no longer reads.
    """

    def _split_scope(self, nodeid: str) -> str:
        return "browser" if nodeid.startswith("tests/browser/") else nodeid


def pytest_xdist_make_scheduler(config, log):
    return OneBrowserAtATime(config, log)


@pytest.fixture(scope="session", autouse=True)
def quick_letters():
    """PDFs with letters as outlines: to cut a TrueType font to size takes as long as all the rest of a sheet."""
    shipped = SETTINGS["pdf.fonttype"]
    SETTINGS["pdf.fonttype"] = 3
    yield
    SETTINGS["pdf.fonttype"] = shipped


@pytest.fixture
def shipped_letters(monkeypatch):
    """PDFs with the fonts that a user gets."""
    monkeypatch.setitem(SETTINGS, "pdf.fonttype", 42)


@pytest.fixture(scope="session")
def root() -> Path:
    return ROOT


@pytest.fixture(scope="session")
def committed(root, tmp_path_factory) -> Path:
    """Every file as git has it, whatever somebody has since run and saved in the working tree."""
    if not (root / ".git").exists():
        pytest.skip("not a git checkout: what is committed cannot be told")
    folder = tmp_path_factory.mktemp("committed")
    subprocess.run(["git", "checkout-index", "--all", f"--prefix={folder}/"], cwd=root, check=True)
    return folder


LEFT_BY_USE = ("*.db*", "drafts.json", "last_order.txt", "at_the_bench.json")
"""What the notebooks leave beside the demo's files: a test begins without it."""


@pytest.fixture
def demo_copy(root, tmp_path) -> Path:
    """The demo shop's folder, copied: its file may be changed, and a record made beside it."""
    folder = tmp_path / "demo"
    shutil.copytree(root / "notebooks" / "demo", folder, ignore=shutil.ignore_patterns(*LEFT_BY_USE))
    return folder


@pytest.fixture(scope="session")
def project_copy(root, tmp_path_factory) -> Path:
    """Notebooks and figures, copied: what a notebook or a panel writes does not touch the checkout."""
    folder = tmp_path_factory.mktemp("project")
    for name in ("notebooks", "figures"):
        shutil.copytree(root / name, folder / name, ignore=shutil.ignore_patterns(".*", *LEFT_BY_USE))
    return folder
