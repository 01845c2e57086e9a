"""Functions of numbers, and of vectors of them, in LLVM's language."""

from collections.abc import Callable, Mapping, Sequence
from typing import Final

import numpy as np

from tradeopt.kernel.code import Code, Value, flag, literal
from tradeopt.kernel.functions import FUNCTIONS
from tradeopt.kernel.waves import wave

_COMPARED: Final[Mapping[str, str]] = {
    "less": "olt",
    "less_equal": "ole",
    "greater": "ogt",
    "greater_equal": "oge",
    "equal": "oeq",
    "not_equal": "une",
}
_ARITHMETIC: Final[Mapping[str, str]] = {
    "add": "fadd contract",
    "subtract": "fsub",
    "multiply": "fmul contract",
    "divide": "fdiv",
}
"""A sum may take a product as it was before rounding. A difference may not: two equal products
differ by nothing."""
_FIRST: Final[Mapping[str, str]] = {"minimum": "olt", "maximum": "ogt"}
"""How the first of two numbers is compared with the second where it is taken."""
_INTRINSIC: Final[Mapping[str, str]] = {
    "absolute": "fabs",
    "sqrt": "sqrt",
    "floor": "floor",
    "ceil": "ceil",
    "trunc": "trunc",
    "rint": "rint",
    "copysign": "copysign",
}
_LIBRARY: Final[Mapping[str, str]] = {
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
    "log10": "log10",
    "sinh": "sinh",
    "cosh": "cosh",
    "tanh": "tanh",
    "cbrt": "cbrt",
    "power": "pow",
}
_WAVES: Final[Mapping[str, int]] = {"sin": 0, "cos": 1}
"""Quarters of a turn that each is before the sine."""


def apply(code: Code, name: str, operands: Sequence[Value]) -> Value:
    """
    Apply a function.

    Parameters
    ----------
    code : Code
        Where it is written.
    name : str
        Its name in `functions`.
    operands : sequence of Value
        All as wide as each other.

    Returns
    -------
    Value
        As wide as they are.
    """
    known = _known(name, operands)
    return _WRITERS[name](code, *operands) if known is None else known


def _known(name: str, operands: Sequence[Value]) -> Value | None:
    """Return what follows from literals, without any code."""
    first = operands[0]
    if name == "where" and first.literal is not None:
        return operands[1] if first.literal else operands[2]
    if first.width or any(one.literal is None for one in operands):
        return None
    with np.errstate(all="ignore"):
        found = FUNCTIONS[name](*(_number(one) for one in operands))
    return flag(holds=bool(found)) if found.dtype == np.bool_ else literal(float(found))


def _number(one: Value) -> np.float64 | np.bool_:
    known = 0.0 if one.literal is None else one.literal
    return np.bool_(known) if one.is_flag else np.float64(known)


def _plain(word: str) -> "_Writer":
    def write(code: Code, one: Value, *others: Value) -> Value:
        names = ", ".join(each.text for each in (one, *others))
        return Value(code.put(f"{word} {one.kind} {names}"), one.width, is_flag=one.is_flag)

    return write


def _compared(word: str) -> "_Writer":
    def write(code: Code, one: Value, other: Value) -> Value:
        test = f"fcmp {word} {one.kind} {one.text}, {other.text}"
        return Value(code.put(test), one.width, is_flag=True)

    return write


def _is_nan(code: Code, one: Value) -> Value:
    return Value(code.put(f"fcmp uno {one.kind} {one.text}, {one.text}"), one.width, is_flag=True)


def _negated(code: Code, one: Value) -> Value:
    every = flag(holds=True, width=one.width)
    return Value(code.put(f"xor {one.kind} {one.text}, {every.text}"), one.width, is_flag=True)


def _extreme(name: str) -> "_Writer":
    """Return the lesser or the greater; NaN where either is, as numpy does."""

    def write(code: Code, one: Value, other: Value) -> Value:
        if other.literal is not None:
            one, other = other, one
        if one.literal is not None:  # not NaN itself, and the test is false for a NaN beside it
            return code.choose(_compared(_FIRST[name])(code, one, other), one, other)
        # which of 0 and -0 is the greater does not matter
        return code.called(f"llvm.{name}.{_suffix(one)}", [one, other], how="nsz ")

    return write


