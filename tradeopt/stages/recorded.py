"""Gaits that were recorded, on this robot or on somebody else.

Recorded torques grow with weight and leg length and know nothing of the layout. Recorded motion is
followed by this robot's own bodies, so that its torques follow the masses and the frame.
"""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Column, File, Kind, Number, Step
from tradeopt.chain.stage import Values
from tradeopt.physics.walking.impact import collision_loss
from tradeopt.physics.walking.periodic import derivatives, low_pass
from tradeopt.stages import slots
from tradeopt.stages.alike import alike_rows

_PHASE = ("phase",)
_TURN = (-0.2, 0.2)

ANGLES = tuple(
    Column(f"{joint}_angle", "rad", "joint angle", (-1, 1), _PHASE) for joint in q.JOINTS
)
TORQUES = tuple(
    Column(f"{joint}_torque", "N*m", "joint torque", (-100, 100), _PHASE) for joint in q.JOINTS
)
FOOT_LOAD = Column("foot_load", "N", "normal force of the ground on the foot", (0, 900), _PHASE)
ATTITUDE = tuple(
    Column(f"torso_{turn}", "rad", f"{turn} of the torso against the vertical", _TURN, _PHASE)
    for turn in ("roll", "pitch", "yaw")
)
POSITION = tuple(
    Column(f"torso_{axis}", "m", f"mid-point of the hip centres along {axis}", _TURN, _PHASE)
    for axis in "xyz"
)

STRIDE_COLUMNS = (*ANGLES, *TORQUES, FOOT_LOAD, *ATTITUDE, *POSITION)
"""Every column that the file of a recorded gait may have beside its time or phase."""

LEG_COLUMNS = frozenset(one.name for one in (*ANGLES, *TORQUES, FOOT_LOAD))
"""Columns that each leg has of its own."""

MIRRORED_COLUMNS = frozenset(
    f"{joint}_{what}"
    for joint in ("hip_yaw", "hip_roll", "ankle_roll")
    for what in ("angle", "torque")
)
"""Columns of the right leg that have the other sign than the left leg's in a mirror."""

STATISTICS = (
    Column("strides", "1", "strides it is the mean of", (1, 50)),
    Column("spread", "rad", "standard deviation of each angle", (0.0, 0.05), ("joint",)),
    Column("drift", "rad", "what was taken off to close the stride", (-0.02, 0.02), ("joint",)),
)
"""What is known of the strides as a whole; no columns of the file."""

STEPS = 2
"""Steps of a stride."""

STRIDE = "stride"
LOAD = Number("payload.mass", "kg", "load that it carries", (0, 15), at_least=0.0)
STRIDE_TIME = Number("stride_time", "s", "time of the stride, as recorded", (0.8, 1.6), above=0.0)
HARMONICS = Number(
    "harmonics",
    "1",
    "harmonics kept of the joints",
    (8, 16),
    at_least=1.0,
    at_most=q.PHASES / 2,
    whole=True,
)
SPREAD_ALLOWED = Number(
    "spread_allowed", "rad", "accepted standard deviation of an angle", (0.02, 0.1), above=0.0
)


def stacked(values: Values, columns: tuple[Column, ...]) -> Array:
    """Return columns of the recording as one array, shape (row, column, phase)."""
    return np.stack([values[f"{STRIDE}.{one.name}"] for one in columns], axis=1)


def _not_recorded(values: Values) -> Values:
    rows = len(next(iter(values.values())))
    none, by_joint = np.zeros(rows), np.zeros((rows, len(q.JOINTS)))
    return {
        q.RECORDED_STRIDES.name: none,
        q.STRIDE_SPREAD.name: by_joint,
        q.STRIDE_DRIFT.name: by_joint,
        q.STRIDE_SPREAD_MARGIN.name: by_joint + 1.0,
        q.SCALED_TORQUE.name: none,
    }


NOT_RECORDED = Step((), _not_recorded)
"""The first step of every gait that is laid out and not recorded."""


