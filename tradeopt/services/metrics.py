"""What the whole service has done, for those who watch machines."""

from collections.abc import Iterator

from prometheus_client import CollectorRegistry, generate_latest
from prometheus_client.core import CounterMetricFamily, GaugeMetricFamily, Metric
from prometheus_client.registry import Collector

from tradeopt.store.counts import Counts, counts
from tradeopt.store.database import Database


class _Numbers(Collector):
    """The numbers of one moment; all are in the database, so that any process may tell them."""

    def __init__(self, found: Counts) -> None:
        self._found = found

    def collect(self) -> Iterator[Metric]:
        """Name each number."""
        found = self._found
        runs = GaugeMetricFamily("tradeopt_runs", "Runs by state.", labels=["state"])
        for state, count in found.runs.items():
            runs.add_metric([state], count)
        yield runs
        totals = {
            "slices": ("Slices done.", found.slices),
            "faults": ("Slices set aside.", found.faults),
            "epochs": ("Epochs closed.", found.epochs),
            "designs": ("Designs tried.", found.designs),
            "feasible_designs": ("Designs tried that keep every limit.", found.feasible),
            "slice_seconds": ("Time spent in slices [s].", found.seconds),
        }
        for name, (meaning, value) in totals.items():
            yield CounterMetricFamily(f"tradeopt_{name}", meaning, value=value)


def exposition(database: Database) -> bytes:
    """
    Write the numbers in the text format of Prometheus.

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
    registry.register(_Numbers(counts(database)))
    return generate_latest(registry)
