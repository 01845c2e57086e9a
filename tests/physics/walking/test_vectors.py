import numpy as np
import pytest

from tradeopt.physics.walking.vectors import cross, mirrored, pitch_rotation, skew

CHANCE = np.random.default_rng(4)


def test_cross_equals_the_product_of_numpy() -> None:
    first, second = CHANCE.normal(size=(2, 1, 3, 6)), CHANCE.normal(size=(5, 3, 6))
    expected = np.cross(first, second, axis=-2)
    np.testing.assert_allclose(cross(first, second), expected, atol=1e-15)


def test_skew_carries_out_the_product() -> None:
    first, second = CHANCE.normal(size=(2, 6, 3))
    carried = np.einsum("nij,nj->ni", skew(first), second)
    np.testing.assert_allclose(carried, np.cross(first, second), atol=1e-15)


def test_pitch_rotation_turns_about_the_left_pointing_axis() -> None:
    turned = pitch_rotation(np.array([0.3]))[:, :, 0]
    np.testing.assert_allclose(turned @ turned.T, np.eye(3), atol=1e-15)
    # toe down: what points forward turns downward
    forward = [np.cos(0.3), 0.0, -np.sin(0.3)]
    np.testing.assert_allclose(turned @ [1.0, 0.0, 0.0], forward, atol=1e-15)


@pytest.mark.parametrize("axial", [False, True])
def test_mirroring_twice_changes_nothing(axial: bool) -> None:
    vector = CHANCE.normal(size=(4, 3, 6))
    twice = mirrored(mirrored(vector, axial=axial), axial=axial)
    np.testing.assert_array_equal(twice, vector)


def test_the_product_of_two_mirrored_vectors_is_a_mirrored_axial_vector() -> None:
    force, arm = CHANCE.normal(size=(2, 3, 6))
    moment = mirrored(cross(arm, force), axial=True)
    np.testing.assert_allclose(cross(mirrored(arm), mirrored(force)), moment, atol=1e-15)
