"""Gaits that were recorded, on this robot or on somebody else."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.chain.kind import Column, Kind, Number, Recording, Step
from tradeopt.chain.stage import Values
from tradeopt.physics.walking.pattern import STRAIGHT_KNEE_GUARD
from tradeopt.physics.walking.periodic import derivatives, low_pass
from tradeopt.stages import slots
from tradeopt.stages.alike import alike_rows

RECORDED_COLUMNS = (
    *(Column(f"{joint}_angle", "rad", "joint angle", (-1, 1)) for joint in q.JOINTS),
    *(Column(f"{joint}_torque", "N*m", "joint torque", (-100, 100)) for joint in q.JOINTS),
)


def _recorded(values: Values) -> Values:
    harmonics = values["harmonics"]
    shape = (len(harmonics), len(q.JOINTS), q.PHASES)
    angle, speed, acceleration, torque = (np.empty(shape) for _ in range(4))
    angles, torques = (
        np.stack([values[f"stride.{joint}_{what}"] for joint in q.JOINTS], axis=1)
        for what in ("angle", "torque")
    )
    for first, alike in alike_rows(np.stack([harmonics, values["stride_time"]], axis=1)):
        kept = int(harmonics[first])
        angle[alike] = low_pass(angles[alike], kept)
        torque[alike] = low_pass(torques[alike], kept)
        speed[alike], acceleration[alike] = derivatives(
            angle[alike], float(values["stride_time"][first])
        )
    leg = values[q.THIGH_LENGTH.name] + values[q.SHANK_LENGTH.name] + values[q.ANKLE_HEIGHT.name]
    size = values[q.TOTAL_MASS.name] * leg / (values["mass"] * values["leg_length"])
    knee = q.JOINTS.index("knee")
    return {
        q.STRIDE_TIME.name: values["stride_time"],
        q.WALKING_SPEED.name: values["speed"],
        q.JOINT_ANGLE.name: angle,
        q.JOINT_SPEED.name: speed,
        q.JOINT_ACCELERATION.name: acceleration,
        q.JOINT_TORQUE.name: torque * size[:, None, None],
        # whoever was recorded did reach the ground and stay on it
        q.REACH_MARGIN.name: np.ones_like(size),
        q.GROUND_LOAD_MARGIN.name: np.ones_like(size),
        q.KNEE_FLEXION_MARGIN.name: -angle[:, knee].max(axis=-1) - STRAIGHT_KNEE_GUARD,
    }


RECORDED = Kind(
    "recorded",
    slots.GAIT,
    "a recorded stride; its torques grow with weight and leg length, whatever the layout",
    (
        Recording(
            "stride", RECORDED_COLUMNS, "angles and torques of the left leg over one stride"
        ),
        Number("speed", "m/s", "mean forward speed", (0.2, 1.0), above=0.0),
        Number("stride_time", "s", "time of the stride", (0.8, 1.6), above=0.0),
        Number("mass", "kg", "mass of what was recorded", (40, 100), above=0.0),
        Number(
            "leg_length", "m", "hip centre to sole of what was recorded", (0.7, 1.0), above=0.0
        ),
        Number(
            "harmonics", "1", "harmonics kept of the recording", (8, 16), at_least=1.0, whole=True
        ),
    ),
    {"duty": Step((q.THIGH_LENGTH, q.SHANK_LENGTH, q.ANKLE_HEIGHT, q.TOTAL_MASS), _recorded)},
)
