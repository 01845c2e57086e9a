"""Lines of LLVM's language: numbers and vectors of them, in memory and in hand."""

import struct
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TypeAlias

from tradeopt.arrays import Codes

VectorFunctions: TypeAlias = Mapping[str, Mapping[int, str]]
"""By the name of the function of one number, and by how many it takes at once."""


@dataclass(frozen=True)
class Value:
    """A name or a literal, and how many numbers or flags it holds; 0 for one alone."""

    text: str
    width: int = 0
    is_flag: bool = False
    literal: float | None = None

    @property
    def kind(self) -> str:
        """Its type."""
        one = "i1" if self.is_flag else "double"
        return f"<{self.width} x {one}>" if self.width else one


def literal(number: float, width: int = 0) -> Value:
    """Return a number as it is written."""
    bits = struct.unpack("<Q", struct.pack("<d", number))[0]
    one = f"0x{bits:016X}"
    text = f"<{', '.join([f'double {one}'] * width)}>" if width else one
    return Value(text, width, literal=float(number))


def flag(*, holds: bool, width: int = 0) -> Value:
    """Return a flag as it is written."""
    one = "true" if holds else "false"
    text = f"<{', '.join([f'i1 {one}'] * width)}>" if width else one
    return Value(text, width, is_flag=True, literal=float(holds))


