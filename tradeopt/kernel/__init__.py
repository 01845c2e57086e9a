"""The chain as machine code: recorded once from the stages themselves, then run design by design."""
