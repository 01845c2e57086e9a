"""Lines of LLVM's language: numbers, vectors of them, and the functions of both."""

import struct
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Final

from tradeopt.arrays import Codes

_COMPARED: Final[Mapping[str, str]] = {
    "less": "olt",
    "less_equal": "ole",
    "greater": "ogt",
    "greater_equal": "oge",
    "equal": "oeq",
    "not_equal": "une",
}
_ARITHMETIC: Final[Mapping[str, str]] = {
    "add": "fadd",
    "subtract": "fsub",
    "multiply": "fmul",
    "divide": "fdiv",
}
_INTRINSIC: Final[Mapping[str, str]] = {
    "absolute": "fabs",
    "sqrt": "sqrt",
    "floor": "floor",
    "ceil": "ceil",
    "trunc": "trunc",
    "rint": "rint",
}
_LIBRARY: Final[Mapping[str, str]] = {
    "sin": "sin",
    "cos": "cos",
    "tan": "tan",
    "arcsin": "asin",
    "arccos": "acos",
    "arctan": "atan",
    "arctan2": "atan2",
    "exp": "exp",
    "expm1": "expm1",
    "log": "log",
    "log1p": "log1p",
    "log2": "log2",
    "cbrt": "cbrt",
    "power": "pow",
}


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
    return Value(text, width, is_flag=True)


class Code:
    """Lines of one function.

    Parameters
    ----------
    vector_functions : mapping of str to str
        Functions of the library for four numbers at once, by the name of the one for one.
    """

    def __init__(self, vector_functions: Mapping[str, str]) -> None:
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

    def apply(self, name: str, operands: Sequence[Value]) -> Value:
        """Apply a function that can be recorded; all operands are as wide as each other."""
        first = operands[0]
        kind, names = first.kind, ", ".join(one.text for one in operands)
        if name in _ARITHMETIC:
            return Value(self.put(f"{_ARITHMETIC[name]} {kind} {names}"), first.width)
        if name in _COMPARED:
            return Value(self.put(f"fcmp {_COMPARED[name]} {kind} {names}"), first.width, True)
        if name in _INTRINSIC:
            return self._intrinsic(_INTRINSIC[name], first)
        if name in _LIBRARY:
            return self._library(_LIBRARY[name], operands)
        return self._other(name, operands)

    def _other(self, name: str, operands: Sequence[Value]) -> Value:
        first, width = operands[0], operands[0].width
        match name:
            case "negative":
                return Value(self.put(f"fneg {first.kind} {first.text}"), width)
            case "isnan":
                text = f"fcmp uno {first.kind} {first.text}, {first.text}"
                return Value(self.put(text), width, is_flag=True)
            case "logical_and" | "logical_or":
                word = name.removeprefix("logical_")
                text = f"{word} {first.kind} {first.text}, {operands[1].text}"
                return Value(self.put(text), width, is_flag=True)
            case "logical_not":
                text = f"xor {first.kind} {first.text}, {flag(holds=True, width=width).text}"
                return Value(self.put(text), width, is_flag=True)
            case "number":
                kind = literal(0.0, width).kind
                return Value(self.put(f"uitofp {first.kind} {first.text} to {kind}"), width)
            case "where":
                return self.choose(first, operands[1], operands[2])
            case "minimum" | "maximum":
                return self._extreme("olt" if name == "minimum" else "ogt", *operands)
            case _:
                raise KeyError(name)

    def choose(self, holds: Value, one: Value, other: Value) -> Value:
        """Return one where a flag holds, and the other elsewhere."""
        operands = ", ".join(f"{each.kind} {each.text}" for each in (holds, one, other))
        return Value(self.put(f"select {operands}"), one.width, one.is_flag)

    def _extreme(self, compared: str, one: Value, other: Value) -> Value:
        """Return the lesser or the greater; NaN where either is, as numpy does."""
        if other.literal is not None:
            one, other = other, one
        test = self.put(f"fcmp {compared} {one.kind} {one.text}, {other.text}")
        found = self.choose(Value(test, one.width, is_flag=True), one, other)
        if one.literal is not None:  # not NaN itself, and the test is false for a NaN beside it
            return found
        return self.choose(self._other("isnan", [one]), one, found)

    def _intrinsic(self, name: str, one: Value) -> Value:
        suffix = f"v{one.width}f64" if one.width else "f64"
        text = f"declare {one.kind} @llvm.{name}.{suffix}({one.kind})"
        self.declared.add(text)
        called = f"call {one.kind} @llvm.{name}.{suffix}({one.kind} {one.text})"
        return Value(self.put(called), one.width)

    def _library(self, name: str, operands: Sequence[Value]) -> Value:
        width = operands[0].width
        if not width:
            return self._call(name, operands)
        if name in self.vector_functions:
            return self._by_fours(self.vector_functions[name], operands)
        lanes = [
            self._call(name, [self.lane(one, place) for one in operands]) for place in range(width)
        ]
        return self.gathered(lanes)

    def _call(self, name: str, operands: Sequence[Value]) -> Value:
        kind = operands[0].kind
        self.declared.add(f"declare {kind} @{name}({', '.join([kind] * len(operands))})")
        given = ", ".join(f"{kind} {one.text}" for one in operands)
        return Value(self.put(f"call {kind} @{name}({given})"), operands[0].width)

    def _by_fours(self, name: str, operands: Sequence[Value]) -> Value:
        width = operands[0].width
        found: list[Value] = []
        for first in range(0, width, 4):
            places = [min(first + one, width - 1) for one in range(4)]
            found.append(self._call(name, [self.shuffled(one, one, places) for one in operands]))
        if len(found) == 1:
            return self.shuffled(found[0], found[0], range(width))
        if len(found) > 2:
            raise KeyError(f"vectors of {width}")
        return self.shuffled(found[0], found[1], range(width))

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
            return literal(one.literal, width)
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
        kind = literal(0.0, width).kind
        found = Value(self.put(f"load {kind}, ptr {address}, align 8"), width)
        return self.apply("not_equal", [found, literal(0.0, width)]) if is_flag else found

    def store(self, value: Value, address: str) -> None:
        """Write numbers."""
        one = self.apply("number", [value]) if value.is_flag else value
        self.lines.append(f"  store {one.kind} {one.text}, ptr {address}, align 8")

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
