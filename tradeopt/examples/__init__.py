"""Studies that run as they are; their data is invented and says so."""
