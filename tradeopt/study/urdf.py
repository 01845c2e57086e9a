"""Robots in URDF: links, joints and what they weigh, with every problem at its line.

Read are names, joint origins, axes and limits, and masses with their inertias. Shapes, materials
and everything else are left alone.
"""

import math
import re
from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

import numpy as np

from tradeopt.arrays import Array
from tradeopt.errors import Problem, StudyError, near
from tradeopt.physics.inertia import inertial_parameters, moved_parameters
from tradeopt.study.place import MOST_PROBLEMS, shown
from tradeopt.study.xml_reader import Element, Source, read_xml

LARGEST_URDF: Final = 2_000_000
"""Bytes a robot may have; a large one has some 200,000."""

TURNING: Final = ("revolute", "continuous")
"""Types of joints that turn about an axis."""

FIXED: Final = "fixed"

MOST_COMPARED: Final = 300
"""Names that a mistyped one is compared with; more of them would take long."""

JOINT_TYPES: Final = (*TURNING, FIXED, "prismatic", "floating", "planar")

_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_MOMENTS = ("ixx", "ixy", "ixz", "iyy", "iyz", "izz")
_POSSIBLE_SLACK = 1e-3
"""By which share the largest principal moment may be above the sum of the others, for rounding."""


@dataclass(frozen=True)
class Link:
    """One body of the file: name, and inertial parameters in its own frame, shape (10,)."""

    name: str
    parameters: Array


@dataclass(frozen=True)
class Joint:
    """One joint of the file.

    Attributes
    ----------
    name, type, parent, child : str
        As written.
    rotation, place : Array
        Frame of the child link in that of the parent, at zero angle.
    axis : Array
        Direction in the frame of the child link, of length one.
    lower, upper : float
        Limits [rad or m]; infinite where there are none.
    element : Element
        Where it stands.
    """

    name: str
    type: str
    parent: str
    child: str
    rotation: Array
    place: Array
    axis: Array
    lower: float
    upper: float
    element: Element


@dataclass(frozen=True)
class Robot:
    """A tree of links.

    Attributes
    ----------
    source : Source
        The file.
    root : str
        The link that hangs from no joint.
    links : dict of str to Link
        By name.
    joints : dict of str to Joint
        By name, each after the joint that its parent hangs from.
    """

    source: Source
    root: str
    links: dict[str, Link]
    joints: dict[str, Joint]

    def problem(self, joint: Joint, got: str, want: str) -> Problem:
        """Say what is wrong with a joint, at its place."""
        place = (joint.element.line, joint.element.column)
        return self.source.problem(joint.name, place, got, want)


def read_robot(text: str, file: str) -> Robot:
    """
    Read a robot.

    Parameters
    ----------
    text : str
        URDF.
    file : str
        What to call it in messages.

    Returns
    -------
    Robot
        Its links and joints.

    Raises
    ------
    StudyError
        With every problem found.

    Examples
    --------
    >>> read_robot("<robot name='stone'><link name='all'/></robot>", "stone.urdf").root
    'all'
    """
    source = Source(file, text)
    if len(text) > LARGEST_URDF:
        got = f"{len(text)} characters"
        raise StudyError((source.problem("file", (1, 1), got, f"at most {LARGEST_URDF}"),))
    reader = _Reader(source)
    root = read_xml(source)
    if root.tag != "robot":
        reader.report(root, "file", f"<{shown(root.tag)}>", "<robot>, as URDF has it")
    macros = next((one for one in root.children if one.tag.startswith("xacro:")), None)
    if macros is not None:
        reader.report(macros, "file", f"<{shown(macros.tag)}>", "URDF with all macros expanded")
    links = {one.name: one for one in map(reader.link, root.all("link")) if one}
    joints = {one.name: one for one in map(reader.joint, root.all("joint")) if one}
    reader.stop_if_bad()
    robot = Robot(source, *reader.tree(root, links, joints))
    reader.stop_if_bad()
    return robot


