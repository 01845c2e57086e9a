"""The chain as machine code, recorded from the stages themselves and run design by design."""
