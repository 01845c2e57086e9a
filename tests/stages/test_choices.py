"""A search may choose between any kinds of a drive's slot: what they share is the same thing."""

from itertools import combinations

import pytest

from tradeopt.chain.kind import Kind
from tradeopt.stages.drive_slots import SPRING
from tradeopt.stages.registry import kinds_of, known_kinds
from tradeopt.stages.slots import TRANSMISSION

PAIRS = [
    pytest.param(*pair, id=f"{pair[0].name}-{pair[1].name}")
    for slot in (TRANSMISSION, SPRING)
    for pair in combinations(kinds_of(slot, known_kinds()).values(), 2)
]


@pytest.mark.parametrize(("first", "second"), PAIRS)
def test_a_shared_name_means_one_thing(first: Kind, second: Kind) -> None:
    one, other = ({each.name: each for each in kind.parameters} for kind in (first, second))
    for name in one.keys() & other.keys():
        assert one[name] == other[name], name
