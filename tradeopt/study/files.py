"""Who reads each form of file that a kind may ask for."""

from collections.abc import Callable, Mapping
from typing import Final, TypeAlias

from tradeopt.arrays import Array
from tradeopt.chain.kind import File
from tradeopt.study.ratio_curve import read_ratio
from tradeopt.study.stride import read_stride
from tradeopt.study.told import Told, told_beside
from tradeopt.study.urdf_leg import read_leg

__all__ = ["READERS", "Told", "told_beside"]

Reader: TypeAlias = Callable[[str, str, File, Told], dict[str, Array]]
"""From content, name of the file, what it turns into, and what the study says beside it.

It raises `StudyError` with every problem.
"""

READERS: Final[Mapping[str, Reader]] = {
    "stride": read_stride,
    "ratio": read_ratio,
    "urdf": read_leg,
}
