"""The sizes of paper that a sheet can have; no drawing program is needed to ask for them."""

SIZES_MM = {"A4": (210.0, 297.0), "A3": (297.0, 420.0), "Letter": (215.9, 279.4)}
"""Width and height of each, upright. A4 and A3: ISO 216; Letter: ANSI Y14.1, 8 1/2 x 11 in."""

LONG = "one long sheet"
"""The size of a sheet that is as long as what is drawn on it, for a plotter."""