def known_of_strides(values: Values) -> Values:
    """Return what is known of the recorded strides as a whole."""
    spread = values[f"{STRIDE}.spread"]
    return {
        q.RECORDED_STRIDES.name: values[f"{STRIDE}.strides"],
        q.STRIDE_SPREAD.name: spread,
        q.STRIDE_DRIFT.name: values[f"{STRIDE}.drift"],
        q.STRIDE_SPREAD_MARGIN.name: 1.0 - spread / values[SPREAD_ALLOWED.name][:, None],
        q.SCALED_TORQUE.name: np.zeros(len(spread)),
    }


def _scaled_strides(values: Values) -> Values:
    known = known_of_strides(values)
    return {**known, q.SCALED_TORQUE.name: np.ones_like(known[q.SCALED_TORQUE.name])}


def _recorded(values: Values) -> Values:
    harmonics = values[HARMONICS.name]
    shape = (len(harmonics), len(q.JOINTS), q.PHASES)
    angle, speed, acceleration, torque = (np.empty(shape) for _ in range(4))
    angles, torques = stacked(values, ANGLES), stacked(values, TORQUES)
    for first, alike in alike_rows(np.stack([harmonics, values[STRIDE_TIME.name]], axis=1)):
        kept = int(harmonics[first])
        angle[alike] = low_pass(angles[alike], kept)
        torque[alike] = low_pass(torques[alike], kept)
        speed[alike], acceleration[alike] = derivatives(
            angle[alike], float(values[STRIDE_TIME.name][first])
        )
    leg = values[q.THIGH_LENGTH.name] + values[q.SHANK_LENGTH.name] + values[q.ANKLE_HEIGHT.name]
    carried = values[q.TOTAL_MASS.name] + values[LOAD.name]
    size = carried * leg / (values["mass"] * values["leg_length"])
    step = values["speed"] * values[STRIDE_TIME.name] / STEPS
    return {
        q.STRIDE_TIME.name: values[STRIDE_TIME.name],
        q.WALKING_SPEED.name: values["speed"],
        q.JOINT_ANGLE.name: angle,
        q.JOINT_SPEED.name: speed,
        q.JOINT_ACCELERATION.name: acceleration,
        q.JOINT_TORQUE.name: torque * size[:, None, None],
        # whoever was recorded did reach the ground, stay on it and not slip, however straight
        # the knee
        q.REACH_MARGIN.name: np.ones_like(size),
        q.KNEE_FLEXION_MARGIN.name: np.ones_like(size),
        q.GROUND_LOAD_MARGIN.name: np.ones_like(size),
        q.BALANCE_MARGIN.name: np.ones_like(size),
        q.STEP_CLEARANCE_MARGIN.name: np.ones_like(size),
        q.FOOT_LOAD.name: np.zeros((len(size), q.PHASES)),
        q.FRICTION_USE.name: np.zeros_like(size),
        q.SOLE_ROOM.name: values[q.FOOT_WIDTH.name] / 2.0,
        q.TOUCHDOWN_ENERGY.name: collision_loss(carried, values["speed"], step, leg),
    }


RECORDED = Kind(
    "recorded",
    slots.GAIT,
    "recorded angles and torques; torques grow with weight and leg length, whatever the layout",
    (
        File(
            STRIDE,
            "stride",
            (*ANGLES, *TORQUES, *STATISTICS),
            "angles and torques of one leg or both, over one stride or many",
        ),
        Number("speed", "m/s", "mean forward speed", (0.2, 1.0), above=0.0),
        STRIDE_TIME,
        Number("mass", "kg", "mass of what was recorded", (40, 100), above=0.0),
        Number(
            "leg_length", "m", "hip centre to sole of what was recorded", (0.7, 1.0), above=0.0
        ),
        HARMONICS,
        SPREAD_ALLOWED,
        LOAD,
    ),
    {
        "size": Step((), _scaled_strides),
        "duty": Step((*q.FRAME_LENGTHS[:3], q.FOOT_WIDTH, q.TOTAL_MASS), _recorded),
    },
)
