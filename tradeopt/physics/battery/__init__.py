"""A battery: one cell, how it runs down under a mission, and the pack made of many.

Conventions, fixed for every file of this package: tables of open-circuit voltage and resistance
have their points evenly spaced in state of charge, from empty (0) to full (1); tables over
temperature have theirs at `pack.TEMPERATURES`. Positive current discharges.
"""
