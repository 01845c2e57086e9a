"""The errors this package raises, and the form every problem is reported in."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

LONGEST_NAME = 100
"""Characters up to which a mistyped name is compared with the known ones."""


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong, told so that the reader can mend it without opening the code.

    Attributes
    ----------
    where : str
        Path of the value in the study file, such as ``robot.frame.thigh``, or the two sides of a
        chain.
    got : str
        What came, in the reader's own words.
    want : str
        What was wanted instead.
    near : str, optional
        The known name that is closest to a mistyped one.
    file : str, optional
        Name of the file, as the reader gave it.
    line, column : int, optional
        Place in the file, counted from 1.
    text : str, optional
        The line itself.
    """

    where: str
    got: str
    want: str
    near: str | None = None
    file: str | None = None
    line: int | None = None
    column: int | None = None
    text: str | None = None

    def __str__(self) -> str:
        place = f"{self.file or 'study'}:{self.line}:{self.column}: " if self.line else ""
        near = f" (near: {self.near!r})" if self.near else ""
        message = f"{place}{self.where}: got {self.got}, want {self.want}{near}"
        if self.text is None or self.column is None:
            return message
        shown, caret = excerpt(self.text, self.column)
        return f"{message}\n    {shown}\n    {' ' * caret}^"


def excerpt(text: str, column: int, width: int = 88) -> tuple[str, int]:
    """
    Cut a line down to what fits a terminal, keeping the place of the problem in sight.

    Parameters
    ----------
    text : str
        The line.
    column : int
        Place of the problem, counted from 1.
    width : int
        Most characters to show.

    Returns
    -------
    tuple of str and int
        The part shown, and how many characters of it stand before the place.

    Examples
    --------
    >>> excerpt("mass: 6 mm", 7)
    ('mass: 6 mm', 6)
    """
    line = text.rstrip().replace("\t", " ")
    start = max(0, min(column - 1 - width // 2, len(line) - width))
    return line[start : start + width], column - 1 - start


def near(name: str, known: Iterable[str]) -> str | None:
    """
    Find the known name that a mistyped one most likely stands for.

    Parameters
    ----------
    name : str
        What was written.
    known : iterable of str
        The names there are.

    Returns
    -------
    str or None
        The nearest name, or None where nothing is close.

    Notes
    -----
    The same letters in another case win; then the best ratio of matching blocks above 0.6. Names
    longer than 100 characters are not compared, so that a hostile file cannot make the search
    slow.

    Examples
    --------
    >>> near("totl_mass", ["range", "total_mass"])
    'total_mass'
    """
    if len(name) > LONGEST_NAME:
        return None
    names = list(known)
    same_letters = [other for other in names if other.casefold() == name.casefold()]
    return next(iter(same_letters or get_close_matches(name, names, n=1)), None)


class TradeoptError(Exception):
    """Anything this package raises on purpose."""


class UnitError(TradeoptError):
    """A text that is not a number with the wanted unit.

    Attributes
    ----------
    got : str
        What came.
    want : str
        What was wanted, with a worked example.
    near : str, optional
        The known unit closest to a mistyped one.
    """

    def __init__(self, got: str, want: str, near: str | None = None) -> None:
        self.got = got
        self.want = want
        self.near = near
        super().__init__(f"got {got}, want {want}" + (f" (near: {near!r})" if near else ""))


class ProblemsError(TradeoptError):
    """Several problems, all found before the first one is reported."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        super().__init__("\n".join(str(problem) for problem in problems))


class StudyError(ProblemsError):
    """The study file cannot be used as it stands."""


class ChainError(ProblemsError):
    """The stages do not fit together; found before anything runs."""


class NotFoundError(TradeoptError):
    """There is no run or design of that name."""


class SearchError(TradeoptError):
    """A search that failed."""


class UnreachableError(TradeoptError):
    """A service does not answer."""


class ServiceError(TradeoptError):
    """A service did not do what was asked.

    Attributes
    ----------
    status : int
        How it answered.
    document : mapping of str to object
        The problem as it told it; `errors` names each single one.
    """

    def __init__(self, status: int, document: Mapping[str, Any]) -> None:
        self.status = status
        self.document = document
        super().__init__(str(document.get("detail") or document.get("title") or status))


class AccessError(ServiceError):
    """The service lets nobody in without a token that is valid."""


class MissingError(ServiceError, NotFoundError):
    """The service has no run or design of that name."""
