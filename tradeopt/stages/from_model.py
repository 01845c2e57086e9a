"""What is taken from a model file of the robot: frame, bodies and end stops of its joints."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Column, File, Kind, Label, Number, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import inertia
from tradeopt.stages import slots
from tradeopt.stages.maturity import MATURITY
from tradeopt.stages.robot import ANKLE_HEIGHT, FOOT, STRONG_ENOUGH

_COLUMNS = {
    "thigh": (q.MODEL_THIGH_LENGTH, ()),
    "shank": (q.MODEL_SHANK_LENGTH, ()),
    "hip_spacing": (q.MODEL_HIP_SPACING, ()),
    "inertia": (q.MODEL_INERTIA, ("body", "inertial")),
    "lower": (q.MODEL_LOWER_ANGLE, ("joint",)),
    "upper": (q.MODEL_UPPER_ANGLE, ("joint",)),
}


def _urdf(values: Values) -> Values:
    return {quantity.name: values[f"file.{name}"] for name, (quantity, _) in _COLUMNS.items()}


URDF = Kind(
    "urdf",
    slots.MODEL,
    "a model file in URDF, of which frame, bodies and end stops may be taken",
    (
        File(
            "file",
            "urdf",
            tuple(
                Column(name, one.unit, one.meaning, one.typical, axes)
                for name, (one, axes) in _COLUMNS.items()
            ),
            "the robot as its model file has it",
        ),
        *(Label(f"joints.{joint}", f"what the file calls the left {joint}") for joint in q.JOINTS),
    ),
    {"size": Step((), _urdf)},
)

_SOLE = {
    "ankle_height": q.ANKLE_HEIGHT,
    "foot.length": q.FOOT_LENGTH,
    "foot.width": q.FOOT_WIDTH,
    "foot.heel": q.HEEL_LENGTH,
}
_LENGTHS = {
    q.THIGH_LENGTH: q.MODEL_THIGH_LENGTH,
    q.SHANK_LENGTH: q.MODEL_SHANK_LENGTH,
    q.HIP_SPACING: q.MODEL_HIP_SPACING,
}


def _frame(values: Values) -> Values:
    lengths = {one.name: values[modelled.name] for one, modelled in _LENGTHS.items()}
    soles = {one.name: values[name] for name, one in _SOLE.items()}
    body_length = np.zeros((len(values["foot.length"]), len(q.BODIES)))
    body_length[:, q.BODIES.index("thigh")] = lengths[q.THIGH_LENGTH.name]
    body_length[:, q.BODIES.index("shank")] = lengths[q.SHANK_LENGTH.name]
    return {**lengths, **soles, q.BODY_LENGTH.name: body_length}


FRAME = Kind(
    "from_model",
    slots.FRAME,
    "lengths of the model file; it has no soles, so those are given here",
    (ANKLE_HEIGHT, *FOOT),
    {"size": Step(tuple(_LENGTHS.values()), _frame)},
)

_WIDTH = Number(
    "width", "m", "from left to right, of which the file says nothing", (0.04, 0.15), above=0.0
)


def _structure(values: Values, parameters: Array) -> Values:
    return {
        q.STRUCTURE_MASS.name: parameters[:, 0],
        q.STRUCTURE_MATURITY.name: values[MATURITY.name],
        q.STRUCTURE_INERTIA.name: parameters,
        q.BODY_WIDTH.name: values[_WIDTH.name],
    }


def _body(values: Values) -> Values:
    return _structure(values, values[q.MODEL_INERTIA.name])


BODY = Kind(
    "from_model",
    slots.BODY,
    "the body of the model file, whole",
    (MATURITY, _WIDTH),
    {"size": Step((q.MODEL_INERTIA,), _body), "duty": STRONG_ENOUGH},
)


def _lighter_body(values: Values) -> Values:
    centre = np.stack([values[f"without.{axis}"] for axis in "xyz"], axis=-1)
    point = inertia.box_parameters(values["without.mass"], centre, np.zeros(3))
    left = values[q.MODEL_INERTIA.name] - point
    # nothing can weigh less than nothing
    return _structure(values, np.where(left[:, :1] >= 0.0, left, np.nan))


LIGHTER_BODY = Kind(
    "from_model_without",
    slots.BODY,
    "the body of the model file less what this study adds itself, such as drives or battery",
    (
        MATURITY,
        _WIDTH,
        Number("without.mass", "kg", "mass to take off, as a point", (0.05, 0.1), at_least=0.0),
        *(
            Number(f"without.{axis}", "m", f"its place along {axis} from the joint", (-0.02, 0.02))
            for axis in "xyz"
        ),
    ),
    {"size": Step((q.MODEL_INERTIA,), _lighter_body), "duty": STRONG_ENOUGH},
)


def _range_margin(angle: Array, lower: Array, upper: Array) -> Values:
    highest, lowest = angle.max(axis=(1, 2)), angle.min(axis=(1, 2))
    left = np.minimum(lowest - lower, upper - highest)
    # a joint without an end stop has all of its range left
    share = np.divide(left, (upper - lower) / 2, out=np.ones_like(left), where=np.isfinite(left))
    return {q.JOINT_RANGE_MARGIN.name: share}


def _no_stops(values: Values) -> Values:
    return {q.JOINT_RANGE_MARGIN.name: np.ones(len(values[q.JOINT_ANGLE.name]))}


NO_STOPS = Kind(
    "none",
    slots.STOPS,
    "the joint turns as far as the gait asks",
    (),
    {"duty": Step((q.JOINT_ANGLE,), _no_stops)},
)


def _fixed_stops(values: Values) -> Values:
    return _range_margin(values[q.JOINT_ANGLE.name], values["lower"], values["upper"])


FIXED_STOPS = Kind(
    "fixed",
    slots.STOPS,
    "end stops at given angles",
    (
        Number("lower", "rad", "lower end; a bent knee is negative", (-2.5, -1.0)),
        Number("upper", "rad", "upper end", (1.0, 2.0)),
    ),
    {"duty": Step((q.JOINT_ANGLE,), _fixed_stops)},
)


def _model_stops(values: Values) -> Values:
    return _range_margin(
        values[q.JOINT_ANGLE.name],
        values[q.MODEL_LOWER_ANGLE.name],
        values[q.MODEL_UPPER_ANGLE.name],
    )


STOPS = Kind(
    "from_model",
    slots.STOPS,
    "end stops of the model file",
    (),
    {
        "duty": Step(
            (q.JOINT_ANGLE, q.MODEL_LOWER_ANGLE, q.MODEL_UPPER_ANGLE),
            _model_stops,
        )
    },
)
