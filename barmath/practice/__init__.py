"""Exercises made fresh from a seed, checked answers, and an apprentice's progress. Imports nothing by itself."""
