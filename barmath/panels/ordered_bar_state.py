"""The order that a panel is about, and the tube, die and bend it is made with. No widgets."""

from __future__ import annotations

from dataclasses import dataclass, replace

from barmath.closed_forms.inverse import recipe_from_order
from barmath.closed_forms.records import Order, Recipe
from barmath.planning.ways import LEVEL, ORDERED, UPRIGHT
from barmath.shop.offsets import stop_from_bend_deg
from barmath.shop.order_seven import BEND_DEG, ORDER
from barmath.shop.setup import Setup, setup_from_tube
from barmath.shop.shop_file import Shop
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die, Springback, springback_from_tube

UPSWEEP_WORDS = {
    UPRIGHT: "not ordered, risers upright",
    LEVEL: "none, grips level",
    ORDERED: "as ordered",
}
"""How the upsweep is ordered, and with it how the rise is meant."""


BY_HAND = "bar by hand"
"""What a bar of no order is called."""

ONE_STOP = "one for all four bends"
"""What is said of a bar of one stop."""


@dataclass(frozen=True)
class Ordered:
    """An order as it is set in a panel. Lengths in mm, angles in degrees.

    `upsweep` is a key of `UPSWEEP_WORDS`; `upsweep_deg` counts where it is ordered.
    """

    rise_mm: float = float(ORDER.rise_mm)
    backsweep_deg: float = float(ORDER.backsweep_deg)
    width_mm: float = float(ORDER.width_mm)
    upsweep: str = UPRIGHT
    upsweep_deg: float = 3.0
    clamp_flat_mm: float = float(ORDER.clamp_flat_mm)
    controls_mm: float = float(ORDER.controls_mm)

    def order(self) -> Order:
        """The order; raises BendError where a value is outside its range."""
        upsweep = {UPRIGHT: None, LEVEL: 0.0}.get(self.upsweep, self.upsweep_deg)
        return Order(self.rise_mm, self.backsweep_deg, self.width_mm, upsweep, self.clamp_flat_mm, self.controls_mm)


@dataclass(frozen=True)
class OrderedBar(Ordered):
    """An order and what it is made with; `tube` and `die` are names of the shop's file, empty for its first.

    `bend_deg` is the finished angle of the inner bends, and of the outer ones where `outer_bend_deg` is None.

    A bar that is bent keeps the finished `radius_mm` and the inner `stop_deg` that it was bent by. A later calibration
    does not change them. Both are None for a bar that is still to be bent.
    """

    bend_deg: float = BEND_DEG
    tube: str = ""
    die: str = ""
    outer_bend_deg: float | None = None
    radius_mm: float | None = None
    stop_deg: float | None = None

    def tools(self, shop: Shop) -> tuple[Tube, Die]:
        """The tube and the die, with what was calibrated for them; raises BendError where the shop has none such."""
        tube = self.tube_of(shop)
        return tube, shop.die_for(tube, self.die or shop.dies[0].name)

    def tube_of(self, shop: Shop) -> Tube:
        """The tube; raises BendError where the shop has none such."""
        return shop.tube(self.tube) if self.tube else shop.tubes[0]

    def tools_as_bent(self, shop: Shop) -> tuple[Tube, Die]:
        """The tube, and the die as it was for a bar that is bent; raises BendError if it cannot be."""
        tube, die = self.tools(shop)
        if self.radius_mm is None or self.stop_deg is None:
            return tube, die
        return tube, die.as_bent(self.radius_mm, self.bend_deg, self.stop_deg)

    def as_bent(self, shop: Shop) -> OrderedBar:
        """The same bar with the radius and stop it has, or else with those of the shop's file today."""
        if self.radius_mm is not None:
            return self
        spring, die = self.springback(shop), self.tools(shop)[1]
        stop = float(stop_from_bend_deg(self.bend_deg, spring, die))
        return replace(self.named(shop), radius_mm=float(spring.finished_radius_mm), stop_deg=stop)

    def to_bend(self) -> OrderedBar:
        """The same bar, still to be bent."""
        return replace(self, radius_mm=None, stop_deg=None)

    def named(self, shop: Shop) -> OrderedBar:
        """The same bar, with the names of the shop's first tube and die where it has none."""
        return replace(self, tube=self.tube or shop.tubes[0].name, die=self.die or shop.dies[0].name)

    def springback(self, shop: Shop) -> Springback:
        """What the tube springs back on the die today."""
        return springback_from_tube(*self.tools(shop))

    def setup(self, shop: Shop) -> Setup:
        """The tube on the die, in the shop's bender: as it was, where the bar is bent."""
        return setup_from_tube(*self.tools_as_bent(shop), shop.bender)

    def recipe(self, shop: Shop) -> Recipe:
        """The bar with these bends; raises BendError if there is none."""
        radius = self.springback(shop).finished_radius_mm if self.radius_mm is None else self.radius_mm
        return recipe_from_order(self.order(), radius, *self.bends_deg)

    @property
    def bends_deg(self) -> tuple[float, float | None]:
        """Inner bend, and outer bend where it is another one."""
        return self.bend_deg, None if self.outer_bend_deg == self.bend_deg else self.outer_bend_deg

    @property
    def named_bends_deg(self) -> dict[str, float]:
        """Each bend that has a stop of its own, by what it is called; "" where all bends have one."""
        inner, outer = self.bends_deg
        return {"": inner} if outer is None else {"inner": inner, "outer": outer}

    def diameter_mm(self, shop: Shop) -> float:
        """Of the tube."""
        return float(self.tube_of(shop).outside_diameter_mm)
