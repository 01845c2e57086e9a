"""A design just inside of each limit of a drive has a small positive margin, one outside none."""

import pytest

from tests.stages.recomputed import peak
from tests.stages.studies import EXAMPLE
from tradeopt import quantities as q
from tradeopt.study.compiled import Evaluation
from tradeopt.study.read import loads

KNEE, HIP = q.JOINTS.index("knee"), q.JOINTS.index("hip_pitch")
NEAR = 0.03


def evaluated(before: str, after: str) -> Evaluation:
    """The baseline of the example with a text replaced."""
    assert before in EXAMPLE.text
    problem = loads(EXAMPLE.text.replace(before, after), EXAMPLE.files).problem
    return problem.evaluate(problem.baseline[None])


def margins(before: str, after: tuple[str, str], name: str, place: int) -> tuple[float, float]:
    """A margin of two studies."""
    one, other = (evaluated(before, text).values[name][0, place] for text in after)
    return float(one), float(other)


def edge(inside_outside: tuple[float, float]) -> bool:
    inside, outside = inside_outside
    return 0.0 < inside < NEAR and -NEAR < outside < 0.0


BASE = EXAMPLE.problem.evaluate(EXAMPLE.problem.baseline[None])


def strides(name: str, place: int) -> list[list[float]]:
    return [[float(x) for x in gait] for gait in BASE.values[name][0, place]]


def test_rated_torque_of_the_transmission() -> None:
    needed = peak(strides("drive_torque", KNEE))
    # a lighter transmission also asks about 1 % less
    after = f"rated_torque: {1.01 * needed} N*m", f"rated_torque: {0.97 * needed} N*m"
    assert edge(margins("rated_torque: 180 N*m", after, "transmission_torque_margin", KNEE))


def test_largest_ratio_of_a_stage() -> None:
    each = 28.0**0.5
    after = f"largest_stage_ratio: {1.01 * each}", f"largest_stage_ratio: {0.99 * each}"
    assert edge(margins("largest_stage_ratio: 6", after, "transmission_ratio_margin", KNEE))


def test_current_of_the_drive() -> None:
    needed = peak(strides("motor_current", KNEE))
    after = f"peak_current: {1.01 * needed} A", f"peak_current: {0.99 * needed} A"
    assert edge(margins("peak_current: 80 A", after, "drive_current_margin", KNEE))


def test_travel_of_the_spring() -> None:
    # the rest angle of the hip's spring is -20 deg
    rest = -0.3490658503988659
    wound = peak([[a - rest for a in gait] for gait in strides("joint_angle", HIP)])
    after = f"travel: {1.01 * wound} rad", f"travel: {0.99 * wound} rad"
    assert edge(margins("travel: 60 deg", after, "spring_travel_margin", HIP))


def test_size_of_the_motor_beside_its_family() -> None:
    # the family's stack is 16 mm long
    reference = "gap_radius: 42 mm, stack_length: 22 mm"
    after = reference.replace("22", "31.8"), reference.replace("22", "32.2")
    assert edge(margins(reference, after, "motor_scaling_margin", KNEE))


def test_torque_of_the_motor() -> None:
    """Peak torque grows with the length of the stack, the load of the hip yaw hardly."""
    place = q.JOINTS.index("hip_yaw")
    text = "gap_radius: 24 mm, stack_length: 22 mm"
    limit = float(BASE.values["peak_motor_torque"][0, place]) / 22.0
    needed = peak(strides("motor_torque", place))
    after = tuple(
        f"gap_radius: 24 mm, stack_length: {share * needed / limit} mm" for share in (1.01, 0.99)
    )
    assert edge(margins(text, (after[0], after[1]), "motor_torque_margin", place))


@pytest.mark.parametrize(("bend", "sign"), [("8.7 deg", 1.0), ("8.5 deg", -1.0)])
def test_bend_of_the_knee(bend: str, sign: float) -> None:
    # the guard of 0.15 rad is 8.594 deg
    found = evaluated("knee_flexion: 15 deg", f"knee_flexion: {bend}")
    steady = found.gaits.index("steady")
    margin = float(found.values["knee_flexion_margin"][0, steady])
    assert 0.0 < sign * margin < NEAR
    reach = float(found.values["reach_margin"][0, steady])
    assert 0.0 < sign * (reach - 1.0) < NEAR
