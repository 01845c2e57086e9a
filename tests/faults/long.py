"""Many faults in a row on a team: python -m tests.faults.long [--kills N] [--seed N] [--json].

Of the kills every tenth is the broker's and every tenth the database's, every twentieth that of
all workers at once; the others hit a worker with a step in hand. What dies is started again.
"""

import argparse
import json
import os
import random
import signal
import sys
import time
from collections.abc import Callable
from contextlib import ExitStack, suppress

from tests.faults import scene
from tests.faults.servers import Server, postgres_server, redis_server, wait_until
from tradeopt.store import runs as store
from tradeopt.store.database import Database
from tradeopt.store.runs import RunState

KINDS = {2: "broker", 5: "database", 11: "all", 12: "broker", 15: "database"}
"""What is killed at which place of twenty; a child at all others."""


class Siege:
    """A team under faults, with a run that is always under way."""

    def __init__(self, closing: ExitStack, seed: int) -> None:
        self.chance = random.Random(seed)  # noqa: S311 - which one dies is no secret
        self.broker = closing.enter_context(redis_server())
        self.postgres, url = closing.enter_context(postgres_server())
        self.database = Database(url)
        closing.callback(self.database.close)
        self.runs: list[str] = []
        self.team = closing.enter_context(scene.team(url, self.broker.port))
        self.recoveries: dict[str, list[float]] = {}

    def keep_busy(self) -> str:
        """Start a run unless one is under way; return its name."""
        if not self.runs or store.state(self.database, self.runs[-1]) is not RunState.RUNNING:
            self.runs.append(scene.start(self.database, name=f"toy_{len(self.runs)}"))
        return self.runs[-1]

    def done(self) -> int:
        """Count slices done, over all runs."""
        run_id = self.keep_busy()
        earlier = len(self.runs) - 1
        in_one = scene.EPOCHS * scene.PLAN.islands
        return earlier * in_one + scene.slices_done(self.database, run_id)

    def strike(self, place: int) -> None:
        """Let something die, and measure how long it takes until a slice is done again."""
        kind = KINDS.get(place % 20, "child")
        self.keep_busy()
        wait_until(lambda: bool(self.keep_busy() and scene.holders(self.database)), 120.0)
        time.sleep(self.chance.uniform(0.0, 0.4))
        began = time.monotonic()
        faults: dict[str, Callable[[], None]] = {
            "broker": lambda: _again(self.broker),
            "database": lambda: _again(self.postgres),
            "all": self._all,
            "child": self._child,
        }
        faults[kind]()
        before = self.done()
        wait_until(lambda: self.done() > before, 120.0)
        self.recoveries.setdefault(kind, []).append(time.monotonic() - began)

    def _child(self) -> None:
        if at_work := scene.holders(self.database):
            with suppress(ProcessLookupError):
                os.kill(self.chance.choice(at_work), signal.SIGKILL)

    def _all(self) -> None:
        self.team.kill()
        self.team.start()

    def count(self) -> scene.Tally:
        """Let the last run end; count what all of them lost or did twice."""
        for run_id in self.runs:
            scene.wait_for_end(self.database, run_id, 180.0)
        found = [scene.tally(self.database, run_id) for run_id in self.runs]
        return scene.Tally(
            lost=sum(one.lost for one in found),
            doubled=sum(one.doubled for one in found),
            differing=sum(one.differing for one in found),
        )


def _again(server: Server) -> None:
    server.kill()
    server.start()


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--json", action="store_true", dest="as_json")
    wanted = parser.parse_args()
    with ExitStack() as closing:
        siege = Siege(closing, wanted.seed)
        for place in range(wanted.kills):
            siege.strike(place)
            if not wanted.as_json:
                sys.stderr.write(f"\r{place + 1} of {wanted.kills}")
        tally = siege.count()
        told = {
            "kills": sum(map(len, siege.recoveries.values())),
            "by_kind": {kind: len(times) for kind, times in siege.recoveries.items()},
            "runs": len(siege.runs),
            "lost": tally.lost,
            "doubled": tally.doubled,
            "differing": tally.differing,
            "worst_recovery_s": round(max(map(max, siege.recoveries.values())), 1),
            "worst_by_kind_s": {
                kind: round(max(times), 1) for kind, times in siege.recoveries.items()
            },
        }
    if wanted.as_json:
        sys.stdout.write(json.dumps(told) + "\n")
    else:
        sys.stdout.write("".join(f"\n{name}: {value}" for name, value in told.items()) + "\n")
    return int(tally != scene.CALM)


if __name__ == "__main__":
    sys.exit(main())
