"""The mission: legs in order, again and again, and what one charge gives."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Entry, Kind, Number, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import mission
from tradeopt.stages import slots

_LEGS_OF_THE_ROBOT = 2
_STILL = 1e-9
"""Joint speed [rad/s] below which a gait holds still, for its strides are no cycles then."""

_GAIT = Entry("gait", "gait", "gait of the leg")
_TIME = Number("time", "s", "time of the leg", (60, 3600), above=0.0)


def _in_gait(values: Values) -> Array:
    gaits = values[q.WALKING_SPEED.name].shape[1]
    picked: Array = (values["gait"][:, None] == np.arange(gaits)).astype(np.float64)
    return picked


def _over_distance(values: Values) -> Values:
    picked = _in_gait(values)
    speed = (picked * values[q.WALKING_SPEED.name]).sum(axis=1)
    walks = speed > 0.0
    return {
        q.LEG_GAIT.name: picked,
        q.LEG_TIME.name: np.where(walks, values["distance"] / np.where(walks, speed, 1.0), np.nan),
        q.LEG_DISTANCE.name: values["distance"],
        q.LEG_PROGRESS_MARGIN.name: np.where(walks, 1.0, -1.0),
    }


def _over_time(values: Values) -> Values:
    picked = _in_gait(values)
    speed = (picked * values[q.WALKING_SPEED.name]).sum(axis=1)
    return {
        q.LEG_GAIT.name: picked,
        q.LEG_TIME.name: values["time"],
        q.LEG_DISTANCE.name: speed * values["time"],
        q.LEG_PROGRESS_MARGIN.name: np.ones_like(speed),
    }


def _sitting(values: Values) -> Values:
    nothing = np.zeros_like(values["time"])
    return {
        q.LEG_GAIT.name: np.zeros_like(values[q.WALKING_SPEED.name]),
        q.LEG_TIME.name: values["time"],
        q.LEG_DISTANCE.name: nothing,
        q.LEG_PROGRESS_MARGIN.name: nothing + 1.0,
    }


DISTANCE = Kind(
    "distance",
    slots.LEG,
    "a gait over a distance",
    (_GAIT, Number("distance", "m", "distance of the leg", (100, 3000), above=0.0)),
    {"duty": Step((q.WALKING_SPEED,), _over_distance)},
)
TIME = Kind(
    "time",
    slots.LEG,
    "a gait, or standing, for a time",
    (_GAIT, _TIME),
    {"duty": Step((q.WALKING_SPEED,), _over_time)},
)
SIT = Kind(
    "sit",
    slots.LEG,
    "sitting or hanging for a time: motors off, computing and sensing on",
    (_TIME,),
    {"duty": Step((q.WALKING_SPEED,), _sitting)},
)


def _once(values: Values) -> Values:
    time = values[q.LEG_TIME.name]
    whole = time.sum(axis=1)
    in_gait = np.einsum("dl,dlg->dg", time, values[q.LEG_GAIT.name])
    moving = np.abs(values[q.JOINT_SPEED.name]).max(axis=(1, 3)) > _STILL
    strides = np.where(moving, in_gait / values[q.STRIDE_TIME.name], 0.0)
    return {
        q.GAIT_SHARE.name: in_gait / whole[:, None],
        q.ROUND_TIME.name: whole,
        q.ROUND_DISTANCE.name: values[q.LEG_DISTANCE.name].sum(axis=1),
        q.ROUND_STRIDES.name: strides.sum(axis=1),
    }


IN_ORDER = Kind(
    "in_order",
    slots.ROUND,
    "every leg of the mission once",
    (),
    {
        "duty": Step(
            (q.LEG_GAIT, q.LEG_TIME, q.LEG_DISTANCE, q.STRIDE_TIME, q.JOINT_SPEED),
            _once,
        )
    },
)


def _one_charge(values: Values) -> Values:
    share, leg_time = values[q.GAIT_SHARE.name], values[q.LEG_TIME.name]
    round_time = values[q.ROUND_TIME.name]
    power = mission.mean_over_shares(values[q.MEAN_POWER.name], share)
    power = power + (1.0 - share.sum(axis=1)) * values[q.SITTING_POWER.name]
    joint_power = values[q.JOINT_TORQUE.name] * values[q.JOINT_SPEED.name]
    work_rate = _LEGS_OF_THE_ROBOT * np.maximum(joint_power, 0.0).mean(axis=-1).sum(axis=1)
    run_time = values[q.LEG_RUN_TIME.name]
    body = {
        "mass": values[q.TOTAL_MASS.name],
        "gravity": values[q.GRAVITY.name],
        "speed": values[q.ROUND_DISTANCE.name] / round_time,
    }
    return {
        q.ENDURANCE.name: values[q.RUN_TIME.name],
        q.RANGE.name: mission.range_on_charge(run_time, values[q.LEG_DISTANCE.name] / leg_time),
        q.COMPLETED_ROUNDS.name: mission.completed_rounds(run_time, leg_time),
        q.COST_OF_TRANSPORT.name: mission.cost_of_transport(power, **body),
        q.MECHANICAL_COST_OF_TRANSPORT.name: mission.cost_of_transport(
            mission.mean_over_shares(work_rate, share), **body
        ),
    }


ONE_CHARGE = Kind(
    "one_charge",
    slots.RANGE,
    "the mission's legs in order, again and again until the pack is down to its reserve",
    (),
    {
        "duty": Step(
            (
                q.RUN_TIME,
                q.LEG_RUN_TIME,
                q.LEG_TIME,
                q.LEG_DISTANCE,
                q.ROUND_TIME,
                q.ROUND_DISTANCE,
                q.GAIT_SHARE,
                q.MEAN_POWER,
                q.SITTING_POWER,
                q.JOINT_TORQUE,
                q.JOINT_SPEED,
                q.TOTAL_MASS,
                q.GRAVITY,
            ),
            _one_charge,
        )
    },
)
