"""The two legs of a URDF robot as frame lengths, bodies and joint limits of our own model."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from tradeopt.arrays import Array
from tradeopt.chain.kind import File
from tradeopt.errors import Problem, StudyError
from tradeopt.physics.inertia import moved_parameters
from tradeopt.physics.walking.frame import BODIES, JOINT_AXES, JOINT_SENSES, JOINTS
from tradeopt.study.place import shown
from tradeopt.study.told import Told
from tradeopt.study.urdf import FIXED, TURNING, Joint, Robot, near_name, read_robot

MEET_WITHIN: Final = 2e-3
"""How far axes may pass one another that our model lets meet [m]; 800 N there are 1.6 N*m."""

TURNED_WITHIN: Final = 0.01
"""How far an axis may point off the one of our model [rad]."""

MIRROR_MASS: Final = 0.02
"""How far, as a share, a body of the right leg may weigh other than its left twin; cables and
labels do."""

MIRROR_CENTRE: Final = 5e-3
"""How far the centre of a right body may be from the mirror image of its left twin [m]."""

_MIRROR: Final = np.array([1.0, -1.0, 1.0])
_MIRRORED_PARAMETERS: Final = np.array([1.0, 1.0, -1.0, 1.0, 1.0, -1.0, 1.0, 1.0, -1.0, 1.0])
_AXIS_NAMES: Final = ("x, forward", "y, to the left", "z, up")

# Which axes have to meet, and along which direction they may be apart (0 x, 1 y, 2 z).
_MEETINGS: Final = (
    ("hip_yaw", "hip_pitch", 0),
    ("hip_yaw", "hip_roll", 1),
    ("hip_roll", "hip_pitch", 2),
    ("hip_pitch", "knee", 0),
    ("knee", "ankle_pitch", 0),
    ("ankle_roll", "hip_yaw", 1),
    ("ankle_roll", "ankle_pitch", 2),
)


def read_leg(content: str, file: str, _leaf: File, told: Told) -> dict[str, Array]:
    """
    Read lengths, bodies and joint limits of the left leg, and check the right one against it.

    Parameters
    ----------
    content : str
        URDF.
    file : str
        What to call it in messages.
    _leaf : File
        What is wanted of it; this reader gives all it knows.
    told : Told
        Names of the six joints of the left leg, under `joints`.

    Returns
    -------
    dict of str to Array
        `thigh`, `shank` and `hip_spacing` [m]; `inertia` (7, 10) of the bodies about their own
        origins; `lower` and `upper` (6,) limits in our senses [rad].

    Raises
    ------
    StudyError
        With every problem, at the joint of the URDF or at the name in the study file.

    Notes
    -----
    Everything is taken at zero angles, where the leg has to hang straight down with x ahead, y to
    the left and z up. Fixed links belong to the body above them. Joints other than the twelve of
    the legs are held at zero; what they carry belongs to the body they sit on.
    """
    robot = read_robot(content, file)
    leg = _left_leg(robot, told)
    problems = [*leg.turned_axes(), *leg.order()]
    if not problems:
        problems = [*leg.apart()] or [*leg.stretched()]
    if not problems:
        right = _right_leg(leg)
        problems = [*right.problems] or [*_differences(leg, right)]
    if problems:
        raise StudyError(tuple(problems))
    lower, upper = leg.limits()
    hip, knee, ankle = (leg.height(name) for name in ("hip_pitch", "knee", "ankle_pitch"))
    return {
        "thigh": np.array(hip - knee),
        "shank": np.array(knee - ankle),
        "hip_spacing": np.array(2.0 * leg.hip[1]),
        "inertia": leg.bodies(right.links),
        "lower": lower,
        "upper": upper,
    }


def _left_leg(robot: Robot, told: Told) -> "_Leg":
    """Find the six joints that the study names."""
    problems = []
    found = []
    turning = [name for name, joint in robot.joints.items() if joint.type in TURNING]
    for name in JOINTS:
        said = told.labels.get(f"joints.{name}", "")
        if said not in turning:
            got = f"{shown(said)!r}, which is no turning joint of {robot.source.file}"
            want = "the name of a revolute or continuous joint"
            problems.append(told.problem(f"joints.{name}", got, want, near_name(said, turning)))
        elif robot.joints[said] in found:
            got = f"{shown(said)!r} a second time"
            problems.append(told.problem(f"joints.{name}", got, "each joint once"))
        else:
            found.append(robot.joints[said])
    if problems:
        raise StudyError(tuple(problems))
    return _Leg(robot, tuple(found), _frames(robot), np.ones(3))


@dataclass(frozen=True)
class _Frame:
    """Where a link is at zero angles, seen from the root link."""

    rotation: Array
    place: Array


def _frames(robot: Robot) -> dict[str, _Frame]:
    frames = {robot.root: _Frame(np.eye(3), np.zeros(3))}
    for joint in robot.joints.values():
        above = frames[joint.parent]
        place = above.place + above.rotation @ joint.place
        frames[joint.child] = _Frame(above.rotation @ joint.rotation, place)
    return frames


@dataclass(frozen=True)
class _Leg:
    """Six joints from the hip down, at zero angles; `mirror` is y -> -y for a right leg."""

    robot: Robot
    joints: tuple[Joint, ...]
    frames: Mapping[str, _Frame]
    mirror: Array

    def place(self, name: str) -> Array:
        """Point on the axis of a joint, as a left leg has it [m]."""
        return self.mirror * self.frames[self._joint(name).child].place

    def height(self, name: str) -> float:
        """Height of a pitch axis [m]."""
        return float(self.place(name)[2])

    @property
    def hip(self) -> Array:
        """Where the hip axes meet [m]."""
        yaw, pitch = self.place("hip_yaw"), self.place("hip_pitch")
        return np.array([yaw[0], yaw[1], pitch[2]])

    def _joint(self, name: str) -> Joint:
        return self.joints[JOINTS.index(name)]

    def _direction(self, joint: Joint) -> Array:
        """Axis in the root's frame; in a mirror a turn goes the other way round."""
        axis = self.frames[joint.child].rotation @ joint.axis
        return self.mirror * axis * float(self.mirror.prod())

    def senses(self) -> Array:
        """1 where a joint counts the way ours does, -1 where it counts the other way."""
        along = [self._direction(joint)[JOINT_AXES[k]] for k, joint in enumerate(self.joints)]
        senses: Array = np.sign(along) * np.array(JOINT_SENSES)
        return senses

    def turned_axes(self) -> Iterator[Problem]:
        """Find axes that point elsewhere than those of our model."""
        for number, joint in enumerate(self.joints):
            axis = self._direction(joint)
            if abs(axis[JOINT_AXES[number]]) < np.cos(TURNED_WITHIN):
                got = f"an axis along ({', '.join(f'{one:.3g}' for one in axis)}) at zero angles"
                want = f"{JOINTS[number]} about {_AXIS_NAMES[JOINT_AXES[number]]}"
                yield self.robot.problem(joint, got, want)

    def order(self) -> Iterator[Problem]:
        """Find joints that do not hang from the one before, through fixed joints alone."""
        above = {joint.child: joint for joint in self.robot.joints.values()}
        for upper, lower in pairwise(self.joints):
            link = lower.parent
            while link != upper.child and link in above and above[link].type == FIXED:
                link = above[link].parent
            if link != upper.child:
                between = f"the joint {above[link].name!r}" if link in above else "no joint at all"
                want = f"a joint that hangs from {upper.name!r}, through fixed joints alone"
                yield self.robot.problem(lower, f"{between} above it", want)

    def apart(self) -> Iterator[Problem]:
        """Find axes that pass one another at a distance."""
        for one, two, along in _MEETINGS:
            distance = abs(self.place(one)[along] - self.place(two)[along])
            if distance > MEET_WITHIN:
                got = (
                    f"its axis {1e3 * distance:.3g} mm from that of {self._joint(two).name!r} "
                    f"along {_AXIS_NAMES[along]}"
                )
                want = f"axes of {one} and {two} within {1e3 * MEET_WITHIN:g} mm of one another"
                yield self.robot.problem(self._joint(one), got, f"{want} at zero angles")

    def stretched(self) -> Iterator[Problem]:
        """Find joints that are not below the one before, and a leg on the other side."""
        names = ("hip_pitch", "knee", "ankle_pitch")
        for upper, lower in pairwise(names):
            drop = self.height(upper) - self.height(lower)
            if not drop > 0.0:
                got = f"its axis {-1e3 * drop:.3g} mm above that of {self._joint(upper).name!r}"
                yield self.robot.problem(self._joint(lower), got, "a leg that hangs straight down")
        if not self.hip[1] > 0.0:
            got = f"a hip {-1e3 * self.hip[1]:.3g} mm to the right of the root link"
            want = "the left leg, y to the left"
            yield self.robot.problem(self.joints[0], got, want)

    def limits(self) -> tuple[Array, Array]:
        """Lower and upper limits in our senses [rad]."""
        ends = np.array([(joint.lower, joint.upper) for joint in self.joints]).T * self.senses()
        return ends.min(axis=0), ends.max(axis=0)

    def links(self) -> list[set[str]]:
        """Links of each body of the leg, from the hip down."""
        below = [_hanging(self.robot, joint.child) for joint in self.joints]
        return [one - two for one, two in zip(below, [*below[1:], set[str]()], strict=True)]

    def sums(self) -> Array:
        """Inertial parameters of the leg's bodies about our origins, as a left leg, (6, 10)."""
        hip, knee = self.hip, np.append(self.hip[:2], self.height("knee"))
        ankle = np.append(self.hip[:2], self.height("ankle_pitch"))
        origins = (hip, hip, hip, knee, ankle, ankle)
        found = [
            self.sum_of(links, self.mirror * origin)
            for links, origin in zip(self.links(), origins, strict=True)
        ]
        return np.stack(found) * (1.0 if self.mirror[1] > 0 else _MIRRORED_PARAMETERS)

    def sum_of(self, links: set[str], origin: Array) -> Array:
        """Inertial parameters of several links about a point, shape (10,)."""
        parts = [
            moved_parameters(
                self.robot.links[name].parameters,
                self.frames[name].rotation,
                self.frames[name].place - origin,
            )
            for name in sorted(links)
        ]
        return np.sum(parts, axis=0) if parts else np.zeros(10)

    def bodies(self, other_leg: set[str]) -> Array:
        """Inertial parameters of torso and leg about our origins, shape (7, 10)."""
        legs = _hanging(self.robot, self.joints[0].child) | other_leg
        middle = self.hip * np.array([1.0, 0.0, 1.0])
        torso = self.sum_of(self.robot.links.keys() - legs, middle)
        return np.concatenate((torso[np.newaxis], self.sums()))


