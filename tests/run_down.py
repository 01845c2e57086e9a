"""Time on one charge in a mix of gaits, put together from the physics for tests."""

import numpy as np

from tradeopt.arrays import Array
from tradeopt.physics.battery import cell, run_down


def run_down_time(
    power: Array,
    share: Array,
    *,
    capacity: Array,
    open_circuit_voltage: Array,
    resistance: Array,
    lowest: Array,
    highest: Array,
) -> Array:
    """Return the time [s] in which gaits with shares of the time draw a cell down."""
    points = run_down.charge_points(lowest, highest)
    current = run_down.stride_currents(
        power,
        open_circuit_voltage=cell.interpolate(points, open_circuit_voltage),
        resistance=cell.interpolate(points, resistance),
    ).mean
    mixed = np.einsum("...g,...gp->...p", share, current)
    return run_down.drain_time(mixed, capacity * np.maximum(highest - lowest, 0.0))
