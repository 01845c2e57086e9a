"""What the whole service has done, for those who watch machines."""

from collections.abc import Iterator, Sequence

from prometheus_client import CollectorRegistry, generate_latest
from prometheus_client.core import CounterMetricFamily, GaugeMetricFamily, Metric
from prometheus_client.registry import Collector

from tradeopt.services.sight import SeenWorker, seen_workers
from tradeopt.store.counts import Counts, counts
from tradeopt.store.database import Database


class _Numbers(Collector):
    """The numbers of one moment; all are in the database, so that any process may tell them."""

    def __init__(self, found: Counts, workers: Sequence[SeenWorker]) -> None:
        self._found = found
        self._workers = workers

    def collect(self) -> Iterator[Metric]:
        """Name each number."""
        found = self._found
        runs = GaugeMetricFamily("tradeopt_runs", "Runs by state.", labels=["state"])
        for state, count in found.runs.items():
            runs.add_metric([state], count)
        yield runs
        alive = sum(one.lives for one in self._workers)
        workers = GaugeMetricFamily("tradeopt_workers", "Workers by state.", labels=["state"])
        workers.add_metric(["alive"], alive)
        workers.add_metric(["silent"], len(self._workers) - alive)
        yield workers
        leases = sum(bool(one.in_hand) for one in self._workers)
        yield GaugeMetricFamily("tradeopt_leases", "Steps in the hands of workers.", value=leases)
        totals = {
            "slices": ("Slices done.", found.slices),
            "faults": ("Slices set aside.", found.faults),
            "epochs": ("Epochs closed.", found.epochs),
            "designs": ("Designs tried.", found.designs),
            "feasible_designs": ("Designs tried that meet every limit.", found.feasible),
            "slice_seconds": ("Time spent in slices [s].", found.seconds),
        }
        for name, (meaning, value) in totals.items():
            yield CounterMetricFamily(f"tradeopt_{name}", meaning, value=value)


def exposition(database: Database) -> bytes:
    """
    Write the numbers as lines of text, in the format of the library.

    Parameters
    ----------
    database : Database
        Where runs are kept.

    Returns
    -------
    bytes
        All of one moment.
    """
    registry = CollectorRegistry()
    registry.register(_Numbers(counts(database), seen_workers(database)))
    return generate_latest(registry)
