"""Keeps a number of child processes alive."""

import logging
import time
from collections.abc import Sequence
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait
from multiprocessing.context import SpawnProcess
from types import TracebackType
from typing import Self

from tradeopt.services.children import Job, hire
from tradeopt.services.logs import log
from tradeopt.services.work import new_name
from tradeopt.store import claims
from tradeopt.store.database import Database

GRACE = 8.0
"""Seconds that children have to end before they are killed."""

FUTILE = 4
"""Times in a row that a child may die before it has begun until that is told."""

FIRST_PAUSE, LONGEST_PAUSE = 0.5, 10.0
"""Seconds before a child that died early is replaced; one that had begun is replaced at once."""


@dataclass
class _Post:
    """One child at a time."""

    job: Job
    name: str = ""
    process: SpawnProcess | None = None
    line: Connection | None = None
    due: float = 0.0
    early: int = 0


class Supervisor:
    """Child processes that are replaced when they die.

    Parameters
    ----------
    database : Database
        Where runs are kept; what a dead child had in hand is let go at once.
    jobs : sequence of Job
        What each child does.
    """

    def __init__(self, database: Database, jobs: Sequence[Job]) -> None:
        self.database = database
        self._posts = [_Post(job) for job in jobs]

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        self.dismiss()

    @property
    def is_futile(self) -> bool:
        """Whether no child ever gets as far as to begin."""
        return all(post.early >= FUTILE for post in self._posts)

    def watch(self, seconds: float) -> None:
        """Fill all posts, and wait so long at most for a child to die."""
        moment = time.monotonic()
        for post in self._posts:
            if post.process is None and moment >= post.due:
                post.name = new_name()
                post.process, post.line = hire(post.job, post.name)
        sentinels = {
            post.process.sentinel: post for post in self._posts if post.process is not None
        }
        if not sentinels:
            time.sleep(min(seconds, FIRST_PAUSE))
        for sentinel in wait(list(sentinels), timeout=seconds):
            if isinstance(sentinel, int):
                self._bury(sentinels[sentinel])

    def _bury(self, post: _Post) -> None:
        process, line = post.process, post.line
        if process is None or line is None:
            return
        process.join()
        begun = line.poll()
        line.close()
        post.process = post.line = None
        post.early = 0 if begun else post.early + 1
        pause = min(FIRST_PAUSE * 2.0 ** (post.early - 1), LONGEST_PAUSE) if post.early else 0.0
        post.due = time.monotonic() + pause
        fault = f"its process ended with exit code {process.exitcode}"
        level = logging.WARNING if process.exitcode else logging.INFO
        log("a child ended", level=level, worker=post.name, exit_code=process.exitcode)
        claims.crash_of(self.database, post.name, fault)

    def dismiss(self) -> None:
        """End all children: ask them, and kill those that do not follow."""
        there = [post for post in self._posts if post.process is not None]
        for post in there:
            if post.process is not None:
                post.process.terminate()
        give_up = time.monotonic() + GRACE
        for post in there:
            process, line = post.process, post.line
            if process is None or line is None:
                continue
            process.join(max(0.0, give_up - time.monotonic()))
            process.kill()
            process.join()
            line.close()
            post.process = post.line = None
            claims.let_go_of(self.database, post.name)
