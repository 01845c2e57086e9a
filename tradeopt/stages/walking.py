"""Loads of the gaits that the model makes itself.

A stride is made once for every node of a lattice around the baseline's lengths and gait, and holds
for any masses. A design whose lengths and gait are the baseline's stands on a node: its loads are
one matrix product. Others mix the nodes of their cell, three for every number that they change.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array, Codes, Flags, columns_in_use
from tradeopt.chain.kind import Number
from tradeopt.chain.stage import Values
from tradeopt.physics.inertia import box_parameters
from tradeopt.physics.walking import contact, lattice
from tradeopt.physics.walking.dynamics import load_matrices
from tradeopt.physics.walking.frame import Frame
from tradeopt.physics.walking.gait import StairGait
from tradeopt.physics.walking.impact import collision_loss
from tradeopt.physics.walking.posture import knee_margin, reach_left, reach_margin
from tradeopt.physics.walking.rebalance import rebalanced
from tradeopt.physics.walking.stairs import stair_feet
from tradeopt.stages import slots
from tradeopt.stages.recipe import Gait, Recipe, Space, allowed, corners, groups

NEEDS = (*q.FRAME_LENGTHS, q.GRAVITY, q.INERTIA, *q.REFERENCES)

PAYLOAD = (
    Number("payload.mass", "kg", "load that it carries", (0, 15), at_least=0.0, compared=True),
    Number("payload.x", "m", "of the load, ahead of the hips", (-0.2, 0.2), compared=True),
    Number("payload.z", "m", "of the load, above the hips", (0.0, 0.5), compared=True),
)

_STRIDES_KEPT = 256
"""Some 1.3 MB each."""

_MOTIONS = (q.JOINT_ANGLE, q.JOINT_SPEED, q.JOINT_ACCELERATION)
_JOINTS = len(q.JOINTS)
_TORSO = q.BODIES.index("torso")
_KNEE = q.JOINTS.index("knee")


@dataclass(frozen=True)
class _Node:
    """A stride of one frame and gait, and its answers to a unit of each inertial parameter.

    The columns of `answers` are the torques, the normal force over half a stride, and the foot's
    wrench at the phases in which it stands; those of `turns` are the turn of the joints, its rate
    and its acceleration, times the mass of the robot. The last row of both is the answer to a rise
    of the hips for the mass of the reference; `slack` and `rise` say how far they can. Below it,
    `turns` has the motion that the turns are added to, so that one product gives their sum.
    """

    motion: Array
    rows: Codes
    answers: Array
    turns: Array
    slack: Array
    rise: Array
    mass: float
    stance: Flags
    room: Array
    reach: float


@lru_cache(maxsize=_STRIDES_KEPT)
def _node(recipe: Recipe, frame: Frame, gait: Gait, reference: bytes) -> _Node:
    inertia = np.frombuffer(reference).reshape(len(q.BODIES), q.INERTIAL_PARAMETERS)
    stride = recipe.make(frame, gait, inertia, recipe.phases)
    found = rebalanced(frame, stride, inertia, load_matrices(frame, stride))
    stance = stride.load_share > 0.0
    parts = (
        found.torque,
        found.normal_force[:, : recipe.phases // 2],
        found.foot_wrench[:, :, stance],
    )
    turns = np.concatenate((found.angle, found.speed, found.acceleration), axis=1)
    motion = np.stack((stride.joint_angle, stride.joint_speed, stride.joint_acceleration))
    count = found.rows.size + 1
    return _Node(
        motion=motion,
        rows=found.rows,
        answers=np.concatenate([part.reshape(count, -1) for part in parts], axis=1),
        turns=np.concatenate((turns.reshape(count, -1), motion.reshape(1, -1))),
        slack=found.slack,
        rise=found.rise,
        mass=found.mass,
        stance=stance,
        room=stride.sole_room[:, stance],
        reach=stride.reach_margin,
    )


def generated(values: Values, recipe: Recipe) -> Values:
    """
    Give each row the loads of its own gait.

    Parameters
    ----------
    values : Values
        `NEEDS`, and the recipe's numbers and `PAYLOAD` with their baselines.
    recipe : Recipe
        What to make.

    Returns
    -------
    Values
        What the slot `gait` promises.
    """
    loaded = loaded_bodies(values[q.INERTIA.name], [values[one.name] for one in PAYLOAD])
    reference = loaded_bodies(
        values[q.REFERENCE_INERTIA.name], [values[one.baseline] for one in PAYLOAD]
    )
    space = Space.of(values, recipe)
    shares = [
        (some, _loads(space.part(some), loaded[some], mix))
        for alike in groups(space, reference)
        for some, mix in _mixes(space, alike, reference[alike[0]].tobytes())
    ]
    order = np.argsort(np.concatenate([some for some, _ in shares]))
    return {
        one.name: np.concatenate([share[one.name] for _, share in shares])[order]
        for one in slots.GAIT.steps["duty"]
    }


def loaded_bodies(bodies: Array, payload: list[Array]) -> Array:
    """Return inertial parameters with the payload as a point on the torso."""
    mass, ahead, above = payload
    centre = np.stack((ahead, np.zeros_like(ahead), above), axis=-1)
    total = bodies.copy()
    total[:, _TORSO] += box_parameters(mass, centre, np.zeros_like(centre))
    return total


_Mix: TypeAlias = tuple[list[_Node], Array]
"""Nodes, and the weight of each of them for each row."""


def _mixes(space: Space, rows: Codes, reference: bytes) -> Iterator[tuple[Codes, _Mix]]:
    """Yield the nodes of rows of one group; rows beside a stride that cannot be walked get own."""
    part = space.part(rows)
    places, weights = corners(part)
    if all(allowed(space.recipe, place) for place in places):
        nodes = [_node(space.recipe, *part.made_at(place), reference) for place in places]
        if len(nodes) == 1 or _smooth(nodes):
            yield rows, (nodes, weights)
            return
    for row in rows:
        alone = np.array([row])
        own = space.made_at(space.given[row])
        yield alone, ([_node(space.recipe, *own, reference)], np.ones((1, 1)))


def _smooth(nodes: list[_Node]) -> bool:
    """Whether nothing between the nodes has a kink."""
    straightest = np.array([node.motion[0, _KNEE].argmax() for node in nodes])
    phases = nodes[0].motion.shape[-1]
    in_reach = all(node.reach > 0.0 for node in nodes)
    return in_reach and lattice.without_kink(straightest, phases=phases)


def _loads(part: Space, bodies: Array, mix: _Mix) -> dict[str, Array]:
    """Work out the loads of rows that share their nodes."""
    nodes, weights = mix
    count, phases = len(bodies), part.recipe.phases
    mass = bodies[:, 0, 0] + 2.0 * bodies[:, 1:, 0].sum(axis=1)
    loads, moved = _summed(nodes, weights, bodies.reshape(count, -1), mass)
    stance = nodes[0].stance
    ends = np.cumsum([_JOINTS * phases, phases // 2])
    torque, normal, foot = np.split(loads, ends, axis=1)
    motion = moved.reshape(count, *nodes[0].motion.shape)
    foot = foot.reshape(count, 6, -1)
    standing = np.where(stance, np.cumsum(stance), 0)
    pressed = np.append(np.zeros((count, 1)), foot[:, 2], axis=1)[:, standing]
    room = np.tensordot(weights, np.stack([node.room for node in nodes]), axes=1)
    found = {
        one.name: _held(array, phases)
        for one, array in zip(_MOTIONS, np.moveaxis(motion, 1, 0), strict=True)
    }
    found[q.JOINT_TORQUE.name] = _held(torque.reshape(count, _JOINTS, phases), phases)
    found[q.FOOT_LOAD.name] = _held(pressed, phases)
    weight = mass * part.given[:, -1]
    found |= _contact(part, normal, foot, room, weight)
    return found | _reach(part, nodes[0]) | _pace(part, mass)


def _summed(nodes: list[_Node], weights: Array, theta: Array, mass: Array) -> tuple[Array, Array]:
    """Add up loads and motion for each row's parameters, the nodes by their weights."""
    used = columns_in_use(theta)
    kept = [used[node.rows] for node in nodes]
    chosen = [theta[:, node.rows[keep]] for node, keep in zip(nodes, kept, strict=True)]
    slack = weights @ np.stack([node.slack for node in nodes])
    for weight, node, keep, own in zip(weights.T, nodes, kept, chosen, strict=True):
        slack = slack + (weight / mass)[:, np.newaxis] * (own @ node.rise[keep])
    risen = mass * slack.min(axis=1)
    loads, motion = [], []
    for weight, node, keep, own in zip(
        weights.T[:, :, np.newaxis], nodes, kept, chosen, strict=True
    ):
        share = np.column_stack((own, risen / node.mass)) * weight
        loads.append(share @ node.answers[np.append(keep, True)])
        share = np.column_stack((share / mass[:, np.newaxis], weight))
        motion.append(share @ node.turns[np.append(keep, (True, True))])
    return sum(loads[1:], start=loads[0]), sum(motion[1:], start=motion[0])


