"""The words of the trade, each with its sketch."""

from barmath.glossary.of_the_bar import ABOVE, FRONT, views_of_bar, whole
from barmath.glossary.sketch import Sketch, Stroke
from barmath.glossary.terms import GROUPS, TERMS, Term

__all__ = ["ABOVE", "FRONT", "GROUPS", "TERMS", "Sketch", "Stroke", "Term", "views_of_bar", "whole"]
