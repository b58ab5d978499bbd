"""Exercises for each lesson, their checks, and what an apprentice has done."""

from barmath.practice.bets.lesson_07 import ANOTHER_BAR, FAULT_DEG, readings_of_spoiled_bar
from barmath.practice.class_seeds import class_exercises
from barmath.practice.course import KINDS, code_from_text, code_of, exercise, seed_from_text
from barmath.practice.exercise import Exercise, Question, Verdict, answer_text, check, worked
from barmath.practice.progress import Done, add_to_file, level_after, progress_from_file
from barmath.practice.scene import LEVELS

__all__ = [
    "ANOTHER_BAR",
    "FAULT_DEG",
    "KINDS",
    "LEVELS",
    "Done",
    "Exercise",
    "Question",
    "Verdict",
    "add_to_file",
    "answer_text",
    "check",
    "class_exercises",
    "code_from_text",
    "code_of",
    "exercise",
    "level_after",
    "progress_from_file",
    "readings_of_spoiled_bar",
    "seed_from_text",
    "worked",
]
