"""Where a bar puts the hands, and other bars for the same hands."""

from barmath.rider.hands import HAND_FROM_END_MM, Hand, Stem, grip_along, hand_from_recipe, wrist_turn
from barmath.rider.mounted import ROLLS_DEG, Mounted
from barmath.rider.other_bars import recipe_from_figures, recipe_from_inspection, recipe_from_record
from barmath.rider.same_hands import SameHands, every_bend_that_keeps, same_hands
from barmath.rider.shop_hands import ShopHands, same_hands_of_shop

__all__ = [
    "HAND_FROM_END_MM",
    "ROLLS_DEG",
    "Hand",
    "Mounted",
    "SameHands",
    "ShopHands",
    "Stem",
    "every_bend_that_keeps",
    "grip_along",
    "hand_from_recipe",
    "recipe_from_figures",
    "recipe_from_inspection",
    "recipe_from_record",
    "same_hands",
    "same_hands_of_shop",
    "wrist_turn",
]
