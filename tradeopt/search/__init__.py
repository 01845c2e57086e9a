"""The search: from variables to designs, the unit of work, and fronts."""
