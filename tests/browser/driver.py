"""JupyterLab in a real browser: a server of its own on a copy of the notebooks, and a notebook in it to drive.

Use, in a test under tests/browser/ (the fixtures and the marker `browser` come by themselves)::

    def test_the_bar_moves_with_the_rise(open_notebook):
        notebook = open_notebook("01_order_to_bench", width=1280)
        notebook.run_all()                                   # waits for every cell and for the kernel
        before = notebook.figure_data()                      # the first figure's traces, as Plotly draws them
        notebook.focus("Rise")                               # a slider, box or button by its label
        notebook.press("ArrowRight", times=3)
        after = notebook.figure_data_after(before)           # waits for the change; fails where none comes
        assert notebook.errors() == [] and notebook.problems == []

`notebook.page` is Playwright's page, for all else. `notebook.folder` is where the notebook's files are written.
"""

import json
import os
import re
import secrets
import shlex
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

from browser.calm import ALL_DRAWN, CALM_MS, wait_until_calm
from playwright.sync_api import Browser, Page

CHROMIUMS = ("chromium", "chromium-browser", "google-chrome")
CONTROLS = "input, select, button, [role=slider]"
"""What can have the focus: a table may have the same word in its label."""

START_S, RUN_S, CHANGE_S = 120, 180, 20

STARTED = "() => window.jupyterapp?.restored.then(() => true)"
OPEN = "path => jupyterapp.commands.execute('docmanager:open', {path}).then(() => null)"
SHOWN = "() => window.jupyterapp?.shell.currentWidget?.context?.path"
READY = """() => {
    const shown = window.jupyterapp?.shell.currentWidget;
    return shown?.context?.sessionContext.session?.kernel?.status === 'idle';
}"""
KERNEL = "jupyterapp.shell.currentWidget.context.sessionContext.session.kernel"
BE_BUSY = """seconds => {
    const over = () => { window.barmathBusy = false; };
    window.barmathBusy = true;
    KERNEL.requestExecute({code: `import ctypes; ctypes.PyDLL(None).usleep(${seconds}_000_000)`}).done.then(over, over);
}""".replace("KERNEL", KERNEL)
BUSY = "() => window.barmathBusy"
"""Some seconds in which no thread of the kernel runs: ctypes.PyDLL keeps Python's lock. And whether they are over.

The kernel's own word that it is busy may come too late: the thread that sends it does not run either.
"""

COUNT_THE_UNHEARD = """() => {
    const unheard = window.barmathUnheard = new Set();
    const {kernel} = jupyterapp.shell.currentWidget.context.sessionContext.session;
    kernel.anyMessage.connect((_, {msg, direction}) => {
        if (direction === 'send' && msg.header.msg_type === 'comm_msg') unheard.add(msg.header.msg_id);
        if (msg.header.msg_type === 'status' && msg.content.execution_state === 'idle')
            unheard.delete(msg.parent_header.msg_id);
    });
}"""
"""From now on, keep which messages of controls the kernel has not yet done with: a key sends its message at once."""
HEARD = f"""() => {{
    const heard = () => !window.barmathUnheard.size && ({READY})();
    const frame = () => new Promise(requestAnimationFrame);
    return heard() && frame().then(frame).then(heard);
}}"""
"""Nothing is left to hear, two frames later too: a control that waits for its turn sends its message in between."""
CLOSE = """() => {
    const shown = jupyterapp.shell.currentWidget;
    return shown.context.sessionContext.shutdown().then(() => shown.dispose());
}"""
CELLS = "jupyterapp.shell.currentWidget.content.widgets.map(cell => cell.model).filter(model => model.type === 'code')"
RAN = f"() => {CELLS}.every(cell => cell.executionCount || !cell.sharedModel.getSource().trim())"
ERRORS = f"() => {CELLS}.flatMap(cell => cell.outputs.toJSON()).filter(one => one.output_type === 'error')"
FIGURES = """() => [...document.querySelectorAll('.js-plotly-plot')].map(plot => plot._fullData.map(
    ({name, type, visible, x, y, z}) => Object.fromEntries(Object.entries({name, type, visible, x, y, z})
        .map(([key, value]) => [key, ArrayBuffer.isView(value) ? Array.from(value) : value]))))"""
ASK_FOR_ANSWERS = """() => {
    const left = [...document.querySelectorAll('.barmath-bet button:enabled')].filter(
        button => button.innerText.includes('Show me'));
    left.forEach(button => button.click());
    return left.length;
}"""
PARTS = "() => document.querySelectorAll('.barmath-panel *').length"
FOLD_SIDE_BARS = "() => { jupyterapp.shell.collapseLeft(); jupyterapp.shell.collapseRight(); }"
OWN_FOLDERS = {
    "JUPYTER_CONFIG_DIR": "config",
    "JUPYTER_RUNTIME_DIR": "runtime",
    "JUPYTERLAB_SETTINGS_DIR": "settings",
    "JUPYTERLAB_WORKSPACES_DIR": "workspaces",
    "IPYTHONDIR": "ipython",
}


