"""Every answer of every public function as it was when somebody last looked: a change that nobody meant shows here.

This proves nothing right; the other tests do that, against other routes and published values. Each call of faces.py is
made as it is meant to be, and its answer compared with answers.json: words letter by letter, numbers to one part in a
million, long arrays by their shape and three sums, long
lists by three of their things. After a change that is meant, `python tests/test_answers.py` in the
project's folder writes the file again; read what changed in it.
"""

import json
import sys
from dataclasses import fields, is_dataclass
from functools import cache
from pathlib import Path

import numpy as np
import pytest

if __name__ == "__main__":
    sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[1])]

from faces import FACES
from test_refusals import title

FILE = Path(__file__).with_name("answers.json")
LONG, MANY = 12, 40


def flat(answer, path="") -> dict[str, object]:
    """An answer as words and numbers by their place in it."""
    if isinstance(answer, np.ndarray) and answer.size > LONG:
        if answer.dtype.kind not in "biuf":
            return flat(answer.tolist(), path)
        numbers = np.nan_to_num(answer.astype(float), nan=-7.0, posinf=1e6, neginf=-1e6).ravel()
        sums = (numbers.sum(), np.abs(numbers).sum(), (numbers * np.cos(np.arange(numbers.size))).sum())
        return {f"{path} shape": str(answer.shape)} | {f"{path} sum {n}": float(s) for n, s in enumerate(sums)}
    if isinstance(answer, np.ndarray | np.generic):
        answer = answer.tolist()
    if is_dataclass(answer):
        answer = {field.name: getattr(answer, field.name) for field in fields(answer)}
    elif isinstance(answer, tuple) and hasattr(answer, "_asdict"):
        answer = answer._asdict()
    if hasattr(answer, "items"):
        return {k: v for name, inner in answer.items() for k, v in flat(inner, f"{path}.{name}").items()}
    if isinstance(answer, list | tuple):
        if len(answer) > MANY:
            answer = {"count": len(answer), "first": answer[0], "middle": answer[len(answer) // 2], "last": answer[-1]}
            return flat(answer, path)
        return {k: v for place, inner in enumerate(answer) for k, v in flat(inner, f"{path}.{place}").items()}
    if isinstance(answer, float | int) and not isinstance(answer, bool):
        return {path: float(answer) if np.isfinite(answer) else str(answer)}
    return {path: answer.decode() if isinstance(answer, bytes) else None if answer is None else str(answer)}


def answer(place: int) -> dict[str, object]:
    return flat(FACES[place].run())


@cache
def kept() -> dict[str, dict[str, object]]:
    return json.loads(FILE.read_text(encoding="utf-8"))


def test_the_answers_are_of_these_calls():
    assert list(kept()) == [title(place) for place in range(len(FACES))]


@pytest.mark.parametrize("place", range(len(FACES)), ids=title)
def test_an_answer_is_what_it_was(place):
    found, before = answer(place), kept()[title(place)]
    assert list(found) == list(before)
    for name, value in before.items():
        same = pytest.approx(value, rel=1e-6, abs=1e-6) if isinstance(value, float) else value
        assert found[name] == same, name


if __name__ == "__main__":
    every = {title(place): answer(place) for place in range(len(FACES))}
    FILE.write_text(json.dumps(every, indent=0, ensure_ascii=False) + "\n", encoding="utf-8")
