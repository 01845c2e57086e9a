"""What the robot is built of: surroundings, frame, bodies, mounts and standby loads."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.chain.kind import Kind, Number, Step, Word
from tradeopt.chain.stage import Values
from tradeopt.physics import air, inertia
from tradeopt.stages import slots
from tradeopt.stages.maturity import MATURITY


def _surroundings(values: Values) -> Values:
    return {
        q.GRAVITY.name: values["gravity"],
        q.AMBIENT_TEMPERATURE.name: values["ambient"],
        q.AIR_DENSITY_RATIO.name: air.density_ratio(values["altitude"]),
    }


STILL = Kind(
    "still",
    slots.SURROUNDINGS,
    "air without wind",
    (
        Number("gravity", "m/s^2", "acceleration of free fall", (9.7, 9.9), above=0.0),
        Number("ambient", "K", "air temperature", (260, 320), above=0.0),
        Number(
            "altitude",
            "m",
            "above the sea; thin air cools motors and pack less, and that is all it does here",
            (0, 3000),
            at_least=air.LOWEST_ALTITUDE,
            at_most=air.HIGHEST_ALTITUDE,
        ),
    ),
    {"size": Step((), _surroundings)},
)


def _frame(values: Values) -> Values:
    lengths = {
        q.THIGH_LENGTH.name: values["thigh"],
        q.SHANK_LENGTH.name: values["shank"],
        q.ANKLE_HEIGHT.name: values["ankle_height"],
        q.HIP_SPACING.name: values["hip_spacing"],
        q.FOOT_LENGTH.name: values["foot.length"],
        q.FOOT_WIDTH.name: values["foot.width"],
        q.HEEL_LENGTH.name: values["foot.heel"],
    }
    limbs = {name: values[name] for name in ("thigh", "shank")}
    none = np.zeros_like(values["thigh"])
    body_length = np.stack([limbs.get(body, none) for body in q.BODIES], axis=1)
    return {**lengths, q.BODY_LENGTH.name: body_length}


ANKLE_HEIGHT = Number(
    "ankle_height", "m", "ankle axis above the sole", (0.06, 0.12), at_least=0.0, at_most=1.0
)
FOOT = (
    Number("foot.length", "m", "heel edge to toe edge", (0.18, 0.3), at_least=0.01, at_most=2.0),
    Number("foot.width", "m", "width of the sole", (0.07, 0.14), at_least=0.01, at_most=2.0),
    Number("foot.heel", "m", "ankle axis to heel edge", (0.04, 0.1), at_least=0.0, at_most=1.0),
)

BIPED = Kind(
    "biped",
    slots.FRAME,
    "two legs of six driven joints",
    (
        Number("thigh", "m", "hip axis to knee axis", (0.3, 0.5), at_least=0.02, at_most=3.0),
        Number("shank", "m", "knee axis to ankle axis", (0.3, 0.5), at_least=0.02, at_most=3.0),
        ANKLE_HEIGHT,
        Number(
            "hip_spacing", "m", "between the hip centres", (0.14, 0.3), at_least=0.0, at_most=2.0
        ),
        *FOOT,
    ),
    {"size": Step((), _frame)},
)

_MASS = Number("mass", "kg", "basic mass", (0.2, 20), at_least=0.0)
_BOX = tuple(
    Number(f"box.{axis}", "m", f"edge along {axis} of the box it fills", (0.05, 0.5), above=0.0)
    for axis in "xyz"
)
_CENTRE = tuple(
    Number(f"centre.{axis}", "m", f"centre of mass along {axis} from its joint", (-0.2, 0.3))
    for axis in "xyz"
)


def _solid(values: Values) -> Values:
    centre = np.stack([values[f"centre.{axis}"] for axis in "xyz"], axis=-1)
    sides = np.stack([values[f"box.{axis}"] for axis in "xyz"], axis=-1)
    return {
        q.STRUCTURE_MASS.name: values["mass"],
        q.STRUCTURE_MATURITY.name: values[MATURITY.name],
        q.STRUCTURE_INERTIA.name: inertia.box_parameters(values["mass"], centre, sides),
        q.BODY_WIDTH.name: values["box.y"],
    }


def _not_asked(values: Values) -> Values:
    # how such a body is built is the study's own business, so that nothing can be said against it
    kept = np.ones_like(values[q.LIMB_MOMENT.name])
    return {one.name: kept for one in slots.BODY.steps["duty"]}


STRONG_ENOUGH = Step((q.LIMB_MOMENT,), _not_asked)
"""The second step of every body that is taken for strong enough."""

SOLID = Kind(
    "solid",
    slots.BODY,
    "a body at a fixed place, its mass spread over a box",
    (_MASS, MATURITY, *_CENTRE, *_BOX),
    {"size": Step((), _solid), "duty": STRONG_ENOUGH},
)


def _limb(values: Values) -> Values:
    length = values[q.BODY_LENGTH.name]
    across = np.stack([values["box.x"], values["box.y"], length], axis=-1)
    zero = np.zeros_like(length)
    centre = np.stack([zero, zero, -values["along"] * length], axis=-1)
    return {
        q.STRUCTURE_MASS.name: values["mass"],
        q.STRUCTURE_MATURITY.name: values[MATURITY.name],
        q.STRUCTURE_INERTIA.name: inertia.box_parameters(values["mass"], centre, across),
        q.BODY_WIDTH.name: values["box.y"],
    }


LIMB = Kind(
    "limb",
    slots.BODY,
    "a body that spans from its joint to the next, so that it follows the frame",
    (
        _MASS,
        MATURITY,
        Number("along", "1", "centre of mass on the way to the next joint", (0.3, 0.6)),
        *_BOX[:2],
    ),
    {"size": Step((q.BODY_LENGTH,), _limb), "duty": STRONG_ENOUGH},
)


def _mount(values: Values) -> Values:
    body = values["body"]
    lengths = np.take_along_axis(
        values[q.BODY_LENGTH.name], body.astype(np.int64)[:, None], axis=1
    )[:, 0]
    drop = values["offset.z"] - values["along"] * lengths
    position = np.stack([values["offset.x"], values["offset.y"], drop], axis=-1)
    return {
        q.MOUNT_BODY.name: body,
        q.MOUNT_POSITION.name: position,
        q.MOUNT_AXIS.name: values["axis"],
    }


ON_BODY = Kind(
    "on_body",
    slots.MOUNT,
    "the drive sits on one body of the left leg, mirrored on the right",
    (
        Word("body", q.BODIES, "body that carries the drive"),
        Number("along", "1", "place on the way to the body's next joint", (0.0, 0.5)),
        *(
            Number(f"offset.{axis}", "m", f"centre of the drive along {axis}", (-0.1, 0.1))
            for axis in "xyz"
        ),
        Word("axis", ("x", "y", "z"), "axis of the body that the shaft lies along"),
    ),
    {"size": Step((q.BODY_LENGTH,), _mount)},
)


def _held(values: Values) -> Values:
    mass = values["count"] * values["mass"]
    centre = np.stack([values[f"centre.{axis}"] for axis in "xyz"], axis=-1)
    return {
        q.GROUP_MASS.name: mass,
        q.GROUP_MATURITY.name: values["maturity"],
        q.GROUP_INERTIA.name: inertia.box_parameters(mass, centre, np.zeros_like(centre)),
        q.GROUP_POWER.name: values["count"] * values["power"],
    }


HELD = Kind(
    "held",
    slots.JOINT_GROUP,
    "like joints beside the two legs, such as arms or a neck, that hold still while it walks",
    (
        Number("count", "1", "joints of the group", (1, 20), at_least=0.0, whole=True),
        Number("power", "W", "holding power of each", (0, 5), at_least=0.0),
        Number("mass", "kg", "basic mass of each with what it moves", (0.1, 1.5), at_least=0.0),
        MATURITY,
        *(
            Number(
                f"centre.{axis}",
                "m",
                f"their place along {axis} in the torso, half of them on either side",
                (-0.1, 0.4),
            )
            for axis in "xyz"
        ),
    ),
    {"size": Step((), _held)},
)


def _standby(values: Values) -> Values:
    spare_parts = values[q.COMPONENT_POWER.name].sum(axis=1)
    converted = values["computing"] + values["sensing"] + spare_parts
    sitting = converted / values["converter_efficiency"]
    held = values[q.GROUP_POWER.name].sum(axis=1)
    return {
        q.STANDBY_POWER.name: sitting + values["drives_idle"] + held,
        q.SITTING_POWER.name: sitting,
    }


CONSTANT = Kind(
    "constant",
    slots.STANDBY,
    "loads that are always on",
    (
        Number("computing", "W", "computers", (10, 100), at_least=0.0),
        Number("sensing", "W", "sensors", (2, 40), at_least=0.0),
        Number(
            "converter_efficiency",
            "1",
            "of what feeds computing and sensing from the pack",
            (0.8, 0.97),
            above=0.0,
            at_most=1.0,
        ),
        Number(
            "drives_idle",
            "W",
            "controllers, encoders and brakes of all drives, beside the inverters' own loss",
            (0, 30),
            at_least=0.0,
        ),
    ),
    {"size": Step((q.GROUP_POWER, q.COMPONENT_POWER), _standby)},
)
