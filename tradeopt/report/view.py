"""One design of an evaluated batch, and the words for its joints, bodies and gaits."""

from dataclasses import dataclass

from tradeopt.arrays import Array
from tradeopt.quantities import Quantity
from tradeopt.report.amount import Amount, amount_of
from tradeopt.study.compiled import Evaluation


def spoken(name: str) -> str:
    """Write a name of the glossary the way it is read."""
    return name.replace("_", " ")


def counted(count: int, thing: str) -> str:
    """
    Say how many there are of a thing.

    Parameters
    ----------
    count : int
        How many.
    thing : str
        One of them.

    Returns
    -------
    str
        With an s unless it is one.

    Examples
    --------
    >>> counted(1, "pick"), counted(2048, "design")
    ('1 pick', '2,048 designs')
    """
    return f"{count:,} {thing}{'' if count == 1 else 's'}"


@dataclass(frozen=True)
class View:
    """One design of an evaluation.

    Attributes
    ----------
    evaluation : Evaluation
        Everything the chain said of the batch.
    row : int
        Which design of it.
    """

    evaluation: Evaluation
    row: int

    @property
    def gaits(self) -> tuple[str, ...]:
        """Names of the gaits."""
        return self.evaluation.gaits

    def of(self, quantity: Quantity) -> Array:
        """Return a quantity of this design, without the `design` axis."""
        value: Array = self.evaluation.values[quantity.name][self.row]
        return value

    def amount(self, quantity: Quantity) -> Amount:
        """Return a quantity that is one number a design."""
        return amount_of(quantity, float(self.of(quantity)))
