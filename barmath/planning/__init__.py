"""Planning."""
