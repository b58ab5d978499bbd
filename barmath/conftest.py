"""Imports every room before pytest reads an example: it would put a module in the place of a function of its name."""

import importlib
import pkgutil

import barmath

for room in pkgutil.iter_modules(barmath.__path__):
    if room.ispkg:
        importlib.import_module(f"barmath.{room.name}")
