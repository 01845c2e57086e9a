"""A robot read from URDF against what it was written from, and against pinocchio's reader."""

import time
from pathlib import Path

import numpy as np
import pinocchio
import pytest

from tests.oracles.robot import FRAME, INERTIA
from tests.oracles.urdf_robot import LOWER, UPPER, Writing, urdf
from tradeopt.arrays import Array
from tradeopt.chain.kind import File
from tradeopt.errors import Problem, StudyError
from tradeopt.physics.inertia import moved_parameters
from tradeopt.quantities import JOINTS
from tradeopt.stages.from_model import URDF
from tradeopt.study.text import read
from tradeopt.study.told import Told
from tradeopt.study.urdf_leg import read_leg

LEAF = next(one for one in URDF.parameters if isinstance(one, File))
STUDY = "robot:\n  model:\n    file: walker.urdf\n    joints:\n" + "\n".join(
    f"      {joint}: left_{joint}" for joint in JOINTS
)
WAYS = {
    "plain": Writing(),
    "turned frames": Writing(turned=("hip_roll", "knee", "ankle_roll")),
    "reversed senses": Writing(reversed=("hip_yaw", "knee", "ankle_pitch")),
    "origins along their axes": Writing(along={"hip_yaw": 0.06, "hip_pitch": 0.05, "knee": -0.03}),
    "welded parts": Writing(split=0.4),
    "arms": Writing(arms=3.0),
    "all at once": Writing(
        turned=("hip_yaw", "hip_pitch", "ankle_pitch"),
        reversed=("hip_roll", "ankle_roll"),
        along={"hip_roll": -0.07, "ankle_pitch": 0.02},
        split=0.3,
        arms=2.5,
    ),
}


def told(**other: str) -> Told:
    labels = {f"joints.{joint}": other.get(joint, f"left_{joint}") for joint in JOINTS}
    return Told({}, {}, labels, "robot.model", read(STUDY, file="study.yaml"))


def leg(content: str, beside: Told | None = None) -> dict[str, Array]:
    return read_leg(content, "walker.urdf", LEAF, beside or told())


def problems_of(content: str, beside: Told | None = None) -> tuple[Problem, ...]:
    with pytest.raises(StudyError, match=r"(walker\.urdf|study\.yaml):\d+:\d+: ") as caught:
        leg(content, beside)
    return caught.value.problems


@pytest.mark.parametrize("way", WAYS)
def test_a_robot_comes_back_however_it_was_written(way: str) -> None:
    found = leg(urdf(WAYS[way]))
    lengths = [float(found[name]) for name in ("thigh", "shank", "hip_spacing")]
    np.testing.assert_allclose(lengths, [FRAME.thigh, FRAME.shank, FRAME.hip_spacing], rtol=1e-12)
    np.testing.assert_allclose(found["inertia"], INERTIA, atol=1e-12)
    np.testing.assert_allclose(found["lower"], LOWER, atol=1e-12)
    np.testing.assert_allclose(found["upper"], UPPER, atol=1e-12)


@pytest.mark.parametrize("way", WAYS)
def test_bodies_are_those_of_pinocchio(way: str, tmp_path: Path) -> None:
    """pinocchio 4, buildModelFromUrdf: it too adds up what fixed joints hold together."""
    content = urdf(WAYS[way])
    path = tmp_path / "walker.urdf"
    path.write_text(content, encoding="utf-8")
    model = pinocchio.buildModelFromUrdf(str(path), pinocchio.JointModelFreeFlyer())
    data = model.createData()
    pinocchio.forwardKinematics(model, data, pinocchio.neutral(model))

    def seen(joint: int, origin: Array) -> Array:
        place = data.oMi[joint]
        own = model.inertias[joint].toDynamicParameters()
        return moved_parameters(own, place.rotation, place.translation - origin)

    # the torso of the file is 0.9 m above its root link
    hip = np.array([0.0, FRAME.hip_spacing / 2, 0.9])
    knee = hip - [0.0, 0.0, FRAME.thigh]
    ankle = knee - [0.0, 0.0, FRAME.shank]
    left = {model.getJointId(f"left_{joint}"): joint for joint in JOINTS}
    right = {model.getJointId(f"right_{joint}") for joint in JOINTS}
    others = set(range(1, model.njoints)) - left.keys() - right
    torso = sum((seen(joint, hip * [1.0, 0.0, 1.0]) for joint in others), np.zeros(10))
    legs = [
        seen(joint, origin)
        for joint, origin in zip(left, (hip, hip, hip, knee, ankle, ankle), strict=True)
    ]
    np.testing.assert_allclose(leg(content)["inertia"], [torso, *legs], atol=1e-9)


def test_a_continuous_joint_has_no_end() -> None:
    content = urdf().replace(
        'name="left_hip_yaw" type="revolute"', 'name="left_hip_yaw" type="continuous"'
    )
    content = content.replace(
        'name="right_hip_yaw" type="revolute"', 'name="right_hip_yaw" type="continuous"'
    )
    found = leg(content)
    assert (found["lower"][0], found["upper"][0]) == (-np.inf, np.inf)


def moved(content: str, joint: str, *change: tuple[str, str]) -> str:
    """Change one joint of both legs."""
    lines = []
    for line in content.splitlines():
        if f'_{joint}" type' in line:
            for old, new in change:
                assert old in line, line
                line = line.replace(old, new)  # noqa: PLW2901 -- the changed line
        lines.append(line)
    return "\n".join(lines)


