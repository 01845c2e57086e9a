"""The study file: reading it, checking it, and making it ready to run."""
