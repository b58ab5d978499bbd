"""Planning a bar: which bends, dies and recipes the shop can make, and what limits each."""

from barmath.planning.best_pair import best_pair_deg, best_pair_with_setback_deg
from barmath.planning.candidates import BendPair, Candidates, candidates, rise_limits_mm, spare_mm
from barmath.planning.chart_data import (
    Chart,
    ReadingLine,
    RiseLine,
    SettingsBlock,
    inner_marks_mm,
    reading_lines,
    rise_lines,
    settings_blocks,
    stop_deg,
)
from barmath.planning.cut_list import CutBar, CutList, cut_list
from barmath.planning.design_map import BarMap, Combinations, bar_map, every_combination
from barmath.planning.die_choice import (
    DieChoice,
    WindowCurve,
    across_half_width,
    die_choice,
    makeable,
    new_die,
    window_curve,
)
from barmath.planning.even_bend import even_bend_deg
from barmath.planning.limits import Limit, Window, checked_stock
from barmath.planning.old_marks import bend_from_straight_deg
from barmath.planning.pair_chart import PairRows, pair_rows
from barmath.planning.recipe_limits import limits_from_recipe, refusals, refuse_unmakeable, warnings
from barmath.planning.ways import LEVEL, ORDERED, UPRIGHT, Ways, every_way

__all__ = [
    "LEVEL",
    "ORDERED",
    "UPRIGHT",
    "BarMap",
    "BendPair",
    "Candidates",
    "Chart",
    "Combinations",
    "CutBar",
    "CutList",
    "DieChoice",
    "Limit",
    "PairRows",
    "ReadingLine",
    "RiseLine",
    "SettingsBlock",
    "Ways",
    "Window",
    "WindowCurve",
    "across_half_width",
    "bar_map",
    "bend_from_straight_deg",
    "best_pair_deg",
    "best_pair_with_setback_deg",
    "candidates",
    "checked_stock",
    "cut_list",
    "die_choice",
    "even_bend_deg",
    "every_combination",
    "every_way",
    "inner_marks_mm",
    "limits_from_recipe",
    "makeable",
    "new_die",
    "pair_rows",
    "reading_lines",
    "refusals",
    "refuse_unmakeable",
    "rise_limits_mm",
    "rise_lines",
    "settings_blocks",
    "spare_mm",
    "stop_deg",
    "warnings",
    "window_curve",
]
