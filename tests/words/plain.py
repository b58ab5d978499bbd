"""How plain the project's own text is: what it says, where, how many turns of an older English, how long its sentences.

`PLAIN` is the one list of turns that make a sentence hard for somebody who reads English as a second language, each
with what to write instead.
"""

import ast
import json
import re
import tokenize
from collections.abc import Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path
from statistics import mean
from typing import NamedTuple

from parsed import MODULES, nodes_of

TOP = Path(__file__).parents[2]

PLAIN = {
    r"\b(?:is|are|be|was|were) told\b|\btold (?:apart|by|in|of)\b|\btells? of\b|\btells the\b": "say, show",
    r"(?<!its )(?<!the )(?<!a )(?<!nobody )\bstands?\b(?! on| up)|\bstood\b": "is, is written",
    r"(?<!let it )\bl(?:ies|ie|ain)\b(?! flat)": "is",
    r"\bstays\b": "remains; springs back to",
    r"\bfalls? out\b|\bfell out\b": "is not ordered; results",
    r"\bto spare\b": "longer than needed; more than needed",
    r"\bwhere there (?:is|are) (?:none|no|one)\b": "without; if there is none",
    r"\bas it is\b(?! clamped)|\bsuch as it is\b": "unchanged; leave out",
    r", for (?=(?:it|they|he|she|that|this|these|those|there|its|nobody|nothing|everything|each|every|the|a|an|no|"
    r"one|two|both|all|what|we|you)\b(?!\s+(?:example|instance)))(?=[^.;,\n]{3,60}\b(?:is|are|was|were|has|have|can|cannot|"
    r"does|do|would|will|must|may|needs?|takes?|gives?|makes?|holds?)\b)": "because",
    r"\bwhoever\b|\bwherein\b|\bthereof\b|\bwhereof\b|\bthereby\b|\bhence\b|\bthus\b|\bupon\b|"
    r"\bnor\b|\bshall\b|\blest\b|\bwhom\b|\bwhilst\b|\balbeit\b": "who; so; on",
    r"\bwhose\b": "with, of: a bar with equal bends",
    r"\bone's own\b|\boneself\b": "your own",
    r"\banew\b|\bafresh\b|\bseldom\b|\breckon\w*": "again; rarely; work out",
    r"\b(?:bar|bend|tube|order \d+|one|lines|wall|rule|die) wants?\b(?! to\b)": "needs; only people want",
    r"\bnaught\b|\bsave (?:for|where)\b|\bof itself\b|\bmended?\b|\bmends\b": "repair, correct",
    r"\btrails off\b|\bis about\b(?= (?:here|in))": "points",
}
"""An older turn, as a pattern, and what to write instead."""

ARCHAIC = re.compile("|".join(f"(?:{turn})" for turn in PLAIN), re.IGNORECASE)
_CODE = re.compile(
    r"```.*?```|`[^`]*`|\$\$.*?\$\$|\$[^$]*\$|\]\([^)]*\)|<[^>]*>|^ *(?:>>>|\.\.\.).*$",
    re.DOTALL | re.MULTILINE,
)
_OF_A_MACHINE = re.compile(r"=>|create table|\|[A-Z]+\|")
"""Scripts, commands of SQL and patterns: strings that nobody reads."""

_LEFT_OUT = re.compile(
    r"^\s*(?:[A-Z]\w*$| {4}.* = .*| {4}.*\S {2,}\S.*|#+ .*|\|.*|[-=*_]{3,}.*|\w[\w, ]* : .*)$", re.MULTILINE
)
_WORD = re.compile(r"[A-Za-z][A-Za-z'’-]+|\b[aAI]\b")
"""A single letter other than a and I is a symbol of a formula."""


class Text(NamedTuple):
    """A piece of text and the file that it is in."""

    where: str
    words: str


def lessons() -> Iterator[Text]:
    """The prose of each notebook."""
    for path in sorted(TOP.glob("notebooks/**/*.ipynb")):
        cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
        prose = "\n\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown")
        yield Text(str(path.relative_to(TOP)), prose)


def pages() -> Iterator[Text]:
    """README and DEVELOPERS, and the pages beside the lessons and of the tests."""
    for path in [TOP / "README.md", TOP / "DEVELOPERS.md", *sorted(TOP.glob("[!.]*/**/*.md"))]:
        yield Text(str(path.relative_to(TOP)), path.read_text(encoding="utf-8"))