def _hanging(robot: Robot, link: str) -> set[str]:
    """Return a link and all that hangs from it."""
    found = {link}
    for joint in robot.joints.values():
        if joint.parent in found:
            found.add(joint.child)
    return found


@dataclass(frozen=True)
class _Right:
    """The right leg, or why there is none."""

    leg: _Leg
    links: set[str]
    problems: tuple[Problem, ...] = ()


def _right_leg(left: _Leg) -> _Right:
    """Find the joints whose axes are the mirror images of the left leg's."""
    robot = left.robot
    taken = _hanging(robot, left.joints[0].child)
    found: list[Joint] = []
    for number, twin in enumerate(left.joints):
        within = _hanging(robot, found[-1].child) if found else robot.links.keys() - taken
        within = within - {one.child for one in found}
        across = [axis for axis in range(3) if axis != JOINT_AXES[number]]
        near_by = [
            joint
            for joint in robot.joints.values()
            if joint.type in TURNING
            and joint.child in within
            and _is_mirrored(left, joint, twin, across)
        ]
        if not near_by:
            got = "no joint on the right that is its mirror image at y -> -y"
            problem = robot.problem(twin, got, "a right leg like the left one")
            return _Right(left, set(), (problem,))
        found.append(near_by[0])
    leg = _Leg(robot, tuple(found), left.frames, _MIRROR)
    return _Right(leg, _hanging(robot, found[0].child), tuple(leg.order()))


