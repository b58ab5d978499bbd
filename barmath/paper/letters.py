"""The letters of a sheet of paper: which can be printed, in which type, how wide they are, and what to say of others.

The type is the one that comes with Matplotlib, so that a sheet is the same on every machine. A letter that it lacks is
taken from the first TrueType font of the machine, by name, that draws it. Letters are set one by one from left to
right: scripts that run the other way, or with letters that change beside each other, are not printed.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import cache
from pathlib import Path as File

import matplotlib as mpl
import numpy as np
from matplotlib.font_manager import FontProperties, findfont, fontManager
from matplotlib.ft2font import FT2Font, LoadFlags
from matplotlib.path import Path
from numpy.typing import NDArray

TYPE = "DejaVu Sans"
INSTEAD = "?"
"""What is printed for a letter that cannot be."""

_TRUETYPE = (b"\0\1\0\0", b"true", b"ttcf")
_DROPPED = ("Cc", "Cf")  # signs that control a text or its direction: they show nothing
_FROM_RIGHT = ("R", "AL", "AN")
_JOINED = re.compile(
    "ARABIC|SYRIAC|NKO|MONGOLIAN|DEVANAGARI|BENGALI|GURMUKHI|GUJARATI|ORIYA|TAMIL|TELUGU|KANNADA|MALAYALAM|SINHALA|"
    "TIBETAN|MYANMAR|KHMER|BALINESE|JAVANESE|HANGUL (JUNGSEONG|JONGSEONG|CHOSEONG)"
)  # scripts, by the names of their letters


def one_line(words: str) -> str:
    """Text as one line without signs of control or direction, its letters as they are."""
    whole = words.encode(errors="replace").decode()  # no halves of letters
    spaced = " ".join(unicodedata.normalize("NFC", whole).split())
    return "".join(
        letter
        for letter in spaced
        if unicodedata.category(letter) not in _DROPPED and not "\ufe00" <= letter <= "\ufe0f"  # choose a look only
    )


def printable(words: str) -> str:
    """Text as it goes on paper: one line, and `?` for every letter that cannot be printed."""
    return "".join(letter if family_of(letter) else INSTEAD for letter in one_line(words))


def unprinted(words: str) -> tuple[str, ...]:
    """The letters of a text that cannot be printed, each once."""
    return tuple(dict.fromkeys(letter for letter in one_line(words) if not family_of(letter)))


def unprinted_words(letters: Iterable[str]) -> str:
    """What to say of letters that cannot be printed: what to do, and why; empty if there are none."""
    every = list(dict.fromkeys(letters))
    unset = [letter for letter in every if _needs_setting(letter)]
    missing = [letter for letter in every if letter not in unset]
    if not every:
        return ""
    why = [f"the sheet's type has no sign for {_names(missing)}."] if missing else []
    if unset:
        who = "It" if missing else "the sheet"
        why.append(f"{who} cannot join letters or run from right to left, as {_names(unset)} would need.")
    return f"Write the name in other letters: {' '.join(why)}"


def font(words: str, size: float, bold: bool) -> FontProperties:
    """The type of a text that can be printed: the usual one, then those that its other letters need."""
    others = sorted({family_of(letter) or TYPE for letter in words} - {TYPE})
    return FontProperties(family=[TYPE, *others], size=size, weight="bold" if bold else "normal")


@cache
def family_of(letter: str) -> str:
    """The name of the type that a letter is printed in, empty where it cannot be printed."""
    if letter == "\u00a0":
        return TYPE
    if unicodedata.category(letter)[0] == "C" or _needs_setting(letter):
        return ""
    if all(ord(letter) in face(TYPE, bold).get_charmap() for bold in (False, True)):
        return TYPE
    return next((family for family, path in _of_the_machine() if _draws(path, letter)), "")


@cache
def advance(letter: str, bold: bool) -> float:
    """How far a letter takes the line on, in ems; pairs that are set closer are not counted."""
    drawn = letter if family_of(letter) else INSTEAD
    glyph = face(family_of(drawn), bold).load_char(ord(drawn))
    return float(glyph.linearHoriAdvance) / 65536.0 / 100.0


@cache
def outline(letter: str, bold: bool) -> tuple[NDArray[np.float64], NDArray[np.uint8]]:
    """Corners (m, 2) and their codes, as of a Matplotlib path, of a letter an em high."""
    drawn = letter if family_of(letter) else INSTEAD
    opened = face(family_of(drawn), bold)
    opened.load_char(ord(drawn), flags=LoadFlags.NO_HINTING)
    corners, codes = opened.get_path()
    return np.asarray(corners, float).reshape(-1, 2) / 100.0, np.asarray(codes, np.uint8)


def outlines(words: str, bold: bool) -> Path:
    """The shapes of a line of letters side by side, an em high, from its left end."""
    ends = np.cumsum([0.0, *(advance(letter, bold) for letter in words)])
    shapes = [outline(letter, bold) for letter in words]
    corners = [shape + np.array((at, 0.0)) for (shape, _), at in zip(shapes, ends, strict=False)]
    return Path(np.concatenate([np.empty((0, 2)), *corners]),
                np.concatenate([np.empty(0, np.uint8), *(codes for _, codes in shapes)]))  # fmt: skip


@cache
def face(family: str, bold: bool) -> FT2Font:
    """The font file of a family, ready to be measured at 100 points."""
    found = FT2Font(findfont(FontProperties(family=[family], weight="bold" if bold else "normal")))
    found.set_size(100.0, 72.0)
    return found


def _needs_setting(letter: str) -> bool:
    from_right = unicodedata.bidirectional(letter) in _FROM_RIGHT
    return from_right or bool(_JOINED.match(unicodedata.name(letter, "")))


def _names(letters: list[str]) -> str:
    # the first by its Unicode name, as the sheet itself cannot show it
    first = unicodedata.name(letters[0], f"U+{ord(letters[0]):04X}").lower()
    return f"{first} and {len(letters) - 1} more" if letters[1:] else first


def _of_the_machine() -> list[tuple[str, str]]:
    # upright fonts of usual weight beside Matplotlib's own, which are for mathematics or draw boxes
    own = mpl.get_data_path()
    found = {
        (one.name, one.fname)
        for one in fontManager.ttflist
        if one.style == "normal" and one.weight in (400, "normal", "regular") and not one.fname.startswith(own)
    }
    return sorted(one for one in found if one[0] != TYPE and "lastresort" not in one[0].replace(" ", "").lower())


@cache
def _opened(path: str) -> FT2Font | None:
    try:
        with File(path).open("rb") as file:
            if file.read(4) not in _TRUETYPE:
                return None  # a PDF would hold it wrongly
        return FT2Font(path)
    except (OSError, RuntimeError):
        return None


def _draws(path: str, letter: str) -> bool:
    opened = _opened(path)
    if opened is None or not opened.scalable or ord(letter) not in opened.get_charmap():
        return False
    opened.set_size(100.0, 72.0)
    opened.load_char(ord(letter))
    return len(opened.get_path()[0]) > 0  # a font of coloured pictures has no lines
