"""The tube in the bender: holds, readings, settings, sequences of bends, and what errors and mistakes do."""

from barmath.bending.bench_film import MOTIONS, Film, film_of_plan, film_of_pull
from barmath.bending.by_hand import HandBent, Pull, bent_by_hand, habits_of_pulls, padded, pulls_from_settings
from barmath.bending.clearance import MEETS, clearances_mm
from barmath.bending.error_budget import KEPT_SHARE, WITHIN, ErrorBudget, error_budget
from barmath.bending.failing import Failing, failing_of_station
from barmath.bending.finder import Flat, flats_to_read
from barmath.bending.holds import (
    BENDS,
    LEFT,
    RIGHT,
    STRAIGHTS,
    USUAL_HOLDS,
    Hold,
    Pose,
    bend_name,
    check_holds,
    made_so_far,
    poses_from_recipe,
    straight_name,
)
from barmath.bending.mistakes import MISTAKES, Outcome, outcome_of_mistake, rock_of_risers_mm, shows_on_the_bench
from barmath.bending.plans import GRIPS, PLANS, USUAL, least_riser_mm
from barmath.bending.recipe_text import (
    WrittenRecipe,
    line_of_bar,
    recipe_from_text,
    text_from_recipe,
    to_hundredths,
)
from barmath.bending.sequences import (
    BendSequence,
    bend_sequence,
    bend_sequence_of_each,
    every_bend_sequence,
)
from barmath.bending.sequences import BendSequence as BendOrder
from barmath.bending.sequences import bend_sequence as bend_order
from barmath.bending.sequences import every_bend_sequence as every_bend_order
from barmath.bending.settings import (
    Slips,
    bends_from_settings,
    settings_from_bends,
    stop_for_bend_deg,
    tangent_points_mm,
)
from barmath.bending.settings import bends_from_settings as bent_row
from barmath.bending.settings import settings_from_bends as settings_from_row
from barmath.bending.spread import (
    TUBES,
    ProcessErrors,
    ReadingSlope,
    only,
    slips_from_errors,
    slope_of_reading,
    spread_of_sequence,
    spread_of_settings,
)
from barmath.bending.spread import spread_of_sequence as spread_of_order
from barmath.bending.stations import FINDER, failures_of
from barmath.bending.step_words import STRAIGHT_BACK
from barmath.bending.steps import HABITS, Step, bench_steps
from barmath.bending.stops import HABIT_DEG, differ, moves_words, not_the_sweep, stop_moves
from barmath.bending.swing import Keepout, keepout_from_swing, swing
from barmath.bending.unsure import Unsure, unsure, unsure_rows, unsure_words

# Names with `row` or `order` are handed on for checks outside the project, which learned them first: a row is the bends
# along a tube, and such an order is their sequence. The package itself says bends and sequence.

__all__ = [
    "BENDS",
    "FINDER",
    "GRIPS",
    "HABITS",
    "HABIT_DEG",
    "KEPT_SHARE",
    "LEFT",
    "MEETS",
    "MISTAKES",
    "MOTIONS",
    "PLANS",
    "RIGHT",
    "STRAIGHTS",
    "STRAIGHT_BACK",
    "TUBES",
    "USUAL",
    "USUAL_HOLDS",
    "WITHIN",
    "BendOrder",
    "BendSequence",
    "ErrorBudget",
    "Failing",
    "Film",
    "Flat",
    "HandBent",
    "Hold",
    "Keepout",
    "Outcome",
    "Pose",
    "ProcessErrors",
    "Pull",
    "ReadingSlope",
    "Slips",
    "Step",
    "Unsure",
    "WrittenRecipe",
    "bench_steps",
    "bend_name",
    "bend_order",
    "bend_sequence",
    "bend_sequence_of_each",
    "bends_from_settings",
    "bent_by_hand",
    "bent_row",
    "check_holds",
    "clearances_mm",
    "differ",
    "error_budget",
    "every_bend_order",
    "every_bend_sequence",
    "failing_of_station",
    "failures_of",
    "film_of_plan",
    "film_of_pull",
    "flats_to_read",
    "habits_of_pulls",
    "keepout_from_swing",
    "least_riser_mm",
    "line_of_bar",
    "made_so_far",
    "moves_words",
    "not_the_sweep",
    "only",
    "outcome_of_mistake",
    "padded",
    "poses_from_recipe",
    "pulls_from_settings",
    "recipe_from_text",
    "rock_of_risers_mm",
    "settings_from_bends",
    "settings_from_row",
    "shows_on_the_bench",
    "slips_from_errors",
    "slope_of_reading",
    "spread_of_order",
    "spread_of_sequence",
    "spread_of_settings",
    "stop_for_bend_deg",
    "stop_moves",
    "straight_name",
    "swing",
    "tangent_points_mm",
    "text_from_recipe",
    "to_hundredths",
    "unsure",
    "unsure_rows",
    "unsure_words",
]
