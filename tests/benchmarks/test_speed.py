"""How fast it is, as ratios within one run: `python -m pytest tests/benchmarks -s` prints them.

They stand outside the default run: a busy machine makes any timing doubtful. Each time is the best of several; what is
compared is timed in turn, so that a passing load touches both. The bounds are those the project promises.
"""

import os
import statistics
import subprocess
import sys
import time
from dataclasses import replace
from importlib.util import find_spec
from math import atan2, cos, degrees, radians, sin

import numpy as np
import pytest
from conftest import ROOT
from scipy.optimize import root

from barmath import Die, Order, Recipe, Shape, Tube, recipe_from_order, shape_from_recipe
from barmath.planning.ways import every_way

BARS = 1_000_000
ROUNDS = 9
INTERPRETERS = 15

SHAPE_AT_LEAST = 0.6
SHAPE_AT_MOST = 3.0 if find_spec("numba") else 5.3
RECIPE_AT_LEAST = 0.4
ROOT_AT_LEAST = 1000.0
IMPORT_AT_MOST = 1.3
WAYS_AT_MOST = 2.0

ANSWERS = 1e-9
"""mm and degrees between the closed form and the solver."""


def best_times(*calls, rounds=ROUNDS, clock=time.perf_counter):
    """Best time of each call, in seconds, timed in turn."""
    times = [[] for _ in calls]
    for _ in range(rounds + 1):  # the first round warms up
        for call, taken in zip(calls, times, strict=True):
            start = clock()
            call()
            taken.append(clock() - start)
    return [min(taken[1:]) for taken in times]


def tell(what, ratio, bound, *times):
    told = ", ".join(f"{1e3 * taken:.1f} ms" if taken > 1e-3 else f"{1e6 * taken:.3g} us" for taken in times)
    print(f"\n{what}: {ratio:.2f} ({bound}); {told}")


@pytest.fixture(scope="module")
def draw():
    return np.random.default_rng(11).uniform


@pytest.fixture(scope="module")
def recipes(draw):
    return Recipe(
        clamp_flat_mm=draw(40.0, 60.0, BARS),
        inner_bend_deg=draw(15.0, 40.0, BARS),
        straight_mm=draw(60.0, 150.0, BARS),
        roll_deg=draw(-50.0, 50.0, BARS),
        outer_bend_deg=draw(15.0, 40.0, BARS),
        grip_mm=draw(150.0, 250.0, BARS),
        radius_mm=draw(80.0, 170.0, BARS),
        stem_roll_deg=draw(-20.0, 20.0, BARS),
    )


def orders(draw, size, upsweep):
    """Orders that radii from 80 to 110 mm and bends from 26 to 30 degrees can make."""
    return Order(
        rise_mm=draw(85.0, 100.0, size),
        backsweep_deg=draw(5.0, 12.0, size),
        width_mm=draw(720.0, 820.0, size),
        upsweep_deg=draw(1.0, 4.0, size) if upsweep else None,
        clamp_flat_mm=draw(40.0, 60.0, size),
    ), (draw(80.0, 110.0, size), draw(26.0, 30.0, size))


def test_shape_from_recipe_against_the_bare_trigonometry(recipes):
    """Sine and cosine of four angles and the arctangents of two sweeps cannot be avoided."""
    angles = [np.deg2rad(angle) for angle in (
        recipes.inner_bend_deg, recipes.roll_deg, recipes.outer_bend_deg, recipes.stem_roll_deg
    )]  # fmt: skip
    back, right = np.sin(angles[0]), np.cos(angles[0])

    def bare():
        for theta in angles:
            np.sin(theta)
            np.cos(theta)
        np.arctan2(back, right)
        np.arctan2(right, back)

    bare_s, shape_s = best_times(bare, lambda: shape_from_recipe(recipes))
    ratio = bare_s / shape_s
    tell("shape_from_recipe, bare trigonometry = 1", ratio, f"at least {SHAPE_AT_LEAST}", bare_s, shape_s)
    assert ratio >= SHAPE_AT_LEAST


def test_shape_from_recipe_against_its_own_tangents_and_arctangents(draw, recipes):
    """Risers upright, in processor time: half of three angles has its tangent, and two sweeps are arctangents."""
    halves = [np.deg2rad(0.5 * angle) for angle in (recipes.inner_bend_deg, recipes.roll_deg, recipes.outer_bend_deg)]
    back, up, right = draw(-0.5, 0.5, BARS), draw(-0.5, 0.5, BARS), draw(0.5, 1.0, BARS)
    upright = replace(recipes, stem_roll_deg=0.0)

    def bare():
        for half in halves:
            np.tan(half)
        np.arctan2(back, right)
        np.arctan2(up, right)

    bare_s, shape_s = best_times(bare, lambda: shape_from_recipe(upright), clock=time.process_time)
    ratio = shape_s / bare_s
    what = "shape_from_recipe, risers upright, its three tangents and two arctangents = 1"
    tell(what, ratio, f"at most {SHAPE_AT_MOST}", bare_s, shape_s)
    assert ratio <= SHAPE_AT_MOST


