from dataclasses import replace

import numpy as np
import pytest

from tests.oracles.robot import FRAME
from tradeopt.arrays import Array
from tradeopt.physics.walking.feet import (
    Feet,
    standing_feet,
    walking_feet,
    zero_moment_reference,
)
from tradeopt.physics.walking.gait import StandingPose, WalkingGait

FLAT = WalkingGait(0.8, 0.6, 0.25, 0.25, 0.05, 0.2)
ROLLING = replace(FLAT, toe_off_angle=0.4)
PHASES = 480


def sole_edge(feet: Feet, gait: WalkingGait, along: float) -> Array:
    """Forward place on the ground and height of a point of the sole, at rest where it touches."""
    time = np.arange(PHASES) * feet.period / PHASES
    sine, cosine = np.sin(feet.pitch), np.cos(feet.pitch)
    forward = feet.ankle_position[0] + gait.speed * time
    down = FRAME.ankle_height
    return np.stack(
        (
            forward + along * cosine - down * sine,
            feet.ankle_position[2] - along * sine - down * cosine,
        )
    )


@pytest.mark.parametrize("gait", [FLAT, ROLLING], ids=["flat", "rolling"])
def test_the_sole_is_never_below_the_ground(gait: WalkingGait) -> None:
    feet = walking_feet(FRAME, gait, PHASES)
    for along in (FRAME.toe, -FRAME.heel):
        assert sole_edge(feet, gait, along)[1].min() > -1e-9


def test_the_flat_foot_rests_until_toe_off_and_clears_the_ground_half_way() -> None:
    feet = walking_feet(FRAME, FLAT, PHASES)
    time = np.arange(PHASES) * feet.period / PHASES
    stance = time <= (1 + FLAT.double_support) * FLAT.step_time
    place = sole_edge(feet, FLAT, 0.0)
    np.testing.assert_allclose(place[:, stance], 0.0, atol=1e-12)
    assert place[1].max() == pytest.approx(FLAT.foot_clearance, rel=1e-3)


def test_the_rolling_foot_turns_about_the_edge_it_stands_on() -> None:
    feet = walking_feet(FRAME, ROLLING, PHASES)
    time = np.arange(PHASES) * feet.period / PHASES
    both = ROLLING.double_support * ROLLING.step_time
    toe, heel = (sole_edge(feet, ROLLING, along) for along in (FRAME.toe, -FRAME.heel))
    on_toe = (time >= both) & (time <= ROLLING.step_time + both)
    on_heel = time <= ROLLING.step_time
    np.testing.assert_allclose(toe[:, on_toe].T, [[FRAME.toe, 0.0]] * on_toe.sum(), atol=1e-9)
    np.testing.assert_allclose(heel[:, on_heel].T, [[-FRAME.heel, 0.0]] * on_heel.sum(), atol=1e-9)
    # toe-off and heel strike; the pitch is greatest a little after the toe has left
    assert feet.pitch[np.argmax(~on_toe & (time > both))] == pytest.approx(0.4, abs=0.05)
    assert feet.pitch[0] == pytest.approx(-0.2)


@pytest.mark.parametrize("gait", [FLAT, ROLLING], ids=["flat", "rolling"])
def test_paths_join_without_a_jump_of_speed_or_acceleration(gait: WalkingGait) -> None:
    """A jump of acceleration would not shrink as the phases come closer."""
    jumps = []
    for phases in (5 * PHASES, 10 * PHASES):
        feet = walking_feet(FRAME, gait, phases)
        path = np.vstack((feet.ankle_position, feet.pitch))
        step = feet.period / phases
        second = (np.roll(path, -1, axis=1) - 2 * path + np.roll(path, 1, axis=1)) / step**2
        jumps.append(np.abs(np.diff(second, axis=1)).max(axis=1))
    np.testing.assert_array_less(jumps[1], 0.6 * jumps[0] + 1e-6)


@pytest.mark.parametrize("gait", [FLAT, ROLLING], ids=["flat", "rolling"])
def test_the_feet_carry_the_whole_load_between_them(gait: WalkingGait) -> None:
    share = walking_feet(FRAME, gait, PHASES).load_share
    np.testing.assert_allclose(share + np.roll(share, PHASES // 2), 1.0, atol=1e-12)
    assert share.min() == 0.0
    assert share.max() == 1.0


@pytest.mark.parametrize("gait", [FLAT, ROLLING], ids=["flat", "rolling"])
def test_the_zero_moment_reference_moves_smoothly_from_foot_to_foot(gait: WalkingGait) -> None:
    feet = walking_feet(FRAME, gait, PHASES)
    reference = zero_moment_reference(feet)
    pace = np.abs(np.diff(reference, axis=1)).max() * PHASES / feet.period
    # a foot's breadth of 0.2 m in a double support of 0.15 s, 1.875 times as fast half-way
    assert pace < 1.2 * 1.875 * (gait.speed * gait.step_time + FRAME.foot_length) / 0.15
    assert reference[1].max() == pytest.approx(gait.step_width / 2)
    np.testing.assert_allclose(reference[1], -np.roll(reference[1], PHASES // 2), atol=1e-12)


def test_the_pressure_keeps_inside_the_sole() -> None:
    for gait in (FLAT, ROLLING):
        feet = walking_feet(FRAME, gait, PHASES)
        assert feet.sole_room.min() >= 0.0
        assert feet.sole_room.sum(axis=0).max() == pytest.approx(FRAME.foot_length)


@pytest.mark.parametrize("share", [0.0, 1.0])
def test_a_double_support_that_cannot_be_drawn_is_moved_to_one_that_can(share: float) -> None:
    feet = walking_feet(FRAME, replace(ROLLING, double_support=share), PHASES)
    assert np.isfinite(feet.ankle_position).all()
    single = (feet.load_share == 1.0).mean()
    # half of the stride less the double support: 0.98 or 0.1 of it
    assert single == pytest.approx(0.49 if share == 0.0 else 0.05, abs=0.005)


def test_standing_feet_are_pressed_at_mid_sole() -> None:
    feet = standing_feet(FRAME, StandingPose(0.3, 0.2), 4)
    # half of 0.24 m, less 0.07 m of heel
    np.testing.assert_allclose(feet.pressure_point[0], 0.05)
    expected = [[0.05] * 4, [0.0] * 4, [0.0] * 4]
    np.testing.assert_allclose(zero_moment_reference(feet), expected, atol=1e-15)


def test_the_pressure_of_a_flat_foot_goes_from_the_ankle_a_third_of_the_way_to_the_toe() -> None:
    feet = walking_feet(FRAME, FLAT, PHASES)
    time = np.arange(PHASES) * feet.period / PHASES
    on_sole = feet.pressure_point[0] + FLAT.speed * time
    loaded = feet.load_share > 0.0
    np.testing.assert_allclose(on_sole[loaded].min(), 0.0, atol=1e-12)
    # 0.24 m of foot less 0.07 m of heel, a third of it
    np.testing.assert_allclose(on_sole[loaded].max(), 0.17 / 3)
    rolling = walking_feet(FRAME, ROLLING, PHASES)
    on_sole = rolling.pressure_point[0] + ROLLING.speed * time
    assert on_sole[rolling.load_share > 0.0][[0, -1]] == pytest.approx([-0.07, 0.17])