class Code:
    """Lines of one function.

    Parameters
    ----------
    vector_functions : VectorFunctions
        Functions of the library for some numbers at once.
    """

    def __init__(self, vector_functions: VectorFunctions) -> None:
        self.vector_functions = vector_functions
        self.lines: list[str] = []
        self.entry: list[str] = []
        self.declared: set[str] = set()
        self.tables: list[str] = []
        self.known_tables: dict[str, str] = {}
        self.count = 0
        self.block = "start"

    def name(self) -> str:
        """Return a new name."""
        self.count += 1
        return f"%v{self.count}"

    def put(self, text: str) -> str:
        """Add a line that gives a name a value."""
        name = self.name()
        self.lines.append(f"  {name} = {text}")
        return name

    def called(self, name: str, operands: Sequence[Value], how: str = "") -> Value:
        """Call a function whose numbers all are of one width; `how` tells what may differ."""
        kind = operands[0].kind
        kinds = ", ".join([kind] * len(operands))
        # what nobody asks for may be left out, and what is asked for twice be called once
        self.declared.add(f"declare {kind} @{name}({kinds}) nounwind willreturn memory(none)")
        given = ", ".join(f"{kind} {one.text}" for one in operands)
        return Value(self.put(f"call {how}{kind} @{name}({given})"), operands[0].width)

    def choose(self, holds: Value, one: Value, other: Value) -> Value:
        """Return one where a flag holds, and the other elsewhere."""
        operands = ", ".join(f"{each.kind} {each.text}" for each in (holds, one, other))
        return Value(self.put(f"select {operands}"), one.width, is_flag=one.is_flag)

    def shuffled(self, one: Value, other: Value, places: Sequence[int]) -> Value:
        """Pick lanes of two vectors, counted through."""
        mask = ", ".join(f"i32 {place}" for place in places)
        text = (
            f"shufflevector {one.kind} {one.text}, {other.kind} {other.text}, "
            f"<{len(places)} x i32> <{mask}>"
        )
        return Value(self.put(text), len(places), one.is_flag)

    def lane(self, vector: Value, place: int) -> Value:
        """Return one number of a vector."""
        text = f"extractelement {vector.kind} {vector.text}, i32 {place}"
        return Value(self.put(text), 0, vector.is_flag)

    def gathered(self, lanes: Sequence[Value]) -> Value:
        """Put numbers into a vector."""
        kind = f"<{len(lanes)} x {lanes[0].kind}>"
        found = "poison"
        for place, one in enumerate(lanes):
            found = self.put(f"insertelement {kind} {found}, {one.kind} {one.text}, i32 {place}")
        return Value(found, len(lanes), lanes[0].is_flag)

    def spread(self, one: Value, width: int) -> Value:
        """Return a vector of the same number."""
        if one.literal is not None:
            known = one.literal
            return flag(holds=bool(known), width=width) if one.is_flag else literal(known, width)
        first = Value(
            self.put(f"insertelement <{width} x {one.kind}> poison, {one.kind} {one.text}, i32 0"),
            width,
            one.is_flag,
        )
        return self.shuffled(first, first, [0] * width)

    def at(self, pointer: str, place: str | int) -> str:
        """Return the address of a number."""
        return self.put(f"getelementptr inbounds double, ptr {pointer}, i64 {place}")

    def load(self, address: str, width: int = 0, *, is_flag: bool = False) -> Value:
        """Read numbers; flags are kept as 0 and 1."""
        zero = literal(0.0, width)
        found = Value(self.put(f"load {zero.kind}, ptr {address}, align 8"), width)
        return self.truth(found) if is_flag else found

    def store(self, value: Value, address: str) -> None:
        """Write numbers."""
        one = self.number(value)
        self.lines.append(f"  store {one.kind} {one.text}, ptr {address}, align 8")

    def truth(self, value: Value) -> Value:
        """Return whether numbers are not 0."""
        if value.literal is not None:
            return flag(holds=value.literal != 0.0, width=value.width)
        zero = literal(0.0, value.width)
        text = f"fcmp une {value.kind} {value.text}, {zero.text}"
        return Value(self.put(text), value.width, is_flag=True)

    def number(self, value: Value) -> Value:
        """Return flags as 0 and 1; numbers as they are."""
        if not value.is_flag:
            return value
        if value.literal is not None:
            return literal(value.literal, value.width)
        kind = literal(0.0, value.width).kind
        return Value(self.put(f"uitofp {value.kind} {value.text} to {kind}"), value.width)

    def table(self, places: Codes, at: str | int) -> str:
        """Return the address of one of some whole numbers."""
        name = f"@table{len(self.tables)}"
        numbers = ", ".join(f"i64 {place}" for place in places)
        kind = f"[{len(places)} x i64]"
        known = self.known_tables.setdefault(numbers, name)
        if known == name:
            self.tables.append(f"{name} = private unnamed_addr constant {kind} [{numbers}]")
        return self.put(f"getelementptr inbounds i64, ptr {known}, i64 {at}")

    def variable(self, kind: str) -> str:
        """Return the address of a variable of the function."""
        name = self.name()
        self.entry.append(f"  {name} = alloca {kind}")
        return name

    def label(self, name: str) -> None:
        """Begin a block; the one before falls through to it."""
        self.lines += [f"  br label %{name}", f"{name}:"]
        self.block = name

    @contextmanager
    def counted(self, first: int, end: str | int, step: int = 1) -> Iterator[str]:
        """Repeat what is written within; one time or more."""
        self.count += 1
        name = f"loop{self.count}"
        before = self.block
        self.label(name)
        place, following = f"%{name}.n", f"%{name}.m"
        at = len(self.lines)
        self.lines.append("")
        yield place
        self.lines.append(f"  {following} = add nsw i64 {place}, {step}")
        self.lines.append(f"  %{name}.t = icmp slt i64 {following}, {end}")
        self.lines.append(f"  br i1 %{name}.t, label %{name}, label %{name}.end")
        self.lines[at] = (
            f"  {place} = phi i64 [ {first}, %{before} ], [ {following}, %{self.block} ]"
        )
        self.lines.append(f"{name}.end:")
        self.block = f"{name}.end"

    @contextmanager
    def only_if(self, test: str) -> Iterator[None]:
        """Do what is written within where a test holds."""
        self.count += 1
        name = f"then{self.count}"
        self.lines += [f"  br i1 {test}, label %{name}, label %{name}.end", f"{name}:"]
        self.block = name
        yield
        self.label(f"{name}.end")

    def module(self) -> str:
        """Return the whole module: one function `run` of all lines."""
        head = "define void @run(i64 %count, ptr noalias %arrays, ptr noalias %scratch) {"
        body = [head, "start:", *self.entry, *self.lines, "  ret void", "}", ""]
        return "\n".join([*self.tables, *sorted(self.declared), *body])
