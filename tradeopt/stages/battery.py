"""The battery pack: its mass and energy, and how long it lasts under the load."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Column, Kind, Number, Row, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import battery, bus
from tradeopt.stages import slots
from tradeopt.stages.maturity import MATURITY

_CHARGE_POINTS = 11
_VOLTAGES = tuple(f"voltage_{10 * point}" for point in range(_CHARGE_POINTS))
_RESISTANCES = tuple(f"resistance_{10 * point}" for point in range(_CHARGE_POINTS))

CELL_COLUMNS = (
    Column("capacity", "A*s", "charge between full and empty", (9000, 20000)),
    Column("mass", "kg", "one cell", (0.04, 0.08)),
    Column("volume", "m^3", "one cell", (1.5e-5, 3e-5)),
    Column("cutoff_voltage", "V", "least voltage under load", (2.4, 3.0)),
    Column("peak_current", "A", "largest discharge current", (8, 45)),
    *(Column(name, "V", "open circuit, by charge in percent", (2.5, 4.2)) for name in _VOLTAGES),
    *(Column(name, "ohm", "by charge in percent", (0.01, 0.05)) for name in _RESISTANCES),
)


def _size(values: Values) -> Values:
    cells = values["series"] * values["parallel"]
    voltage, _ = _cell_tables(values)
    cell_energy = battery.stored_energy(values["cell.capacity"], voltage)
    volume = cells * values["cell.volume"] / values["packing"]
    return {
        q.BATTERY_MASS.name: cells * values["cell.mass"] * (1.0 + values["overhead"]),
        q.BATTERY_MATURITY.name: values[MATURITY.name],
        q.BATTERY_POSITION.name: np.stack(
            [values["centre.x"], np.zeros_like(cells), values["centre.z"]], axis=-1
        ),
        q.BATTERY_SIZE.name: np.cbrt(volume),
        q.PACK_ENERGY.name: cells * cell_energy,
    }


def _run_down(values: Values) -> Values:
    voltage, resistance = _cell_tables(values)
    power = bus.cell_power(
        values[q.BUS_POWER.name],
        series=values["series"][:, None, None],
        parallel=values["parallel"][:, None, None],
    )
    share = values[q.GAIT_SHARE.name]
    # a gait that the mission leaves out drains nothing, but its peak must still be given
    peak = power.max(axis=(1, 2))
    steady = (power.mean(axis=-1)).max(axis=1)
    lowest = np.maximum(
        battery.state_of_charge_at_cutoff(
            voltage, resistance, power=steady, cutoff_voltage=values["cell.cutoff_voltage"]
        ),
        values["reserve"],
    )
    low_voltage, low_resistance = (
        battery.interpolate(lowest[:, None], table)[:, 0] for table in (voltage, resistance)
    )
    current = battery.current_at_power(low_voltage, low_resistance, peak)
    sagging = battery.terminal_voltage(low_voltage, low_resistance, current)
    return {
        q.RUN_TIME.name: battery.run_down_time(
            power,
            share,
            capacity=values["cell.capacity"],
            open_circuit_voltage=voltage,
            resistance=resistance,
            lowest=lowest,
            highest=np.ones_like(lowest),
        ),
        q.LOW_BUS_VOLTAGE.name: values["series"] * sagging,
        q.PACK_CURRENT_MARGIN.name: 1.0 - current / values["cell.peak_current"],
        q.PACK_POWER_MARGIN.name: battery.power_margin(low_voltage, low_resistance, peak),
    }


def _cell_tables(values: Values) -> tuple[Array, Array]:
    """Return open-circuit voltage and resistance of one cell, shape (design, charge point)."""
    voltage = np.stack([values[f"cell.{name}"] for name in _VOLTAGES], axis=-1)
    resistance = np.stack([values[f"cell.{name}"] for name in _RESISTANCES], axis=-1)
    return voltage, resistance


PACK = Kind(
    "pack",
    slots.BATTERY,
    "cells in series and parallel, drawn down to the reserve or the cut-off voltage",
    (
        Row("cell", "cells", CELL_COLUMNS, "cell"),
        Number("series", "1", "cells in series", (10, 16), at_least=1.0, whole=True),
        Number("parallel", "1", "strings in parallel", (4, 20), at_least=1.0, whole=True),
        Number("overhead", "1", "housing and wiring per cell mass", (0.15, 0.5), at_least=0.0),
        Number("packing", "1", "cell volume per pack volume", (0.4, 0.7), above=0.0, at_most=1.0),
        Number(
            "reserve", "1", "charge that is left untouched", (0.05, 0.2), at_least=0.0, at_most=1.0
        ),
        *(
            Number(
                f"centre.{axis}", "m", f"centre of the pack along {axis} in the torso", (-0.1, 0.3)
            )
            for axis in "xz"
        ),
        MATURITY,
    ),
    {
        "size": Step((), _size),
        "duty": Step((q.BUS_POWER, q.GAIT_SHARE), _run_down),
    },
)
