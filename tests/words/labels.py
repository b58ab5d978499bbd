"""The short words of panels and sheets: labels, headings, buttons, columns; and the plain words allowed in them."""

import ast
import re
from collections.abc import Iterator
from functools import cache

from parsed import MODULES, nodes_of
from words.plain import Text

from barmath.checking.bench_readings import KINDS
from barmath.glossary import TERMS

MAKERS = {
    "NumberRow", "choice_row", "text_row", "labelled_row", "button", "heading", "column", "table", "bullets",
    "text", "words", "Label", "Entry", "TypedRow",
}  # fmt: skip
"""What makes a label of the strings it is called with."""

_NO_LABEL = re.compile(r"[.?!<{]|^(?:anchor|auto|baseline|bold|center|right|\d+px)$")
"""Sentences, and what a library wants to be called so: an anchor, a width, a style."""

_WORD = re.compile(r"[a-z][a-z'’-]+")


@cache
def labels() -> tuple[Text, ...]:
    """Each label of the panels and sheets, read once."""
    return tuple(_labels())


def _labels() -> Iterator[Text]:
    """Each label of the panels and sheets that is written as a string: no sentence, and at most seven words."""
    for path in MODULES:
        if path.parent.name not in ("panels", "paper"):
            continue
        calls = [node for node in nodes_of(path) if isinstance(node, ast.Call)]
        made = [call for call in calls if getattr(call.func, "attr", getattr(call.func, "id", "")) in MAKERS]
        for call in made:
            given = [*call.args, *(word.value for word in call.keywords)]
            for words in dict.fromkeys(word for part in given for word in _strings(part)):
                if is_label(words):
                    yield Text(path.name, words)
    for kind in KINDS:
        yield Text("bench_readings.py", kind.name)


def _strings(node: ast.AST) -> list[str]:
    if isinstance(node, ast.Constant):
        return [node.value] if isinstance(node.value, str) else []
    if isinstance(node, ast.JoinedStr):
        return ["".join(part.value if isinstance(part, ast.Constant) else "5" for part in node.values)]
    return [word for part in getattr(node, "elts", ()) for word in _strings(part)]


def is_label(words: str) -> bool:
    """Whether words on a panel or a sheet are a label: at most seven of them, and no sentence."""
    return len(words.split()) <= 7 and not _NO_LABEL.search(words)


def words_of(label: str) -> list[str]:
    """The words of a label in small letters, each as its singular."""
    return [_single(word) for word in _WORD.findall(label.lower())]


def _single(word: str) -> str:
    word = re.sub(r"['’]s?$", "", word)
    if word in ("this", "inches", "axis"):
        return {"inches": "inch"}.get(word, word)
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 3 else word


GLOSSARY = {word for term in TERMS for word in words_of(term.name)}
"""The words of the trade."""

_PLAIN = """
    above accept accepted act again agreed alike all allowed along and another answer any apprentice are as assume
    at away axis bare be before behind bent bet between book both build by came can care change choose clamped class
    clear code come compute cost count csv dashed date deg degree delete deviation done downhill each edge enter
    equal error estimate exercise fail far faulty feel fetch file fill find finished fit formula from front full
    given glance go got ground habit handout hard has have height held high hint hold how in inch instead into is it
    its keep kept kg known last lay lead leaning left less lesson let little load look looked low made make mass may
    me measure measured mistake mm more must my name nearest new no none not note now number off old one open or
    ordered other over own page pair paper pencil place plan plane planned print progress pull put read rear
    rearward record replace ride right same saw say seed set setting share sheet shortest show shown side signed
    size slip so solution square standard start steering take teacher test than that then theory there these this
    thought tilted tip to too tool trade tried trust try two unchanged under undo up uphill wanted was watch week
    what when where which who whole why wide with withdraw within word work worked write wrong yes yet you your
"""
PLAIN_WORDS = set(_PLAIN.split())
"""Everyday words, and those of a school or of statistics, which lessons explain."""
