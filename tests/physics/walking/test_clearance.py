"""Distances between the legs against forward kinematics and brute force."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy.optimize import lsq_linear

from tests.oracles.robot import FRAME, INERTIA
from tests.oracles.state import random_stride
from tradeopt.arrays import Array
from tradeopt.physics.walking.clearance import (
    FootShape,
    LegLine,
    leg_gaps,
    leg_line,
    segment_distance,
)
from tradeopt.physics.walking.frame import BODIES
from tradeopt.physics.walking.gait import StandingPose, WalkingGait
from tradeopt.physics.walking.leg import leg_pose
from tradeopt.physics.walking.pattern import stand, walk
from tradeopt.physics.walking.stride import Stride
from tradeopt.physics.walking.vectors import mirrored

FOOT = FootShape(*(np.array(x) for x in (FRAME.ankle_height, FRAME.heel, FRAME.toe, 0.08)))
THIGH, SHANK, ANKLE, SOLE = (BODIES.index(name) for name in ("thigh", "shank", "ankle", "foot"))
ends = arrays(np.float64, (4, 3, 1), elements=st.floats(-1.0, 1.0))


def line_of(stride: Stride) -> LegLine:
    spacing, thigh, shank = (np.array(x) for x in (FRAME.hip_spacing, FRAME.thigh, FRAME.shank))
    return leg_line(stride.joint_angle, spacing, thigh, shank, FOOT)


def test_the_line_is_where_forward_kinematics_puts_the_bodies() -> None:
    stride = random_stride(4)
    hips = np.zeros((3, stride.phases))
    upright = np.repeat(np.eye(3)[:, :, np.newaxis], stride.phases, axis=2)
    pose = leg_pose(FRAME, hips, upright, stride.joint_angle)
    line = line_of(stride)
    for place, body in ((line.hip, THIGH), (line.knee, SHANK), (line.ankle, ANKLE)):
        np.testing.assert_allclose(place, pose.position[body], atol=1e-12)
    in_foot = {"toe": [FRAME.toe - 0.04, 0.0, -0.045], "heel": [0.04 - FRAME.heel, 0.0, -0.045]}
    for name, middle in in_foot.items():
        wanted = pose.position[SOLE] + np.einsum("ijn,j->in", pose.rotation[SOLE], middle)
        np.testing.assert_allclose(getattr(line, name), wanted, atol=1e-12)


@settings(deadline=None, max_examples=60)
@given(points=ends)
def test_segment_distance_is_the_least_over_both_segments(points: Array) -> None:
    a, b, c, d = points[..., 0]

    # oracle: bounded linear least squares over the place on either segment
    best = lsq_linear(np.stack((b - a, c - d), axis=1), c - a, bounds=(0.0, 1.0), tol=1e-14)
    found = segment_distance(*points)[0]
    assert found == pytest.approx(np.sqrt(2.0 * best.cost), abs=1e-5)


@pytest.mark.parametrize(
    ("other", "distance"),
    [
        ([[0.0, 0.3, 0.0], [1.0, 0.3, 0.0]], 0.3),
        ([[1.0, 0.3, 0.0], [0.0, 0.3, 0.0]], 0.3),
        ([[2.0, 0.0, 0.0], [3.0, 0.0, 0.0]], 1.0),
        ([[-4.0, 0.0, 3.0], [-5.0, 0.0, 3.0]], 5.0),
        ([[0.5, 0.2, 0.0], [0.5, 0.2, 0.0]], 0.2),
        ([[0.5, -0.2, 0.0], [0.5, 0.2, 0.0]], 0.0),
    ],
    ids=["parallel", "opposite", "in line", "end to end", "point", "crossing"],
)
def test_segment_distance_of_special_cases(other: list[list[float]], distance: float) -> None:
    first = np.array([[[0.0], [0.0], [0.0]], [[1.0], [0.0], [0.0]]])
    second = np.array(other)[..., np.newaxis]
    assert segment_distance(*first, *second)[0] == pytest.approx(distance, abs=1e-12)
    assert segment_distance(*second, *first)[0] == pytest.approx(distance, abs=1e-12)


def test_one_order_of_limbs_is_enough() -> None:
    stride = walk(FRAME, WalkingGait(0.7, 0.6, 0.2, 0.25, 0.05, 0.15), INERTIA, 40)
    line = line_of(stride)
    reverse = segment_distance(
        line.knee, line.ankle, mirrored(line.heel), mirrored(line.toe)
    ).min()
    assert leg_gaps(line).foot_to_shank == pytest.approx(reverse, abs=1e-12)


def test_standing_upright_all_is_as_far_apart_as_the_hips() -> None:
    stride = stand(FRAME, StandingPose(0.4, FRAME.hip_spacing), INERTIA, 2)
    gaps = leg_gaps(line_of(stride))
    for found in (gaps.knees, gaps.ankles, gaps.feet, gaps.shanks):
        assert found == pytest.approx(FRAME.hip_spacing, abs=1e-9)
    # the foot's middle is half an ankle's height below the end of the other shank
    assert gaps.foot_to_shank == pytest.approx(np.hypot(FRAME.hip_spacing, 0.045), abs=1e-3)


def test_narrower_steps_bring_the_legs_closer() -> None:
    found = [
        leg_gaps(
            line_of(walk(FRAME, WalkingGait(0.6, 0.65, 0.25, 0.25, 0.05, width), INERTIA, 40))
        )
        for width in (0.20, 0.17, 0.14)
    ]
    for name in ("knees", "ankles", "feet", "foot_to_shank", "shanks"):
        assert (np.diff([getattr(one, name) for one in found]) < 0.0).all(), name
    # a foot swings past the standing one a step's width away, and up to its clearance above
    for one, width in zip(found, (0.20, 0.17, 0.14), strict=True):
        assert width < one.feet < np.hypot(width, 0.05)
