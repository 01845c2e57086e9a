"""The Celery app: its settings, and that a task does its slice once however often it comes."""

import pytest
from celery import Celery
from celery.app.defaults import DEFAULTS
from numpy.testing import assert_array_equal
from pydantic import SecretStr

from tests.services.toy import read_toy
from tradeopt.services import runs
from tradeopt.settings import Settings
from tradeopt.store import results
from tradeopt.store.database import Database
from tradeopt.store.runs import Run
from workers.app import RUN_SLICE, make_app


@pytest.fixture
def app() -> Celery:
    made = make_app(Settings(broker_url=SecretStr("memory://")))
    made.loader.import_default_modules()
    return made


def test_settings_keep_work_from_being_lost_or_going_round_for_ever(app: Celery) -> None:
    assert app.conf.task_acks_late is True
    assert app.conf.task_reject_on_worker_lost is False
    assert app.conf.worker_prefetch_multiplier == 1
    assert app.conf.accept_content == ["json"]
    assert not app.conf.result_backend
    visible_again = app.conf.broker_transport_options["visibility_timeout"]
    assert visible_again > app.conf.task_time_limit


def test_every_setting_is_one_that_celery_knows(app: Celery) -> None:
    ours = set(app.conf.changes or ()) - {"deprecated_settings"}  # a mark of celery's own
    assert {"imports", "worker_disable_prefetch"} <= ours
    assert ours <= set(DEFAULTS)


def test_the_task_goes_by_its_name(app: Celery) -> None:
    assert RUN_SLICE in app.tasks


def test_a_task_that_comes_twice_does_its_slice_once(
    app: Celery, database: Database, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TRADEOPT_DATABASE_URL", database.url)
    do = runs.run_slice
    monkeypatch.setattr(runs, "run_slice", lambda *ids: do(*ids, read_study=read_toy))
    task = app.tasks[RUN_SLICE]
    for _ in range(2):
        assert task.apply(args=(run.id, 0, 1), throw=True).state == "SUCCESS"
    (kept,) = results.slices(database, run, 0)
    assert_array_equal(kept.numbers, range(32, 64))


def test_a_message_sent_by_name_reaches_the_queue(app: Celery) -> None:
    app.send_task(RUN_SLICE, args=("toy-1", 0, 0))
    with app.connection_for_read() as connection:
        queue = connection.SimpleQueue("slices")
        message = queue.get(timeout=2)
        message.ack()
        queue.close()
    assert message.headers["task"] == RUN_SLICE
    assert message.payload[0] == ["toy-1", 0, 0]
