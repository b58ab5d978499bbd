"""How closely numbers must agree, named once: closed forms to rounding, published tables to what they print."""

LENGTH_MM = 1e-9
ANGLE_DEG = 1e-9
RATIO = 1e-12
"""Relative, for two ways of writing the same expression."""