def find_chromium() -> str | None:
    """Where Debian's or the user's own Chromium is, if there is one."""
    return next(filter(None, map(shutil.which, CHROMIUMS)), None)


def readme_command() -> list[str]:
    """The README's own words that start JupyterLab, with the interpreter that runs the tests."""
    readme = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    program, *rest = shlex.split(re.search(r"<!-- command: open -->\s*```\w*\n.*&& (.*)", readme)[1])
    return [str(Path(sys.executable).with_name(Path(program).name)), *rest]


class Lab:
    """JupyterLab as the README starts it, but rooted at `root`, on a free port, with its own folders under `home`."""

    def __init__(self, root: Path, home: Path) -> None:
        self.root, self.token = root, secrets.token_urlsafe(16)
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        for file, content in self._settings().items():
            (home / file).parent.mkdir(parents=True, exist_ok=True)
            (home / file).write_text(json.dumps(content))
        self.log = home / "lab.log"
        with self.log.open("wb") as log:
            self.process = subprocess.Popen(
                readme_command(),
                cwd=root,
                env=os.environ | {name: str(home / folder) for name, folder in OWN_FOLDERS.items()},
                stdout=log,
                stderr=subprocess.STDOUT,
            )
        self._wait_until_it_answers()

    def _settings(self) -> dict[str, dict]:
        return {
            "config/jupyter_lab_config.json": {
                "ServerApp": {"port": self.port, "port_retries": 0, "allow_root": True, "open_browser": False},
                "IdentityProvider": {"token": self.token},
                "MappingKernelManager": {"cull_idle_timeout": 30, "cull_interval": 5},  # of closed pages
                "LabApp": {"expose_app_in_browser": True},
            },
            "settings/@jupyterlab/apputils-extension/notification.jupyterlab-settings": {
                "fetchNews": "false",
                "checkForUpdates": False,
            },
            # after two minutes it would save what a lesson shows, and the next page would open with dead panels
            "settings/@jupyterlab/docmanager-extension/plugin.jupyterlab-settings": {"autosave": False},
        }

    def url(self, path: str) -> str:
        return f"http://127.0.0.1:{self.port}/{path}?reset&token={self.token}"

    def kernels(self) -> set[str]:
        """The kernels that run. No browser is asked: an answer of the server can leave a cookie there."""
        with urllib.request.urlopen(self.url("api/kernels"), timeout=START_S) as answer:
            return {kernel["id"] for kernel in json.load(answer)}

    def _wait_until_it_answers(self) -> None:
        give_up = time.monotonic() + START_S
        while time.monotonic() < give_up and self.process.poll() is None:
            try:
                urllib.request.urlopen(self.url("api/status"), timeout=1).close()
                return
            except OSError:
                time.sleep(0.1)
        self.stop()
        raise RuntimeError(f"JupyterLab did not start:\n{self.log.read_text()[-2000:]}")

    def stop(self) -> None:
        """End the server, and with it its kernels."""
        self.process.terminate()
        try:
            self.process.wait(15)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()


def open_lab(browser: Browser, lab: Lab) -> Page:
    """A page with JupyterLab in it and no notebook yet, in a browser context of its own."""
    page = browser.new_context().new_page()
    page.goto(lab.url("lab"))
    page.wait_for_function(STARTED, timeout=START_S * 1000)
    page.evaluate(FOLD_SIDE_BARS)
    return page


def forget_use(root: Path) -> None:
    """Each test opens its pages as nobody has left them: without drafts, and with no order of the demo open."""
    for file in (*root.glob("notebooks/*/drafts.json"), *root.glob("notebooks/demo/last_order.txt")):
        file.unlink()


def open_page(browser: Browser, lab: Lab, name: str, width: int = 1280, height: int = 900) -> Page:
    """A notebook of the bench as a page without code, in a browser context of its own that has no network.

    "" is what the README's command opens. `page.left` has each request that would have left this machine, and
    `page.problems` what the page complains of.
    """
    forget_use(lab.root)
    page = browser.new_context(viewport={"width": width, "height": height}, has_touch=width < 1000).new_page()
    page.left, page.problems = [], []

    def guard(route) -> None:
        if route.request.url.startswith((f"http://127.0.0.1:{lab.port}/", "data:", "blob:")):
            route.continue_()
        else:
            page.left.append(route.request.url)
            route.abort()

    page.context.route("**/*", guard)
    page.on("pageerror", lambda error: page.problems.append(f"page error: {error}"))
    page.on("console", lambda said: page.problems.append(said.text) if said.type == "error" else None)
    page.goto(lab.url(f"voila/render/notebooks/bench/{name}.ipynb" if name else ""))
    page.wait_for_selector(".barmath-panel", timeout=START_S * 1000)
    page.wait_for_selector("#loading", state="detached", timeout=START_S * 1000)
    wait_until_calm(page)
    return page


SHARED = {"indirect": True, "ids": lambda seen: "-".join(map(str, seen))}
"""For `parametrize("page", [(name, width, height), ...], **SHARED)`: the fixture `page` opens it, or has it open."""

