"""The Celery app of the product, with workers that read the toy study."""

from workers.app import app

app.conf.imports = ("workers.tasks", "tests.faults.toy_tasks")

__all__ = ["app"]
