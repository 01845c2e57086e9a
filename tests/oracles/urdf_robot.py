"""The test robot written as URDF, plainly or in the roundabout ways of real files."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from tests.oracles.robot import FRAME, INERTIA, MIRROR_SIGNS
from tradeopt.arrays import Array
from tradeopt.physics.walking.frame import JOINTS, Frame

AXES = np.array([[0, 0, 1], [1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 1, 0], [1, 0, 0]], dtype=float)
"""Axes of the left leg in the senses of our model."""

LOWER = np.array([-0.5, -0.4, -1.6, -2.2, -0.9, -0.3])
UPPER = np.array([0.6, 0.5, 0.8, -0.05, 1.0, 0.35])
"""Limits of the left leg in the senses of our model [rad]."""


@dataclass(frozen=True)
class Writing:
    """How the file is written; every way of writing means the same robot.

    `turned` are joints whose link frames are turned by roll, pitch and yaw; `reversed` are joints
    that count the other way; `along` moves joint origins along their own axes [m]; `split` cuts a
    share off each body into a link of its own on a fixed joint.
    """

    turned: Sequence[str] = ()
    reversed: Sequence[str] = ()
    along: dict[str, float] = field(default_factory=dict)
    split: float = 0.0
    arms: float = 0.0
    """Mass of each of two arms [kg], on joints of their own; taken off the torso."""


def rotation(angles: Array) -> Array:
    """Fixed-axis roll, pitch, yaw as the format means them."""
    (cr, cp, cy), (sr, sp, sy) = np.cos(angles), np.sin(angles)
    about_x = np.array([[1, 0, 0], [0, cr, -sr], [0, sr, cr]])
    about_y = np.array([[cp, 0, sp], [0, 1, 0], [-sp, 0, cp]])
    about_z = np.array([[cy, -sy, 0], [sy, cy, 0], [0, 0, 1]])
    turned: Array = about_z @ about_y @ about_x
    return turned


def angles_of(matrix: Array) -> Array:
    """Roll, pitch and yaw of a rotation matrix."""
    pitch = np.arcsin(-matrix[2, 0])
    roll = np.arctan2(matrix[2, 1], matrix[2, 2])
    return np.array([roll, pitch, np.arctan2(matrix[1, 0], matrix[0, 0])])


def urdf(
    writing: Writing | None = None,
    *,
    frame: Frame = FRAME,
    inertia: Array = INERTIA,
    height: float = 0.9,
) -> str:
    """Return the robot; the root link is on the ground, the torso is welded to it at a height."""
    return _Writer(writing or Writing(), frame, inertia, height).text()


class _Writer:
    def __init__(self, writing: Writing, frame: Frame, inertia: Array, height: float) -> None:
        self.writing = writing
        self.frame = frame
        self.inertia = inertia
        self.height = height
        self.parts: list[str] = []

    def text(self) -> str:
        self.parts = ['<?xml version="1.0"?>', "<!-- invented -->", '<robot name="walker">']
        self.parts.append('  <link name="ground"/>')
        torso = self.inertia[0].copy()
        arm = self.writing.arms
        if arm:
            torso -= 2.0 * _point(arm, np.array([0.0, 0.0, 0.4])) + _sideways(arm, 0.25)
        self.joint(
            "float",
            "fixed",
            ("ground", "torso"),
            _origin(np.zeros(3), np.array([0, 0, self.height])),
        )
        self.body("torso", torso, np.eye(3), np.zeros(3))
        if arm:
            for side, sign in (("left", 1.0), ("right", -1.0)):
                at = np.array([0.0, 0.25 * sign, 0.4])
                limits = '<limit lower="-1" upper="1" effort="9" velocity="9"/>'
                more = f'<axis xyz="0 1 0"/>{limits}'
                self.joint(
                    f"{side}_shoulder",
                    "revolute",
                    ("torso", f"{side}_arm"),
                    _origin(np.zeros(3), at),
                    more,
                )
                self.body(f"{side}_arm", _point(arm, np.zeros(3)), np.eye(3), np.zeros(3))
        for side, sign in (("left", 1.0), ("right", -1.0)):
            self.leg(side, sign)
        self.parts.append("</robot>")
        return "\n".join(self.parts)

    def leg(self, side: str, sign: float) -> None:
        """Write a leg; each link's frame may sit anywhere on its joint's axis, turned anyhow."""
        mirror = np.array([1.0, sign, 1.0])
        hip = np.array([0.0, sign * self.frame.hip_spacing / 2, 0.0])
        drop = np.array([0.0, 0.0, 1.0])
        knee = hip - self.frame.thigh * drop
        ankle = knee - self.frame.shank * drop
        above, turn_above, place_above = "torso", np.eye(3), np.zeros(3)
        for number, (name, own) in enumerate(
            zip(JOINTS, (hip, hip, hip, knee, ankle, ankle), strict=True)
        ):
            # a turn goes the other way round in a mirror
            axis = AXES[number] * mirror * sign
            place = own + axis * self.writing.along.get(name, 0.0)
            angles = np.array([0.3, -0.5, 1.1]) if name in self.writing.turned else np.zeros(3)
            turn = rotation(angles)
            lower, upper = LOWER[number], UPPER[number]
            if name in self.writing.reversed:
                axis, lower, upper = -axis, -upper, -lower
            seen = turn_above.T @ (place - place_above)
            origin = _origin(angles_of(turn_above.T @ turn), seen)
            direction = f'<axis xyz="{_numbers(turn.T @ axis)}"/>'
            limit = f'<limit lower="{lower}" upper="{upper}" effort="100" velocity="10"/>'
            link = f"{side}_{name}_link"
            self.joint(f"{side}_{name}", "revolute", (above, link), origin, direction + limit)
            signs = np.ones(10) if sign > 0 else MIRROR_SIGNS
            self.body(link, signs * self.inertia[number + 1], turn, place - own)
            above, turn_above, place_above = link, turn, place

    def joint(
        self, name: str, sort: str, ends: tuple[str, str], origin: str, more: str = ""
    ) -> None:
        self.parts.append(
            f'  <joint name="{name}" type="{sort}">{origin}'
            f'<parent link="{ends[0]}"/><child link="{ends[1]}"/>{more}</joint>'
        )

    def body(self, name: str, parameters: Array, turn: Array, place: Array) -> None:
        """Write a link whose frame is turned and placed against the body's own origin."""
        share = self.writing.split
        self.parts.append(
            f'  <link name="{name}">{_inertial((1 - share) * parameters, turn, place)}</link>'
        )
        if share:
            at = np.array([0.1, -0.05, 0.02])
            angles = np.array([-0.2, 0.4, 0.9])
            own = turn @ rotation(angles)
            rest = _inertial(share * parameters, own, place + turn @ at)
            self.parts.append(f'  <link name="{name}_part">{rest}</link>')
            self.joint(f"{name}_weld", "fixed", (name, f"{name}_part"), _origin(angles, at))


