"""Closed forms."""
