"""A database with one run in it."""

from tests.services.stores import database, run

__all__ = ["database", "run"]
