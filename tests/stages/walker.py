"""A walker of known power on a pack of ideal cells: legs, battery and range alone, for tests."""

from collections.abc import Mapping

import numpy as np

from tradeopt import quantities as q
from tradeopt.chain.fit import FittedStage, Place, fitted
from tradeopt.chain.kind import Kind, Slot
from tradeopt.chain.run import Chain
from tradeopt.quantities import Quantity
from tradeopt.stages import battery, mission, slots

WATT_HOUR = 3600.0
VOLTAGE = 3.6

GIVEN = (
    q.BUS_POWER,
    q.MEAN_POWER,
    q.SITTING_POWER,
    q.WALKING_SPEED,
    q.STRIDE_TIME,
    q.JOINT_SPEED,
    q.JOINT_TORQUE,
    q.TOTAL_MASS,
    q.GRAVITY,
    q.AMBIENT_TEMPERATURE,
    q.AIR_DENSITY_RATIO,
)


def ideal_cell(energy_stored: float) -> dict[str, float]:
    """Return the columns of one cell without loss, of one voltage, that holds an energy [J]."""
    steady = {
        "capacity": energy_stored / VOLTAGE,
        "cutoff_voltage": 1.0,
        "charge_voltage": 4.0,
        "peak_current": 1e6,
        "charge_current": 1e6,
        "least_temperature": 250.0,
        "least_charge_temperature": 270.0,
        "greatest_temperature": 333.0,
        "aged_capacity": 0.8,
        "aged_resistance": 1.6,
        "mass": 1.0,
        "volume": 1e-3,
    }
    for column in battery.CELL_COLUMNS:
        if column.name.startswith("voltage_"):
            steady[column.name] = VOLTAGE
        elif column.name.startswith("resistance_factor") or column.name.startswith("capacity_f"):
            steady[column.name] = 1.0
        elif column.name.startswith("resistance_"):
            steady[column.name] = 0.0
    return {f"cell.{name}": value for name, value in steady.items()}


def one_charge(
    legs: Mapping[str, tuple[Kind, dict[str, float]]],
    *,
    powers: list[float],
    speeds: list[float],
    energy_stored: float,
    mass: float = 80.0,
    sitting: float = 0.0,
    **pack: float,
) -> dict[str, np.ndarray]:
    """Run the legs of a mission on one charge of one design; gaits have powers and speeds."""
    sizes = {"design": 1, "gait": len(powers), "leg": len(legs), "phase": 4, "joint": 6, "axis": 3}
    power = np.array([powers])
    given: dict[str, np.ndarray] = {
        "bus_power": np.repeat(power[..., None], 4, axis=-1),
        "mean_power": power,
        "sitting_power": np.array([sitting]),
        "walking_speed": np.array([speeds]),
        "stride_time": np.ones((1, len(powers))),
        "joint_speed": np.ones((1, 6, len(powers), 4)) * (np.array(speeds)[:, None] > 0.0),
        "joint_torque": np.zeros((1, 6, len(powers), 4)),
        "total_mass": np.array([mass]),
        "gravity": np.array([9.81]),
        "ambient_temperature": np.array([293.15]),
        "air_density_ratio": np.array([1.0]),
    }
    chosen = {"series": 1.0, "parallel": 1.0, "overhead": 0.0, "packing": 1.0, "wiring": 0.0}
    chosen |= {"full": 1.0, "reserve": 0.0, "age": 0.0, "bay_rise": 0.0, "cell_to_case": 0.0}
    chosen |= {
        "air_film": 5.0,
        "maturity": 0.0,
        "centre.x": 0.0,
        "centre.z": 0.0,
        **ideal_cell(energy_stored),
    }
    places: dict[Slot, list[tuple[str, Kind, Mapping[str, float]]]] = {
        slots.LEG: [(f"mission.{name}", kind, said) for name, (kind, said) in legs.items()],
        slots.BATTERY: [("robot.battery", battery.PACK, chosen | pack)],
        slots.ROUND: [("stages.round", mission.IN_ORDER, {})],
        slots.RANGE: [("stages.range", mission.ONE_CHARGE, {})],
    }
    stages: list[FittedStage] = []
    inputs: list[Quantity] = list(GIVEN)
    for slot, filled in places.items():
        found = tuple(Place(path, (kind,)) for path, kind, _ in filled)
        stages += fitted(slot, found)
        inputs += [one for place in found for one in place.inputs]
        for path, _, said in filled:
            given |= {f"{path}.{name}": np.array([float(value)]) for name, value in said.items()}
    return {name: array[0] for name, array in Chain.of(stages, inputs).run(given, sizes).items()}


def walk(gait: int, distance: float) -> tuple[Kind, dict[str, float]]:
    """Return a leg over a distance [m]."""
    return mission.DISTANCE, {"gait": gait, "distance": distance}


def stay(gait: int, time: float) -> tuple[Kind, dict[str, float]]:
    """Return a leg for a time [s]."""
    return mission.TIME, {"gait": gait, "time": time}


def sit(time: float) -> tuple[Kind, dict[str, float]]:
    """Return a leg of sitting for a time [s]."""
    return mission.SIT, {"time": time}
