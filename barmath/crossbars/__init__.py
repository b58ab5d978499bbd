"""Crossbars."""
