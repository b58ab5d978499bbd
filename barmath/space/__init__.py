"""Space."""
