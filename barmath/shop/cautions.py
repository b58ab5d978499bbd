"""The usual cautions of the shop: each danger in one short text, and the texts that belong to each kind of work.

Panels, sheets and lessons take them from here, word for word. They are common practice, without a source, and no set of
rules: local rules, standards and licensed practice come first.
"""

from __future__ import annotations

RULES = "Local rules, standards and licensed practice come first."

GLASSES = "Wear glasses. Keep your fingers clear of die, hook and follower: they pinch."
SLIP = "A tube that slips lets the handle go: clamp the tube well before you pull."
SWING = "The bent arm swings round: clear its way and the floor, and let nobody stand there."
EDGES = "A sawn end and its chips cut: file the edge round at once, and brush chips away, never with your hand."
SPOILT = "A bend that is cracked, kinked or wrinkled is scrap, whatever it measures."

HAND_TWEAK = "Bend a bar back cold, slowly, in a padded clamp, and let nobody stand in its way."
NO_HEAT = "Do not heat a bend to move it: heat changes the strength of the tube."
NEAR_JOINT = "Do not bend or heat a bar beside a brazed joint: joint or tube can crack."

FUMES = "Fumes: work in fresh air or with extraction, and read the filler's data sheet. Use no cadmium filler."
NO_COATING = "Never braze galvanised or painted tube: the fumes are poisonous."
FIRE = "Fire: clear away what burns, keep an extinguisher near, and watch for half an hour after the last flame."
FLAME = "Wear gloves, sleeves and an eye shade for the flame."
HOT = "Hot steel looks cold: mark it, let it lie, and hold a hand near it before you touch it."
SLOW_COOL = "Let brazed 4130 cool in still air. Water or a fan makes it hard, and then it cracks."
VENT = "Drill the vent hole before you braze: a closed tube can burst when it gets hot."
JOINT = "Nothing here says that a joint will hold."

SCREEN = "This works out geometry and approves no bar: have bars tested to ISO 4210 before anybody rides them."
PLUGS = "Plug both ends of the bar before a ride: an open tube end cuts like a punch."
CRASH = "After a crash, take the bar off and look at every bend and joint. In doubt, scrap it."

BENDING = (RULES, GLASSES, SLIP, SWING, EDGES, SPOILT)
"""At the bender."""

CHECKING = (RULES, HAND_TWEAK, NO_HEAT, NEAR_JOINT, SPOILT, SCREEN)
"""At a finished bar that may be bent a little more."""

BRAZING = (RULES, FUMES, NO_COATING, FIRE, FLAME, VENT, HOT, SLOW_COOL, NEAR_JOINT, JOINT)
"""At the torch."""

SAWING = (GLASSES, EDGES)
"""At the saw and the file."""

RIDING = (RULES, SCREEN, PLUGS, CRASH)
"""Before a bar goes to a rider, and after."""

PLANNING = (RULES, SCREEN)
"""Where a bar is only planned, compared or drawn."""

ALL = tuple(dict.fromkeys((*BENDING, *CHECKING, *BRAZING, *SAWING, *RIDING)))
"""Every text once."""


def in_one(*texts: str) -> str:
    """The texts as one paragraph.

    Examples
    --------
    >>> in_one(RULES, JOINT)
    'Local rules, standards and licensed practice come first. Nothing here says that a joint will hold.'
    """
    return " ".join(texts)