@pytest.mark.parametrize("upsweep", [False, True], ids=["risers upright", "upsweep ordered"])
def test_recipe_from_order_against_the_bare_trigonometry(draw, upsweep):
    """The tangent of each sweep, sine and cosine of the bend, and an arctangent for each angle of the recipe."""
    asked, made_with = orders(draw, BARS, upsweep)
    sweeps = [np.deg2rad(sweep) for sweep in (asked.backsweep_deg, asked.upsweep_deg) if sweep is not None]
    bend = np.deg2rad(made_with[1])
    back, right = np.sin(bend), np.cos(bend)

    def bare():
        for theta in sweeps:
            np.tan(theta)
            np.arctan2(back, right)
        np.sin(bend)
        np.cos(bend)

    bare_s, recipe_s = best_times(bare, lambda: recipe_from_order(asked, *made_with))
    ratio = bare_s / recipe_s
    what = f"recipe_from_order, {'upsweep ordered' if upsweep else 'risers upright'}, bare trigonometry = 1"
    tell(what, ratio, f"at least {RECIPE_AT_LEAST}", bare_s, recipe_s)
    assert ratio >= RECIPE_AT_LEAST


@pytest.mark.parametrize("upsweep", [False, True], ids=["risers upright", "upsweep ordered"])
def test_recipe_from_order_with_two_bends_against_the_bare_trigonometry(draw, upsweep):
    """As above, with sine and cosine of both bends."""
    asked, (radius, inner) = orders(draw, BARS, upsweep)
    outer = inner + draw(-0.5, 0.5, BARS)
    sweeps = [np.deg2rad(sweep) for sweep in (asked.backsweep_deg, asked.upsweep_deg) if sweep is not None]
    bends = np.deg2rad(inner), np.deg2rad(outer)
    back, right = np.sin(bends[0]), np.cos(bends[0])

    def bare():
        for theta in sweeps:
            np.tan(theta)
            np.arctan2(back, right)
        for theta in bends:
            np.sin(theta)
            np.cos(theta)

    bare_s, recipe_s = best_times(bare, lambda: recipe_from_order(asked, radius, inner, outer))
    ratio = bare_s / recipe_s
    what = f"recipe_from_order, two bends, {'upsweep ordered' if upsweep else 'risers upright'}, bare trigonometry = 1"
    tell(what, ratio, f"at least {RECIPE_AT_LEAST}", bare_s, recipe_s)
    assert ratio >= RECIPE_AT_LEAST


@pytest.mark.parametrize("upsweep", [False, True], ids=["risers upright", "upsweep ordered"])
def test_the_closed_form_against_a_solver_on_the_same_equations(draw, upsweep):
    """Roll, straight and grip (and the stem roll) that make rise, sweeps and width, by scipy.optimize.root."""
    few = 40
    asked, (radius, bend) = orders(draw, few, upsweep)
    made = recipe_from_order(asked, radius, bend)
    measures = ("rise_mm", "backsweep_deg", "width_mm", *(("upsweep_deg",) if upsweep else ()))
    unknowns = ("roll_deg", "straight_mm", "grip_mm", *(("stem_roll_deg",) if upsweep else ()))

    def miss(at, place):
        shape = shape_numbers(asked.clamp_flat_mm[place], bend[place], radius[place], *at)
        return [got - getattr(asked, name)[place] for got, name in zip(shape, measures, strict=False)]

    start = [20.0, 100.0, 200.0, 0.0][: len(unknowns)]
    solved = [root(miss, start, args=(place,), tol=1e-13).x for place in range(few)]
    for place, found in enumerate(solved):
        expected = [getattr(made, name)[place] for name in unknowns]
        np.testing.assert_allclose(found, expected, atol=ANSWERS, rtol=0)

    def miss_shipped(at, place):
        roll, straight, grip, *stem = map(float, at)
        flat, a, r = (float(x[place]) for x in (asked.clamp_flat_mm, bend, radius))
        shape = shape_from_recipe(Recipe(flat, a, abs(straight), roll, a, abs(grip), r, *stem))
        return [getattr(shape, name) - getattr(asked, name)[place] for name in measures]

    million, made_with = orders(draw, BARS, upsweep)
    shipped_s, plain_s, closed_s = best_times(
        lambda: [root(miss_shipped, start, args=(place,)) for place in range(few)],
        lambda: [root(miss, start, args=(place,)) for place in range(few)],
        lambda: recipe_from_order(million, *made_with),
        rounds=3,
    )
    for equations, solver_s, bound in (
        ("shape_from_recipe's", shipped_s, f"at least {ROOT_AT_LEAST:.0f}"),
        ("the same, in plain floats,", plain_s, "for comparison"),
    ):
        ratio = (solver_s / few) / (closed_s / BARS)
        tell(f"closed form, scipy.optimize.root on {equations} equations = 1, a bar, {len(unknowns)} unknowns", ratio,
             bound, solver_s / few, closed_s / BARS)  # fmt: skip
    assert (shipped_s / few) / (closed_s / BARS) >= ROOT_AT_LEAST


