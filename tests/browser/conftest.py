"""The browser tests' fixtures: one server, one browser and one page with JupyterLab in it for all of them."""

import os
from pathlib import Path

import pytest
from browser.driver import Lab, NotebookPage, find_chromium, look_afresh, open_lab, open_page
from playwright.sync_api import Page, sync_playwright

HERE = Path(__file__).parent


def pytest_itemcollected(item):
    """Mark every test in this folder."""
    item.add_marker(pytest.mark.browser)


def seen_by(item):
    """The page that a test shares with others, or nothing."""
    return (
        item.callspec.params.get("page") if hasattr(item, "callspec") and item.get_closest_marker("browser") else None
    )


def pytest_collection_modifyitems(items):
    """Put those tests beside each other that look at one page: it is opened once."""
    there = [place for place, item in enumerate(items) if seen_by(item)]
    for place, item in zip(there, sorted((items[one] for one in there), key=seen_by), strict=True):
        items[place] = item


def cannot_run(reason: str):
    (pytest.fail if os.environ.get("BARMATH_REQUIRE_BROWSER") == "1" else pytest.skip)(reason)


@pytest.fixture(scope="session")
def browser():
    path = find_chromium()
    if path is None:
        cannot_run("no chromium, chromium-browser or google-chrome on the path: install one to run the browser tests")
    try:
        play = sync_playwright().start()
    except Exception as error:
        cannot_run(f"Playwright's driver does not start ({error}); on Debian it needs libatomic1")
    running = play.chromium.launch(executable_path=path)
    yield running
    running.close()
    play.stop()


@pytest.fixture(scope="session")
def lab(browser, project_copy, tmp_path_factory):
    """A running JupyterLab; asks for the browser first, so that none is started where there is none to look at it."""
    server = Lab(root=project_copy, home=tmp_path_factory.mktemp("lab"))
    yield server
    server.stop()


@pytest.fixture(scope="session")
def pages(browser, lab):
    """The page that was looked at last, by its name and width."""
    opened = {}
    yield opened
    for page in opened.values():
        page.context.close()


@pytest.fixture
def page(pages, browser, lab, request):
    """A bench notebook as a page, only to be looked at: the next test finds it as this one has left it.

    What was typed would be found again. Where it is scrolled, its focus and its size are set for each test.
    """
    name, width, height = request.param
    if (name, width) not in pages:
        while pages:
            pages.popitem()[1].context.close()
        pages[name, width] = open_page(browser, lab, name, width, height)
        pages[name, width].name = name
    look_afresh(pages[name, width], width, height)
    return pages[name, width]


@pytest.fixture(scope="session")
def lab_page(browser, lab):
    """JupyterLab, open; it takes one notebook after the other."""
    return open_lab(browser, lab)


def opener(lab_page, lab):
    """What opens notebooks, and closes them when it is asked for the next thing."""
    opened = []

    def open_one(name: str, width: int = 1280, page: Page | None = None) -> NotebookPage:
        opened.append(NotebookPage(page or lab_page, lab, name, width))
        return opened[-1]

    yield open_one
    for notebook in reversed(opened):
        notebook.close()
        if notebook.page is not lab_page:
            notebook.page.context.close()


@pytest.fixture
def open_notebook(lab_page, lab):
    """`open_notebook(name, width=1280)` opens NAME.ipynb of either shelf; it is closed after the test.

    With `page=open_lab(browser, lab)` it opens in a page of its own: one that has loaded nothing yet.
    """
    yield from opener(lab_page, lab)


@pytest.fixture(scope="module")
def open_for_all(lab_page, lab):
    """The same for all tests of a module: each finds the notebook as the one before has left it."""
    yield from opener(lab_page, lab)
