"""Laws of gear stages: the ratio is kept, inertia follows the energy, efficiency the power."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tradeopt.physics import gears

law = settings(deadline=None, max_examples=60)
stages = st.integers(1, 4).map(float)


def row(value: float) -> np.ndarray:
    return np.array([value])


@law
@given(ratio=st.floats(1.0, 120.0), count=stages, step=st.floats(0.5, 2.0))
def test_stages_make_the_ratio_and_rise_by_their_step(
    ratio: float, count: float, step: float
) -> None:
    shares = gears.stage_ratios(row(ratio), row(count), row(step))[0]
    assert shares.prod() == pytest.approx(ratio, rel=1e-9)
    present = int(count)
    assert shares[1:present] == pytest.approx(shares[: present - 1] * step, rel=1e-9)
    assert (shares[present:] == 1.0).all()


@law
@given(
    ratio=st.floats(5.0, 100.0),
    count=stages,
    step=st.floats(0.8, 1.5),
    speed=st.floats(1.0, 500.0),
    planets=st.integers(2, 5),
)
def test_inertia_holds_the_energy_of_all_wheels(
    ratio: float, count: float, step: float, speed: float, planets: int
) -> None:
    """Wheel by wheel as discs of the same width: J w^2/2 of each, and travel of the planets."""
    shares = gears.stage_ratios(row(ratio), row(count), row(step))
    small, radius = 2e-7, 0.01
    mass = 2.0 * small / radius**2
    spur = planetary = 0.0
    turning = speed
    for share in shares[0, : int(count)].tolist():
        spur += small * turning**2 / 2.0 + small * share**4 * (turning / share) ** 2 / 2.0
        size = (share - 2.0) / 2.0
        carrier = turning / share
        # no slip between sun and planet, nor between planet and the held ring
        spin = carrier * (1.0 - (share - 1.0) / size) if size else 0.0
        travel = carrier * radius * (1.0 + size)
        planetary += small * turning**2 / 2.0
        planetary += planets * (small * size**4 * spin**2 + mass * size**2 * travel**2) / 2.0
        turning = carrier
    found = (
        gears.spur_inertia(shares, row(count), row(small)),
        gears.planetary_inertia(shares, row(count), row(small), row(float(planets))),
    )
    energies = [float(one[0]) * speed**2 / 2.0 for one in found]
    assert energies == pytest.approx([spur, planetary], rel=1e-9)


@law
@given(ratio=st.floats(3.0, 60.0), count=stages, mesh=st.floats(0.9, 1.0))
def test_a_planetary_stage_loses_less_than_its_meshes(
    ratio: float, count: float, mesh: float
) -> None:
    shares = gears.stage_ratios(row(ratio), row(count), row(1.0))
    efficiency = gears.planetary_efficiency(shares, row(mesh))[0]
    assert mesh**count <= efficiency * (1 + 1e-12)
    assert efficiency <= 1.0 + 1e-12


def test_power_through_a_planetary_stage() -> None:
    """Seen from the carrier, sun to ring is a plain mesh: powers add up, torques are kept."""
    ratio, mesh, sun_speed, sun_torque = 4.0, 0.97, 100.0, 1.0
    carrier_speed = sun_speed / ratio
    ring_torque = sun_torque * (ratio - 1.0) * mesh  # teeth see the speeds less the carrier's
    carrier_torque = sun_torque + ring_torque
    expected = carrier_torque * carrier_speed / (sun_torque * sun_speed)
    shares = gears.stage_ratios(row(ratio), row(1.0), row(1.0))
    assert gears.planetary_efficiency(shares, row(mesh))[0] == pytest.approx(expected)


@law
@given(ratio=st.floats(5.0, 100.0), count=stages, step=st.floats(0.8, 1.5), n=st.integers(2, 5))
def test_wheels_weigh_as_discs_of_the_width_that_their_torque_asks(
    ratio: float, count: float, step: float, n: int
) -> None:
    """Wheel by wheel: pinions of the same pressure on their teeth have d^2 b ~ torque."""
    shares = gears.stage_ratios(row(ratio), row(count), row(step))
    spur = planetary = 0.0
    torque = 150.0
    for share in reversed(shares[0, : int(count)].tolist()):
        torque /= share
        pinion, sun = 1e-3 * torque, 1e-2 * torque / n
        spur += pinion + pinion * share**2
        planetary += sun + n * sun * ((share - 2.0) / 2.0) ** 2
    load = row(150.0), shares, row(count)
    found = (
        gears.spur_mass(*load, row(1e-3)),
        gears.planetary_mass(*load, row(float(n)), row(1e-2)),
    )
    assert [float(one[0]) for one in found] == pytest.approx([spur, planetary], rel=1e-9)


@pytest.mark.parametrize(
    ("ratio", "count", "margin"),
    [(36.0, 2.0, 0.25), (64.0, 2.0, 0.0), (9.0, 2.0, 0.0), (100.0, 2.0, -0.25), (8.0, 1.0, 0.0)],
)
def test_every_stage_has_to_be_one_that_can_be_made(
    ratio: float, count: float, margin: float
) -> None:
    shares = gears.stage_ratios(row(ratio), row(count), row(1.0))
    found = gears.ratio_margin(shares, row(count), row(3.0), row(8.0))
    assert found[0] == pytest.approx(margin, abs=1e-12)
