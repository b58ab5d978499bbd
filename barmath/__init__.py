"""Rise, sweep and marks of bent riser handlebars: from a rider's order to a recipe for the shop's own dies and tube.

Millimetres and degrees at the face, radians inside. This module only hands names on. It opens a room when somebody
first asks for a name from it, so that `import barmath` takes no time.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from barmath.closed_forms import (
        Marks,
        Order,
        Recipe,
        Shape,
        clamp_reading_deg,
        least_bend_deg,
        marks_from_recipe,
        recipe_from_inner_bend,
        recipe_from_order,
        rise_window_mm,
        shape_from_recipe,
    )
    from barmath.crossbars import cope_ordinates_mm
    from barmath.refusal import BendError
    from barmath.shop import CHROMOLY_4130, Bender, Die, Material, Springback, Tube, springback_from_tube

__all__ = [
    "CHROMOLY_4130",
    "BendError",
    "Bender",
    "Die",
    "Marks",
    "Material",
    "Order",
    "Recipe",
    "Shape",
    "Springback",
    "Tube",
    "clamp_reading_deg",
    "cope_ordinates_mm",
    "least_bend_deg",
    "marks_from_recipe",
    "recipe_from_inner_bend",
    "recipe_from_order",
    "rise_window_mm",
    "shape_from_recipe",
    "springback_from_tube",
]


def __getattr__(name: str) -> Any:
    if name in __all__:
        for home in ("refusal", "closed_forms", "shop", "crossbars"):  # each brings those before it, and little more
            names = vars(import_module(f"{__name__}.{home}"))
            if name in names:
                return globals().setdefault(name, names[name])
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
