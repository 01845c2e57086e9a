"""The battery pack: its mass and energy, and how long it lasts under the legs of the mission."""

from dataclasses import dataclass

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.chain.kind import Column, Kind, Number, Row, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import bus, cooling
from tradeopt.physics.battery import cell, pack, rounds, run_down
from tradeopt.stages import slots
from tradeopt.stages.maturity import MATURITY

_CHARGE_POINTS = 11
_VOLTAGES = tuple(f"voltage_{10 * point}" for point in range(_CHARGE_POINTS))
_RESISTANCES = tuple(f"resistance_{10 * point}" for point in range(_CHARGE_POINTS))
_DEGREES = ("minus_20", "0", "20", "40", "60")
_CAPACITY_FACTORS = tuple(f"capacity_factor_{degrees}" for degrees in _DEGREES)
_RESISTANCE_FACTORS = tuple(f"resistance_factor_{degrees}" for degrees in _DEGREES)


def _columns(
    names: tuple[str, ...], unit: str, meaning: str, typical: tuple[float, float]
) -> tuple[Column, ...]:
    return tuple(Column(name, unit, meaning, typical, above=0.0) for name in names)


CELL_COLUMNS = (
    Column("capacity", "A*s", "charge of a new cell at 20 degC", (9000, 20000), above=0.0),
    Column("mass", "kg", "one cell", (0.04, 0.08), above=0.0),
    Column("volume", "m^3", "one cell", (1.5e-5, 3e-5), above=0.0),
    Column("cutoff_voltage", "V", "least voltage under load", (2.4, 3.0), above=0.0),
    Column("charge_voltage", "V", "greatest voltage while charging", (4.2, 4.3), above=0.0),
    Column("peak_current", "A", "largest discharge current", (8, 45), above=0.0),
    Column("charge_current", "A", "largest charge current", (3, 15), above=0.0),
    Column("least_temperature", "K", "least when discharging", (243, 258), above=0.0),
    Column("least_charge_temperature", "K", "least when charging", (263, 278), above=0.0),
    Column("greatest_temperature", "K", "greatest at all", (328, 338), above=0.0),
    Column(
        "aged_capacity", "1", "at the end of life, over that of a new cell", (0.7, 0.9), above=0.0
    ),
    Column(
        "aged_resistance",
        "1",
        "at the end of life, over that of a new cell",
        (1.2, 2.0),
        above=0.0,
    ),
    *_columns(_VOLTAGES, "V", "open circuit, by charge in percent", (2.5, 4.2)),
    *_columns(_RESISTANCES, "ohm", "new at 20 degC, by charge in percent", (0.01, 0.05)),
    *_columns(_CAPACITY_FACTORS, "1", "by temperature in degC, over that at 20 degC", (0.7, 1.1)),
    *_columns(
        _RESISTANCE_FACTORS, "1", "by temperature in degC, over that at 20 degC", (0.6, 4.0)
    ),
)


def _size(values: Values) -> Values:
    cells = values["series"] * values["parallel"]
    cell_energy = cell.stored_energy(values["cell.capacity"], _table(values, _VOLTAGES))
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


def _table(values: Values, names: tuple[str, ...]) -> Array:
    """Return columns of one cell as a table, shape (design, node)."""
    return np.stack([values[f"cell.{name}"] for name in names], axis=-1)


@dataclass(frozen=True)
class _Cell:
    """One cell of each design, as cold and as old as it is, under its share of the load.

    Attributes
    ----------
    air : Array, shape (design,)
        Air around the pack, which the cells start at [K].
    capacity : Array, shape (design,)
        Charge between full and empty [A*s].
    voltage : Array, shape (design, node)
        Open circuit [V].
    resistance, wired : Array, shape (design, node)
        The cell alone, and with its share of the wiring [ohm].
    walking : Array, shape (design, gait, phase)
        Power it gives in each gait [W].
    sitting : Array, shape (design,)
        Power it gives while the motors are off [W].
    """

    air: Array
    capacity: Array
    voltage: Array
    resistance: Array
    wired: Array
    walking: Array
    sitting: Array


