"""Whatever number or word is put in anywhere: a refusal in one whole sentence, or an answer; never a warning."""

import importlib
import inspect
import pkgutil
import re
import warnings

import numpy as np
import pytest
from faces import FACES, NOT_CALLED, Call
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from test_house import ALL_MATHEMATICS, GROUND

import barmath
from barmath import BendError

NAN, INF = float("nan"), float("inf")
numbers = st.one_of(
    st.sampled_from([NAN, INF, -INF, 0.0, -0.0, 1e-300, -1e-300, 5e-324, 1e-9, 1e9, 1e49, 1e51, 1e300, -1.0, 90.0,
                     180.0, 360.0, 10**400]),
    st.floats(), st.floats(-500.0, 1500.0), st.integers(-10, 2000),
)  # fmt: skip
several = st.one_of(
    st.lists(numbers, max_size=3),
    arrays(float, st.sampled_from([(0,), (1,), (2,), (3,), (2, 1), (2, 3)]), elements=st.floats(-200.0, 1000.0)),
    st.just([1.0, [2.0, 3.0]]),
    st.just(np.ma.masked_array([25.0, 30.0], [True, False])),
)
words = st.one_of(
    st.text(max_size=12),
    st.sampled_from(["", "7/8 in", "1/0 in", "nan", "\x00", "<b>x</b>", "=1+1", "٣", "9" * 300]),
)
anything = st.one_of(numbers, several, words, st.none(), st.booleans(), st.just(1j), st.just({}))

SENTENCE = re.compile(r"\S.*\S", re.DOTALL)


def check_sentence(sentence: str, given: str = "") -> None:
    """One whole sentence: it says something, and holds no half-made text."""
    assert SENTENCE.fullmatch(sentence), sentence
    assert len(sentence) >= 20, sentence
    assert "{" not in sentence or "got" in sentence or "{" in given, sentence
    assert "object at 0x" not in sentence, sentence


def test_nothing_public_is_forgotten():
    called = set()

    def walk(value):
        if isinstance(value, Call):
            called.add(value.make.__qualname__.split(".")[0])
            for inner in value.given.values():
                walk(inner)
        elif isinstance(value, tuple | list):
            for inner in value:
                walk(inner)

    for face in FACES:
        walk(face)
    public = set()
    for module in pkgutil.walk_packages(barmath.__path__, "barmath."):
        if not module.ispkg and module.name.split(".")[1] in GROUND | ALL_MATHEMATICS:
            names = vars(importlib.import_module(module.name))
            public |= {
                name
                for name, thing in names.items()
                if not name.startswith("_")
                and getattr(thing, "__module__", "") == module.name
                and (inspect.isfunction(thing) or (inspect.isclass(thing) and hasattr(thing, "__post_init__")))
            }
    assert public - called == set(NOT_CALLED)


@pytest.mark.parametrize("face", FACES, ids=lambda face: face.name)
def test_a_call_that_is_right_is_answered(face):
    face.run()


def changed_leaves(face):
    """One to three leaves of a call, each with what is put in its place."""
    each = [st.tuples(st.just(path), words if isinstance(old, str) else anything) for path, old in face.leaves()]
    return st.lists(st.one_of(each), min_size=1, max_size=3).map(dict)


@pytest.mark.parametrize("face", [face for face in FACES if list(face.leaves())], ids=lambda face: face.name)
def test_whatever_is_put_in_is_refused_in_a_sentence_or_answered(face):
    @given(changed_leaves(face))
    def put_in(changed):
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            try:
                face.run(changed)
            except BendError as refusal:
                check_sentence(str(refusal), repr(list(changed.values())))

    put_in()


FOUND_BY_LONG_RUNS = [
    ("length_text", {("length",): 1.4e308, ("unit",): "in"}),
    ("out_of_round", {("diameter_mm",): [5e-324]}),
    ("two_sides_from_bends", {("bends", "recipe", "clamp_flat_mm"): [], ("stem_roll_deg",): np.zeros(2)}),
    ("advice", {("tolerance", "sweep_deg"): 5e-324}),
    ("loaded_bar", {("recipe", "straight_mm"): 4000}),
    ("shop_from_toml", {("text",): ":", ("source",): "\r"}),
    ("cut_list", {("lengths_mm", 0): 1e-307, ("kerf_mm",): 0.0}),
]


@pytest.mark.parametrize(("name", "changed"), FOUND_BY_LONG_RUNS, ids=[name for name, _ in FOUND_BY_LONG_RUNS])
def test_what_the_long_runs_found_is_refused(name, changed):
    called = [face for face in FACES if face.make.__name__ == name]
    faces = [face for face in called if set(changed) <= {path for path, _ in face.leaves()}]
    with pytest.raises(BendError) as refusal:
        faces[-1].run(changed)
    check_sentence(str(refusal.value))
