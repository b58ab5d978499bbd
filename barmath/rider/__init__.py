"""Rider."""
