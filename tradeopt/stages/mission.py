"""The mission: shares of time, and what one charge gives."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.chain.kind import Kind, Number, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import mission
from tradeopt.stages import slots

_LEGS = 2


def _share(values: Values) -> Values:
    return {q.GAIT_SHARE.name: values["share"]}


TIME = Kind(
    "time",
    slots.SHARE,
    "share of the mission's time",
    (Number("share", "1", "share of the time", (0.0, 1.0), at_least=0.0, at_most=1.0),),
    {"size": Step((), _share)},
)


def _one_charge(values: Values) -> Values:
    share = values[q.GAIT_SHARE.name]
    speed = mission.mean_over_shares(values[q.WALKING_SPEED.name], share)
    power = mission.mean_over_shares(values[q.MEAN_POWER.name], share)
    joint_power = values[q.JOINT_TORQUE.name] * values[q.JOINT_SPEED.name]
    work_rate = _LEGS * np.maximum(joint_power, 0.0).mean(axis=-1).sum(axis=1)
    body = {"mass": values[q.TOTAL_MASS.name], "gravity": values[q.GRAVITY.name], "speed": speed}
    return {
        q.ENDURANCE.name: values[q.RUN_TIME.name],
        q.RANGE.name: mission.range_on_charge(
            values[q.RUN_TIME.name], values[q.WALKING_SPEED.name], share
        ),
        q.COST_OF_TRANSPORT.name: mission.cost_of_transport(power, **body),
        q.MECHANICAL_COST_OF_TRANSPORT.name: mission.cost_of_transport(
            mission.mean_over_shares(work_rate, share), **body
        ),
    }


ONE_CHARGE = Kind(
    "one_charge",
    slots.RANGE,
    "the mission's mix, again and again until the pack is down to its reserve",
    (),
    {
        "duty": Step(
            (
                q.RUN_TIME,
                q.GAIT_SHARE,
                q.WALKING_SPEED,
                q.MEAN_POWER,
                q.JOINT_TORQUE,
                q.JOINT_SPEED,
                q.TOTAL_MASS,
                q.GRAVITY,
            ),
            _one_charge,
        )
    },
)
