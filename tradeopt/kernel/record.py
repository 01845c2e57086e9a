"""Recording a chain: which parts become machine code, and which stay numpy."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import cast

import numpy as np

from tradeopt.arrays import AnyArray, Array
from tradeopt.chain.fit import FittedStage, Place
from tradeopt.chain.kind import Kind, Step
from tradeopt.chain.run import Chain
from tradeopt.chain.stage import Values
from tradeopt.kernel.graph import Graph
from tradeopt.kernel.island import Compute, Island
from tradeopt.kernel.memory import Bundle
from tradeopt.kernel.node import Node
from tradeopt.kernel.plan import accessed
from tradeopt.kernel.product import Product
from tradeopt.kernel.program import Program
from tradeopt.kernel.relations import related
from tradeopt.kernel.shapes import CALLS
from tradeopt.kernel.traced import Traced


@dataclass
class Recorder:
    """Records stages for one sample design.

    Attributes
    ----------
    graph : Graph
        What is recorded.
    islands : list of Island
        Kinds that could not be, and large products, in the order they run.
    """

    graph: Graph = field(init=False)
    islands: list[Island] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.graph = Graph(CALLS, self._multiplied)

    def given(self, name: str, value: AnyArray) -> Array:
        """Return what stands for an array that is given for every design."""
        return self._stands_for(self.graph.input(name, value))

    def run(self, chain: Chain, known: Values) -> dict[str, Array]:
        """
        Record a chain.

        Parameters
        ----------
        chain : Chain
            Its stages.
        known : Values
            Its inputs for one design, recorded or constant.

        Returns
        -------
        dict of str to Array
            The inputs and what the stages gave, recorded or constant.
        """
        found = dict(known)
        for stage in chain.stages:
            compute = (
                self._watched(stage).compute
                if isinstance(stage, FittedStage)
                else self._tried(stage.name, stage.compute)
            )
            found.update(compute({need.name: found[need.name] for need in stage.needs}))
        return found

    def program(self, designs: Array, wanted: Sequence[Array], folder: Path | None) -> Program:
        """Return what works out wanted arrays from designs, see `Program`."""
        nodes = [self._node(one) for one in wanted]
        return Program(self._node(designs), nodes, self.islands, folder)

    def _watched(self, stage: FittedStage) -> FittedStage:
        """Return a stage whose kinds are recorded, or called where they cannot be."""
        kinds = {
            kind: self._recorded(kind, stage.step)
            for place in stage.places
            for kind in place.kinds
        }
        places = (
            Place(one.path, tuple(kinds[kind] for kind in one.kinds)) for one in stage.places
        )
        return replace(stage, places=tuple(places))

    def _recorded(self, kind: Kind, step: str) -> Kind:
        own = kind.steps[step]
        compute = self._tried(f"{kind.slot.name} {kind.name} {step}", own.compute)
        return replace(kind, steps={**kind.steps, step: Step(own.needs, compute)})

    def _tried(self, name: str, compute: Compute) -> Compute:
        """Return a function that is recorded, or else called for a batch."""

        def tried(values: Values) -> Values:
            try:
                return compute(values)
            except Exception as error:  # noqa: BLE001 - a fault of its own comes again below
                return self._island(name, str(error), compute, values)

        return tried

    def _island(self, name: str, why: str, compute: Compute, values: Values) -> Values:
        traced = {key: self._node(array) for key, array in values.items()}
        sample = compute({key: node.value.copy() for key, node in traced.items()})
        found = {key: self.graph.input(f"{name}: {key}", array) for key, array in sample.items()}
        bundles = {key: Bundle.of([node]) for key, node in found.items()}
        self.islands.append(Island(name, why, compute, traced, bundles))
        return {key: self._stands_for(node) for key, node in found.items()}

    def _stands_for(self, node: Node) -> Array:
        return cast("Array", Traced(self.graph, node))

    def _multiplied(self, rows: Node, matrix: AnyArray) -> Node:
        """Multiply rows with a large matrix in a step of its own, for many designs at once."""
        if rows.op == "const":
            return self.graph.const(rows.value @ matrix)
        found = self.graph.input("product", rows.value @ matrix)
        product: Compute
        if rows.value.size == len(matrix):
            rows, matrix = self._without_sums(rows, matrix)
            if not accessed(rows).is_whole:  # a copy lies in memory as it is multiplied
                rows = self.graph.map("number", rows)
            product = by_matrix = Product(matrix)
            gives = Bundle({found: 0}, by_matrix.size)
        else:
            product, gives = _by_numpy(matrix), Bundle.of([found])
        why = "a large matrix is multiplied with many designs at once"
        self.islands.append(Island("product", why, product, {"rows": rows}, {"product": gives}))
        return found

    def _without_sums(self, row: Node, matrix: AnyArray) -> tuple[Node, AnyArray]:
        """Leave out elements that are sums of others, and their share of the product to these."""
        kept, shares = related(row)
        left_out = np.setdiff1d(np.arange(row.value.size), kept)
        if not left_out.size:
            return row, matrix
        few, others = (self.graph.view(row, places[np.newaxis]) for places in (kept, left_out))
        # nothing, but for a law that does not hold: that is seen in the product all the same
        nothing = self.graph.map("multiply", others, self.graph.const(np.zeros(1)))
        nothing = self.graph.fold("add", nothing, -1)
        return self.graph.map("add", few, nothing), shares @ matrix

    def _node(self, value: object) -> Node:
        return value.node if isinstance(value, Traced) else self.graph.const(np.asarray(value))


def _by_numpy(matrix: AnyArray) -> Compute:
    """Return what multiplies several rows of each design."""

    def multiplied(values: Values) -> Values:
        return {"product": values["rows"] @ matrix}

    return multiplied
