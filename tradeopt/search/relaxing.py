"""Where no design keeps every limit: which limits stop it, and in which order to relax them."""

from dataclasses import dataclass

import numpy as np

from tradeopt.search.designs import Designs, Outline


@dataclass(frozen=True)
class Relaxation:
    """One limit to relax.

    Attributes
    ----------
    limit : str
        Its name.
    share : float
        By how much, as a share of its scale.
    bound : float
        The bound that the design would keep [SI unit of the limit].
    """

    limit: str
    share: float
    bound: float


@dataclass(frozen=True)
class WayOut:
    """A design that comes near to the limits, and what would have to give for it.

    Attributes
    ----------
    design : int
        Its number.
    relaxations : tuple of Relaxation
        In the order to relax them: each leaves the least to be missed by the best design for what
        is left.
    """

    design: int
    relaxations: tuple[Relaxation, ...]


def way_out(outline: Outline, designs: Designs) -> WayOut | None:
    """
    Say which limits to relax so that a design meets them all.

    Parameters
    ----------
    outline : Outline
        The study.
    designs : Designs
        Designs that miss limits.

    Returns
    -------
    WayOut or None
        None where no design has a value in every objective.

    Notes
    -----
    Limit after limit is relaxed that lets the nearest design come nearest, until one is left that
    misses nothing else: few limits by much rather than many by little.
    """
    defined = np.all(np.isfinite(designs.objectives), axis=1)
    known = designs.take(defined)
    if len(known) == 0:
        return None
    left = np.maximum(known.violations, 0.0)
    order: list[int] = []
    while np.min(left.sum(axis=1)) > 0.0:
        without = (left.sum(axis=1)[:, None] - left).min(axis=0)
        without[order] = np.inf
        order.append(int(without.argmin()))
        left[:, order[-1]] = 0.0
    reached = np.flatnonzero(left.sum(axis=1) <= 0.0)
    missed = np.maximum(known.violations, 0.0)
    row = int(reached[missed[reached].sum(axis=1).argmin()])
    return WayOut(
        int(known.numbers[row]),
        tuple(
            _relaxed(outline, place, missed[row, place]) for place in order if missed[row, place]
        ),
    )


def _relaxed(outline: Outline, place: int, share: float) -> Relaxation:
    limit = outline.limits[place]
    way = 1.0 if limit.at_most else -1.0
    return Relaxation(limit.name, float(share), float(limit.value + way * share * limit.scale))
