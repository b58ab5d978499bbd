"""The numbers in the prose of lesson 14."""

from collections.abc import Iterator


def said() -> Iterator[str]:
    yield from ()


GIVEN = {"how a bar is often described": ['"80 rise"']}
