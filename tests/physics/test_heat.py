"""Laws of the two-node network at rest: balance, and order past runaway."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tradeopt.arrays import Array
from tradeopt.physics import heat

law = settings(deadline=None, max_examples=80)
ALPHA = 0.00393
REFERENCE = 293.15
resistances = st.floats(0.05, 5.0)


def _steady(
    copper: Array | float,
    iron: float,
    inner: float,
    outer: float,
    *,
    ambient: float = 303.15,
) -> heat.SteadyTemperatures:
    return heat.steady_temperatures(
        np.asarray(copper),
        np.array(iron),
        winding_to_housing=np.array(inner),
        housing_to_ambient=np.array(outer),
        ambient=np.array(ambient),
        reference_temperature=np.array(REFERENCE),
        coefficient=np.array(ALPHA),
    )


@law
@given(
    copper=st.floats(0.0, 20.0),
    iron=st.floats(0.0, 20.0),
    inner=resistances,
    outer=resistances,
    ambient=st.floats(250.0, 325.0),
)
def test_heat_that_comes_goes(
    copper: float, iron: float, inner: float, outer: float, ambient: float
) -> None:
    """Both nodes balance at the temperatures found, in the range where the law is exact."""
    steady = _steady(copper, iron, inner, outer, ambient=ambient)
    hot = copper * (1 + ALPHA * (steady.winding - REFERENCE))
    if steady.winding - ambient < heat.EXACT_RISE:
        assert steady.winding - steady.housing == pytest.approx(inner * hot, rel=1e-9, abs=1e-9)
        assert steady.housing - ambient == pytest.approx(outer * (hot + iron), rel=1e-9, abs=1e-9)
    else:
        assert steady.runaway_margin < 0.5


@law
@given(iron=st.floats(0.0, 50.0), inner=resistances, outer=resistances)
def test_more_loss_is_always_hotter_even_past_runaway(
    iron: float, inner: float, outer: float
) -> None:
    """So that a search can still tell a bad design from a worse one."""
    steady = _steady(np.geomspace(0.1, 2000.0, 200), iron, inner, outer)
    assert (np.diff(steady.winding) > 0.0).all()
    assert (np.diff(steady.runaway_margin) < 0.0).all()
    assert (steady.winding <= 303.15 + heat.GREATEST_RISE).all()
    assert (steady.housing <= steady.winding).all()


def test_ceiling_bends_without_step_or_kink() -> None:
    """No step in value or slope at the end of the exact range, nor at runaway."""
    in_line = 2.0
    for loss in (0.66 / (ALPHA * in_line), 0.99 / (ALPHA * in_line), 1.0 / (ALPHA * in_line)):
        copper = loss * (1 + np.linspace(-1e-3, 1e-3, 2001))
        slope = np.diff(_steady(copper, 0.0, 0.5, 1.5).winding) / np.diff(copper)
        assert np.abs(np.diff(slope)).max() < 1e-2 * slope.max()


def test_ceiling_is_the_stated_one() -> None:
    assert _steady(1e7, 0.0, 0.5, 1.5).winding == pytest.approx(
        303.15 + heat.GREATEST_RISE, rel=1e-3
    )


def test_no_loss_is_ambient() -> None:
    steady = _steady(0.0, 0.0, 0.5, 1.5)
    assert steady.winding == steady.housing == 303.15
    assert steady.runaway_margin == 1.0
