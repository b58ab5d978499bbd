"""Formulas made wrong on purpose: the published checks alone must notice each one.

Each wrong formula is written into a copy of the package, and the published checks that know swept bars are run on it.
"""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
CHECKS = ["test_swept_bars.py", "test_springback.py", "test_copes.py"]

WRONG = {
    # name: (the formula, what it is made into); the formula stands once in the package
    "the grip sweeps back by the sine of the inner bend": (
        "grip_back = sin_b * sin_phi\n    grip_up = sin_a * cos_b - cos_a * across\n    _refuse",
        "grip_back = sin_a * sin_phi\n    grip_up = sin_a * cos_b - cos_a * across\n    _refuse",
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
        "right = 0.5 * flat + take_a",
        "right = flat + take_a",
    ),
    "the line-up offset has the other sign": (
        "return tangent_mm - onward * die.line_up_offset_mm",
        "return tangent_mm + onward * die.line_up_offset_mm",
    ),
    "the cut length leaves out the outer arcs": (
        "flat + 2.0 * (radius * (a + b) + s + g)",
        "flat + 2.0 * (radius * a + s + g)",
    ),
    "the radius on the die is taken as the finished one": (
        "return self.die_radius_mm / (1.0 - self.ratio)",
        "return self.die_radius_mm",
    ),
}


@pytest.mark.parametrize(("formula", "wrong"), WRONG.values(), ids=WRONG)
def test_the_published_checks_notice(formula, wrong, tmp_path):
    shutil.copytree(ROOT / "barmath", tmp_path / "barmath", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copytree(ROOT / "tests", tmp_path / "tests", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    places = [path for path in (tmp_path / "barmath").rglob("*.py") if formula in path.read_text(encoding="utf-8")]
    assert len(places) == 1
    text = places[0].read_text(encoding="utf-8")
    assert text.count(formula) == 1
    places[0].write_text(text.replace(formula, wrong), encoding="utf-8")

    checks = [str(tmp_path / "tests" / "published" / name) for name in CHECKS]
    run = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", *checks],
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": str(tmp_path), "PYTEST_ADDOPTS": "", "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        text=True,
    )
    assert run.returncode == 1, run.stdout[-2000:]  # 1: a check failed; anything else is no answer
    assert "AssertionError" in run.stdout or "assert" in run.stdout
