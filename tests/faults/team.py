"""The Celery app of the product, with workers that read the toy study."""

from tests.faults.pace import BRISK_LINE
from tradeopt.services.wakeups import TRANSPORT
from workers.app import app

TRANSPORT.update(BRISK_LINE)
app.conf.imports = ("workers.tasks", "tests.faults.toy_tasks")

__all__ = ["app"]