@pytest.mark.parametrize(
    ("content", "where", "got", "want"),
    [
        (
            moved(urdf(), "hip_pitch", ('xyz="0.0 0.0 0.0"', 'xyz="0.03 0.0 0.0"')),
            "left_hip_yaw",
            "its axis 30 mm from that of 'left_hip_pitch' along x, forward",
            "axes of hip_yaw and hip_pitch within 2 mm",
        ),
        (
            moved(urdf(), "knee", ('xyz="0.0 0.0 -0.4"', 'xyz="0.05 0.0 -0.4"')),
            "left_hip_pitch",
            "50 mm from that of 'left_knee' along x",
            "at zero angles",
        ),
        (
            moved(urdf(), "ankle_roll", ('xyz="0.0 0.0 0.0"', 'xyz="0.0 0.0 -0.04"')),
            "left_ankle_roll",
            "40 mm from that of 'left_ankle_pitch' along z",
            "ankle_roll and ankle_pitch",
        ),
        (
            moved(urdf(), "knee", ('xyz="0.0 0.0 -0.4"', 'xyz="0.0 0.0 0.4"')),
            "left_knee",
            "400 mm above that of 'left_hip_pitch'",
            "hangs straight down",
        ),
        (
            moved(urdf(), "knee", ('<axis xyz="0.0 -1.0 0.0"/>', '<axis xyz="0 -1 0.2"/>')),
            "left_knee",
            "an axis along (0, -0.981, 0.196)",
            "knee about y, to the left",
        ),
        (
            urdf().replace('<mass value="6.0"/>', '<mass value="6.5"/>', 1),
            "right_hip_pitch",
            "a thigh of 6 kg",
            "6.5 kg within 2%, as on the left",
        ),
    ],
    ids=["hip axes", "knee ahead", "ankle axes", "knee above", "skew axis", "heavier thigh"],
)
def test_what_our_model_is_not_is_refused(content: str, where: str, got: str, want: str) -> None:
    problem = problems_of(content)[0]
    assert (problem.file, problem.where) == ("walker.urdf", where)
    assert f'name="{where}"' in (problem.text or "")
    assert got in problem.got
    assert want in problem.want


def test_hip_axes_in_another_order_are_refused() -> None:
    """Roll above yaw: each axis is fine for a joint, but not for that one."""
    swapped = told(hip_yaw="left_hip_roll", hip_roll="left_hip_yaw")
    problems = problems_of(urdf(), swapped)
    assert [one.where for one in problems[:2]] == ["left_hip_roll", "left_hip_yaw"]
    assert problems[0].want == "hip_yaw about z, up"
    assert any("hangs from 'left_hip_roll'" in one.want for one in problems)


def test_a_joint_between_two_of_the_leg_is_refused() -> None:
    content = urdf().replace(
        'name="left_knee" type="revolute"', 'name="left_slide" type="prismatic"'
    )
    extra = (
        '<link name="extra"/><joint name="left_knee" type="revolute">'
        '<parent link="left_knee_link"/><child link="extra"/>'
        '<axis xyz="0 -1 0"/><limit lower="-2" upper="0"/></joint>'
    )
    problems = problems_of(content.replace("</robot>", f"{extra}</robot>"))
    assert any("'left_slide'" in one.got for one in problems)


def test_unknown_joints_are_told_at_the_study_with_the_nearest_name() -> None:
    problems = problems_of(
        urdf(), told(knee="left_kne", hip_yaw="float", ankle_roll="left_hip_roll")
    )
    assert [(one.file, one.where, one.line) for one in problems] == [
        ("study.yaml", "robot.model.joints.hip_yaw", 5),
        ("study.yaml", "robot.model.joints.knee", 8),
        ("study.yaml", "robot.model.joints.ankle_roll", 10),
    ]
    assert problems[1].near == "left_knee"
    assert problems[2].got == "'left_hip_roll' a second time"


def test_the_right_leg_for_the_left_is_refused() -> None:
    right = told(**{joint: f"right_{joint}" for joint in JOINTS})
    (problem,) = problems_of(urdf(), right)
    assert problem.got == "a hip 90 mm to the right of the root link"


def test_a_robot_with_one_leg_is_refused() -> None:
    lines = [line for line in urdf().splitlines() if '"right_' not in line]
    (problem,) = problems_of("\n".join(lines))
    assert problem.where == "left_hip_yaw"
    assert problem.got == "no joint on the right that is its mirror image at y -> -y"


def test_limits_that_are_no_mirror_image_are_refused() -> None:
    lines = urdf().splitlines()
    place = next(n for n, line in enumerate(lines) if 'name="right_hip_roll"' in line)
    assert 'upper="0.5"' in lines[place]
    lines[place] = lines[place].replace('upper="0.5"', 'upper="0.7"')
    (problem,) = problems_of("\n".join(lines))
    assert (problem.where, problem.got) == ("right_hip_roll", "limits of -0.4 to 0.7 rad")
    assert problem.want == "-0.4 to 0.5 rad, as on the left"


def test_a_robot_of_very_many_joints_is_read_or_refused_in_short_time() -> None:
    """Three thousand joints on the torso, named much like those of the leg."""
    extra = "".join(
        f'<link name="x{n}"/><joint name="left_knee_{n}" type="continuous">'
        f'<parent link="torso"/><child link="x{n}"/></joint>'
        for n in range(3000)
    )
    content = urdf().replace("</robot>", f"{extra}</robot>")
    start = time.process_time()
    np.testing.assert_allclose(leg(content)["inertia"], INERTIA, atol=1e-12)
    assert len(problems_of(content, told(**dict.fromkeys(JOINTS, "left_kneee")))) == 6
    assert time.process_time() - start < 5.0
