"""What is kept of runs, and the only SQL."""
