"""Feet on stairs, and the walk over them."""

from dataclasses import replace

import numpy as np
import pytest

from tests.oracles.robot import FRAME, INERTIA, MASS
from tradeopt.arrays import Array
from tradeopt.physics.walking.contact import zero_moment_point
from tradeopt.physics.walking.dynamics import stride_loads
from tradeopt.physics.walking.feet import Feet, zero_moment_reference
from tradeopt.physics.walking.frame import JOINTS
from tradeopt.physics.walking.gait import StairGait
from tradeopt.physics.walking.pattern import climb
from tradeopt.physics.walking.stairs import stair_feet

UP = StairGait(0.17, 0.28, 0.8, 0.25, 0.35, 0.05, 0.16, gravity=9.81)
DOWN = replace(UP, riser=-0.17, step_time=0.9)
PHASES = 400
BOTH_WAYS = pytest.mark.parametrize("gait", [UP, DOWN], ids=["up", "down"])
KNEE = JOINTS.index("knee")


def on_stairs(feet: Feet, gait: StairGait) -> Array:
    """Ankle ahead of and above its step at touchdown, in the frame of the stairs."""
    steps = np.arange(PHASES) * feet.period / PHASES / gait.step_time
    path = feet.ankle_position[[0, 2]] + np.stack((gait.tread * steps, gait.riser * steps))
    return np.asarray(path - np.array([[0.0], [FRAME.ankle_height]]))


@BOTH_WAYS
def test_the_foot_rests_on_its_step_and_lands_two_steps_on(gait: StairGait) -> None:
    feet = stair_feet(FRAME, gait, PHASES)
    path = on_stairs(feet, gait)
    stance = feet.load_share > 0.0
    np.testing.assert_allclose(path[:, stance], 0.0, atol=1e-12)
    # the last of 400 phases is 0.6 % of the swing before the landing
    np.testing.assert_allclose(path[:, -1], [2 * gait.tread, 2 * gait.riser], atol=1e-4)


@BOTH_WAYS
def test_no_corner_of_the_sole_is_inside_a_step(gait: StairGait) -> None:
    """Stairs drawn by hand: the step of the stance foot reaches from half the spare depth behind
    its heel to half of it before its toe; every tread ahead is one riser higher."""
    feet = stair_feet(FRAME, gait, PHASES)
    ahead, up = on_stairs(feet, gait)
    edge = -FRAME.heel - (gait.tread - FRAME.foot_length) / 2
    for along in (-FRAME.heel, FRAME.toe):
        step = np.floor((ahead + along - edge) / gait.tread)
        assert (up - gait.riser * step).min() > -1e-9
    assert feet.step_clearance > 0.0


@pytest.mark.parametrize("riser", [0.17, -0.17])
def test_a_sole_longer_than_the_tread_hits_the_stairs(riser: float) -> None:
    gait = replace(UP, riser=riser, tread=0.22)
    assert stair_feet(FRAME, gait, PHASES).step_clearance < -0.05


@BOTH_WAYS
def test_paths_join_without_a_jump_of_acceleration(gait: StairGait) -> None:
    jumps = []
    for phases in (2000, 4000):
        feet = stair_feet(FRAME, gait, phases)
        step = feet.period / phases
        path = feet.ankle_position
        second = (np.roll(path, -1, axis=1) - 2 * path + np.roll(path, 1, axis=1)) / step**2
        jumps.append(np.abs(np.diff(second, axis=1)).max(axis=1))
    np.testing.assert_array_less(jumps[1], 0.6 * jumps[0] + 1e-6)


@pytest.mark.parametrize("step_time", [0.8, 1.2])
@pytest.mark.parametrize("riser", [0.12, 0.2, -0.12, -0.2])
def test_the_zero_moment_point_on_stairs_is_where_the_feet_want_it(
    riser: float, step_time: float
) -> None:
    gait = replace(UP, riser=riser, step_time=step_time)
    wanted = zero_moment_reference(stair_feet(FRAME, gait, 100))
    wrench = stride_loads(FRAME, climb(FRAME, gait, INERTIA, 100), INERTIA)[6:12]
    found = zero_moment_point(wrench, least_force=1.0, height=wanted[2])
    assert np.abs(found - wanted[:2]).max() < 1e-4


@BOTH_WAYS
def test_net_joint_work_is_the_weight_lifted_riser_by_riser(gait: StairGait) -> None:
    """m g h for each of the two risers of a stride: soles rest while they carry, so nothing else
    takes or gives work."""
    stride = climb(FRAME, gait, INERTIA, 100)
    power = stride_loads(FRAME, stride, INERTIA)[:6] * stride.joint_speed
    work = 2 * stride.period * power.sum(axis=0).mean()
    assert work == pytest.approx(MASS * 9.81 * 2 * gait.riser, rel=1e-4)


def test_the_knee_works_harder_on_higher_steps() -> None:
    peaks = []
    for riser in (0.05, 0.12, 0.18):
        stride = climb(FRAME, replace(UP, riser=riser), INERTIA, 100)
        peaks.append(stride_loads(FRAME, stride, INERTIA)[KNEE].max())
    assert peaks[0] < peaks[1] < peaks[2]


def test_a_step_that_is_too_high_is_out_of_reach() -> None:
    stride = climb(FRAME, replace(UP, riser=0.7, tread=0.6), INERTIA, 100)
    assert min(stride.reach_margin, stride.step_clearance) < 0.0
    assert np.isfinite(stride.joint_acceleration).all()
