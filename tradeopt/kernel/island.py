"""Steps that are not recorded: kinds that cannot be, and products with large matrices."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from tradeopt.arrays import AnyArray, Array
from tradeopt.chain.stage import Values
from tradeopt.kernel.memory import Bundle
from tradeopt.kernel.node import Node

Compute: TypeAlias = Callable[[Values], Values]


@dataclass(frozen=True, eq=False)
class Island:
    """A step that works on many designs at once.

    Some products become part of the machine code, see `Written`; all else is called in between.

    Attributes
    ----------
    name : str
        Slot, kind and step, or that it is a product.
    why : str
        What could not be recorded, or why it should not be.
    compute : callable
        The kind's own function, or the product.
    given : mapping of str to Node
        What it needs, for one design.
    found : mapping of str to Bundle
        What it gives.
    """

    name: str
    why: str
    compute: Compute
    given: Mapping[str, Node]
    found: Mapping[str, Bundle]

    def call(self, given: Mapping[str, AnyArray]) -> dict[str, Array]:
        """Call it for arrays whose first axis is the design; give the same."""
        count = len(next(iter(given.values())))
        folded = {name: array.reshape(-1, *array.shape[2:]) for name, array in given.items()}
        found = self.compute(folded)
        return {
            name: np.ascontiguousarray(found[name], dtype=np.float64).reshape(count, bundle.size)
            for name, bundle in self.found.items()
        }
