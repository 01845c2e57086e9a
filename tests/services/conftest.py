"""Runs that every folder may need: of a toy in an empty database, and of the levee study."""

from tests.services.levee import levee, told
from tests.services.stores import database, run

__all__ = ["database", "levee", "run", "told"]
