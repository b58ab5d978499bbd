"""What is printed, true to scale: Matplotlib only."""
