"""The Celery object. The database is the only truth; a message is but a wake-up."""

from celery import Celery

from tradeopt.settings import Settings, read_settings

RUN_SLICE = "tradeopt.run_slice"
"""Name of the task that does one slice."""


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
    app = Celery("tradeopt", broker=settings.broker_url.get_secret_value())
    app.conf.update(
        imports=("workers.tasks",),
        task_default_queue="slices",
        task_serializer="json",
        result_serializer="json",
        accept_content=["json"],
        task_ignore_result=True,
        # a message is done with only when the slice is written; one that kills its worker does
        # not come back by itself, or it could go round for ever
        task_acks_late=True,
        task_reject_on_worker_lost=False,
        task_time_limit=120,
        task_publish_retry=False,
        worker_prefetch_multiplier=1,
        worker_disable_prefetch=True,
        worker_pool_start_method="spawn",
        worker_proc_alive_timeout=30,
        worker_max_tasks_per_child=200,
        worker_max_memory_per_child=1_500_000,
        worker_cancel_long_running_tasks_on_connection_loss=False,
        worker_hijack_root_logger=False,
        broker_connection_retry_on_startup=True,
        broker_connection_max_retries=None,
        broker_connection_timeout=3,
        broker_transport_options={
            # longer than any task may take, so that none is handed out twice while it runs
            "visibility_timeout": 150,
            "unacked_restore_interval": 5,
            "unacked_restore_throttle": 1,
            "socket_timeout": 10,
            "socket_connect_timeout": 3,
            "socket_keepalive": True,
            "health_check_interval": 5,
        },
    )
    return app


app = make_app(read_settings())