def _is_mirrored(left: _Leg, joint: Joint, twin: Joint, across: list[int]) -> bool:
    one, two = left.frames[joint.child], left.frames[twin.child]
    apart = (one.place - _MIRROR * two.place)[across]
    axes = one.rotation @ joint.axis, _MIRROR * (two.rotation @ twin.axis)
    is_parallel = abs(float(axes[0] @ axes[1])) >= np.cos(TURNED_WITHIN)
    return bool(np.abs(apart).max() <= MEET_WITHIN) and is_parallel


def _differences(left: _Leg, right: _Right) -> Iterator[Problem]:
    """Find bodies and limits of the right leg that are no mirror image of the left one's."""
    leg = right.leg
    for number, (one, two) in enumerate(zip(left.sums(), leg.sums(), strict=True)):
        joint, body = leg.joints[number], BODIES[number + 1]
        if abs(one[0] - two[0]) > MIRROR_MASS * one[0]:
            got = f"a {body} of {two[0]:.4g} kg"
            want = f"{one[0]:.4g} kg within {MIRROR_MASS:.0%}, as on the left"
            yield leg.robot.problem(joint, got, want)
        elif np.abs(one[1:4] - two[1:4]).max() > MIRROR_CENTRE * one[0]:
            got = f"a {body} whose centre is no mirror image of the left one's"
            want = f"the same within {1e3 * MIRROR_CENTRE:g} mm"
            yield leg.robot.problem(joint, got, want)
    for joint, one, two in zip(leg.joints, _ends(left), _ends(leg), strict=True):
        if not np.allclose(one, two, rtol=0.0, atol=TURNED_WITHIN):
            got, want = (f"{ends[0]:.4g} to {ends[1]:.4g} rad" for ends in (two, one))
            yield leg.robot.problem(joint, f"limits of {got}", f"{want}, as on the left")


def _ends(leg: _Leg) -> Array:
    return np.stack(leg.limits(), axis=1)
