"""Sine and cosine of several numbers at once, written out where they are wanted.

Around a call, a loop would put all that it has in hand into memory and back. The sine and the
cosine of one angle share most of their lines, which the compiler keeps but once.
"""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.polynomial import Chebyshev, Polynomial

from tradeopt.kernel.code import Code, Value, literal

LARGEST_ANGLE: Final = 2.0**40
"""Angle [rad] beyond which its place in the turn is not known well enough, and NaN is given."""

_QUARTER: Final = math.pi / 2.0
_REST: Final = math.cos(_QUARTER)
"""What a quarter of a turn is more than the number above; both have twice its digits."""

_ROUNDER: Final = 1.5 * 2.0**52
"""Added to a number, it leaves no room for a fraction, and the last bits are the whole number."""


def _shortened(terms: Sequence[float], kept: int) -> tuple[float, ...]:
    """Spread the highest terms of a power series, lowest first, over those below."""
    left = np.array(terms)
    while len(left) > kept:
        even = Chebyshev.basis(len(left) - 1, domain=[0.0, (_QUARTER / 2.0) ** 2])
        ripple = np.asarray(even.convert(kind=Polynomial).coef, dtype=np.float64)
        # as small as a polynomial with that highest term can be within half a quarter
        left = (left - left[-1] / ripple[-1] * ripple)[:-1]
    return tuple(left.tolist())


_SINE_TERMS: Final = _shortened(
    [(-1.0) ** n / math.factorial(2 * n + 1) for n in range(1, 9)], kept=6
)
_COSINE_TERMS: Final = _shortened(
    [(-1.0) ** n / math.factorial(2 * n) for n in range(2, 9)], kept=6
)
"""Of the power series, the lowest first; what is left out is nothing within half a quarter."""


def wave(code: Code, angle: Value, *, quarters: int) -> Value:
    """
    Write sines of angles to which quarters of a turn are added.

    Parameters
    ----------
    code : Code
        Where they are written.
    angle : Value
        A vector [rad].
    quarters : int
        None for the sine, one for the cosine.

    Returns
    -------
    Value
        As wide as the angle is.
    """
    width = angle.width
    turned = _fused(code, angle, literal(1.0 / _QUARTER, width), literal(_ROUNDER, width))
    whole = f"fsub {angle.kind} {turned.text}, {literal(_ROUNDER, width).text}"
    back = Value(code.put(f"fneg {angle.kind} {code.put(whole)}"), width)
    near = _fused(code, back, literal(_QUARTER, width), angle)
    near = _within(code, angle, _fused(code, back, literal(_REST, width), near))
    bits = f"<{width} x i64>"
    count = code.put(f"bitcast {angle.kind} {turned.text} to {bits}")
    count = code.put(f"add {bits} {count}, {_whole(width, quarters)}")
    odd = code.put(f"trunc {bits} {count} to <{width} x i1>")
    found = code.choose(Value(odd, width, is_flag=True), _cosine(code, near), _sine(code, near))
    half = code.put(f"and {bits} {count}, {_whole(width, 2)}")
    sign = code.put(f"shl {bits} {half}, {_whole(width, 62)}")
    plain = code.put(f"bitcast {angle.kind} {found.text} to {bits}")
    signed = code.put(f"xor {bits} {plain}, {sign}")
    signed = code.put(f"bitcast {bits} {signed} to {angle.kind}")
    return Value(signed, width)


def _within(code: Code, angle: Value, found: Value) -> Value:
    """Give NaN for angles that are too large."""
    width = angle.width
    size = code.called(f"llvm.fabs.v{width}f64", [angle])
    test = f"fcmp ole {size.kind} {size.text}, {literal(LARGEST_ANGLE, width).text}"
    return code.choose(Value(code.put(test), width, is_flag=True), found, literal(math.nan, width))


def _sine(code: Code, near: Value) -> Value:
    """Write sines of angles within half a quarter of 0."""
    square = _times(code, near, near)
    size = _fused(code, _times(code, near, square), _series(code, square, _SINE_TERMS), near)
    # a zero keeps its sign, which the sum has lost
    return code.called(f"llvm.copysign.v{near.width}f64", [size, near])


def _cosine(code: Code, near: Value) -> Value:
    """Write cosines of angles within half a quarter of 0."""
    square = _times(code, near, near)
    less = _fused(code, square, literal(-0.5, near.width), literal(1.0, near.width))
    series = _series(code, square, _COSINE_TERMS)
    return _fused(code, _times(code, square, square), series, less)


def _series(code: Code, square: Value, terms: Sequence[float]) -> Value:
    found = literal(terms[-1], square.width)
    for term in terms[-2::-1]:
        found = _fused(code, found, square, literal(term, square.width))
    return found


def _times(code: Code, one: Value, other: Value) -> Value:
    return Value(code.put(f"fmul {one.kind} {one.text}, {other.text}"), one.width)


def _fused(code: Code, one: Value, other: Value, more: Value) -> Value:
    """Write one times other plus more, rounded once."""
    return code.called(f"llvm.fma.v{one.width}f64", [one, other, more])


def _whole(width: int, number: int) -> str:
    return f"<{', '.join([f'i64 {number}'] * width)}>"