def docstrings() -> Iterator[Text]:
    """The docstrings of each module, those below a constant too, without their examples."""
    documented = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)
    for path in MODULES:
        said = [ast.get_docstring(node) or "" for node in nodes_of(path) if isinstance(node, documented)]
        said += _below_constants(path)
        said = [re.split(r"\nExamples\n-+\n", words)[0] for words in said]
        yield Text(str(path.relative_to(TOP)), "\n\n".join(filter(None, said)))


def _below_constants(path: Path) -> Iterator[str]:
    for node in nodes_of(path):
        for before, after in pairwise(node.body if isinstance(node, ast.Module | ast.ClassDef) else ()):
            words = after.value if isinstance(after, ast.Expr) else None
            if isinstance(before, ast.Assign | ast.AnnAssign) and isinstance(words, ast.Constant):
                yield str(words.value)


def comments() -> Iterator[Text]:
    """The comments of each module; lines below each other are one."""
    for path in MODULES:
        found, last = [], (0, 0)
        with path.open(encoding="utf-8") as file:
            for token in tokenize.generate_tokens(file.readline):
                if token.type != tokenize.COMMENT or token.string.startswith(("# fmt", "# type", "# noqa")):
                    continue
                words = token.string.lstrip("# ")
                if token.start == (last[0] + 1, last[1]):
                    found[-1] += f" {words}"
                else:
                    found.append(words)
                last = token.start
        yield Text(str(path.relative_to(TOP)), "\n\n".join(found))


def messages() -> Iterator[Text]:
    """The strings of each module that are no docstring: labels, messages, lines of sheets."""
    for path in MODULES:
        bare = {id(node.value) for node in nodes_of(path) if isinstance(node, ast.Expr)}
        parts = {id(part) for node in nodes_of(path) if isinstance(node, ast.JoinedStr) for part in node.values}
        found = []
        for node in nodes_of(path):
            if id(node) in bare or id(node) in parts:
                continue
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                found.append(re.sub(r"\{\w*\}", "5", node.value))
            elif isinstance(node, ast.JoinedStr):
                found.append("".join(part.value if isinstance(part, ast.Constant) else "5" for part in node.values))
        yield Text(
            str(path.relative_to(TOP)),
            "\n\n".join(words for words in found if " " in words and not _OF_A_MACHINE.search(words)),
        )


@cache
def plain(words: str) -> str:
    """The words alone: no code, table, heading or address, and no formula (an indented line with an equals sign)."""
    return _LEFT_OUT.sub("", _CODE.sub(" Xx ", words))


def archaic(words: str) -> list[str]:
    """Each older turn with the words around it."""
    text = plain(words)
    return [" ".join(text[max(0, hit.start() - 40) : hit.end() + 30].split()) for hit in ARCHAIC.finditer(text)]


def how_many(words: str) -> int:
    """How many words the text has."""
    return len(_WORD.findall(plain(words)))


def sentences(words: str) -> list[str]:
    """The sentences of a text, each on one line."""
    found = []
    for block in re.split(r"\n\s*\n|\n\s*(?:[-*]|\d+\.) ", plain(words)):
        line = " ".join(block.replace("**", "").split())
        found += re.split(r"(?<=[.?!])[\"”)]?\s+(?=[A-Z\"“(])|(?<=[:;])\s+", line)
    return [sentence for sentence in found if len(_WORD.findall(sentence)) >= 3]


def lengths(words: str) -> list[int]:
    """How many words each sentence has."""
    return [len(_WORD.findall(sentence)) for sentence in sentences(words)]


def report() -> None:
    """Print, for each kind of text and each file, older turns per 1000 words and the length of sentences."""
    for kind in (lessons, pages, docstrings, comments, messages):
        texts = list(kind())
        total, count = sum(how_many(t.words) for t in texts), sum(len(archaic(t.words)) for t in texts)
        long = [n for t in texts for n in lengths(t.words)]
        print(
            f"{kind.__name__}: {count} in {total} words, {1000 * count / total:.1f} per 1000; "
            f"mean sentence {mean(long):.1f}, over 20: {sum(n > 20 for n in long)} of {len(long)}"
        )
        for text in sorted(texts, key=lambda t: -len(archaic(t.words)))[:12]:
            print(f"   {len(archaic(text.words)):4d} {how_many(text.words):6d} {text.where}")


if __name__ == "__main__":
    report()