def _intrinsic(name: str) -> "_Writer":
    def write(code: Code, one: Value, *others: Value) -> Value:
        return code.called(f"llvm.{name}.{_suffix(one)}", [one, *others])

    return write


def _suffix(one: Value) -> str:
    return f"v{one.width}f64" if one.width else "f64"


def _library(name: str) -> "_Writer":
    def write(code: Code, *operands: Value) -> Value:
        width = operands[0].width
        if not width:
            return code.called(name, operands)
        if name in code.vector_functions:
            return _by_vectors(code, code.vector_functions[name], operands)
        lanes = [
            code.called(name, [code.lane(one, place) for one in operands])
            for place in range(width)
        ]
        return code.gathered(lanes)

    return write


def _by_vectors(code: Code, names: Mapping[int, str], operands: Sequence[Value]) -> Value:
    """Call a function of some numbers, once or twice; the last number fills what is over."""
    width = operands[0].width
    most = min((one for one in names if one >= width), default=max(names))
    found = []
    for first in range(0, width, most):
        places = [min(first + one, width - 1) for one in range(most)]
        given = [code.shuffled(one, one, places) for one in operands]
        found.append(code.called(names[most], given))
    return code.shuffled(found[0], found[-1], range(width))


def apply_to_each(code: Code, name: str, operands: Sequence[Sequence[Value]]) -> list[Value]:
    """
    Apply a function to numbers that are not in a vector.

    Parameters
    ----------
    code : Code
        Where it is written.
    name : str
        Its name in `functions`.
    operands : sequence of sequence of Value
        One sequence an operand.

    Returns
    -------
    list of Value
        As many as each operand has.
    """
    each = list(zip(*operands, strict=True))
    is_dear = name in _WAVES or _LIBRARY.get(name) in code.vector_functions
    if len(each) < (_TWO if is_dear else _FEWEST):
        return [apply(code, name, one) for one in each]
    found: list[Value] = []
    for first in range(0, len(each), _AT_ONCE):
        some = [code.gathered(one[first : first + _AT_ONCE]) for one in operands]
        vector = apply(code, name, some)
        found += [code.lane(vector, place) for place in range(vector.width)]
    return found


def greatest(code: Code, one: Value, other: Value) -> Value:
    """
    Return the greater of numbers that are not less than 0; NaN where either is.

    Parameters
    ----------
    code : Code
        Where it is written.
    one, other : Value
        Vectors; the first may also hold less than all numbers.

    Returns
    -------
    Value
        As wide as they are.

    Notes
    -----
    As whole numbers, their bits are in the same order, and those of NaN without its sign are the
    greatest of all.
    """
    bits = f"<{one.width} x i64>"
    size = code.called(f"llvm.fabs.{_suffix(one)}", [other])
    taken = [code.put(f"bitcast {each.kind} {each.text} to {bits}") for each in (one, size)]
    function = f"@llvm.smax.v{one.width}i64"
    code.declared.add(f"declare {bits} {function}({bits}, {bits})")
    found = code.put(f"call {bits} {function}({bits} {taken[0]}, {bits} {taken[1]})")
    return Value(code.put(f"bitcast {bits} {found} to {one.kind}"), one.width)


def _wave(name: str, quarters: int) -> "_Writer":
    def write(code: Code, angle: Value) -> Value:
        return wave(code, angle, quarters=quarters) if angle.width else code.called(name, [angle])

    return write


_Writer = Callable[..., Value]
_TWO: Final = 2
_FEWEST: Final = 4
"""Numbers from which on they are put into vectors, for dear functions and for others."""
_AT_ONCE: Final = 8
"""Numbers that are put into one vector."""

_WRITERS: Final[Mapping[str, _Writer]] = {
    **{name: _plain(word) for name, word in _ARITHMETIC.items()},
    **{name: _compared(word) for name, word in _COMPARED.items()},
    **{name: _intrinsic(word) for name, word in _INTRINSIC.items()},
    **{name: _library(word) for name, word in _LIBRARY.items()},
    **{name: _wave(name, quarters) for name, quarters in _WAVES.items()},
    "negative": _plain("fneg"),
    "logical_and": _plain("and"),
    "logical_or": _plain("or"),
    "logical_not": _negated,
    "isnan": _is_nan,
    "minimum": _extreme("minimum"),
    "maximum": _extreme("maximum"),
    "number": Code.number,
    "where": Code.choose,
}
