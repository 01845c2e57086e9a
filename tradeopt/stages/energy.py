"""Where the energy of one charge goes: by leg of the mission, by joint, by loss, to what is on."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.chain.kind import Kind, Step
from tradeopt.chain.stage import Values
from tradeopt.stages import slots


def _by_use(values: Values) -> Values:
    leg_time, leg_gait = values[q.LEG_RUN_TIME.name], values[q.LEG_GAIT.name]
    sitting_share = 1.0 - leg_gait.sum(axis=2)
    mean_power, sitting_power = values[q.MEAN_POWER.name], values[q.SITTING_POWER.name]
    leg_power = np.einsum("dlg,dg->dl", leg_gait, mean_power)
    leg_power = leg_power + sitting_share * sitting_power[:, None]
    in_gait = np.einsum("dl,dlg->dg", leg_time, leg_gait)
    walking, sitting = in_gait.sum(axis=1), (leg_time * sitting_share).sum(axis=1)
    losses = {
        q.TRANSMISSION_ENERGY.name: values[q.TRANSMISSION_LOSS.name],
        q.COPPER_ENERGY.name: values[q.COPPER_LOSS.name],
        q.IRON_ENERGY.name: values[q.IRON_LOSS.name].mean(axis=-1),
        q.DRIVE_ENERGY.name: values[q.DRIVE_LOSS.name],
    }
    work = (values[q.DRIVE_TORQUE.name] * values[q.JOINT_SPEED.name]).mean(axis=-1)
    by_joint = {q.JOINT_ENERGY.name: work, **losses}
    standby, cooling = values[q.STANDBY_POWER.name], values[q.COOLING_POWER.name]
    return {
        q.LEG_ENERGY.name: leg_time * leg_power,
        **{
            name: q.LEGS * np.einsum("djg,dg->dj", power, in_gait)
            for name, power in by_joint.items()
        },
        q.COOLING_ENERGY.name: q.LEGS * cooling * walking[:, None],
        q.STANDBY_ENERGY.name: standby * walking + sitting_power * sitting,
        q.REGENERATION_ENERGY.name: (values[q.REGENERATION_LOSS.name] * in_gait).sum(axis=1),
    }


BY_USE = Kind(
    "by_use",
    slots.ENERGY,
    "what the pack gives on one charge, leg by leg, and what becomes of it",
    (),
    {
        "duty": Step(
            (
                q.LEG_RUN_TIME,
                q.LEG_GAIT,
                q.MEAN_POWER,
                q.SITTING_POWER,
                q.STANDBY_POWER,
                q.COOLING_POWER,
                q.DRIVE_TORQUE,
                q.JOINT_SPEED,
                q.REGENERATION_LOSS,
                q.TRANSMISSION_LOSS,
                q.COPPER_LOSS,
                q.IRON_LOSS,
                q.DRIVE_LOSS,
            ),
            _by_use,
        )
    },
)
