"""Shares of variance of the function of Ishigami and Homma.

Ishigami, Homma, "An importance quantification technique in uncertainty analysis for computer
models", ISUMA '90 (1990), 398-403, with a = 7 and b = 0.1 (from memory). The indices follow from
V1 = (1 + b pi^4/5)^2/2, V2 = a^2/8 and V13 = 8 b^2 pi^8/225: 0.3139, 0.4424 and 0 by themselves,
0.5576, 0.4424 and 0.2437 in total (derived, verified numerically).
"""

import numpy as np
from numpy.testing import assert_allclose

from tradeopt.arrays import Array
from tradeopt.insight.spreads import variance_shares


def ishigami(shifts: Array) -> Array:
    x = np.pi * shifts
    first = np.sin(x[:, 0])
    return (first + 7.0 * np.sin(x[:, 1]) ** 2 + 0.1 * x[:, 2] ** 4 * first)[:, np.newaxis]


def test_shares_of_variance_of_ishigami_and_homma() -> None:
    found = variance_shares(ishigami, 3, 4096, seed=1)
    assert_allclose(found.first[:, 0], [0.3139, 0.4424, 0.0], atol=0.015)
    assert_allclose(found.total[:, 0], [0.5576, 0.4424, 0.2437], atol=0.015)
