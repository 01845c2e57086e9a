"""How fast the chain judges designs: `python -m tests.bench.chain --json`.

The shipped example on two gaits of 100 phases and six joints, two of them behind four-bars, its
variables drawn at random.
`designs_per_s_core`: batches of 1,024 on one core. `designs_per_s_all`: the same on every core at
once, a process each. `us_alone`: one design in a batch of its own [us]. Medians, of the
processor's time but for `all`; what a study does once, such as laying out its gaits and making
machine code, comes before.
"""

import argparse
import json
import multiprocessing
import os
import re
import statistics
import sys
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor

import numpy as np

from tests.study.edits import EXAMPLE, edited, study_of, without
from tradeopt.arrays import Array
from tradeopt.search.cube import Cube
from tradeopt.settings import read_settings
from tradeopt.study.compiled import CompiledStudy
from tradeopt.study.fused import quickened
from tradeopt.study.problem import Problem

BATCH = 1024
REPEATS = 9
ALONE = 200


LINKAGE = (
    "{kind: four_bar, links: {input: 54 mm, coupler: 231 mm, output: 44 mm, ground: 238 mm}, "
    "output_angle: 122.5 deg, input_side: ahead, ground_angle: 0 deg, lowest_angle: LOW, "
    "highest_angle: HIGH, least_transmission_angle: 40 deg, "
    "room: {along: 330 mm, across: 150 mm}, gear_ratio: 34, gear_efficiency: 92 %, "
    "linkage_efficiency: 98 %, gear_torque: 180 N*m, coupler_force: 6 kN, gear_mass: 0.5 kg, "
    "link_mass: 0.8 kg/m, pivot_mass: 0.2 kg, gear_stiffness: 12 kN*m/rad, "
    "coupler_stiffness: 20 MN/m, length: 30 mm, drag: 0.03 N*m, shaft_inertia: 1e-5 kg*m^2, "
    "mass_per_torque: 7 g/(N*m), maturity: minor_change}"
)


def two_gaits() -> CompiledStudy:
    """The example without its standing gait, knee and ankle behind four-bars.

    The robot sits while it inspects; the gears and links of both linkages are variables.
    """
    text = without("standing", EXAMPLE, depth=2)
    text = edited("mission.inspection", "{kind: sit, time: 10 min}", text)
    for joint, low, high in (("knee", "-75 deg", "0 deg"), ("ankle_pitch", "-40 deg", "35 deg")):
        path = f"robot.drives.{joint}.transmission"
        linkage = LINKAGE.replace("LOW", low).replace("HIGH", high)
        text = edited(path, linkage, text)
        text = re.sub(rf"  {re.escape(path)}\..*\n", "", text)
        text = text.replace(
            "\nvariables:\n",
            f"\nvariables:\n  {path}.gear_ratio: {{from: 10, to: 60, scale: log}}\n"
            f"  {path}.output_angle: {{from: 90 deg, to: 160 deg}}\n"
            f"  {path}.links.output: {{from: 35 mm, to: 60 mm}}\n",
        )
    return study_of(text).problem


def fastest() -> Problem:
    """The study as a search scores it."""
    return quickened(two_gaits(), read_settings().cache_folder)


def drawn(problem: Problem, count: int) -> Array:
    """Draw designs anywhere within the bounds of the variables."""
    cube = Cube(problem.variables)
    genes = np.random.default_rng(5).random((count, len(problem.variables)))
    return cube.to_values(genes)


def batch_seconds(clock: Callable[[], float] = time.process_time) -> float:
    """Median time of a batch [s]."""
    problem = fastest()
    designs = drawn(problem, BATCH)
    problem.score(designs)
    times = []
    for _ in range(REPEATS):
        start = clock()
        problem.score(designs)
        times.append(clock() - start)
    return statistics.median(times)


def alone_seconds() -> float:
    """Median time of a design alone [s]."""
    problem = fastest()
    designs = drawn(problem, ALONE)
    problem.score(designs[:1])
    times = []
    for row in range(ALONE):
        start = time.process_time()
        problem.score(designs[row : row + 1])
        times.append(time.process_time() - start)
    return statistics.median(times)


def in_processes(count: int, action: Callable[..., float], *given: object) -> list[float]:
    """Do the same in so many fresh processes at once; each is told to use one thread."""
    with ProcessPoolExecutor(count, multiprocessing.get_context("spawn")) as pool:
        return [one.result() for one in [pool.submit(action, *given) for _ in range(count)]]


def measured() -> dict[str, float]:
    """Every figure by its name."""
    (core,) = in_processes(1, batch_seconds)
    (alone,) = in_processes(1, alone_seconds)
    each = in_processes(os.cpu_count() or 1, batch_seconds, time.perf_counter)
    return {
        "designs_per_s_core": BATCH / core,
        "designs_per_s_all": sum(BATCH / seconds for seconds in each),
        "us_alone": 1e6 * alone,
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.partition(":")[0])
    parser.add_argument("--json", action="store_true", help="print one object of JSON")
    asked = parser.parse_args()
    found = {name: round(value, 1) for name, value in measured().items()}
    lines = [json.dumps(found)] if asked.json else [f"{name} {found[name]}" for name in found]
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    os.environ.update({"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"})
    main()
