"""The Celery app: its settings, and the messages that wake its workers."""

import pytest
from celery import Celery, signals
from celery.app.defaults import DEFAULTS
from pydantic import SecretStr

from tradeopt.services.wakeups import WORK, Wakeups
from tradeopt.settings import Settings
from workers.app import make_app


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
    assert WORK in app.tasks


def test_without_a_broker_a_worker_refuses_to_start(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("TRADEOPT_BROKER_URL", raising=False)
    with pytest.raises(SystemExit, match="TRADEOPT_BROKER_URL: got nothing, want one such as"):
        signals.celeryd_init.send(sender="celery@here")


def test_a_wake_up_reaches_the_queue_that_workers_listen_to(app: Celery) -> None:
    wakeups = Wakeups("memory://")
    wakeups.send(2)
    wakeups.top_up(3)
    with app.connection_for_read() as connection:
        queue = connection.SimpleQueue(app.conf.task_default_queue)
        messages = [queue.get(timeout=2) for _ in range(3)]
        for message in messages:
            message.ack()
        assert queue.qsize() == 0
        queue.close()
    assert {message.headers["task"] for message in messages} == {WORK}


def test_without_a_broker_nobody_is_woken() -> None:
    Wakeups(None).send()
    Wakeups(None).top_up(3)


def test_a_broker_that_is_away_does_no_harm(caplog: pytest.LogCaptureFixture) -> None:
    Wakeups("redis://127.0.0.1:1/0").send()
    assert "a wake-up was not sent" in caplog.text
