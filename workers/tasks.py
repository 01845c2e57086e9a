"""The tasks: ids in, one service call out."""

from celery import shared_task

from tradeopt.services import runs
from tradeopt.settings import read_settings
from workers.app import RUN_SLICE


@shared_task(name=RUN_SLICE)
def run_slice(run_id: str, epoch: int, island: int) -> None:
    """Do one slice of a run. Safe to run twice."""
    runs.run_slice(read_settings().database_url.get_secret_value(), run_id, epoch, island)