def shape_numbers(flat, bend_deg, radius, roll_deg, straight, grip, stem_deg=0.0):
    """Rise, backsweep, width and upsweep of equal bends, in plain floats: what a solver is best given."""
    a, phi, psi = radians(bend_deg), radians(roll_deg), radians(stem_deg)
    arc, turn = radius * sin(a), radius * (1 - cos(a))
    right = cos(a) ** 2 + sin(a) ** 2 * cos(phi)
    back, up = sin(a) * sin(phi), sin(a) * cos(a) * (1 - cos(phi))
    end_right = flat / 2 + arc + straight * cos(a) + arc * cos(a) + turn * sin(a) * cos(phi) + grip * right
    end_back = turn * sin(phi) + grip * back
    end_up = turn + straight * sin(a) + arc * sin(a) - turn * cos(a) * cos(phi) + grip * up
    rise = end_up * cos(psi) - end_back * sin(psi)
    grip_back, grip_up = back * cos(psi) + up * sin(psi), up * cos(psi) - back * sin(psi)
    return rise, degrees(atan2(grip_back, right)), 2 * end_right, degrees(atan2(grip_up, right))


def test_the_solvers_equations_are_those_of_the_shape(draw):
    asked, (radius, bend) = orders(draw, 5, upsweep=True)
    made = recipe_from_order(asked, radius, bend)
    shape: Shape = shape_from_recipe(made)
    for place in range(5):
        numbers = shape_numbers(
            made.clamp_flat_mm[place], bend[place], radius[place], made.roll_deg[place],
            made.straight_mm[place], made.grip_mm[place], made.stem_roll_deg[place],
        )  # fmt: skip
        measured = shape.rise_mm, shape.backsweep_deg, shape.width_mm, shape.upsweep_deg
        assert numbers == pytest.approx([quantity[place] for quantity in measured], abs=ANSWERS)


def test_every_pair_of_stops_against_a_million_sines(draw):
    """All pairs of 15 stops on three dies with every limit, ranked: 675 ways."""
    dies, angles = [Die(radius) for radius in (101.6, 127.0, 152.4)], draw(0.0, 6.0, BARS)
    order, tube = Order(90, 14, 800, None, 60, 170), Tube(22.225, 1.651)
    assert len(every_way(order, tube, dies)) == 675
    sine_s, ways_s = best_times(lambda: np.sin(angles), lambda: every_way(order, tube, dies).reason(0))
    tell("675 ways, a million sines = 1", ways_s / sine_s, f"at most {WAYS_AT_MOST}", sine_s, ways_s)
    assert ways_s / sine_s <= WAYS_AT_MOST


def test_import_barmath_against_import_numpy(tmp_path):
    """Fresh interpreters in turn, byte code at hand: the median of the ratios.

    A bar is worked out as well, because `import barmath` opens no room by itself.
    """
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    environment["PYTHONPYCACHEPREFIX"] = str(tmp_path)

    def seconds(line):
        ask = f"import time; start = time.perf_counter(); {line}; print(time.perf_counter() - start)"
        command = [sys.executable, "-c", ask]
        return float(subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, check=True).stdout)

    ours = "import barmath; barmath.recipe_from_order(barmath.Order(90, 14, 800), 105, 30)"
    seconds(ours)  # writes the byte code
    pairs = [(seconds("import numpy"), seconds(ours)) for _ in range(INTERPRETERS)]
    ratio = statistics.median(our_time / their_time for their_time, our_time in pairs)
    times = map(min, zip(*pairs, strict=True))
    tell("import barmath and a first bar, import numpy = 1", ratio, f"at most {IMPORT_AT_MOST}", *times)
    assert ratio <= IMPORT_AT_MOST
