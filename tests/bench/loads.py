"""How long gaits and loads take: `python -m tests.bench.loads --json`.

Prints medians of the processor time in milliseconds. `gait_ms`: one gait of 200 phases, stride and
load matrices. `loads_ms_1000`: joint torques of 1,000 designs, two gaits, six joints, 100 phases,
their balance kept. `balance_ms`: what making a gait's answers to other masses takes besides, at
100 phases. `stage_ms_1000`: all that the slot `gait` gives, for the same designs. One core is
meant: set OPENBLAS_NUM_THREADS=1.
"""

import argparse
import json
import statistics
import sys
import time
from collections.abc import Callable

import numpy as np

from tests.oracles.robot import FRAME, INERTIA
from tradeopt import quantities as q
from tradeopt.arrays import Array, Flags
from tradeopt.physics.walking.dynamics import load_matrices
from tradeopt.physics.walking.gait import WalkingGait
from tradeopt.physics.walking.pattern import walk
from tradeopt.physics.walking.rebalance import rebalanced
from tradeopt.stages.gait import PATTERN

GAITS = (
    WalkingGait(0.6, 0.65, 0.25, 0.35, 0.05, 0.18),
    WalkingGait(0.9, 0.60, 0.25, 0.35, 0.05, 0.18, toe_off_angle=0.4),
)
DESIGNS = 1000
REPEATS = 15


def median(action: Callable[[], object]) -> float:
    """Median processor time of an action [ms], after one that does not count."""
    action()
    times = []
    for _ in range(REPEATS):
        start = time.process_time()
        action()
        times.append(time.process_time() - start)
    return 1e3 * statistics.median(times)


def bodies() -> Array:
    """Designs whose masses all differ."""
    scale = np.random.default_rng(1).uniform(0.8, 1.2, (DESIGNS, len(q.BODIES), 1))
    designs: Array = INERTIA * scale
    # the example has no masses beside the middle planes of its bodies, nor have most studies
    designs[..., [2, 5, 8]] = 0.0
    return designs


def make_gait() -> object:
    return load_matrices(FRAME, walk(FRAME, GAITS[0], INERTIA, 200))


def torque_of(designs: Array) -> Callable[[], object]:
    made = []
    for gait in GAITS:
        stride = walk(FRAME, gait, INERTIA, q.PHASES)
        made.append(rebalanced(FRAME, stride, INERTIA, load_matrices(FRAME, stride)))

    def torques() -> list[Array]:
        parameters = designs.reshape(len(designs), -1)
        mass = designs[:, 0, 0] + 2 * designs[:, 1:, 0].sum(axis=1)
        used: Flags = np.asarray(parameters.any(axis=0))
        results = []
        for loads in made:
            kept = used[loads.rows]
            own = parameters[:, loads.rows[kept]]
            slack = loads.slack + (own @ loads.rise[kept]) / mass[:, np.newaxis]
            risen = slack.min(axis=1) * mass / loads.mass
            matrix = loads.torque[np.append(kept, True)]
            torque = np.column_stack((own, risen)) @ matrix.reshape(len(matrix), -1)
            results.append(torque.reshape(-1, len(q.JOINTS), q.PHASES))
        return results

    return torques


def make_balance() -> Callable[[], object]:
    stride = walk(FRAME, GAITS[0], INERTIA, q.PHASES)
    matrices = load_matrices(FRAME, stride)
    return lambda: rebalanced(FRAME, stride, INERTIA, matrices)


def stage_of(designs: Array) -> Callable[[], object]:
    both = np.repeat(designs, len(GAITS), axis=0)
    count = len(both)
    lengths = [getattr(FRAME, name) for name in FRAME.__dataclass_fields__]
    values = {
        one.name: np.full(count, value)
        for one, value in zip(q.FRAME_LENGTHS, lengths, strict=True)
    }
    values[q.REFERENCE_FRAME.name] = np.tile(lengths, (count, 1))
    values[q.REFERENCE_INERTIA.name] = np.broadcast_to(INERTIA, both.shape)
    values[q.INERTIA.name] = both
    values[q.GRAVITY.name] = np.full(count, GAITS[0].gravity)
    names = [name for name in WalkingGait.__dataclass_fields__ if name != "gravity"]
    numbers = [[getattr(gait, name) for gait in GAITS] for name in names] + [[0.0, 0.0]] * 3
    for one, pair in zip(PATTERN.parameters, numbers, strict=True):
        for told in one.inputs:
            values[told.name] = np.tile(pair, len(designs)).astype(np.float64)
    return lambda: PATTERN.steps["duty"].compute(values)


def measured() -> dict[str, float]:
    """Every figure by its name [ms]."""
    designs = bodies()
    return {
        "gait_ms": median(make_gait),
        "loads_ms_1000": median(torque_of(designs)),
        "balance_ms": median(make_balance()),
        "stage_ms_1000": median(stage_of(designs)),
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.partition(":")[0])
    parser.add_argument("--json", action="store_true", help="print one line of JSON")
    asked = parser.parse_args()
    found = {name: round(value, 3) for name, value in measured().items()}
    lines = [json.dumps(found)] if asked.json else [f"{name} {found[name]}" for name in found]
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
