"""How long the service takes to answer: `python -m tests.bench.answers --json`.

Over a real connection to this machine, from a run that has kept 10,000 designs of the example
(invented numbers). Prints for each question the median and the 95th percentile [ms] of the time to
the last byte, and the size of the answer [MB].
"""

import argparse
import json
import sys
import tempfile
import time

import httpx2
import numpy as np

from tests.api.served import serving
from tradeopt.search.designs import Designs
from tradeopt.search.epoch import beginning, merge
from tradeopt.search.plan import SearchPlan
from tradeopt.search.slices import Found
from tradeopt.services import runs
from tradeopt.store import results
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget, Run, RunState
from tradeopt.study.read import load

DESIGNS, ISLANDS = 10_000, 20
REPEATS = 40
AXES = "design,feasible,range,total_mass,robot.battery.cell,robot.battery.parallel,left.endurance"
QUESTIONS = {
    "all, 69 columns": {"limit": str(DESIGNS)},
    "all, 7 columns": {"limit": str(DESIGNS), "columns": AXES},
    "feasible, within bounds": {"limit": str(DESIGNS), "feasible": "true", "min.range": "0.9 m"},
    "sample of 2000": {"limit": "2000", "sample": "2000"},
    "csv, 7 columns": {"limit": str(DESIGNS), "columns": AXES, "format": "csv"},
    "parquet, 69 columns": {"limit": str(DESIGNS), "format": "parquet"},
}


def invented(run: Run, first: int, count: int) -> Found:
    """Return a slice of designs drawn by chance."""
    rng = np.random.default_rng(first)
    lower, upper = np.array([(one.lower, one.upper) for one in run.variables]).T
    values = np.round(rng.uniform(lower, upper, (count, len(lower))), 3)
    choice = np.array([one.whole or bool(one.choices) for one in run.variables])
    values = np.where(choice, np.clip(np.round(values), lower, upper), values)
    objectives = rng.uniform(size=(count, len(run.objectives)))
    violations = rng.normal(-0.3, 0.1, (count, len(run.limits)))
    designs = Designs(np.arange(first, first + count), values, objectives, violations)
    missed = (violations > 0.0).sum(axis=0)
    return Found(designs, 0, count, int(designs.feasible.sum()), missed, np.zeros(0))


def fill(url: str) -> str:
    """Keep a run of invented designs in a database."""
    database = Database(url)
    size = DESIGNS // ISLANDS
    plan = SearchPlan(seed=1, method="trials", population=50, islands=ISLANDS, evaluations=size)
    study = load("levee_rounds")
    run = runs.start_or_resume(database, study, plan=plan, budget=Budget(None, DESIGNS))
    slices = [invented(run, island * size, size) for island in range(ISLANDS)]
    for island, found in enumerate(slices):
        results.save_slice(database, run, (0, island), found, seconds=1.0, worker="")
    after, _ = merge(run, run.plan, beginning(run, run.start), slices)
    results.save_epoch(database, run, after)
    runs.end(database, run.id, RunState.STOPPED)
    database.close()
    return run.id


def times(client: httpx2.Client, path: str, params: dict[str, str]) -> dict[str, float]:
    """Ask again and again."""
    took = []
    answer = client.get(path, params=params)
    for _ in range(REPEATS):
        began = time.perf_counter()
        answer = client.get(path, params=params).raise_for_status()
        took.append(1e3 * (time.perf_counter() - began))
    median, late = np.percentile(took, [50, 95])
    return {"median_ms": median, "p95_ms": late, "MB": len(answer.content) / 1e6}


def main() -> None:
    parser = argparse.ArgumentParser(description="Time the answers of the service.")
    parser.add_argument("--json", action="store_true", help="print JSON")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{folder}/runs.db"
        path = f"/v1/runs/{fill(url)}"
        with serving(url) as address, httpx2.Client(base_url=address, timeout=60.0) as client:
            found = {
                name: times(client, f"{path}/designs", params)
                for name, params in QUESTIONS.items()
            }
            found["front"] = times(client, f"{path}/front", {})
            found["how it stands"] = times(client, path, {})
            found["list"] = times(client, "/v1/runs", {})
    if asked.json:
        sys.stdout.write(json.dumps(found, indent=1) + "\n")
        return
    for name, one in found.items():
        words = "  ".join(f"{key} {value:7.2f}" for key, value in one.items())
        sys.stdout.write(f"{name:24}  {words}\n")


if __name__ == "__main__":
    main()
