"""The Celery object. The database is the only truth; a message is but a wake-up."""

import os
from typing import Any

from celery import Celery, signals

from tradeopt.services import logs
from tradeopt.services.children import SINGLE_THREADED
from tradeopt.services.wakeups import QUEUE, TRANSPORT
from tradeopt.settings import Settings, read_settings


def make_app(settings: Settings) -> Celery:
    """
    Make the Celery object.

    Parameters
    ----------
    settings : Settings
        Tells the broker.

    Returns
    -------
    Celery
        With settings under which a lost, doubled or late message costs nothing but time.
    """
    broker = settings.broker_url.get_secret_value() if settings.broker_url else None
    app = Celery("tradeopt", broker=broker)
    app.conf.update(
        imports=("workers.tasks",),
        task_default_queue=QUEUE,
        task_serializer="json",
        result_serializer="json",
        accept_content=["json"],
        task_ignore_result=True,
        # a message is done with only after its work; one that kills its worker does not come back
        # by itself, or it could go round for ever
        task_acks_late=True,
        task_reject_on_worker_lost=False,
        # the last resort: a batch that hangs ends its worker long before, see `Rhythm`
        task_time_limit=900,
        task_publish_retry=False,
        worker_prefetch_multiplier=1,
        worker_disable_prefetch=True,
        worker_pool_start_method="spawn",
        worker_proc_alive_timeout=30,
        worker_max_tasks_per_child=200,
        worker_max_memory_per_child=1_500_000,
        worker_cancel_long_running_tasks_on_connection_loss=False,
        broker_connection_retry_on_startup=True,
        broker_connection_max_retries=None,
        broker_connection_timeout=3,
        broker_transport_options=TRANSPORT,
    )
    return app


app = make_app(read_settings())


@signals.celeryd_init.connect
def _prepare(**_told: Any) -> None:  # noqa: ANN401 - celery's signature
    """Refuse to start without a broker, and let the processes that follow be single-threaded."""
    if read_settings().broker_url is None:
        # celery tells of any other error and starts all the same
        raise SystemExit("TRADEOPT_BROKER_URL: got nothing, want one such as redis://host:6379/0")
    for name in SINGLE_THREADED:
        os.environ.setdefault(name, "1")


@signals.setup_logging.connect
def _set_up_logs(**_told: Any) -> None:  # noqa: ANN401 - celery's signature
    logs.set_up(read_settings().log_level)
