"""Pure functions of arrays in SI units: a file an effect, none knows another."""
