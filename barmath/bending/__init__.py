"""Bending."""
