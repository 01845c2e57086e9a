"""Studies sent in under a key, at the same moment and after a death in between."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Barrier

import pytest

from tradeopt.services import runs
from tradeopt.services.submission import Asked, BudgetAsked, SubmissionError, submit
from tradeopt.store import runs as store
from tradeopt.store.database import Database
from tradeopt.store.runs import Run, RunState
from tradeopt.study.read import load

STUDY = load("levee_rounds")


def asked(seed: int) -> Asked:
    """Return what somebody asks for."""
    return Asked(STUDY.text, STUDY.files, BudgetAsked(designs=1000), seed=seed)


def test_of_two_under_one_key_at_once_one_is_refused_and_does_not_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    database = Database(f"sqlite:///{tmp_path}/runs.db")
    both_have_looked, prepare = Barrier(2, timeout=60.0), runs.prepare

    def at_once(*given: object, **named: object) -> str:
        both_have_looked.wait()
        return prepare(*given, **named)  # type: ignore[arg-type]  # handed through

    def outcome(seed: int) -> Run | SubmissionError:
        try:
            return submit(database, asked(seed), "monday-1")
        except SubmissionError as error:
            return error

    monkeypatch.setattr(runs, "prepare", at_once)
    with ThreadPoolExecutor(2) as threads:
        told = list(threads.map(outcome, (1, 2)))
    (started,) = [one for one in told if isinstance(one, Run)]
    (refused,) = [one for one in told if isinstance(one, SubmissionError)]
    assert f"got one of {started.id}" in str(refused)
    (running,) = [one for one in store.every(database) if one.state is RunState.RUNNING]
    assert running.id == started.id
    database.close()


def test_what_died_before_it_began_begins_when_it_is_sent_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    database = Database(f"sqlite:///{tmp_path}/runs.db")

    def die(*_given: object) -> Run:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(runs, "go_on", die)
        with pytest.raises(KeyboardInterrupt):
            submit(database, asked(1), "monday-1")
    (kept,) = store.every(database)
    assert (kept.state, kept.has_begun) == (RunState.STOPPED, False)
    begun = submit(database, asked(1), "monday-1")
    assert (begun.id, begun.state) == (kept.id, RunState.RUNNING)
    database.close()
