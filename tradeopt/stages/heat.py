"""Winding and housing temperatures: each gait for ever, or the legs of the mission in order."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Kind, Number, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import heat, motor, warming
from tradeopt.stages import motor_slots

_REFERENCE = np.array(motor.COPPER_REFERENCE_TEMPERATURE)
_COEFFICIENT = np.array(motor.COPPER_COEFFICIENT)


def _for_ever(values: Values) -> heat.SteadyTemperatures:
    """Return where each gait would settle, by joint and gait."""
    return heat.steady_temperatures(
        values[q.COLD_COPPER_LOSS.name],
        values[q.IRON_LOSS.name].mean(axis=-1),
        winding_to_housing=values[q.WINDING_TO_HOUSING.name][..., None],
        housing_to_ambient=values[q.HOUSING_TO_AIR.name][..., None],
        ambient=values[q.AMBIENT_TEMPERATURE.name][:, None, None],
        reference_temperature=_REFERENCE,
        coefficient=_COEFFICIENT,
    )


def _copper(values: Values, temperature: Array) -> Values:
    """Return what the copper resists and loses at a temperature, by joint and gait."""
    cold = values[q.PHASE_RESISTANCE.name][..., None]
    hot = motor.resistance_at(
        cold, temperature, reference_temperature=_REFERENCE, coefficient=_COEFFICIENT
    )
    return {
        q.HOT_RESISTANCE.name: hot,
        q.COPPER_LOSS.name: values[q.COLD_COPPER_LOSS.name] * hot / cold,
    }


def _margins(values: Values, winding: Array, housing: Array) -> Values:
    """Hold the warmest of winding and housing, over the last axis, to what they stand."""
    return {
        q.WINDING_HEAT_MARGIN.name: heat.range_left(
            winding.max(axis=-1), values[q.WINDING_LIMIT.name]
        ),
        q.MAGNET_HEAT_MARGIN.name: heat.range_left(
            housing.max(axis=-1), values[q.MAGNET_LIMIT.name]
        ),
    }


def _two_node(values: Values) -> Values:
    steady = _for_ever(values)
    gaits = values[q.LEG_GAIT.name]
    air = values[q.AMBIENT_TEMPERATURE.name][:, None, None]
    winding, housing = (
        air + np.einsum("djg,dlg->djl", warm - air, gaits)
        for warm in (steady.winding, steady.housing)
    )
    return {
        q.WINDING_TEMPERATURE.name: steady.winding,
        q.HOUSING_TEMPERATURE.name: steady.housing,
        q.RUNAWAY_MARGIN.name: steady.runaway_margin,
        q.MISSION_WINDING_TEMPERATURE.name: winding,
        q.MISSION_HOUSING_TEMPERATURE.name: housing,
        **_margins(values, steady.winding, steady.housing),
        **_copper(values, steady.winding),
    }


def _walked(values: Values) -> warming.LegRises:
    """Walk the rounds of the mission from a cold start; rises by joint and leg."""
    gaits = values[q.LEG_GAIT.name]
    cold = np.einsum("djg,dlg->djl", values[q.COLD_COPPER_LOSS.name], gaits)
    iron = np.einsum("djg,dlg->djl", values[q.IRON_LOSS.name].mean(axis=-1), gaits)
    air = values[q.AMBIENT_TEMPERATURE.name][:, None, None]
    sits = (gaits.sum(axis=2) == 0.0)[:, None]
    inner, outer, still, winding, housing = (
        values[one.name][..., None]
        for one in (
            q.WINDING_TO_HOUSING,
            q.HOUSING_TO_AIR,
            q.STILL_HOUSING_TO_AIR,
            q.WINDING_CAPACITY,
            q.HOUSING_CAPACITY,
        )
    )
    return warming.rounds_from_cold(
        values[q.LEG_TIME.name][:, None],
        warming.Load(
            copper_loss=cold * (1.0 + _COEFFICIENT * (air - _REFERENCE)),
            copper_growth=cold * _COEFFICIENT,
            iron_loss=iron,
        ),
        warming.Network(inner, np.where(sits, still, outer), winding, housing),
        rounds=values["rounds"][:, None],
    )


def _over_mission(values: Values) -> Values:
    steady, rises = _for_ever(values), _walked(values)
    air = values[q.AMBIENT_TEMPERATURE.name][:, None, None]
    winding, housing, mean = (air + heat.bounded_rise(rise) for rise in rises)
    in_gait = values[q.LEG_TIME.name][..., None] * values[q.LEG_GAIT.name]
    time = in_gait.sum(axis=1)[:, None]
    walked = time > 0.0
    share = np.where(walked, time, 1.0)
    met = np.einsum("djl,dlg->djg", mean, in_gait) / share
    # copper that resists ever more is a matter of the whole round, not of one hard leg in it
    whole = values[q.LEG_TIME.name].sum(axis=1)[:, None, None]
    margin = 1.0 - (time * (1.0 - steady.runaway_margin) / whole).sum(axis=2, keepdims=True)
    return {
        q.WINDING_TEMPERATURE.name: steady.winding,
        q.HOUSING_TEMPERATURE.name: steady.housing,
        q.RUNAWAY_MARGIN.name: np.where(walked, margin, steady.runaway_margin),
        q.MISSION_WINDING_TEMPERATURE.name: winding,
        q.MISSION_HOUSING_TEMPERATURE.name: housing,
        **_margins(values, winding, housing),
        **_copper(values, np.where(walked, met, steady.winding)),
    }


_NEEDS = (
    q.COLD_COPPER_LOSS,
    q.IRON_LOSS,
    q.WINDING_TO_HOUSING,
    q.HOUSING_TO_AIR,
    q.AMBIENT_TEMPERATURE,
    q.PHASE_RESISTANCE,
    q.WINDING_LIMIT,
    q.MAGNET_LIMIT,
    q.LEG_GAIT,
)

TWO_NODE = Kind(
    "two_node",
    motor_slots.HEAT,
    "winding and housing, each gait as if it went on for ever; the safe side of every mission",
    (),
    {"duty": Step(_NEEDS, _two_node)},
)

OVER_MISSION = Kind(
    "over_mission",
    motor_slots.HEAT,
    "winding and housing over the legs of the mission, started as cold as the air",
    (
        Number(
            "rounds",
            "1",
            "rounds walked one after another before all has cooled; the last is the warmest",
            (1, 20),
            at_least=1.0,
            whole=True,
        ),
    ),
    {
        "duty": Step(
            (
                *_NEEDS,
                q.STILL_HOUSING_TO_AIR,
                q.WINDING_CAPACITY,
                q.HOUSING_CAPACITY,
                q.LEG_TIME,
            ),
            _over_mission,
        )
    },
)
