"""The bets of each lesson: what it asks before it shows a result."""

from barmath.practice.bets.bet import Bet, Outcome, answer_words, choice_bet, line_bet, number_bet, outcome
from barmath.practice.bets.line import Line, line_text
from barmath.practice.bets.of_lessons import bet_names, bet_of, lessons_with_bets

__all__ = [
    "Bet",
    "Line",
    "Outcome",
    "answer_words",
    "bet_names",
    "bet_of",
    "choice_bet",
    "lessons_with_bets",
    "line_bet",
    "line_text",
    "number_bet",
    "outcome",
]