def _inertial(parameters: Array, turn: Array, place: Array) -> str:
    """Inertia about the centre, in a frame of its own that is turned once more."""
    mass = parameters[0]
    centre = parameters[1:4] / mass
    xx, xy, yy, xz, yz, zz = parameters[4:]
    about_origin = np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]])
    about_centre = about_origin - mass * (centre @ centre * np.eye(3) - np.outer(centre, centre))
    angles = np.array([0.7, 0.2, -0.4])
    own = turn @ rotation(angles)
    seen = own.T @ about_centre @ own
    moments = (
        " ".join(
            f'i{one}="{seen["xyz".index(one[0]), "xyz".index(one[1])]!r}"'
            for one in ("xx", "xy", "xz", "yy", "yz", "zz")
        )
        .replace("np.float64(", "")
        .replace(")", "")
    )
    where = _origin(angles, turn.T @ (centre - place))
    return f'<inertial>{where}<mass value="{float(mass)!r}"/><inertia {moments}/></inertial>'


def _point(mass: float, place: Array) -> Array:
    """Small ball at a place."""
    x, y, z = place
    own = 0.01 * mass
    moments = [y * y + z * z, -x * y, x * x + z * z, -x * z, -y * z, x * x + y * y]
    solid = np.array([own, 0.0, own, 0.0, 0.0, own])
    return np.concatenate(([mass], mass * place, mass * np.array(moments) + solid))


def _sideways(mass: float, reach: float) -> Array:
    """What two arms at y = +-reach have over two in the middle."""
    extra = np.zeros(10)
    extra[[4, 9]] = 2.0 * mass * reach**2
    return extra


def _origin(angles: Array, place: Array) -> str:
    return f'<origin rpy="{_numbers(angles)}" xyz="{_numbers(place)}"/>'


def _numbers(values: Array) -> str:
    return " ".join(repr(float(value)) for value in values)
