"""What a study said of each drive, and what the chain gave, one number at a time."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np

from tests.stages.studies import EXAMPLE
from tradeopt import quantities as q
from tradeopt.study.compiled import CompiledStudy, Evaluation
from tradeopt.study.read import loads

CONSTANT = (
    "transmission: {kind: constant, ratio: 24, efficiency: 85 %, drag: 0.05 N*m, "
    "shaft_inertia: 3e-5 kg*m^2, rated_torque: 60 N*m, mass_per_torque: 8 g/(N*m), "
    "stiffness: 9 kN*m/rad, base_mass: 0.3 kg, length: 25 mm, maturity: minor_change}"
)
"""In place of the ankle roll's gears."""

FAN = 1
NONE, ONE_SIDED = 0, 2
"""Places among the choices of the example's variables."""
CHOICES: tuple[Mapping[str, float], ...] = (
    {},
    {
        "knee.cooling.kind": FAN,
        "knee.motor.gap_radius": 0.03,
        "knee.motor.stack_length": 0.011,
        "ankle_pitch.spring.kind": ONE_SIDED,
        "ankle_pitch.spring.stiffness": 150.0,
        "knee.transmission.rated_torque": 100.0,
    },
    {
        "hip_pitch.spring.kind": NONE,
        "hip_pitch.motor.gap_radius": 0.03,
        "hip_pitch.transmission.ratio": 7.0,
        "ankle_pitch.spring.kind": NONE,
        "ankle_pitch.transmission.ratio": 8.0,
        "ankle_pitch.motor.stack_length": 0.01,
        "knee.transmission.ratio": 60.0,
        "knee.transmission.stages": 1.0,
    },
)
"""By design what differs from the baseline: as it is; fan, one-sided spring and a small knee;
high currents and a knee that turns too fast."""


@dataclass(frozen=True)
class Drive:
    """One drive of one design."""

    evaluation: Evaluation
    design: int
    place: int

    def said(self, path: str) -> float:
        """What the study says of the drive, in SI."""
        whole = f"robot.drives.{q.JOINTS[self.place]}.{path}"
        return float(self.evaluation.values[whole][self.design])

    def family(self, column: str) -> float:
        """A column of the motor's family."""
        return self.said(f"motor.family.{column}")

    def kind(self, slot: str) -> str:
        """Which of its possible kinds a slot of the drive has."""
        path = f"robot.drives.{q.JOINTS[self.place]}.{slot}"
        kinds = [kind.name for kind in problem().layout.places[path].kinds]
        return kinds[int(self.said(f"{slot}.kind"))] if len(kinds) > 1 else kinds[0]

    def has(self, path: str) -> bool:
        """Whether the study says such a thing of the drive."""
        return f"robot.drives.{q.JOINTS[self.place]}.{path}" in self.evaluation.values

    def one(self, name: str) -> float:
        """A quantity with one number a drive."""
        return float(self.evaluation.values[name][self.design, self.place])

    def gaits(self, name: str) -> list[float]:
        """A quantity with one number a gait."""
        return [float(x) for x in self.evaluation.values[name][self.design, self.place]]

    def stride(self, name: str) -> list[list[float]]:
        """A quantity along the stride of each gait."""
        array = self.evaluation.values[name][self.design, self.place]
        return [[float(x) for x in gait] for gait in array]

    def whole(self, name: str) -> float:
        """A quantity with one number a design."""
        return float(self.evaluation.values[name][self.design])


def mean(numbers: list[float]) -> float:
    return sum(numbers) / len(numbers)


def peak(strides: list[list[float]]) -> float:
    """Largest size, whatever the gait and the sign."""
    largest = 0.0
    for stride in strides:
        for number in stride:
            largest = max(largest, number, -number)
    return largest


@cache
def problem() -> CompiledStudy:
    """The example with another transmission at the ankle roll, and each gait for ever."""
    start = EXAMPLE.text.index("    ankle_roll:\n")
    first = EXAMPLE.text.index("transmission: {", start)
    last = EXAMPLE.text.index("}", first) + 1
    text = EXAMPLE.text[:first] + CONSTANT + EXAMPLE.text[last:]
    text = re.sub(r"heat: \{.*?\}", "heat: two_node", text, count=1)
    return loads(text, EXAMPLE.files).problem


@cache
def evaluated() -> Evaluation:
    names = [one.path.removeprefix("robot.drives.") for one in problem().variables]
    designs = np.tile(problem().baseline, (len(CHOICES), 1))
    for row, choice in zip(designs, CHOICES, strict=True):
        for name, value in choice.items():
            row[names.index(name)] = value
    return problem().evaluate(designs)


def drives() -> Iterator[Drive]:
    """Every drive of every design."""
    for design in range(len(CHOICES)):
        for place in range(len(q.JOINTS)):
            yield Drive(evaluated(), design, place)
