"""Redundant parts against textbook examples."""

import math

import numpy as np
import pytest

from tradeopt.physics import reliability

ONE, NONE = np.array([1.0]), np.array([0.0])


def _chance(piece: float, needed: float, spare: float) -> float:
    return float(
        reliability.chance_of_group(
            np.array(-math.log(piece)),
            needed=np.array(needed),
            spare=np.array(spare),
            common_cause=np.array(0.0),
        )
    )


def _mean(needed: float, spare: float) -> float:
    return float(
        reliability.mean_to_first_stop(
            ONE, groups=ONE, needed=needed * ONE, spare=spare * ONE, common_cause=NONE
        )
    )


def test_three_of_four_rocket_engines() -> None:
    # C. E. Ebeling, An Introduction to Reliability and Maintainability Engineering, section 5.3:
    # three of four engines needed, each 0.97: 0.9948 (from memory)
    assert _chance(0.97, 3, 1) == pytest.approx(0.9948, abs=5e-5)


@pytest.mark.parametrize("piece", [0.5, 0.9, 0.99])
def test_two_of_three(piece: float) -> None:
    # M. Rausand, A. Hoyland, System Reliability Theory, 2nd ed. (2004), section 4.2: 2-out-of-3
    # has 3 p^2 - 2 p^3 (from memory)
    assert _chance(piece, 2, 1) == pytest.approx(3.0 * piece**2 - 2.0 * piece**3, rel=1e-12)


@pytest.mark.parametrize(
    ("needed", "spare", "mean"),
    [
        pytest.param(1, 1, 3 / 2, id="one of two"),
        pytest.param(2, 1, 5 / 6, id="two of three"),
        pytest.param(1, 2, 11 / 6, id="one of three"),
        pytest.param(2, 2, 13 / 12, id="two of four"),
        pytest.param(3, 1, 7 / 12, id="three of four"),
    ],
)
def test_mean_time_to_failure_of_k_of_n(needed: int, spare: int, mean: float) -> None:
    # Same book, table of k-out-of-n structures: mean time to failure times the rate, which is the
    # sum of 1/i from k to n (from memory)
    assert _mean(needed, spare) == pytest.approx(mean, rel=1e-6)


def test_common_cause_of_a_pair() -> None:
    # Beta-factor model, K. N. Fleming (1975), for one of two: 2 exp(-l) - exp(-(2 - b) l) with
    # rate l and share b (Rausand and Hoyland, section 6.3; from memory)
    rate, share = 0.3, 0.2
    found = reliability.chance_of_group(
        np.array(rate), needed=np.array(1.0), spare=np.array(1.0), common_cause=np.array(share)
    )
    assert found == pytest.approx(2 * math.exp(-rate) - math.exp(-(2 - share) * rate), rel=1e-12)
