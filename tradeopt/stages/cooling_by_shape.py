"""Cooling worked out from shapes: a can in still air or before a fan, its ring and potting."""

from typing import NamedTuple

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Kind, Number, Parameter, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import air, cooling, fan, film
from tradeopt.stages import slots
from tradeopt.stages.maturity import MATURITY

_SHARED: tuple[Parameter, ...] = (
    Number(
        "winding_film",
        "W/(m^2*K)",
        "winding to housing through slot liner and stator, per winding area",
        (60, 300),
        above=0.0,
    ),
    Number(
        "conduction_ring.bore",
        "m",
        "radius of the ring's bore, on the end turns",
        (0.02, 0.05),
        above=0,
    ),
    Number("conduction_ring.build", "m", "from its bore to its rim", (0.002, 0.01), above=0.0),
    Number(
        "conduction_ring.length", "m", "along the shaft; 0 for none", (0.0, 0.01), at_least=0.0
    ),
    Number("conduction_ring.conductivity", "W/(m*K)", "of its material", (100, 240), above=0.0),
    Number(
        "conduction_ring.contact", "W/(m^2*K)", "joint with the end turns", (200, 3000), above=0.0
    ),
    Number("conduction_ring.density", "kg/m^3", "of its material", (2600, 9000), at_least=0.0),
    Number(
        "potting.share",
        "1",
        "of the winding area that potting ties to the housing; 0 for none",
        (0.0, 0.5),
        at_least=0.0,
        at_most=1.0,
    ),
    Number("potting.gap", "m", "from winding to housing", (0.001, 0.004), above=0.0),
    Number("potting.conductivity", "W/(m*K)", "of the potting", (0.4, 2.0), above=0.0),
    Number("potting.density", "kg/m^3", "of the potting", (1000, 2500), at_least=0.0),
    Number("emissivity", "1", "of the housing", (0.1, 0.95), at_least=0.0, at_most=1.0),
    Number(
        "open_area",
        "1",
        "area that the air meets over that of the housing; 1 is a closed stator",
        (1.0, 2.5),
        at_least=1.0,
    ),
    Number(
        "housing_at",
        "K",
        "warmth of the housing that the films are worked out for; lower is the safe side",
        (320, 360),
        above=0.0,
    ),
    Number(
        "structure",
        "W/K",
        "from the housing into a body that stays as cool as the air; 0 for none",
        (0.0, 1.0),
        at_least=0.0,
    ),
    MATURITY,
)

_FAN = (
    Number("fan.free_flow", "m^3/s", "without any resistance", (0.002, 0.01), above=0.0),
    Number("fan.stall_pressure", "Pa", "at sea level, without any flow", (30, 200), above=0.0),
    Number("fan.efficiency", "1", "air power per electric power", (0.1, 0.4), above=0, at_most=1),
    Number(
        "fan.speed",
        "1",
        "share of the speed that the curve is for",
        (0.4, 1.0),
        above=0,
        at_most=1,
    ),
    Number("fan.mass", "kg", "fan and duct", (0.03, 0.2), at_least=0.0),
    Number("channel.area", "m^2", "narrowest cross section", (0.0005, 0.003), above=0.0),
    Number(
        "channel.loss_number",
        "1",
        "pressure lost, in dynamic pressures of that section",
        (1.5, 6.0),
        above=0.0,
    ),
)


class _Can(NamedTuple):
    """The housing and the air about it."""

    film_air: film.Air
    density: Array
    still: Array
    radiated: Array


def _can(values: Values) -> _Can:
    ambient = values[q.AMBIENT_TEMPERATURE.name]
    # a housing that is no warmer than the air gives it nothing; 1 K keeps the laws whole
    warmer = np.maximum(values["housing_at"] - ambient, 1.0)
    mean = ambient + warmer / 2.0
    pressure = values[q.AIR_DENSITY_RATIO.name] * air.SEA_LEVEL_PRESSURE
    about = film.Air(
        pressure / (air.GAS_CONSTANT * mean),
        air.viscosity(mean),
        air.conductivity(mean),
        air.prandtl(mean),
    )
    still = film.still_can(
        values[q.MOTOR_DIAMETER.name],
        values[q.MOTOR_LENGTH.name],
        warmer,
        mean,
        about,
        gravity=values[q.GRAVITY.name],
    )
    radiated = film.radiation(values["emissivity"], ambient + warmer, ambient)
    return _Can(about, pressure / (air.GAS_CONSTANT * ambient), still, radiated)


