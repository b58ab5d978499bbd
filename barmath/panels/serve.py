"""Start JupyterLab with barmath's pages: `python -m barmath.panels.serve`, with any options of JupyterLab behind it.

A package installed in place for editing brings no files to the folders where Jupyter looks for templates and settings.
So they are read here, from `pages/`, and nothing has to be copied or installed again.

The settings keep a picture from waiting while a slider moves. Whenever the kernel begins or ends its work, JupyterLab
would look through its whole toolbar. And it would fetch another icon for the browser's tab. So the mark of a busy
kernel is in the bar at the foot of the window, and nowhere else.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path

PAGES = Path(__file__).with_name("pages")
FIRST = "--LabApp.default_url=/voila/render/notebooks/bench/01_order_to_bench.ipynb"
"""What opens if no other page is asked for."""

FOLDERS = {"JUPYTER_PATH": "data", "JUPYTER_CONFIG_PATH": "config"}


def arguments_for(given: Sequence[str]) -> list[str]:
    """The options of JupyterLab, with the first page where none is given.

    Parameters
    ----------
    given : sequence of str

    Examples
    --------
    >>> from barmath.panels.serve import arguments_for
    >>> arguments_for(["--LabApp.default_url=/lab", "--no-browser"])
    ['--LabApp.default_url=/lab', '--no-browser']
    """
    opens = FIRST.partition("=")[0]
    return [*given] if any(one.startswith(opens) for one in given) else [FIRST, *given]


def serve() -> None:
    """Run JupyterLab until it is stopped."""
    for name, folder in FOLDERS.items():
        os.environ[name] = os.pathsep.join(filter(None, [str(PAGES / folder), os.environ.get(name, "")]))
    from jupyterlab.labapp import LabApp  # after the folders are named

    LabApp.launch_instance(arguments_for(sys.argv[1:]))


if __name__ == "__main__":
    serve()
