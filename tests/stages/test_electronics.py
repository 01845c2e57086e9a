"""Drive electronics and field weakening in the chain."""

import re

import numpy as np
import pytest

from tests.stages.studies import EXAMPLE
from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.study.read import loads

KNEE = q.JOINTS.index("knee")
GIVEN = "fixed_loss: 1.6 W, regeneration: 70 %, peak_current: 80 A"


def values(electronics: str = "", field: str = "", turns: float = 1.0) -> dict[str, Array]:
    """The baseline with other electronics, field, and turns of the knee's motor."""
    text = EXAMPLE.text
    if electronics:
        text = re.sub(r"electronics: \{.*?\}", f"electronics: {electronics}", text, count=1)
    if field:
        text = text.replace("stages:\n", f"stages:\n  field: {field}\n", 1)
    knee = "gap_radius: 42 mm, stack_length: 22 mm, turns: "
    assert f"{knee}1," in text
    text = text.replace(f"{knee}1,", f"{knee}{turns},")
    problem = loads(text, EXAMPLE.files).problem
    return dict(problem.evaluate(problem.baseline[None]).values)


def test_bridges_of_known_transistors_are_inverters_of_known_losses() -> None:
    """d2 = 1.5 x 2 mohm, d1 = 3/pi x 48 V x 60 ns x 40 kHz."""
    by_parts = values(
        f"{{kind: bridges, {GIVEN}, transistor: 2 mohm, switching_time: 60 ns, "
        "switching_frequency: 40 kHz, bus_voltage: 48 V}"
    )
    by_losses = values(
        f"{{{GIVEN}, loss_per_current: {0.1152 * 3 / np.pi} V, resistance: 3 mohm}}"
    )
    for name in ("drive_loss", "bus_power", "range"):
        np.testing.assert_allclose(by_parts[name], by_losses[name], rtol=1e-9)


def test_weakening_lets_a_motor_of_many_turns_go_fast_and_costs_copper() -> None:
    wound, weakened = (
        values(turns=1.4),
        values(turns=1.4, field="{kind: weakened, bus_voltage: 40 V}"),
    )
    assert wound["voltage_margin"][0, KNEE] < 0.0 < weakened["voltage_margin"][0, KNEE]
    more = weakened["cold_copper_loss"][0, KNEE] - wound["cold_copper_loss"][0, KNEE]
    squared = np.square(weakened["field_current"][0, KNEE]).mean(axis=-1)
    assert more == pytest.approx(1.5 * wound["phase_resistance"][0, KNEE] * squared)
    assert more.max() > 0.01
    assert weakened["field_current"].max() == 0.0
    assert weakened["field_current"][0, KNEE].min() < -1.0
    others = np.delete(np.arange(6), KNEE)
    np.testing.assert_array_equal(weakened["field_current"][0, others], 0.0)


def test_weakening_changes_nothing_where_the_voltage_is_enough() -> None:
    plain, allowed = values(), values(field="{kind: weakened, bus_voltage: 54 V}")
    for name in ("cold_copper_loss", "mean_power", "voltage_margin", "range"):
        np.testing.assert_allclose(allowed[name], plain[name], rtol=1e-12)


def test_the_inverter_carries_both_currents() -> None:
    weakened = values(turns=1.4, field="{kind: weakened, bus_voltage: 30 V}")
    both = np.hypot(weakened["motor_current"], weakened["field_current"])[0]
    wanted = 1.0 - both.max(axis=(1, 2)) / 80.0
    assert weakened["drive_current_margin"][0] == pytest.approx(wanted, rel=1e-9)
