"""Cooling: how well the winding's heat reaches the housing and the housing's the air."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Kind, Number, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import cooling
from tradeopt.stages import slots
from tradeopt.stages.maturity import MATURITY

_INSIDE = (
    Number(
        "winding_film",
        "W/(m^2*K)",
        "winding to housing through slot liner and stator, per winding area",
        (60, 300),
        above=0.0,
    ),
    Number(
        "ring",
        "W/K",
        "conduction ring from the end turns to the lid; 0 for none",
        (0.0, 2.0),
        at_least=0.0,
    ),
    Number(
        "ring_mass", "kg*K/W", "mass of the ring per its conductance", (0.02, 0.2), at_least=0.0
    ),
)


_AIR_FILM = Number(
    "air_film",
    "W/(m^2*K)",
    "housing to still air at sea level, convection and radiation together, per area",
    (8, 16),
    above=0.0,
)


def _resistances(values: Values, sea_level_film: Array, still_film: Array) -> Values:
    outer, still = (
        cooling.path_resistance(
            values[q.HOUSING_AREA.name],
            cooling.film_in_thin_air(film, values[q.AIR_DENSITY_RATIO.name]),
            beside=np.array(0.0),
        )
        for film in (sea_level_film, still_film)
    )
    return {
        q.WINDING_TO_HOUSING.name: cooling.path_resistance(
            values[q.WINDING_AREA.name], values["winding_film"], beside=values["ring"]
        ),
        q.HOUSING_TO_AIR.name: outer,
        q.STILL_HOUSING_TO_AIR.name: still,
    }


def _ring_mass(values: Values) -> Array:
    return values["ring"] * values["ring_mass"]


def _still_air(values: Values) -> Values:
    return {
        q.COOLING_MASS.name: _ring_mass(values),
        q.COOLING_MATURITY.name: values[MATURITY.name],
        q.COOLING_POWER.name: np.zeros_like(values["ring"]),
        **_resistances(values, values["air_film"], values["air_film"]),
    }


def _fan(values: Values) -> Values:
    return {
        q.COOLING_MASS.name: values["mass"] + _ring_mass(values),
        q.COOLING_MATURITY.name: values[MATURITY.name],
        q.COOLING_POWER.name: values["power"],
        **_resistances(values, values["blown_film"], values["air_film"]),
    }


STILL_AIR = Kind(
    "still_air",
    slots.COOLING,
    "natural convection and radiation",
    (
        *_INSIDE,
        _AIR_FILM,
        MATURITY,
    ),
    {"size": Step((q.WINDING_AREA, q.HOUSING_AREA, q.AIR_DENSITY_RATIO), _still_air)},
)

FAN = Kind(
    "fan",
    slots.COOLING,
    "air blown through the open stator; it stands still while the motors are off",
    (
        *_INSIDE,
        _AIR_FILM,
        Number(
            "blown_film",
            "W/(m^2*K)",
            "housing and open stator to blown air at sea level, per housing area",
            (20, 60),
            above=0.0,
        ),
        Number("mass", "kg", "fan and duct", (0.03, 0.2), at_least=0.0),
        Number("power", "W", "what the fan takes", (0.5, 6), at_least=0.0),
        MATURITY,
    ),
    {"size": Step((q.WINDING_AREA, q.HOUSING_AREA, q.AIR_DENSITY_RATIO), _fan)},
)
