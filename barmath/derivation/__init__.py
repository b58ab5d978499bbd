"""The closed forms, derived step by step with SymPy.

`steps` holds the symbols and the tools. `forward` leads from the recipe to the bar, `inverse` from the order to the
recipe. `special` shows the flat offset and the angle finder's habit, `sensitivity` what a slip at the bench does.
"""

from barmath.derivation.steps import QUANTITIES, Step, largest_difference, numeric, vanishes

__all__ = ["QUANTITIES", "Step", "largest_difference", "numeric", "vanishes"]
