"""What is worked out before, between and after steps that are not recorded."""

from collections.abc import Sequence

from tradeopt.kernel.island import Island
from tradeopt.kernel.node import Node
from tradeopt.kernel.plan import accessed, in_order


class Levels:
    """Levels: 0 before the first islands, one more after each that needs one before.

    Everything is worked out as late as can be, so that little is carried from level to level.

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
        self._wanted, self._islands = wanted, islands
        self.of_island: dict[Island, int] = {}
        self._first: dict[Node, int] = {}
        for island in islands:
            level = self._earliest(list(island.given.values()))
            self.of_island[island] = level
            for bundle in island.found.values():
                self._first.update(dict.fromkeys(bundle.starts, level + 1))
        self.last = self._earliest(wanted)
        self._of = self._latest()

    def carried(self, level: int) -> list[Node]:
        """Return what a level works out for islands, for later levels or as wanted."""
        found: dict[Node, None] = {}
        for node, own in self._of.items():
            if own > level:
                found.update(dict.fromkeys(accessed(part).base for part in node.parts))
        for island in self._islands:
            found.update(dict.fromkeys(accessed(node).base for node in island.given.values()))
        found.update(dict.fromkeys(accessed(node).base for node in self._wanted))
        made = (node for node in found if node.op not in ("const", "input"))
        return [node for node in made if self._of[node] == level]

    def _earliest(self, nodes: Sequence[Node]) -> int:
        for node in in_order(nodes):
            if node not in self._first:
                self._first[node] = max((self._first[part] for part in node.parts), default=0)
        return max(self._first[node] for node in nodes)

    def _latest(self) -> dict[Node, int]:
        """Give each node the level of the first island that needs it, or the last one."""
        found: dict[Node, int] = {}
        for island in sorted(self._islands, key=lambda one: self.of_island[one]):
            for node in in_order(list(island.given.values())):
                found.setdefault(node, self.of_island[island])
        for node in in_order(self._wanted):
            found.setdefault(node, self.last)
        return found
