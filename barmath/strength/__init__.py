"""Strength."""
