"""Winding and housing temperatures, each gait taken as if it went on for ever."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.chain.kind import Kind, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import heat, motor
from tradeopt.stages import slots

_REFERENCE = np.array(motor.COPPER_REFERENCE_TEMPERATURE)
_COEFFICIENT = np.array(motor.COPPER_COEFFICIENT)


def _two_node(values: Values) -> Values:
    cold_loss = values[q.COLD_COPPER_LOSS.name]
    steady = heat.steady_temperatures(
        cold_loss,
        values[q.IRON_LOSS.name].mean(axis=-1),
        winding_to_housing=values[q.WINDING_TO_HOUSING.name][..., None],
        housing_to_ambient=values[q.HOUSING_TO_AIR.name][..., None],
        ambient=values[q.AMBIENT_TEMPERATURE.name][:, None, None],
        reference_temperature=_REFERENCE,
        coefficient=_COEFFICIENT,
    )
    cold_resistance = values[q.PHASE_RESISTANCE.name][..., None]
    hot_resistance = motor.resistance_at(
        cold_resistance,
        steady.winding,
        reference_temperature=_REFERENCE,
        coefficient=_COEFFICIENT,
    )
    return {
        q.WINDING_TEMPERATURE.name: steady.winding,
        q.HOUSING_TEMPERATURE.name: steady.housing,
        q.RUNAWAY_MARGIN.name: steady.runaway_margin,
        q.HOT_RESISTANCE.name: hot_resistance,
        q.COPPER_LOSS.name: cold_loss * hot_resistance / cold_resistance,
    }


TWO_NODE = Kind(
    "two_node",
    slots.HEAT,
    "winding and housing, copper that resists more as it warms",
    (),
    {
        "duty": Step(
            (
                q.COLD_COPPER_LOSS,
                q.IRON_LOSS,
                q.WINDING_TO_HOUSING,
                q.HOUSING_TO_AIR,
                q.AMBIENT_TEMPERATURE,
                q.PHASE_RESISTANCE,
            ),
            _two_node,
        )
    },
)
