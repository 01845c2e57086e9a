"""Every form of file that a study may name."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from tradeopt.study.table import LARGEST_TABLE
from tradeopt.study.urdf import LARGEST_URDF


@dataclass(frozen=True)
class Form:
    """One form of file.

    Attributes
    ----------
    want : str
        What it is called in messages.
    saved : str
        What it is saved as, in words.
    largest : int
        Bytes it may have.
    """

    want: str
    saved: str
    largest: int

    @property
    def name_form(self) -> str:
        """Say in words what names such a file."""
        return f"the name of {self.saved} beside the study file"


PARTS: Final = Form("a table of parts", "a CSV file", LARGEST_TABLE)

FORMS: Final[Mapping[str, Form]] = {
    "stride": Form("a recorded stride", "a CSV file", LARGEST_TABLE),
    "ratio": Form("a ratio curve", "a CSV file", LARGEST_TABLE),
    "urdf": Form("a robot in URDF", "a URDF file", LARGEST_URDF),
}
"""Forms of the files that a kind may ask for; the tables of parts are the study's own."""
