"""The picture of the gain by two stops shows, for each die, the orders that a search of the ways finds."""

import io

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from PIL import Image

from barmath.paper.figures import DEMO
from barmath.paper.stops_gain import gain_figure, gain_png, gains
from barmath.planning import every_way
from barmath.shop.orders import orders_from_file
from barmath.shop.shop_file import shop_from_file


@pytest.fixture(scope="module")
def shop():
    return shop_from_file(DEMO / "shop.toml")


@pytest.fixture(scope="module")
def orders():
    return [named.order for named in orders_from_file(DEMO / "orders.toml")]


def test_each_die_makes_as_many_orders_as_every_way_finds(shop, orders):
    tube, few = shop.tubes[0], orders[::4]
    same = {"bends_deg": shop.stop_bends_deg, "stock_length_mm": shop.stock_length_mm}
    dies = [[die] for die in shop.dies_for(tube)]
    for gain, some in zip(gains(shop, few), [*dies, list(shop.dies_for(tube))], strict=True):
        made = [
            sum(bool(every_way(one, tube, some, equal_only=equal, **same).feasible.any()) for one in few)
            for equal in (True, False)
        ]
        assert [gain.one_stop, gain.two_stops] == made


def test_the_length_of_each_bar_and_its_words_are_its_count(shop, orders):
    figure = gain_figure(shop, orders)
    (axes,) = figure.axes
    counts = [count for gain in gains(shop, orders) for count in gain[1:]]
    assert [bar.get_width() for bar in axes.patches] == counts
    assert [words.get_text().partition(": ")[2].split(" ")[0] for words in axes.texts] == [str(one) for one in counts]
    assert [words.get_text() for words in axes.get_yticklabels()] == [gain.name for gain in gains(shop, orders)]
    renderer = FigureCanvasAgg(figure).get_renderer()
    right = max(words.get_window_extent(renderer).x1 for words in axes.texts)
    assert right <= figure.bbox.x1


def test_the_same_shop_and_orders_give_the_same_bytes(shop, orders):
    png = gain_png(shop, orders[:2])
    assert png == gain_png(shop, orders[:2])
    assert np.asarray(Image.open(io.BytesIO(png)).convert("L")).std() > 20