def _outside(values: Values, can: _Can, convection: Array) -> Array:
    """Return the resistance from the housing to the air and the structure."""
    # inside an open stator surfaces see each other: only the housing itself radiates
    spread = values["open_area"] * convection + can.radiated
    return cooling.path_resistance(values[q.HOUSING_AREA.name], spread, beside=values["structure"])


def _inside(values: Values) -> tuple[Array, Array]:
    """Return the resistance from winding to housing, and the mass of ring and potting."""
    bore, length = values["conduction_ring.bore"], values["conduction_ring.length"]
    rim = bore + values["conduction_ring.build"]
    ring = cooling.ring_conductance(
        bore,
        rim,
        length,
        conductivity=values["conduction_ring.conductivity"],
        contact=values["conduction_ring.contact"],
    )
    potted = values["potting.share"] * values[q.WINDING_AREA.name]
    potting = cooling.layer_conductance(
        potted, values["potting.gap"], values["potting.conductivity"]
    )
    resistance = cooling.path_resistance(
        values[q.WINDING_AREA.name], values["winding_film"], beside=ring + potting
    )
    ring_mass = (
        values["conduction_ring.density"] * np.pi * (np.square(rim) - np.square(bore)) * length
    )
    return resistance, ring_mass + values["potting.density"] * potted * values["potting.gap"]


def _still_air(values: Values) -> Values:
    can = _can(values)
    inner, mass = _inside(values)
    outer = _outside(values, can, can.still)
    return {
        q.COOLING_MASS.name: mass,
        q.COOLING_MATURITY.name: values[MATURITY.name],
        q.COOLING_POWER.name: np.zeros_like(mass),
        q.WINDING_TO_HOUSING.name: inner,
        q.HOUSING_TO_AIR.name: outer,
        q.STILL_HOUSING_TO_AIR.name: outer,
    }


def _fan(values: Values) -> Values:
    can = _can(values)
    inner, mass = _inside(values)
    speed, ratio = values["fan.speed"], values[q.AIR_DENSITY_RATIO.name]
    area = values["channel.area"]
    channel = fan.channel_pressure(area, values["channel.loss_number"], can.density)
    flow = fan.flow(
        values["fan.free_flow"] * speed,
        values["fan.stall_pressure"] * np.square(speed) * ratio,
        channel,
    )
    blown = film.blown_can(values[q.MOTOR_DIAMETER.name], flow / area, can.film_air)
    return {
        q.COOLING_MASS.name: mass + values["fan.mass"],
        q.COOLING_MATURITY.name: values[MATURITY.name],
        q.COOLING_POWER.name: fan.power(flow, channel, values["fan.efficiency"]),
        q.WINDING_TO_HOUSING.name: inner,
        q.HOUSING_TO_AIR.name: _outside(values, can, np.maximum(blown, can.still)),
        q.STILL_HOUSING_TO_AIR.name: _outside(values, can, can.still),
    }


_NEEDS = (
    q.WINDING_AREA,
    q.HOUSING_AREA,
    q.MOTOR_DIAMETER,
    q.MOTOR_LENGTH,
    q.AMBIENT_TEMPERATURE,
    q.AIR_DENSITY_RATIO,
    q.GRAVITY,
)

STILL_CAN = Kind(
    "still_can",
    slots.COOLING,
    "natural convection and radiation, worked out from the motor's size, altitude and a hot day",
    _SHARED,
    {"size": Step(_NEEDS, _still_air)},
)

BLOWN_CAN = Kind(
    "blown_can",
    slots.COOLING,
    "a fan by its curve, against a channel through or around the stator; radiation beside it",
    (*_SHARED, *_FAN),
    {"size": Step(_NEEDS, _fan)},
)
