"""What runs in one call: stretches of machine code, and products between them, tile by tile."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from tradeopt.arrays import Array
from tradeopt.kernel.code import Code, VectorFunctions
from tradeopt.kernel.emit import Emitter
from tradeopt.kernel.island import Island
from tradeopt.kernel.memory import Bundle
from tradeopt.kernel.plan import accessed
from tradeopt.kernel.product import Product, ProductWriter

TILE: Final = 64
"""Designs that go from level to level together, few enough for their arrays to stay near."""


@dataclass(frozen=True, eq=False)
class Written:
    """A product that is part of the machine code.

    Attributes
    ----------
    product : Product
        It.
    rows : Bundle
        Where its rows are.
    start : int
        Where they begin there.
    found : Bundle
        What it gives.
    """

    product: Product
    rows: Bundle
    start: int
    found: Bundle

    @classmethod
    def of(cls, island: Island, bundles: Sequence[Bundle]) -> "Written | None":
        """
        Return an island as part of the machine code.

        Parameters
        ----------
        island : Island
            Anything that is called for many designs at once.
        bundles : sequence of Bundle
            All that is there by then; the rows of a product lie whole in one of them.

        Returns
        -------
        Written, optional
            None where it has to be called.
        """
        product = island.compute
        if not isinstance(product, Product) or not product.can_be_written:
            return None
        (node,), (found,) = island.given.values(), island.found.values()
        access = accessed(node)
        home = next(one for one in bundles if access.base in one.starts)
        return cls(product, home, home.starts[access.base], found)


@dataclass(frozen=True, eq=False)
class Stretch:
    """Levels that follow each other without numpy in between.

    Attributes
    ----------
    given : tuple of Bundle
        What it reads, a row for each design.
    levels : tuple of tuple of Bundle and tuple of Written
        What each level writes, and the products after it.
    """

    given: tuple[Bundle, ...]
    levels: tuple[tuple[Bundle, tuple[Written, ...]], ...]

    @cached_property
    def made(self) -> tuple[Bundle, ...]:
        """What it writes, in order; a row for each design of a tile, but for `last`."""
        found = [(gives, *(one.found for one in products)) for gives, products in self.levels]
        return tuple(bundle for level in found for bundle in level)

    @property
    def last(self) -> Bundle:
        """What its last level writes, a row for each design."""
        return self.levels[-1][0]

    def written(self, vector_functions: VectorFunctions) -> tuple[str, Array]:
        """Return the whole module, and the room it works in with all constants in place."""
        code = Code(vector_functions)
        constants: dict[int, Array] = {}
        size = 0
        with code.counted(0, "%count", TILE) as first:
            count = self._count(code, first)
            pointers = self._pointers(code, first)
            known = list(self.given)
            for gives, products in self.levels:
                there = {one: pointers[one] for one in known}
                emitter = Emitter(code, there, (gives, pointers[gives]), size)
                emitter.write(count)
                constants |= emitter.memory.constants
                size = emitter.memory.size
                for one in products:
                    constants[size] = one.product.panels
                    given = code.at(pointers[one.rows], one.start), one.rows.size
                    found, numbers = pointers[one.found], code.at("%scratch", size)
                    ProductWriter(code, one.product, given, found, numbers).write(count)
                    size += constants[size].size
                known += [gives, *(one.found for one in products)]
        room = np.zeros(size)
        for start, values in constants.items():
            room[start : start + values.size] = values
        return code.module(), room

    def _count(self, code: Code, first: str) -> str:
        """Return how many designs are in a tile."""
        code.declared.add("declare i64 @llvm.smin.i64(i64, i64)")
        left = code.put(f"sub nsw i64 %count, {first}")
        return code.put(f"call i64 @llvm.smin.i64(i64 {left}, i64 {TILE})")

    def _pointers(self, code: Code, first: str) -> Mapping[Bundle, str]:
        """Return where the rows of a tile begin."""
        found = {}
        for number, bundle in enumerate((*self.given, *self.made)):
            slot = code.put(f"getelementptr inbounds ptr, ptr %arrays, i64 {number}")
            found[bundle] = code.put(f"load ptr, ptr {slot}, align 8")
            if bundle is self.last or bundle in self.given:
                far = code.put(f"mul nsw i64 {first}, {bundle.size}")
                found[bundle] = code.at(found[bundle], far)
        return found
