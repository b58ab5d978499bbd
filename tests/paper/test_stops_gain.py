"""The picture of the gain by two stops shows, for each die, the orders that a search of the ways finds."""

import io

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from PIL import Image

from barmath.paper.figures import DEMO
from barmath.paper.stops_gain import gain_figure, gain_png, gains, many_orders
from barmath.planning import every_way
from barmath.shop.shop_file import shop_from_file


@pytest.fixture(scope="module")
def shop():
    return shop_from_file(DEMO / "shop.toml")


def test_each_die_makes_as_many_orders_as_every_way_finds(shop):
    tube, few = shop.tubes[0], many_orders()[::61]
    same = {"bends_deg": shop.stop_bends_deg, "stock_length_mm": shop.stock_length_mm}
    dies = [[die] for die in shop.dies_for(tube)]
    for gain, some in zip(gains(shop, few), [*dies, list(shop.dies_for(tube))], strict=True):
        made = [
            sum(bool(every_way(one, tube, some, equal_only=equal, **same).feasible.any()) for one in few)
            for equal in (True, False)
        ]
        assert [gain.one_stop, gain.two_stops] == made


def test_the_length_of_each_bar_is_its_count_and_its_words_are_its_share(shop):
    orders = many_orders()
    assert len({*orders}) == len(orders) == 912
    figure, found = gain_figure(shop), gains(shop, orders)
    (axes,) = figure.axes
    counts = [count for gain in found for count in gain[1:]]
    assert [bar.get_width() for bar in axes.patches] == counts
    assert [words.get_text().partition(": ")[2] for words in axes.texts] == [f"{100 * n / 912:.0f} %" for n in counts]
    assert [words.get_text() for words in axes.get_yticklabels()] == [gain.name for gain in found]
    renderer = FigureCanvasAgg(figure).get_renderer()
    right = max(words.get_window_extent(renderer).x1 for words in axes.texts)
    assert right <= figure.bbox.x1


def test_readme_says_the_shares_of_the_tightest_die(shop, root):
    tightest, *gentler, _ = gains(shop, many_orders())
    assert all(gain.two_stops > 3 * gain.one_stop for gain in gentler)
    one, two = (f"{100 * count / 912:.0f} %" for count in tightest[1:])
    words = " ".join((root / "README.md").read_text(encoding="utf-8").split())
    assert f"tightest die makes {one} of all orders of a wide range with one setting, and {two} with two" in words


def test_the_same_shop_gives_the_same_bytes(shop):
    png = gain_png(shop)
    assert png == gain_png(shop)
    assert np.asarray(Image.open(io.BytesIO(png)).convert("L")).std() > 20
