"""The page: files that a browser loads, and what it shows of a run."""
