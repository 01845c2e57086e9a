"""What a stage is: it declares what it needs and gives, and computes the one from the other."""

from collections.abc import Mapping
from typing import Protocol, TypeAlias

from tradeopt.arrays import Array
from tradeopt.quantities import Quantity

Values: TypeAlias = Mapping[str, Array]
"""Arrays by name. A stage must not write into them."""


class Stage(Protocol):
    """One link of the chain.

    A stage is a pure function of what it declares in `needs`; it sees nothing else. It returns
    exactly what it declares in `gives`, each with the declared axes. Rows of the design axis do
    not depend on each other. A bad design never raises: it carries a negative margin.
    """

    @property
    def name(self) -> str:
        """What error messages call it."""

    @property
    def needs(self) -> tuple[Quantity, ...]:
        """What must be there first."""

    @property
    def gives(self) -> tuple[Quantity, ...]:
        """What is there afterwards."""

    def compute(self, values: Values) -> Values:
        """Return what it gives for a batch of designs."""
