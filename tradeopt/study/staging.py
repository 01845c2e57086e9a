"""The stages of a study: those that fit its kinds into their slots, and its peaks'."""

from tradeopt.chain.fit import fitted
from tradeopt.chain.stage import Stage
from tradeopt.stages import slots
from tradeopt.stages.in_peaks import InPeaks
from tradeopt.stages.peak_slots import PEAK
from tradeopt.study.layout import Layout


def stages_of(layout: Layout) -> tuple[Stage, ...]:
    """
    Return the stages of a study, in no order.

    Parameters
    ----------
    layout : Layout
        Places and kinds.

    Returns
    -------
    tuple of Stage
        One for every step of every slot; the transmissions twice where there are peaks.
    """
    filled = {one.slot: fitted(one.slot, one.places) for one in layout.slots}
    steps: list[Stage] = [step for fits in filled.values() for step in fits]
    if PEAK in filled:
        steps += [InPeaks(step) for step in filled[slots.TRANSMISSION] if step.step == "duty"]
    return tuple(steps)
