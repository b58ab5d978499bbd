"""Formulas made wrong on purpose: the published checks alone must notice each one.

Each wrong formula is written into a copy of the package, and the published checks that know swept bars are run on it.
"""

import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
import scipy.optimize  # noqa: F401  # loaded here, as is NumPy with it: neither may be loaded anew for each formula
from pyproj import Geod  # noqa: F401

pytest_plugins = ["pytester"]

ROOT = Path(__file__).resolve().parents[2]
CHECKS = ["test_swept_bars.py", "test_springback.py", "test_copes.py"]

WRONG = {
    # name: (the formula, what it is made into); the formula stands once in the package
    "the grip sweeps back by the sine of the inner bend": (
        "    grip_back = sin_b * sin_phi",
        "    grip_back = sin_a * sin_phi",
    ),
    "the backsweep is an arc sine": (
        "np.arctan2(grip_back, grip_right) * (1.0 / RADIAN)",
        "np.arcsin(grip_back) * (1.0 / RADIAN)",
    ),
    "the stem roll turns the other way": (
        "back, up = back * cos_psi + up * sin_psi, up * cos_psi - back * sin_psi",
        "back, up = back * cos_psi - up * sin_psi, up * cos_psi + back * sin_psi",
    ),
    "the roll of an ordered upsweep is half of what it must be": (
        "phi = (side + side) * np.arctan2(half_sin, w)",
        "phi = side * np.arctan2(half_sin, w)",
    ),
    "the roll of upright risers leaves out the second arc": (
        "np.arctan2(n + m * w, along)",
        "np.arctan2(n, w)",
    ),
    "the roll of a chosen inner bend forgets the bend": (
        "np.arctan2(e_back, drop), psi, tan_a",
        "np.arctan2(e_back, e_up), psi, tan_a",
    ),
    "the clamp reading is an arc tangent": (
        "np.arcsin(sine) * (1.0 / RADIAN)",
        "np.arctan(sine) * (1.0 / RADIAN)",
    ),
    "the whole clamp flat is counted on each side": (
        "flat + 2.0 * right,",
        "2.0 * (flat + right),",
    ),
    "the line-up offset has the other sign": (
        "return tangent_mm - onward * die.line_up_offset_mm",
        "return tangent_mm + onward * die.line_up_offset_mm",
    ),
    "the cut length leaves out the outer arcs": (
        "flat + 2.0 * (2.0 * radius * (half_a + half_b) + s + g)",
        "flat + 2.0 * (2.0 * radius * half_a + s + g)",
    ),
    "the radius on the die is taken as the finished one": (
        "return self.die_radius_mm / (1.0 - self.ratio)",
        "return self.die_radius_mm",
    ),
}


@pytest.fixture(scope="module")
def copied(tmp_path_factory) -> Path:
    """A copy of the package and of what the published checks need, with what Python has compiled of it."""
    top = tmp_path_factory.mktemp("wrong")
    shutil.copytree(ROOT / "barmath", top / "barmath")
    shutil.copytree(ROOT / "tests" / "published", top / "tests" / "published")
    for name in ("tests/conftest.py", "tests/tolerances.py", "pyproject.toml"):
        shutil.copy(ROOT / name, top / name)
    return top


@pytest.fixture
def wrong_package(copied, formula, wrong) -> Iterator[None]:
    """The copy with one formula made wrong."""
    places = [path for path in (copied / "barmath").rglob("*.py") if formula in path.read_text(encoding="utf-8")]
    assert len(places) == 1
    text = places[0].read_text(encoding="utf-8")
    assert text.count(formula) == 1
    places[0].write_text(text.replace(formula, wrong), encoding="utf-8")
    for compiled in places[0].parent.glob(f"__pycache__/{places[0].stem}.*"):
        compiled.unlink()
    yield
    places[0].write_text(text, encoding="utf-8")


@pytest.fixture
def published_checks(copied, pytester, monkeypatch):
    """Runs the published checks on the copy, in this process: only the package and its checks are loaded anew."""
    for name in [name for name in sys.modules if name.partition(".")[0] in {"barmath", "tests", "conftest"}]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    monkeypatch.syspath_prepend(copied)
    checks = [copied / "tests" / "published" / name for name in CHECKS]
    return lambda: pytester.inline_run("--rootdir", copied, "-x", "-p", "no:cacheprovider", *checks)


@pytest.mark.parametrize(("formula", "wrong"), WRONG.values(), ids=WRONG)
def test_the_published_checks_notice(wrong_package, published_checks):
    run = published_checks()
    assert run.ret == pytest.ExitCode.TESTS_FAILED  # a check failed; anything else is no answer
    (failed,) = run.getfailures()
    assert failed.when == "call"
    assert "assert" in str(failed.longrepr)


def test_with_no_formula_made_wrong_the_published_checks_pass(published_checks):
    run = published_checks()
    assert run.ret == pytest.ExitCode.OK
    assert len(run.getreports("pytest_runtest_logreport")) > 100
