"""Hold the search against others: ``python -m tests.bench.search [--quick] [--json]``.

Needs the extra `bench`. All contenders try designs with the same evaluator, one after the other,
in one process on one core; the clock is the processor time of that process. What counts is the
hypervolume of all feasible designs that a contender has tried by some moment, as a share of that
of the best known front: that of all designs that all contenders tried on that problem. Costs are
scaled by that front; the reference lies a tenth behind it.
"""

import argparse
import json
import sys
import tempfile
import time
from dataclasses import asdict, dataclass
from pathlib import Path

import moocore
import numpy as np
from sqlalchemy import func, select

from tests.bench.contenders import CONTENDERS, ON_FILE, OURS, PEERS, Recorder
from tests.bench.problems import EXAMPLE, PROBLEMS
from tradeopt.arrays import Array
from tradeopt.search.plan import SearchPlan
from tradeopt.services import pool, runs
from tradeopt.services.progress import Progress
from tradeopt.settings import read_settings
from tradeopt.store.database import Database
from tradeopt.store.runs import Budget
from tradeopt.store.tables import slice_
from tradeopt.study.fused import quickened
from tradeopt.study.read import load

BEHIND = 1.1
"""Place of the reference, in spreads of the best known front."""

MOMENTS = (1.0, 2.0, 5.0, 10.0)
EXAMPLE_MOMENTS = (2.0, 5.0, 7.0, 10.0, 14.0, 20.0, 40.0, 70.0, 140.0)
QUICK_MOMENTS = (1.0, 2.0, 4.0, 6.0)

UNDER_WAY = 0.4
"""Share of its time after which the pace of a run is taken: workers have started, slices grown."""

IN_SLICES = select(func.sum(slice_.c.seconds))
"""All time that workers spent trying designs."""

Track = list[tuple[float, int, Array]]


@dataclass(frozen=True)
class Line:
    """How one contender did on one problem, over all seeds."""

    problem: str
    contender: str
    designs_per_second: float
    coordinating: float
    shares: dict[float, float]
    sooner: dict[str, float | None]


def measure(
    problem: str, names: list[str], seeds: range, moments: tuple[float, ...]
) -> list[Line]:
    """Run contenders on a problem."""
    tracks: dict[str, list[Track]] = {name: [] for name in names}
    between: dict[str, float] = {}
    inner = quickened(PROBLEMS[problem](), read_settings().cache_folder)
    inner.score(inner.baseline[None])  # what is made once is not counted
    for name in names:
        for seed in seeds:
            recorder = Recorder(inner, moments)
            between[name] = CONTENDERS[name](recorder, seed)
            tracks[name].append(recorder.track)
            print(f"  {problem}: {name}, seed {seed}", file=sys.stderr)  # noqa: T201 - a program
    share = share_of([track[-1][2] for one in tracks.values() for track in one])
    return [line(problem, name, tracks[name], share, between[name]) for name in names]


class share_of:  # noqa: N801 - used as a function
    """The share of the best known hypervolume that a front has."""

    def __init__(self, fronts: list[Array]) -> None:
        known = np.concatenate([front for front in fronts if len(front)])
        known = known[moocore.is_nondominated(known)]
        self.low, self.spread = known.min(axis=0), np.ptp(known, axis=0)
        self.best = self.volume(known)

    def volume(self, front: Array) -> float:
        if len(front) == 0:
            return 0.0
        scaled = (front - self.low) / np.where(self.spread > 0.0, self.spread, 1.0)
        return float(moocore.hypervolume(scaled, ref=np.full(len(self.low), BEHIND)))

    def __call__(self, front: Array) -> float:
        return self.volume(front) / self.best


def line(problem: str, name: str, tracks: list[Track], share: share_of, between: float) -> Line:
    """Put the seeds of a contender together: medians."""
    shares = np.array([[share(front) for _, _, front in track] for track in tracks])
    moments = [moment for moment, _, _ in tracks[0]]
    rates = [track[-1][1] / track[-1][0] for track in tracks]
    middle = np.median(shares, axis=0)
    return Line(
        problem,
        name,
        float(np.median(rates)),
        between,
        dict(zip(moments, middle.tolist(), strict=True)),
        {f"{goal:.1%}": reached(moments, middle, goal) for goal in (0.9, 0.95, 0.98, 0.99, 0.995)},
    )


def reached(moments: list[float], shares: Array, goal: float) -> float | None:
    """Return the first moment at which a share was reached."""
    return next((one for one, share in zip(moments, shares, strict=True) if share >= goal), None)


class Pace:
    """How fast a run tries designs, by the clock on the wall."""

    def __init__(self) -> None:
        self.began = time.monotonic()
        self.closed = [(0.0, 0)]

    def look(self, now: Progress) -> None:
        """Note when an epoch was closed."""
        if now.tried > self.closed[-1][1]:
            self.closed.append((time.monotonic() - self.began, now.tried))

    def after(self, moment: float) -> float:
        """Return designs by the second, from the first epoch closed after a moment to the last."""
        (first, had), (last, tried) = (
            next(one for one in self.closed if one[0] >= moment),
            self.closed[-1],
        )
        return (tried - had) / (last - first)