class _Reader:
    """Reads elements and gathers every problem."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.problems: list[Problem] = []
        self.names: set[tuple[str, str]] = set()

    def report(
        self, element: Element, where: str, got: str, want: str, nearest: str | None = None
    ) -> None:
        """Note a problem at an element."""
        place = (element.line, element.column)
        if len(self.problems) < MOST_PROBLEMS:
            self.problems.append(self.source.problem(where, place, got, want, nearest))

    def stop_if_bad(self) -> None:
        """Raise everything noted so far."""
        if self.problems:
            raise StudyError(tuple(self.problems))

    def name(self, element: Element) -> str:
        """Return the name of a link or joint, which no two may share."""
        name = element.attributes.get("name", "")
        if not name:
            self.report(element, element.tag, "no name", "a name")
        elif (element.tag, name) in self.names:
            self.report(element, name, f"a second {element.tag} {shown(name)!r}", "each name once")
        self.names.add((element.tag, name))
        return name

    def numbers(self, element: Element | None, attribute: str, default: str | None) -> Array:
        """Return the numbers of an attribute; the default tells how many there are."""
        count = len(default.split()) if default else 1
        text = element.attributes.get(attribute, default) if element else default
        words = (text or "").split()
        good = len(words) == count and all(_NUMBER.fullmatch(word) for word in words)
        values = np.array([float(word) for word in words]) if good else np.full(count, np.nan)
        if element is not None and not np.isfinite(values).all():
            got = f"{attribute}={shown(text)!r}" if text is not None else f"no {attribute}"
            want = f"{count} finite numbers" if count > 1 else "a finite number"
            self.report(element, element.tag, got, want)
            return np.zeros(count)
        return values

    def frame(self, origin: Element | None) -> tuple[Array, Array]:
        """Return rotation and place of an <origin>, which may be left out."""
        roll, pitch, yaw = self.numbers(origin, "rpy", "0 0 0")
        return rotation_of(roll, pitch, yaw), self.numbers(origin, "xyz", "0 0 0")

    def link(self, element: Element) -> Link | None:
        """Return one link; one without <inertial> weighs nothing."""
        name = self.name(element)
        inertial = element.first("inertial")
        if inertial is None:
            return Link(name, np.zeros(10))
        rotation, place = self.frame(inertial.first("origin"))
        mass, moments = inertial.first("mass"), inertial.first("inertia")
        if mass is None or moments is None:
            lacking = "mass" if mass is None else "inertia"
            self.report(inertial, name, f"no <{lacking}>", "a mass and an inertia")
            return None
        value = float(self.numbers(mass, "value", None)[0])
        xx, xy, xz, yy, yz, zz = (float(self.numbers(moments, one, None)[0]) for one in _MOMENTS)
        matrix = np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]])
        if value < 0.0:
            self.report(mass, name, f"a mass of {value:g} kg", "0 kg or more")
        elif not _is_possible(matrix):
            principal = ", ".join(f"{one:.3g}" for one in np.linalg.eigvalsh(matrix))
            want = "three of which none is negative or larger than the other two together"
            self.report(moments, name, f"principal moments of {principal} kg*m^2", want)
        own = inertial_parameters(np.array(value), np.zeros(3), matrix)
        return Link(name, moved_parameters(own, rotation, place))

    def joint(self, element: Element) -> Joint | None:
        """Return one joint."""
        name = self.name(element)
        sort = element.attributes.get("type", "")
        if sort not in JOINT_TYPES:
            want = f"one of: {', '.join(JOINT_TYPES)}"
            self.report(element, name, f"type {shown(sort)!r}", want, near(sort, JOINT_TYPES))
            return None
        ends = [element.first(tag) for tag in ("parent", "child")]
        parent, child = (one.attributes.get("link", "") if one else "" for one in ends)
        if not parent or not child:
            self.report(element, name, "a joint without two links", "<parent> and <child>")
            return None
        rotation, place = self.frame(element.first("origin"))
        axis = self.numbers(element.first("axis"), "xyz", "1 0 0")
        length = float(np.linalg.norm(axis))
        if sort in TURNING and not length > 0.0:
            self.report(element, name, "an axis of no length", "a direction")
            length = 1.0
        lower, upper = self.limits(element, name, sort)
        return Joint(
            name,
            sort,
            parent,
            child,
            rotation,
            place,
            axis / (length or 1.0),
            lower,
            upper,
            element,
        )

    def limits(self, element: Element, name: str, sort: str) -> tuple[float, float]:
        """Return the limits of a joint."""
        limit = element.first("limit")
        if sort not in ("revolute", "prismatic"):
            return -math.inf, math.inf
        if limit is None:
            self.report(element, name, "no <limit>", f"limits, as a {sort} joint has them")
            return -math.inf, math.inf
        lower, upper = (float(self.numbers(limit, one, "0")[0]) for one in ("lower", "upper"))
        if lower > upper:
            self.report(limit, name, f"limits from {lower:g} to {upper:g}", "lower below upper")
        return lower, upper

    def tree(
        self, root: Element, links: dict[str, Link], joints: dict[str, Joint]
    ) -> tuple[str, dict[str, Link], dict[str, Joint]]:
        """Return the root link, and the joints from it outward."""
        self.check_ends(links, joints)
        hanging = {joint.child for joint in joints.values()}
        roots = [name for name in links if name not in hanging]
        if len(roots) != 1:
            got = f"{len(roots)} links without a joint above: {shown(', '.join(roots))}"
            self.report(root, "robot", got, "one link that all others hang from")
            return "", links, joints
        ordered = _outward(roots[0], joints)
        for name in joints.keys() - ordered.keys():
            self.report(joints[name].element, name, "joints in a circle", "a tree of links")
        return roots[0], links, ordered

    def check_ends(self, links: dict[str, Link], joints: dict[str, Joint]) -> None:
        """Look for joints whose links are not there, or hang from another joint already."""
        hanging: set[str] = set()
        for joint in joints.values():
            for end in (one for one in (joint.parent, joint.child) if one not in links):
                got = f"a link {shown(end)!r} that is not there"
                self.report(joint.element, joint.name, got, "a link", near_name(end, links))
            if joint.child in hanging:
                got = f"a second joint above the link {shown(joint.child)!r}"
                self.report(joint.element, joint.name, got, "a tree of links")
            hanging.add(joint.child)


def _outward(root: str, joints: dict[str, Joint]) -> dict[str, Joint]:
    """Return the joints that hang from the root, each after the one above."""
    below: dict[str, list[Joint]] = {}
    for joint in joints.values():
        below.setdefault(joint.parent, []).append(joint)
    ordered: dict[str, Joint] = {}
    waiting = [root]
    for link in waiting:
        for joint in below.pop(link, []):
            ordered[joint.name] = joint
            waiting.append(joint.child)
    return ordered


def near_name(name: str, known: Collection[str]) -> str | None:
    """
    Find the known name that is closest to a mistyped one, unless there are too many to compare.

    Parameters
    ----------
    name : str
        What was written.
    known : collection of str
        The names there are.

    Returns
    -------
    str or None
        The nearest one.

    Examples
    --------
    >>> near_name("left_kne", ["left_hip", "left_knee"])
    'left_knee'
    """
    return near(name, known) if len(known) <= MOST_COMPARED else None


def rotation_of(roll: float, pitch: float, yaw: float) -> Array:
    """
    Return the rotation that URDF means by roll, pitch and yaw.

    Parameters
    ----------
    roll, pitch, yaw : float
        Turns about the fixed axes x, y and z, in this order [rad].

    Returns
    -------
    Array
        Rotation matrix, shape (3, 3).

    Examples
    --------
    >>> rotation_of(0.0, 0.0, math.pi / 2).round(4).tolist()[0]
    [0.0, -1.0, 0.0]
    """
    (cr, cp, cy), (sr, sp, sy) = (
        (function(roll), function(pitch), function(yaw)) for function in (math.cos, math.sin)
    )
    return np.array(
        [
            [cy * cp, cy * sp * sr - sy * cr, cy * sp * cr + sy * sr],
            [sy * cp, sy * sp * sr + cy * cr, sy * sp * cr - cy * sr],
            [-sp, cp * sr, cp * cr],
        ]
    )


def _is_possible(inertia: Array) -> bool:
    """Tell whether a body can have this inertia about its centre."""
    low, middle, high = np.linalg.eigvalsh(inertia)
    slack = _POSSIBLE_SLACK * abs(high)
    return bool(low >= -slack and high <= low + middle + slack)