def _cell(values: Values) -> _Cell:
    series, parallel = values["series"], values["parallel"]
    air = values[q.AMBIENT_TEMPERATURE.name] + values["bay_rise"]
    fresh, warm = (
        pack.aged(values[f"cell.aged_{what}"], values["age"])
        for what in ("capacity", "resistance")
    )
    capacity_factor, resistance_factor = (
        pack.at_temperature(air, _table(values, names))
        for names in (_CAPACITY_FACTORS, _RESISTANCE_FACTORS)
    )
    resistance = (warm * resistance_factor)[:, None] * _table(values, _RESISTANCES)
    return _Cell(
        air=air,
        capacity=values["cell.capacity"] * fresh * capacity_factor,
        voltage=_table(values, _VOLTAGES),
        resistance=resistance,
        wired=pack.with_wiring(
            resistance,
            values["wiring"][:, None],
            series=series[:, None],
            parallel=parallel[:, None],
        ),
        walking=bus.cell_power(
            values[q.BUS_POWER.name],
            series=series[:, None, None],
            parallel=parallel[:, None, None],
        ),
        sitting=bus.cell_power(values[q.SITTING_POWER.name], series=series, parallel=parallel),
    )


def _duty(values: Values) -> Values:
    one = _cell(values)
    end, start = _end_of_charge(values, one), values["full"]
    points = run_down.charge_points(end, start)
    voltage, wired = (cell.interpolate(points, table) for table in (one.voltage, one.wired))
    walking = run_down.stride_currents(
        _one_step(one.walking), open_circuit_voltage=voltage, resistance=wired
    )
    sitting = cell.current_at_power(voltage, wired, one.sitting[:, None])
    leg_gait = values[q.LEG_GAIT.name]
    current = _by_leg(leg_gait, walking.mean, sitting)
    charge = one.capacity * np.maximum(start - end, 0.0)
    leg_time = rounds.time_in_legs(current, values[q.LEG_TIME.name], charge)
    heat = _by_leg(leg_gait, walking.mean_square, np.square(sitting)) * wired[:, None, :]
    lost = _lost(leg_time, values[q.LEG_TIME.name], current, heat) * charge
    own = cell.interpolate(points, one.resistance)
    gait_heat = np.einsum("dgp,dp,p->dg", walking.mean_square, own, run_down.CHARGE_WEIGHTS)
    return {
        q.RUN_TIME.name: leg_time.sum(axis=1),
        q.LEG_RUN_TIME.name: leg_time,
        q.PACK_LOSS.name: values["series"] * values["parallel"] * lost,
        **_discharge_margins(values, one, end),
        **_charge_margins(values, one, end),
        **_temperatures(values, one, gait_heat),
    }


def _lost(leg_time: Array, in_round: Array, current: Array, heat: Array) -> Array:
    """Return the loss of one cell per charge [J/(A*s)], its legs taken as well stirred."""
    whole = leg_time.sum(axis=1, keepdims=True)
    spent = np.where(np.isfinite(whole) & (whole > 0.0), leg_time, in_round)
    mixed, warmth = (np.einsum("dl,dlp->dp", spent, of_leg) for of_leg in (current, heat))
    per_charge = np.where(warmth == 0.0, 0.0, run_down.slowness(mixed)) * warmth
    lost: Array = per_charge @ run_down.CHARGE_WEIGHTS
    return lost


def _one_step(power: Array) -> Array:
    """Leave out the second step of a stride where it draws what the first does, which is usual."""
    half = power.shape[-1] // 2
    first, second = power[..., :half], power[..., half:]
    return first if np.array_equal(first, second) else power


def _by_leg(leg_gait: Array, walking: Array, sitting: Array) -> Array:
    """Put what gaits and sitting do together by leg, shape (design, leg, point)."""
    rest = 1.0 - leg_gait.sum(axis=2)
    mixed: Array = (
        np.einsum("dlg,dgp->dlp", leg_gait, walking) + rest[..., None] * sitting[:, None]
    )
    return mixed


def _end_of_charge(values: Values, one: _Cell) -> Array:
    """Return where the heaviest leg pulls the voltage down, or the reserve if that is higher."""
    used = values[q.LEG_GAIT.name].sum(axis=1) > 0.0
    heaviest = np.where(used, one.walking.mean(axis=-1), one.sitting[:, None]).max(axis=1)
    cut_off = cell.state_of_charge_at_cutoff(
        one.voltage, one.wired, power=heaviest, cutoff_voltage=values["cell.cutoff_voltage"]
    )
    return np.maximum(cut_off, values["reserve"])