def service(seconds: float, seed: int) -> dict[str, float]:
    """Search the example with the whole product, by the clock on the wall: one and two workers."""
    found = {}
    for workers in (1, 2):
        pace = Pace()
        with tempfile.TemporaryDirectory() as folder:
            database = Database(f"sqlite:///{folder}/runs.db")
            run = runs.start_or_resume(
                database,
                load("levee_rounds"),
                plan=SearchPlan(seed=seed),
                budget=Budget(seconds, None, early=False),
            )
            done = pool.run_local(
                database.url, run.id, workers=workers, on_progress=pace.look
            ).progress
            found[f"seconds_{workers}"] = time.monotonic() - pace.began
            busy = database.read(lambda now: now.execute(IN_SLICES).scalar_one())
            found[f"in_slices_{workers}"] = busy / (workers * found[f"seconds_{workers}"])
            found[f"designs_{workers}"] = done.tried
            found[f"designs_per_second_{workers}"] = pace.after(UNDER_WAY * seconds)
            database.close()
    return found | {"two_over_one": found["designs_per_second_2"] / found["designs_per_second_1"]}


def table(lines: list[Line]) -> str:
    """Lay the measurements out."""
    text = []
    for problem in dict.fromkeys(one.problem for one in lines):
        mine = [one for one in lines if one.problem == problem]
        moments = list(mine[0].shares)
        heads = "".join(f"{moment:>8g} s" for moment in moments)
        text.append(f"\n{problem:26}{'designs/s':>12}{heads}")
        for one in mine:
            shares = "".join(f"{share:>10.4f}" for share in one.shares.values())
            text.append(f"  {one.contender:24}{one.designs_per_second:>12,.0f}{shares}")
    return "\n".join(text)


def service_words(found: dict[str, float]) -> list[str]:
    """Say how the whole product did."""
    said = [
        f"run by {workers} worker{'s' * (workers > 1)}: "
        f"{found[f'designs_{workers}']:,.0f} designs in {found[f'seconds_{workers}']:.1f} s with "
        f"start and end, {found[f'in_slices_{workers}']:.0%} of it in slices; under way "
        f"{found[f'designs_per_second_{workers}']:,.0f} designs/s"
        for workers in (1, 2)
    ]
    return [*said, f"two workers over one: {found['two_over_one']:.2f} (want 1.8)"]


def verdicts(lines: list[Line]) -> list[str]:
    """Hold the measurements against what the search has to be."""
    found = {(one.problem, one.contender): one for one in lines}
    said = []
    for contender in (OURS, PEERS[0]):
        if one := found.get((EXAMPLE, contender)):
            moments = ", ".join(f"{goal} {_moment(when)}" for goal, when in one.sooner.items())
            said.append(f"{contender} first has, of the best known: {moments}")
    if ours := found.get((EXAMPLE, OURS)):
        said.append(f"merging takes {ours.coordinating:.1%} of the time (want under 10 %)")
        if file := found.get((EXAMPLE, ON_FILE)):
            times = ours.designs_per_second / file.designs_per_second
            said.append(f"{times:,.0f} times the designs/s of {ON_FILE} (want 1,000)")
    for problem in dict.fromkeys(one.problem for one in lines):
        peers = [found[problem, peer] for peer in PEERS if (problem, peer) in found]
        if peers and (problem, OURS) in found:
            moment = max(m for m in peers[0].shares if m <= MOMENTS[-1])
            best = max(peer.shares[moment] for peer in peers)
            ahead = found[problem, OURS].shares[moment] - best
            good = "holds" if ahead >= -0.001 else "DOES NOT HOLD"
            said.append(
                f"{problem}: {ahead:+.2%} against pymoo's better one at {moment:g} s: {good}"
            )
    return said


def _moment(when: float | None) -> str:
    return "later" if when is None else f"at {when:g} s"


def draw(lines: list[Line], folder: Path) -> None:
    """Draw a chart a problem."""
    from matplotlib.figure import Figure  # noqa: PLC0415 - an extra

    for problem in dict.fromkeys(one.problem for one in lines):
        figure = Figure(figsize=(7.0, 4.5), layout="constrained")
        axes = figure.subplots()
        for one in (one for one in lines if one.problem == problem):
            axes.semilogx(list(one.shares), list(one.shares.values()), "o-", label=one.contender)
        axes.set(
            xlabel="processor time [s]",
            ylabel="share of the best known hypervolume",
            title=problem,
        )
        axes.legend()
        figure.savefig(folder / f"search_{problem.replace(', ', '_').replace(' ', '_')}.svg")


def main() -> None:
    """Measure, print, and draw."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    parser.add_argument("--quick", action="store_true", help="the example alone, under a minute")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.add_argument("--seeds", type=int, default=3, help="seeds for each")
    parser.add_argument("--problems", nargs="*", default=list(PROBLEMS), help="which ones")
    parser.add_argument("--contenders", nargs="*", default=list(CONTENDERS), help="which ones")
    parser.add_argument("--charts", type=Path, help="folder to draw charts into")
    asked = parser.parse_args()
    lines = []
    for problem in [EXAMPLE] if asked.quick else asked.problems:
        studied = problem.startswith(EXAMPLE)
        moments = QUICK_MOMENTS if asked.quick else EXAMPLE_MOMENTS if studied else MOMENTS
        names = [
            name
            for name in asked.contenders
            if (problem == EXAMPLE and not asked.quick)
            or name in (OURS, *PEERS)
            or (asked.quick and name in ("Optuna NSGA-II, memory", ON_FILE))
        ]
        seeds = range(1, 2 if asked.quick else asked.seeds + 1)
        lines += measure(problem, names, seeds, moments)
    whole = service(5.0 if asked.quick else 60.0, seed=1) if EXAMPLE in asked.problems else {}
    said = [*verdicts(lines), *(service_words(whole) if whole else [])]
    if asked.json:
        measured = {"lines": [asdict(one) for one in lines], "service": whole, "verdicts": said}
        print(json.dumps(measured, indent=1))  # noqa: T201 - a program
    else:
        print("\n".join([table(lines), "", *said]))  # noqa: T201 - a program
    if asked.charts is not None:
        draw(lines, asked.charts)


if __name__ == "__main__":
    main()
