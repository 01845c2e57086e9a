"""What every kind of every slot promises, those of other packages included."""

import numpy as np
import pytest

from tradeopt import quantities as q
from tradeopt.chain.kind import Column, Entry, File, Kind, Label, Number, Parameter, Row, Word
from tradeopt.physics.inertia import box_parameters
from tradeopt.quantities import Quantity
from tradeopt.stages.registry import known_kinds

ROWS = 5
SIZES = {
    "joint": len(q.JOINTS),
    "body": len(q.BODIES),
    "gait": 2,
    "leg": 3,
    "joint_group": 2,
    "component": 4,
    "task": 2,
    "peak": 2,
    "phase": q.PHASES,
    "place": q.PLACES,
    "inertial": q.INERTIAL_PARAMETERS,
    "axis": 3,
    "length": len(q.FRAME_LENGTHS),
}

STEPS = [
    pytest.param(kind, step, id=f"{name}-{step}")
    for name, kind in known_kinds().items()
    for step in kind.slot.steps
]


def bodies(rng: np.random.Generator) -> np.ndarray:
    """Inertial parameters of plausible bodies: a heavy torso above light legs."""
    masses = np.array([45.0, 2.0, 2.0, 5.0, 4.0, 0.3, 1.0]) * rng.uniform(0.8, 1.2, (ROWS, 7))
    drop = np.array([0.28, 0.0, 0.0, -0.18, -0.17, 0.0, -0.06])
    centre = np.stack([np.zeros(7), np.zeros(7), drop], axis=-1)
    return box_parameters(masses, centre, np.full((7, 3), 0.1))


def sample(kind: Kind, step: str) -> dict[str, np.ndarray]:
    """Draw needs and parameters from their usual ranges, as the kind would see them."""
    rng = np.random.default_rng(11)
    folded = {"design", kind.slot.axis}

    def drawn(one: Quantity) -> np.ndarray:
        if one in (q.INERTIA, q.REFERENCE_INERTIA, q.MODEL_INERTIA):
            found = bodies(rng)
            return found[np.arange(ROWS), 1 + np.arange(ROWS)] if "body" in folded else found
        shape = tuple(SIZES[axis] for axis in one.axes if axis not in folded)
        array = rng.uniform(*one.typical, (ROWS, *shape))
        return np.rint(array) if one is q.MOUNT_BODY else array

    seen = {one.name: drawn(one) for one in kind.steps[step].needs}
    for parameter in kind.parameters:
        seen.update(parameter_values(parameter, rng))
    for array in seen.values():
        array.setflags(write=False)
    return seen


def parameter_values(parameter: Parameter, rng: np.random.Generator) -> dict[str, np.ndarray]:
    match parameter:
        case Number():
            drawn = rng.uniform(*parameter.typical, ROWS)
            told = np.rint(drawn) if parameter.whole else drawn
            return {one.name: told for one in parameter.inputs}
        case Word() | Entry():
            count = len(parameter.words) if isinstance(parameter, Word) else SIZES[parameter.axis]
            return {parameter.name: rng.integers(0, count, ROWS).astype(float)}
        case Row():
            return {
                f"{parameter.name}.{column.name}": rng.uniform(*column.typical, ROWS)
                for column in parameter.columns
            }
        case File() | Label():
            columns = parameter.columns if isinstance(parameter, File) else ()
            return {f"{parameter.name}.{one.name}": content(one, rng) for one in columns}


def content(column: Column, rng: np.random.Generator) -> np.ndarray:
    """Draw what a file might say: waves over a stride, bodies, or numbers."""
    if "inertial" in column.axes:
        return bodies(rng)
    if "phase" in column.axes:
        turn = 2 * np.pi * np.arange(q.PHASES) / q.PHASES
        low, high = column.typical
        wave = np.sin(turn + rng.uniform(0, 6, (ROWS, 1)))
        # a load is never lifted for good, an angle goes both ways
        return (low + high) / 2 + (high - low) / 2 * wave
    return rng.uniform(*column.typical, (ROWS, *(SIZES[axis] for axis in column.axes)))


@pytest.mark.parametrize(("kind", "step"), STEPS)
class TestEveryKind:
    def test_gives_exactly_what_its_slot_promises(self, kind: Kind, step: str) -> None:
        given = kind.steps[step].compute(sample(kind, step))
        promised = {one.name: one for one in kind.slot.steps[step]}
        assert set(given) == set(promised)
        for name, array in given.items():
            rest = [axis for axis in promised[name].axes if axis not in ("design", kind.slot.axis)]
            assert array.shape == (ROWS, *(SIZES[axis] for axis in rest)), name

    def test_has_a_value_for_usual_input(self, kind: Kind, step: str) -> None:
        given = kind.steps[step].compute(sample(kind, step))
        assert all(np.isfinite(array).all() for array in given.values())

    def test_a_row_alone_is_a_row_of_many(self, kind: Kind, step: str) -> None:
        seen = sample(kind, step)
        many = kind.steps[step].compute(seen)
        for row in range(ROWS):
            alone = kind.steps[step].compute(
                {name: array[row : row + 1] for name, array in seen.items()}
            )
            for name, array in alone.items():
                np.testing.assert_allclose(
                    array[0], many[name][row], rtol=1e-12, atol=1e-12 * np.abs(many[name]).max()
                )

    def test_gives_the_same_for_the_same(self, kind: Kind, step: str) -> None:
        first, second = (kind.steps[step].compute(sample(kind, step)) for _ in range(2))
        for name, array in first.items():
            np.testing.assert_array_equal(array, second[name])


@pytest.mark.parametrize("kind", known_kinds().values(), ids=known_kinds())
def test_every_kind_says_what_it_is_and_wants(kind: Kind) -> None:
    assert kind.meaning
    for parameter in kind.parameters:
        assert parameter.meaning
        assert parameter.inputs or isinstance(parameter, Label)


def test_the_glossary_has_one_meaning_for_a_name() -> None:
    meanings: dict[str, Quantity] = {}
    for kind in known_kinds().values():
        steps = [*kind.slot.steps.values(), *(step.needs for step in kind.steps.values())]
        for one in (one for step in steps for one in step):
            assert meanings.setdefault(one.name, one) == one
    assert len(meanings) > 60
