"""Every form of file that a study may name, and who reads it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final, TypeAlias

from tradeopt.arrays import Array
from tradeopt.chain.kind import File
from tradeopt.study.stride import read_stride
from tradeopt.study.table import LARGEST_TABLE
from tradeopt.study.told import Told, told_beside
from tradeopt.study.urdf import LARGEST_URDF
from tradeopt.study.urdf_leg import read_leg

__all__ = ["FORMS", "Form", "Told", "told_beside"]

Reader: TypeAlias = Callable[[str, str, File, Told], dict[str, Array]]
"""From content, name of the file, what it turns into, and what the study says beside it."""


@dataclass(frozen=True)
class Form:
    """One form of file.

    Attributes
    ----------
    want : str
        What it is called in messages.
    largest : int
        Bytes it may have.
    read : Reader
        Turns it into arrays, or raises `StudyError` with every problem.
    """

    want: str
    largest: int
    read: Reader


FORMS: Final[Mapping[str, Form]] = {
    "stride": Form("a recorded stride", LARGEST_TABLE, read_stride),
    "urdf": Form("a robot in URDF", LARGEST_URDF, read_leg),
}
