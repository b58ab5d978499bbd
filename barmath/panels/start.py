"""The front page: three ways in, and which shop the notebooks work for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import anywidget
import ipywidgets as widgets
import traitlets

from barmath.panels.entry import button
from barmath.panels.markup import heading, paragraph
from barmath.panels.shell import Shell, guarded, kept
from barmath.refusal import BendError
from barmath.shop.cautions import PLANNING
from barmath.shop.shop_file import shop_from_file
from barmath.shop.which_shop import OWN, SHOP_FILE, is_own, make_my_shop, notebooks_folder, record_file, shop_file


class Way(NamedTuple):
    """One link: the notebook's shelf and name, its words, and whether it opens as a page or in JupyterLab.

    Another file has its ending in its name.
    """

    notebook: str
    words: str
    page: bool = True

    @property
    def path(self) -> str:
        """Where the file is, from the folder of the notebooks."""
        return self.notebook if Path(self.notebook).suffix else f"{self.notebook}.ipynb"


DOORS: dict[str, tuple[Way, ...]] = {
    "I have an order": (
        Way("bench/01_order_to_bench", "From an order to a recipe"),
        Way("bench/the_week", "Plan the week"),
        Way("bench/at_the_bench", "Bend it, one step at a time"),
        Way("bench/07_check_the_finished_bar", "Check the finished bar"),
        Way("bench/08_fit_the_crossbar", "Fit the crossbar"),
        Way("bench/12_two_bars_compared", "Like my old bar, but ..."),
        Way("bench/09_keep_the_record", "Keep the record"),
    ),
    "I want to learn": (
        Way("course/00_start_here", "Start here: the parts of a bar", False),
        Way("course/02_where_the_formulas_come_from", "Where the formulas come from", False),
        Way("course/05_why_the_sequence_of_bends_matters", "Bend a bar on the screen", False),
        Way("course/11_practice", "Practice", False),
        Way("course/14_words_of_the_trade", "Words of the trade", False),
    ),
    "I teach": (
        Way("course/15_for_the_teacher", "How far each apprentice is, and class sheets", False),
        Way("bench/10_print_the_wall_charts", "Wall charts"),
        Way("course/03_rise_against_die", "Rise against die: which die to buy", False),
        Way("course/04_what_this_shop_can_make", "What this shop can make, as a map", False),
    ),
}
"""The three ways in, and where each leads."""

HOW_TO_RUN = "A lesson opens in JupyterLab. Choose Run > Run All Cells in its menu, and it begins."


class Doors(anywidget.AnyWidget):
    """Lists of links, each with its heading, which work in a page and in JupyterLab.

    Where the notebooks are on the server is read from the address of the page that shows this.
    """

    _esm = """
    const SERVED = "voila/render|(?:lab|doc)(?:/workspaces/[^/]+)?/tree";
    const HERE = new RegExp(`^(.*)/(?:${SERVED})/(.*?)(?:bench|course)/[^/]*$`);
    function render({ model, el }) {
        el.classList.add('barmath-doors');
        const [, base, root] = location.pathname.match(HERE) ?? [, '', 'notebooks/'];
        function door([title, ways]) {
            const door = document.createElement('section'), head = document.createElement('h2');
            head.textContent = title;
            const list = document.createElement('ul');
            for (const way of ways) {
                const item = document.createElement('li'), link = document.createElement('a');
                link.textContent = way.words;
                link.href = `${base}/${way.page ? 'voila/render' : 'lab/tree'}/${root}${way.path}`;
                link.target = way.page ? 'barmath-page' : 'barmath-lessons';
                item.append(link);
                list.append(item);
            }
            door.append(...(title ? [head] : []), list);
            return door;
        }
        const draw = () => el.replaceChildren(...model.get('doors').map(door));
        model.on('change:doors', draw);
        draw();
    }
    export default { render };
    """
    _css = """
    .barmath-doors { display: flex; flex-wrap: wrap; gap: 16px; padding: 8px 2px; }
    .barmath-doors section { flex: 1 1 240px; border: 1px solid #8a96a1; border-radius: 8px; padding: 12px 18px; }
    .barmath-doors section:not(:has(h2)) { border: 0; padding: 0; }
    .barmath-doors h2 { margin: 0 0 8px; font-size: 22px; }
    .barmath-doors ul { list-style: none; margin: 0; padding: 0; }
    .barmath-doors a { display: inline-block; padding: 5px 0; min-height: 24px; font-size: 16px; color: #0b5a94;
        text-decoration: underline; }
    .barmath-doors a:focus-visible { outline: 3px solid #0072b2; outline-offset: 2px; }
    .theme-dark .barmath-doors a, [data-jp-theme-light="false"] .barmath-doors a { color: #8cc8f0; }
    """

    doors: Any = traitlets.List().tag(sync=True)

    def __init__(self, doors: Mapping[str, Sequence[Way]]) -> None:
        super().__init__()
        self.show(doors)

    def show(self, doors: Mapping[str, Sequence[Way]]) -> None:
        """Show these lists; one without a heading has no frame."""
        self.doors = [
            [title, [{"words": way.words, "page": way.page, "path": way.path} for way in ways]]
            for title, ways in doors.items()
        ]


class StartPanel(Shell):
    """The front page: the three ways in, and the shop that the notebooks work for, with a button to make your own.

    Parameters
    ----------
    start : str or Path
        A folder of the notebooks, or one in it.
    """

    cautions = PLANNING
    refused, fits = "Not made", "Made"

    def __init__(self, start: str | Path = ".") -> None:
        super().__init__()
        self.folder = notebooks_folder(start)
        self.which, self.to_file = widgets.HTML(), Doors({})
        self.make = button("Make a shop of my own", self._made)
        self.fill(Doors(DOORS), widgets.HTML(paragraph(HOW_TO_RUN)), self.which, self.to_file, self.make, self.message)
        self.refresh()

    def refresh(self) -> None:
        """Show which shop it is."""
        file, record = (path(self.folder).relative_to(self.folder).as_posix() for path in (shop_file, record_file))
        if is_own(self.folder):
            words = (
                f"All pages and most panels work for your own shop: its tubes and dies are in {file}, its bars in "
                f"{record}. The sums of the lessons, and the bender of lesson 05, are the training shop's."
            )
        else:
            words = f"All notebooks work for the training shop, which is invented ({file}). Its bars were never bent."
        self.which.value = heading("Which shop") + paragraph(words)
        self.to_file.show({"": [Way(file, f"Open {file}", False)]})
        self.make.layout.display = "none" if is_own(self.folder) else ""
        try:
            shop_from_file(shop_file(self.folder))
        except BendError as fault:
            self.say("", [str(fault)])

    @guarded
    def _made(self, _: Any) -> None:
        make_my_shop(self.folder)
        self.refresh()
        self.say(f"open {OWN}/{SHOP_FILE} above. It has the training shop's tubes and dies: put your own in their "
                 "place, and save it. Then open each page again. Your record begins empty.")  # fmt: skip


def start_panel(start: str | Path = ".") -> widgets.VBox:
    """The front page for a notebook; running its cell again shows the same one."""
    folder = notebooks_folder(start)
    return kept(StartPanel, folder, lambda: StartPanel(folder))
