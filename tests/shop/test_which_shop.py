"""The shop's file and record are found in one way, and a shop of one's own has no invented bars."""

import shutil
from dataclasses import replace

import nbformat
import pytest
from conftest import NOTEBOOKS, ROOT

from barmath import BendError
from barmath.records.record import Record
from barmath.shop.shop_file import shop_from_file
from barmath.shop.which_shop import (
    is_own,
    make_my_shop,
    notebooks_folder,
    record_file,
    shop_file,
    training_file,
    training_shop,
)


@pytest.fixture
def shelves(tmp_path):
    """A folder of notebooks with the training shop and an empty shelf."""
    shutil.copytree(ROOT / "notebooks" / "demo", tmp_path / "demo", ignore=shutil.ignore_patterns("*.db*"))
    (tmp_path / "bench").mkdir()
    return tmp_path


@pytest.mark.parametrize("place", ["", "bench", "demo"])
def test_the_shop_is_found_from_every_shelf(shelves, place):
    assert notebooks_folder(shelves / place) == shelves
    assert shop_file(shelves / place) == shelves / "demo" / "shop.toml"
    assert record_file(shelves / place) == shelves / "demo" / "record.db"


def test_it_is_found_from_around_the_notebooks_too():
    assert notebooks_folder(ROOT) == ROOT / "notebooks"


def test_a_folder_without_notebooks_is_refused_in_words(tmp_path):
    with pytest.raises(BendError, match=r"^open a notebook in its own folder: no folder around .* has demo/shop.toml$"):
        shop_file(tmp_path)


def test_a_shop_of_ones_own_is_what_all_notebooks_work_for(shelves):
    assert not is_own(shelves)
    made = make_my_shop(shelves / "bench")
    assert is_own(shelves)
    assert made == shop_file(shelves / "bench") == shelves / "my_shop" / "shop.toml"
    assert record_file(shelves / "bench") == shelves / "my_shop" / "record.db"
    assert shop_from_file(made) == replace(training_shop(shelves), name="my shop")


def test_a_shop_of_ones_own_has_no_invented_bars_and_no_orders(shelves):
    Record(training_file("record.db", shelves))
    made = make_my_shop(shelves)
    assert [path.name for path in made.parent.iterdir()] == ["shop.toml"]
    assert Record(record_file(shelves)).count() == 0


def test_a_shop_that_is_there_is_left_alone(shelves):
    made = make_my_shop(shelves)
    made.write_text(made.read_text(encoding="utf-8").replace("die 102", "my die"), encoding="utf-8")
    assert make_my_shop(shelves) == made
    assert shop_from_file(made).dies[0].name == "my die"


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_no_notebook_writes_the_way_to_a_shops_file_out(path):
    """In code: its prose may link to it."""
    cells = [cell.source for cell in nbformat.read(path, as_version=4).cells if cell.cell_type == "code"]
    assert not [cell for cell in cells if "shop.toml" in cell or "demo/" in cell]