SEEN_AFRESH = """() => {
    document.activeElement?.blur();
    for (const part of [document.documentElement, ...document.querySelectorAll('main, #rendered_cells')])
        part.scrollTop = 0;
}"""


def look_afresh(page: Page, width: int, height: int) -> None:
    """Give a page that others have looked at its size, its colours and its upper end again."""
    page.emulate_media(forced_colors="none")
    page.evaluate(SEEN_AFRESH)
    if page.viewport_size != {"width": width, "height": height}:
        page.set_viewport_size({"width": width, "height": height})
        wait_until_calm(page)


class NotebookPage:
    """A notebook, open in JupyterLab on `page`; `problems` gathers what the page complains of while it is.

    A page takes one notebook after the other, as a reader of the course does: each is closed before the next.
    """

    def __init__(self, page: Page, lab: Lab, name: str, width: int = 1280, height: int = 900) -> None:
        forget_use(lab.root)
        (file,) = (lab.root / "notebooks").glob(f"*/{name}.ipynb")
        self.page, self.folder, path = page, file.parent, file.relative_to(lab.root).as_posix()
        self.problems: list[str] = []
        self._listeners = {
            "pageerror": lambda error: self.problems.append(f"page error: {error}"),
            "console": self._listen,
        }
        for event, listener in self._listeners.items():
            page.on(event, listener)
        page.set_viewport_size({"width": width, "height": height})
        page.evaluate(OPEN, path)
        assert page.evaluate(SHOWN) == path
        page.wait_for_function(READY, timeout=START_S * 1000)
        page.evaluate(COUNT_THE_UNHEARD)

    def _listen(self, message) -> None:
        if message.type == "error":
            self.problems.append(f"console: {message.text} ({message.location.get('url', '')})")

    def run_all(self) -> None:
        """Run every cell and wait for the last; a cell's error stops the run and is found in `errors`."""
        self.page.evaluate("() => jupyterapp.commands.execute('notebook:run-all-cells')")
        give_up = time.monotonic() + RUN_S
        while not self.errors() and not self.page.evaluate(RAN):
            if time.monotonic() > give_up:
                raise TimeoutError(f"cells still to run after {RUN_S} s")
            self.page.wait_for_timeout(200)
        self.page.wait_for_function(READY, timeout=START_S * 1000)

    def wait_until_idle(self) -> None:
        """Wait until the kernel has heard of what was just done on the page, and has answered it."""
        self.page.wait_for_function(HEARD, timeout=START_S * 1000)

    def show_every_answer(self) -> None:
        """Ask every bet of the page for its answer, so that all results are there."""
        give_up, asked = time.monotonic() + RUN_S, False
        while self.page.evaluate(ASK_FOR_ANSWERS):
            asked = True
            if time.monotonic() > give_up:
                raise TimeoutError(f"bets without an answer after {RUN_S} s")
            self.wait_until_idle()
        parts, give_up = -1, time.monotonic() + CHANGE_S
        while asked and time.monotonic() < give_up:
            self.page.wait_for_function(ALL_DRAWN, timeout=START_S * 1000)
            if parts == (now := self.page.evaluate(PARTS)):
                break
            parts = now  # a panel that opens after a bet makes its parts and draws its figure a moment later
            self.page.wait_for_timeout(CALM_MS)

    def errors(self) -> list[str]:
        """What each failed cell says."""
        return [f"{error['ename']}: {error['evalue']}" for error in self.page.evaluate(ERRORS)]

    def figure_data(self, place: int = 0) -> list[dict]:
        """The traces of the figure at `place` on the page, once it is drawn: name, type, visible, x, y and z."""
        self.page.locator(".js-plotly-plot").nth(place).wait_for(state="attached", timeout=START_S * 1000)
        return self.page.evaluate(FIGURES)[place]

    def figure_data_after(self, before: list[dict], place: int = 0) -> list[dict]:
        """The same as soon as they differ from `before`."""
        give_up = time.monotonic() + CHANGE_S
        while (after := self.figure_data(place)) == before:
            if time.monotonic() > give_up:
                raise TimeoutError(f"the figure did not change within {CHANGE_S} s")
            self.page.wait_for_timeout(50)
        return after

    def focus(self, label: str) -> None:
        """Give the first control that is labelled `label` the focus."""
        control = self.page.get_by_label(label).and_(self.page.locator(CONTROLS)).first
        control.scroll_into_view_if_needed()
        control.focus()

    def press(self, key: str, times: int = 1) -> None:
        """Press `key` on whatever has the focus, as fast as a held key repeats."""
        for _ in range(times):
            self.page.keyboard.press(key)
            self.page.wait_for_timeout(30)

    def shows(self, words: str) -> bool:
        """Whether `words` stand anywhere on the page."""
        return self.page.get_by_text(words).count() > 0

    def close(self) -> None:
        """Shut the notebook's kernel down and put the notebook away, unsaved; the page stays."""
        for event, listener in self._listeners.items():
            self.page.remove_listener(event, listener)
        self.page.evaluate(CLOSE)
