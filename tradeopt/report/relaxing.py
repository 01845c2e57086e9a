"""What to say of limits that no design keeps."""

from collections.abc import Mapping

from tradeopt.quantities import Quantity
from tradeopt.report.amount import amount_of
from tradeopt.search.designs import Outline
from tradeopt.search.relaxing import Relaxation, WayOut


def relaxing_words(outline: Outline, quantities: Mapping[str, Quantity], way: WayOut) -> str:
    """
    Say which limits to relax, and to what, in the order to relax them.

    Parameters
    ----------
    outline : Outline
        The study.
    quantities : mapping of str to Quantity
        Everything the study's chain gives, by name.
    way : WayOut
        The design that would then meet all limits.

    Returns
    -------
    str
        One sentence.
    """
    bounds = {one.name: "<=" if one.at_most else ">=" for one in outline.limits}

    def words(one: Relaxation) -> str:
        quantity = quantities[one.limit.partition(".")[0]]
        return f"{one.limit} {bounds[one.limit]} {amount_of(quantity, one.bound)}"

    steps = ", then ".join(words(one) for one in way.relaxations)
    return f"design {way.design} would meet every limit if relaxed in this order: {steps}"
