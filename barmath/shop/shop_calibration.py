"""A calibration put into a shop's file when the builder says so, and taken out again."""

from __future__ import annotations

from pathlib import Path

from barmath.saving import alone, save_bytes
from barmath.shop.die_calibration import DieCalibration, with_calibration, without_last_calibration
from barmath.shop.shop_file import Shop, shop_from_toml
from barmath.shop.toml_reading import text_from_file


def put_into_file(path: str | Path, calibration: DieCalibration) -> Shop:
    """The shop once a calibration is added to the end of its file at `path`; all above it is kept letter by letter.

    Raises
    ------
    BendError
        The file cannot be read or written, or would not be understood with it. The file is then unchanged.
    """
    with alone(path):  # two notebooks may write at once
        return _write(path, with_calibration(text_from_file(path), calibration))


def take_last_out_of_file(path: str | Path) -> Shop:
    """The shop once the last calibration is taken out of its file at `path` again.

    Raises
    ------
    BendError
        The file cannot be read or written, or does not end with a calibration.
    """
    with alone(path):
        return _write(path, without_last_calibration(text_from_file(path)))


def _write(path: str | Path, text: str) -> Shop:
    shop = shop_from_toml(text, Path(path).name)
    save_bytes(path, text.encode(), overwrite=True)
    return shop
