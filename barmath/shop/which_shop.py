"""Which shop the notebooks work for: your own, if there is one, else the training shop.

Beside the notebooks' shelves are `demo/`, the invented training shop, and `my_shop/`, the builder's own. The second
is made once from the first one's file. It never takes over the training shop's bars: those were invented.
"""

from __future__ import annotations

import re
from pathlib import Path

from barmath.refusal import BendError
from barmath.saving import make_folder, save_bytes
from barmath.shop.shop_file import Shop, shop_from_file

TRAINING, OWN = "demo", "my_shop"
SHOP_FILE, RECORD_FILE, ORDERS_FILE = "shop.toml", "record.db", "orders.toml"


def notebooks_folder(start: str | Path = ".") -> Path:
    """The folder that holds the notebooks' shelves and their shops, found from a folder in it or around it.

    Parameters
    ----------
    start : str or Path
        Where to begin: by default where Python runs, which is the folder of an open notebook.

    Raises
    ------
    BendError
        Neither the folder nor one above it has the notebooks.

    Examples
    --------
    >>> from barmath.shop import notebooks_folder
    >>> notebooks_folder().name
    'notebooks'
    """
    here = Path(start).resolve()
    for folder in (here, *here.parents):
        for candidate in (folder, folder / "notebooks"):
            if (candidate / TRAINING / SHOP_FILE).is_file():
                return candidate
    raise BendError(f"open a notebook in its own folder: no folder around {here.name} has {TRAINING}/{SHOP_FILE}")


def training_file(name: str = SHOP_FILE, start: str | Path = ".") -> Path:
    """A file of the training shop: its own, its orders or its record.

    Parameters
    ----------
    name : str
        `shop.toml`, `orders.toml` or `record.db`, as `SHOP_FILE` and its like name them.
    start : path
        The folder of the notebook; the file is looked for there and in the folders around it.

    Raises
    ------
    BendError
        No folder of notebooks is found from `start`.

    Examples
    --------
    >>> from barmath.shop import training_file
    >>> training_file("orders.toml").parent.name
    'demo'
    """
    return notebooks_folder(start) / TRAINING / name


def training_shop(start: str | Path = ".") -> Shop:
    """The invented training shop, with the numbers of the lessons.

    Raises
    ------
    BendError
        No folder of notebooks is found, or the file cannot be read.

    Examples
    --------
    >>> from barmath.shop import training_shop
    >>> training_shop().dies[0].name
    'die 102'
    """
    return shop_from_file(training_file(start=start))


def is_own(start: str | Path = ".") -> bool:
    """Whether the notebooks work for your own shop."""
    return (notebooks_folder(start) / OWN / SHOP_FILE).is_file()


def shop_file(start: str | Path = ".") -> Path:
    """The file of the shop that the notebooks work for: `my_shop/shop.toml` if there is one, else `demo/shop.toml`.

    Raises
    ------
    BendError
        No folder of notebooks is found.

    Examples
    --------
    >>> from barmath.shop import shop_file
    >>> shop_file().name
    'shop.toml'
    """
    return notebooks_folder(start) / (OWN if is_own(start) else TRAINING) / SHOP_FILE


def record_file(start: str | Path = ".") -> Path:
    """The record of the shop that the notebooks work for, beside the shop's file; it need not be there yet.

    Raises
    ------
    BendError
        No folder of notebooks is found.

    Examples
    --------
    >>> from barmath.shop import record_file
    >>> record_file().name
    'record.db'
    """
    return shop_file(start).with_name(RECORD_FILE)


def make_my_shop(start: str | Path = ".") -> Path:
    """The file of your own shop, made from the training shop's file if there is none yet.

    Only its name is changed. Nothing else is copied: a new shop has no bars and no orders. A file that is there already
    is left alone.

    Raises
    ------
    BendError
        No folder of notebooks is found, or the folder or the file cannot be made.

    Examples
    --------
    >>> import shutil, tempfile
    >>> from barmath.shop import make_my_shop, shop_file, training_file
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _ = shutil.copytree(training_file().parent, f"{folder}/demo")
    ...     made = make_my_shop(folder)
    ...     made.parent.name, shop_file(folder) == made
    ('my_shop', True)
    """
    target = notebooks_folder(start) / OWN / SHOP_FILE
    if not target.is_file():
        make_folder(target.parent)
        training = training_file(start=start).read_bytes()
        save_bytes(target, re.sub(rb'(?m)^name = ".*"', b'name = "my shop"', training, count=1))
    return target
