"""Which stretch of machine code works out what, where numpy is called in between."""

from collections.abc import Iterator, Sequence

from tradeopt.kernel.graph import Node
from tradeopt.kernel.plan import accessed, in_order
from tradeopt.kernel.island import Island


class Levels:
    """Levels of nodes: 0 for what follows from the designs alone, one more after each island.

    Parameters
    ----------
    wanted : sequence of Node
        What is asked for.
    islands : sequence of Island
        All that it rests on, in the order they run.

    Attributes
    ----------
    of_island : dict of Island to int
        The level after which each is called.
    last : int
        The highest.
    """

    def __init__(self, wanted: Sequence[Node], islands: Sequence[Island]) -> None:
        self._of: dict[Node, int] = {}
        self.of_island: dict[Island, int] = {}
        self._carried: dict[Node, None] = {}
        for island in islands:
            given = list(island.given.values())
            self._learn(given)
            self.of_island[island] = max(self._of[node] for node in given)
            self._carry(given)
            for bundle in island.found.values():
                self._of.update(dict.fromkeys(bundle.starts, self.of_island[island] + 1))
        self._learn(wanted)
        self._carry(wanted)
        self.last = max(self._of[node] for node in wanted)

    def carried(self, level: int) -> list[Node]:
        """Return what a level works out for islands, for later levels or as wanted."""
        return [node for node in self._carried if self._of[node] == level]

    def _learn(self, nodes: Sequence[Node]) -> None:
        for node in in_order(nodes):
            if node not in self._of:
                self._of[node] = max((self._of[part] for part in node.parts), default=0)
                early = (part for part in node.parts if self._of[part] < self._of[node])
                self._carry(list(early))

    def _carry(self, nodes: Sequence[Node]) -> None:
        bases = (accessed(node).base for node in nodes)
        self._carried.update((base, None) for base in bases if base.op not in ("const", "input"))
