"""The numbers in the prose of lesson 00."""

from collections.abc import Iterator


def said() -> Iterator[str]:
    yield from ()


GIVEN = {"how a rider may ask": ['"an 80 rise"']}
