"""One word for one thing: second words for a thing that has its word, where they are not allowed, what to write.

`DOUBLES` is the one list. It is held in every lesson, panel, sheet, message and docstring, README and DEVELOPERS; what
only a label could mean wrongly is held in labels alone.
"""

import re
from typing import NamedTuple

from words.plain import Text, plain


class Double(NamedTuple):
    """A second word for a thing, as a pattern; what to write instead; where it is held; a sentence that it finds.

    `held` is a pattern of the paths of the files, "" for all files, or `LABELS`.
    """

    found: str
    instead: str
    held: str
    example: str


LABELS = "labels alone"
_APPRENTICE = r"barmath/practice/"
_RIDER = r"rider/(?!other_bars)|two_bars|ride_work|lesson_12|12_two_bars"
_STRENGTH = r"strength|lesson_13|13_will_it"

DOUBLES = {
    "order of bends": Double(
        r"(?<![\"“])\borders? of (?:the )?bends?\b|\bbends?'? orders?\b",  # quoted once: lesson 05 explains it
        "sequence of bends; an order is the rider's", "",
        "Choose the order of the bends.",
    ),
    "order of a list": Double(
        r"\bin (?:their|its|which|bench|(?:an|the|their) (?:same|right|wrong|other|usual|own)) order\b|"
        r"\bin the order (?:of|in|that)\b(?! (?:book|the book))|\border in which\b|\bin order\b(?! \d)|\bother order\b",
        "first to last, one after the other, sorted as; an order is the rider's", "", "Do the lessons in order.",
    ),
    "screen, of strength": Double(
        r"\bscreen(?:s|ed|ing)?\b(?! readers?\b)", "check, strength check; a screen is what one looks at", _STRENGTH,
        "A screen can only say no.",
    ),
    "to screen a bar": Double(
        r"\bscreen(?:s|ing)? (?:a|the|this) bar\b|\bscreened\b", "check a bar; a screen is what one looks at", "",
        "It screens a bar.",
    ),
    "roll of the bar": Double(
        r"(?<!stem )\broll(?:s|ed|ing)? (?:\w+ ){0,3}in (?:the|its|their|your) (?:own )?stem\b|"
        r"(?<!stem )\broll(?:s|ed|ing)? (?:the|a|this|that) (?:whole |new |old )?bar\b|"
        r"\bbars? (?:is|are|was|be|as) (?:\w+ )?rolled\b|\brolled (?:rearward|forward)\b|\bstem (?:is|was) rolled\b",
        "turn the bar in its stem, stem roll; the tube alone rolls", "", "The rider rolls the bar rearward.",
    ),
    "roll, of a rider's bar": Double(
        r"(?<!stem )\broll(?:s|ed|ing)?\b(?! phi\b| of the tube\b)", "stem roll, turn in the stem", _RIDER,
        "The roll turns the hands.",
    ),
    "mistake without a doer": Double(
        r"\b(?:is|are) taken (?:for|to)\b|\b(?:is|are) (?:not )?looked at\b|\bone (?:multiplies|divides|counts)\b",
        "you think that, you use, you look only at: say who does it", _APPRENTICE, "The corner is taken for the end.",
    ),
    "grip of rubber": Double(
        r"(?<!rubber )\bgrips? and (?:the )?controls\b|\bhand grips?\b|\bgripp(?:ed|ing)\b",
        "rubber grip, hold; a grip is the outer straight of a bar", "", "Grips and controls go on it.",
    ),
    "stance": Double(r"\bstances?\b", "clamped with risers upright, or with grips level", "", "Choose a stance."),
    "roll as ordered": Double(
        r"\brolled by\b", "stem roll, where the bar is turned in its stem", LABELS, "Rolled by"
    ),
    "code of a bend": Double(
        r"\b[LR][IO]\b", "the bend's name written out: left inner bend", LABELS, "LI stop"
    ),
    "bends of a bar": Double(
        r"^(?:outer |inner )?bends of$", "inner bends, outer bends: as the order page has them", LABELS, "Bends of",
    ),
    "window": Double(r"\bwindow\b(?<!rise window)", "rise window, or the rises of a die", LABELS, "Window of die 102"),
}  # fmt: skip
"""Each second word, by what it would mean."""


def seconds(text: Text, double: Double) -> list[str]:
    """Each place where a text uses the second word, with the words around it."""
    held = re.search(double.held, text.where) if double.held else True
    words = plain(text.words)
    hits = re.finditer(double.found, words, re.IGNORECASE) if held else ()
    return [" ".join(words[max(0, hit.start() - 50) : hit.end() + 40].split()) for hit in hits]