def _reach(part: Space, node: _Node) -> dict[str, Array]:
    """Margins of the leg's length: the least bend of the knee is as told, if the leg reaches."""
    thigh, shank = part.given[:, 0], part.given[:, 1]
    names = [one.name for one in part.recipe.numbers]
    bend = part.given[:, len(q.FRAME_LENGTHS) + names.index("knee_flexion")]
    if node.reach <= 0.0:
        bend = np.full_like(bend, -float(node.motion[0, _KNEE].max()))
        reach = np.full_like(bend, node.reach)
    else:
        reach = reach_margin(1.0 - reach_left(bend, thigh, shank), thigh, shank)
    return {
        q.REACH_MARGIN.name: reach,
        q.KNEE_FLEXION_MARGIN.name: knee_margin(-bend[:, np.newaxis]),
    }


def _held(array: Array, phases: int) -> Array:
    """Spread the phases that differ over all phases."""
    return array if phases == q.PHASES else np.repeat(array, q.PHASES // phases, axis=-1)


def _contact(
    part: Space, normal: Array, foot: Array, room: Array, weight: Array
) -> dict[str, Array]:
    """How well the ground carries the robot."""
    least = contact.LOADED_SHARE * weight
    width = part.given[:, q.FRAME_LENGTHS.index(q.FOOT_WIDTH)]
    spare = contact.sole_room(foot, room=room, foot_width=width, least_force=least)
    return {
        q.GROUND_LOAD_MARGIN.name: contact.least_load(normal, weight=weight),
        q.FRICTION_USE.name: contact.friction_use(foot, least_force=least),
        q.SOLE_ROOM.name: spare,
        q.BALANCE_MARGIN.name: contact.balance_margin(spare, width),
    }


def _pace(part: Space, mass: Array) -> dict[str, Array]:
    """Work out what follows from the numbers of each row without its motion."""
    alike = not (part.on_lattice & part.changed.any(axis=1)).any()
    made = [part.made_at(place) for place in (part.given[:1] if alike else part.given)]

    def each(numbers: Iterator[float]) -> Array:
        return np.broadcast_to(np.array(list(numbers)), len(part.given))

    step = each(gait.step_length for _, gait in made)
    speed = each(gait.mean_speed for _, gait in made)
    leg = each(frame.leg_length for frame, _ in made)
    clear = each(_clearance(frame, gait) / frame.leg_length for frame, gait in made)
    return {
        q.STRIDE_TIME.name: each(gait.stride_time for _, gait in made),
        q.WALKING_SPEED.name: speed,
        q.STEP_CLEARANCE_MARGIN.name: np.minimum(clear, 1.0),
        q.TOUCHDOWN_ENERGY.name: collision_loss(mass, speed, step, leg),
    }


def _clearance(frame: Frame, gait: Gait) -> float:
    if isinstance(gait, StairGait):
        return stair_feet(frame, gait, q.PHASES).step_clearance
    return np.inf
