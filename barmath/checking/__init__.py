"""Checking."""