def _at(charge: Array, table: Array) -> Array:
    return cell.interpolate(charge[:, None], table)[:, 0]


def _discharge_margins(values: Values, one: _Cell, end: Array) -> Values:
    """Hold the cells to the hardest moment of any gait, also of one the mission leaves out."""
    voltage, resistance = _at(end, one.voltage), _at(end, one.wired)
    peak = one.walking.max(axis=(1, 2))
    current = cell.current_at_power(voltage, resistance, peak)
    return {
        q.LOW_BUS_VOLTAGE.name: values["series"]
        * cell.terminal_voltage(voltage, resistance, current),
        q.PACK_CURRENT_MARGIN.name: 1.0 - current / values["cell.peak_current"],
        q.PACK_POWER_MARGIN.name: cell.power_margin(voltage, resistance, peak),
    }


def _charge_margins(values: Values, one: _Cell, end: Array) -> Values:
    """Hold the cells to the hardest braking: their current when empty, their voltage when full."""
    braking = np.minimum(one.walking.min(axis=(1, 2)), 0.0)
    empty, full = (
        cell.current_at_power(_at(charge, one.voltage), _at(charge, one.resistance), braking)
        for charge in (end, values["full"])
    )
    highest = cell.terminal_voltage(
        _at(values["full"], one.voltage), _at(values["full"], one.resistance), full
    )
    coldest = np.where(
        braking < 0.0, values["cell.least_charge_temperature"], values["cell.least_temperature"]
    )
    return {
        q.CHARGE_CURRENT_MARGIN.name: 1.0 + empty / values["cell.charge_current"],
        q.CHARGE_VOLTAGE_MARGIN.name: 1.0 - highest / values["cell.charge_voltage"],
        q.CELL_COLD_MARGIN.name: (one.air - coldest) / _temperature_range(values),
    }


def _temperature_range(values: Values) -> Array:
    widest: Array = values["cell.greatest_temperature"] - values["cell.least_temperature"]
    return widest


def _temperatures(values: Values, one: _Cell, gait_heat: Array) -> Values:
    film = cooling.film_in_thin_air(values["air_film"], values[q.AIR_DENSITY_RATIO.name])
    rise = pack.cell_rise(
        gait_heat,
        cells=(values["series"] * values["parallel"])[:, None],
        cell_to_case=values["cell_to_case"][:, None],
        film=film[:, None],
        edge=values[q.BATTERY_SIZE.name][:, None],
    )
    temperature = one.air[:, None] + rise
    left = values["cell.greatest_temperature"][:, None] - temperature
    return {
        q.CELL_TEMPERATURE.name: temperature,
        q.CELL_HEAT_MARGIN.name: left / _temperature_range(values)[:, None],
    }


def _share(name: str, meaning: str, typical: tuple[float, float]) -> Number:
    return Number(name, "1", meaning, typical, at_least=0.0, at_most=1.0)


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
        Number("wiring", "ohm", "busbars, fuses and leads, in line", (0.0, 0.02), at_least=0.0),
        _share("full", "charge at the start", (0.9, 1.0)),
        _share("reserve", "charge that is left untouched", (0.05, 0.2)),
        _share("age", "part of the cells' life that is used up", (0.0, 1.0)),
        Number(
            "bay_rise", "delta_K", "air around the pack above the ambient", (0, 10), at_least=0.0
        ),
        Number("cell_to_case", "K/W", "one cell to the pack's case", (1.0, 8.0), at_least=0.0),
        Number("air_film", "W/(m^2*K)", "pack's case to the air around it", (4, 12), above=0.0),
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
        "duty": Step(
            (
                q.BUS_POWER,
                q.SITTING_POWER,
                q.LEG_GAIT,
                q.LEG_TIME,
                q.AMBIENT_TEMPERATURE,
                q.AIR_DENSITY_RATIO,
                q.BATTERY_SIZE,
            ),
            _duty,
        ),
    },
)
