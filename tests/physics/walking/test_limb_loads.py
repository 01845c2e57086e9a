"""Moments inside the limbs against Newton-Euler cuts through the joints."""

import numpy as np
import pytest

from tests.oracles.robot import FRAME, INERTIA
from tradeopt.arrays import Array
from tradeopt.physics.walking.contact import left_foot_share
from tradeopt.physics.walking.dynamics import load_matrices, weighted_loads
from tradeopt.physics.walking.frame import BODIES
from tradeopt.physics.walking.gait import WalkingGait
from tradeopt.physics.walking.limb_loads import (
    LimbMoments,
    bending_peak,
    deflecting_moment,
    limb_moments,
)
from tradeopt.physics.walking.motion import body_motion
from tradeopt.physics.walking.pattern import walk
from tradeopt.physics.walking.stride import Stride
from tradeopt.physics.walking.vectors import cross
from tradeopt.physics.walking.wrenches import body_wrenches, whole_wrenches

THIGH, SHANK, ANKLE = (BODIES.index(name) for name in ("thigh", "shank", "ankle"))
FLAT = WalkingGait(0.6, 0.65, 0.25, 0.25, 0.05, 0.18, gravity=9.81)
ROLLING = WalkingGait(0.9, 0.6, 0.2, 0.25, 0.05, 0.16, toe_off_angle=0.4, gravity=9.81)
GAITS = pytest.mark.parametrize("gait", [FLAT, ROLLING], ids=["flat", "rolling"])

MASSLESS_LEGS = INERTIA * (np.arange(len(BODIES)) == 0)[:, np.newaxis]


def cut(stride: Stride, inertia: Array, joint_of: int, axes_of: int) -> Array:
    """Moment that the joint above one body carries, about its origin, in axes of another."""
    motion = body_motion(FRAME, stride)
    left = np.einsum("bk,bkin->bin", inertia, body_wrenches(motion))
    foot = left_foot_share(FRAME, stride, whole_wrenches(left).sum(axis=0))
    below = left[joint_of:].sum(axis=0) - foot
    moment = below[3:] - cross(motion.pose.position[joint_of], below[:3])
    return np.asarray(np.einsum("ijn,in->jn", motion.pose.rotation[axes_of], moment))


def ours(stride: Stride, inertia: Array) -> tuple[LimbMoments, LimbMoments]:
    torque = weighted_loads(load_matrices(FRAME, stride).torque, inertia)
    return limb_moments(stride.joint_angle, torque, np.array(FRAME.thigh), np.array(FRAME.shank))


@GAITS
def test_with_massless_legs_it_is_the_moment_at_every_cut(gait: WalkingGait) -> None:
    stride = walk(FRAME, gait, MASSLESS_LEGS, 60)
    thigh, shank = ours(stride, MASSLESS_LEGS)
    scale = np.abs(cut(stride, MASSLESS_LEGS, THIGH, THIGH)).max()
    for found, joint_of, axes_of in (
        (np.concatenate((thigh.top, thigh.twist[np.newaxis])), THIGH, THIGH),
        (np.concatenate((thigh.bottom, thigh.twist[np.newaxis])), SHANK, THIGH),
        (np.concatenate((shank.top, shank.twist[np.newaxis])), SHANK, SHANK),
        (np.concatenate((shank.bottom, shank.twist[np.newaxis])), ANKLE, SHANK),
    ):
        exact = cut(stride, MASSLESS_LEGS, joint_of, axes_of)
        np.testing.assert_allclose(found, exact, atol=1e-9 * scale)


@GAITS
def test_the_weight_of_the_limbs_changes_the_peaks_little(gait: WalkingGait) -> None:
    """30 kg of legs in 78.6 kg: the peaks of either limb are within 1 % (twist: 2 %)."""
    stride = walk(FRAME, gait, INERTIA, 100)
    for moments, body in zip(ours(stride, INERTIA), (THIGH, SHANK), strict=True):
        ends = [
            np.hypot(*cut(stride, INERTIA, joint_of, body)[:2]) for joint_of in (body, body + 1)
        ]
        assert bending_peak(moments).max() == pytest.approx(np.max(ends), rel=0.01)
        twist = np.abs(cut(stride, INERTIA, body, body)[2]).max()
        assert np.abs(moments.twist).max() == pytest.approx(twist, rel=0.02)


def test_a_moment_in_a_straight_line_is_greatest_at_an_end() -> None:
    rng = np.random.default_rng(3)
    top, bottom = rng.normal(size=(2, 2, 50))
    moments = LimbMoments(top, bottom, twist=np.zeros(50))
    between = [
        np.hypot(*(moments.top + share * (moments.bottom - moments.top)))
        for share in np.linspace(0.0, 1.0, 21)
    ]
    np.testing.assert_allclose(bending_peak(moments), np.max(between, axis=0))


def test_equal_ends_deflect_as_a_constant_moment() -> None:
    ends = np.array([[3.0, 0.0], [4.0, -2.0]])
    found = deflecting_moment(LimbMoments(ends, ends, twist=np.zeros(2)))
    np.testing.assert_allclose(found, [5.0, 2.0])


def test_designs_lead() -> None:
    stride = walk(FRAME, FLAT, INERTIA, 20)
    torque = weighted_loads(load_matrices(FRAME, stride).torque, INERTIA)
    scale = np.array([1.0, 2.0, 3.0])
    many = limb_moments(
        stride.joint_angle,
        scale[:, np.newaxis, np.newaxis] * torque,
        np.full(3, FRAME.thigh),
        np.full(3, FRAME.shank),
    )
    for found, alone in zip(many, ours(stride, INERTIA), strict=True):
        np.testing.assert_allclose(found.bottom, scale[:, None, None] * alone.bottom, atol=1e-9)
