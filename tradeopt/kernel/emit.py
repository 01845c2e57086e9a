"""A plan as a loop of machine code, which works through designs one by one."""

from collections.abc import Mapping, Sequence

import numpy as np

from tradeopt.kernel.anew import Thrift
from tradeopt.kernel.apply import apply_to_each
from tradeopt.kernel.code import Code, Value, flag, literal
from tradeopt.kernel.loops import LoopWriter
from tradeopt.kernel.memory import Bundle, Memory
from tradeopt.kernel.node import Node
from tradeopt.kernel.plan import Access, Loop, Plan, accessed, long_access


class Emitter:
    """Writes a loop over designs that works out a plan.

    Parameters
    ----------
    code : Code
        Where to.
    given : mapping of Bundle to str
        What it reads, and pointers to it.
    wanted : tuple of Bundle and str
        What it writes, and the pointer to that.
    start : int
        First number of its working room.
    """

    def __init__(
        self, code: Code, given: Mapping[Bundle, str], wanted: tuple[Bundle, str], start: int = 0
    ) -> None:
        self.code = code
        self.memory = Memory(size=start)
        self.elements: dict[Node, list[Value]] = {}
        self.loaded: dict[tuple[Node, int], Value] = {}
        self._bundles = [(*one, code.name()) for one in (*given.items(), wanted)]
        for bundle, _, row in self._bundles:
            for node, place in bundle.starts.items():
                self.memory.homes[node] = row, place
        there = [node for bundle in given for node in bundle.starts]
        nodes = list(wanted[0].starts)
        self.plan = Plan(nodes, there)
        for stack in self.plan.spread:
            self.memory.spread_out(stack)
        Thrift(self.plan, nodes).change()
        self.in_memory = self._in_memory(nodes)

    def write(self, count: str) -> None:
        """Write it, for so many designs."""
        with self.code.counted(0, count) as design:
            for bundle, pointer, row in self._bundles:
                place = self.code.put(f"mul nsw i64 {design}, {bundle.size}")
                self.code.lines.append(
                    f"  {row} = getelementptr inbounds double, ptr {pointer}, i64 {place}"
                )
            for step in self.plan.steps:
                for node in step.short:
                    self._write_short(node)
                for loop in step.loops.values():
                    LoopWriter(self.code, self.memory, loop).write()

    def _in_memory(self, wanted: Sequence[Node]) -> set[Node]:
        """Return what loops read from memory, what is read of loops, and what is wanted."""
        found = set(wanted)
        for step in self.plan.steps:
            for node in step.short:
                bases = [accessed(part).base for part in node.parts]
                found.update(base for base in bases if base.is_long)
                if node.op == "take":
                    found.add(accessed(node.parts[0]).base)
            for loop in step.loops.values():
                found |= _read_from_memory(loop)
        for stack in reversed(self.plan.spread):
            if stack in found:
                found.update(accessed(part).base for part in stack.parts)
        return found

    # short arrays, element by element

    def _write_short(self, node: Node) -> None:
        if node.op == "take":
            values = self._taken(node)
        elif node.op == "map":
            parts = [self._all(part) for part in node.parts]
            values = apply_to_each(self.code, node.name, parts)
        else:
            flat = [value for part in node.parts for value in self._all(part)]
            values = [flat[place] for place in node.places.reshape(-1)]
            values = [one if node.is_flag else self.code.number(one) for one in values]
        self.elements[node] = values
        if node in self.in_memory:
            pointer, start = self.memory.home(node)
            for place, value in enumerate(values):
                self.code.store(value, self.code.at(pointer, start + place))

    def _all(self, node: Node) -> list[Value]:
        """Return every element of an array."""
        access = accessed(node)
        return [self._element(access.base, int(place)) for place in access.index]

    def _element(self, base: Node, place: int) -> Value:
        if base.op == "const":
            value = base.value.reshape(-1)[place]
            return flag(holds=bool(value)) if base.is_flag else literal(float(value))
        if base in self.elements:
            return self.elements[base][place]
        if (base, place) not in self.loaded:
            pointer, at = self.memory.places(base, np.array(place))
            address = self.code.at(pointer, int(at))
            self.loaded[base, place] = self.code.load(address, is_flag=base.is_flag)
        return self.loaded[base, place]

    def _taken(self, node: Node) -> list[Value]:
        """Look up elements by codes that are held within the table."""
        code, table = self.code, accessed(node.parts[0])
        pointer, start = self._table(table)
        size = table.index.size
        values = []
        for place, picked in zip(node.places.reshape(-1), self._all(node.parts[1]), strict=True):
            code.declared.add("declare i64 @llvm.fptosi.sat.i64.f64(double)")
            whole = code.put(f"call i64 @llvm.fptosi.sat.i64.f64(double {picked.text})")
            far = code.put(f"mul i64 {whole}, {node.stride}")
            at = code.put(f"add i64 {far}, {place}")
            for limit, test in ((0, "smax"), (size - 1, "smin")):
                code.declared.add(f"declare i64 @llvm.{test}.i64(i64, i64)")
                at = code.put(f"call i64 @llvm.{test}.i64(i64 {at}, i64 {limit})")
            moved = code.put(f"add i64 {at}, {start}")
            values.append(code.load(code.at(pointer, moved), is_flag=node.is_flag))
        return values

    def _table(self, table: Access) -> tuple[str, int]:
        """Return where a table lies in order; one that is seen through a view is copied."""
        if table.is_whole and table.base not in self.memory.spread:
            return self.memory.home(table.base)
        pointer, start = self.memory.room(table.index.size)
        for place, one in enumerate(table.index):
            value = self._element(table.base, int(one))
            self.code.store(value, self.code.at(pointer, start + place))
        return pointer, start


def _read_from_memory(loop: Loop) -> set[Node]:
    """Return what a loop reads and does not just then work out."""
    found = [long_access(part) for node in (*loop.maps, *loop.folds) for part in node.parts]
    found += [piece.source for piece in loop.pieces]
    own = set(loop.maps)
    return {one.base for one in found if not (one.base in own and one.is_whole)}
