"""Where something stands in a file, and how a message says so."""

from typing import TypeAlias

ValuePath: TypeAlias = tuple[str | int, ...]
"""Names and list positions, from 0, that lead from the top of the file to a value."""

Place: TypeAlias = tuple[int, int]
"""Line and column, both from 1."""

MOST_PROBLEMS = 100
"""Problems told at once; a file with more of them is not the file that was meant."""

_LONGEST_SHOWN = 60


def dotted(path: ValuePath) -> str:
    """
    Write a path the way a study does.

    Parameters
    ----------
    path : tuple of str and int
        Names and list positions.

    Returns
    -------
    str
        Joined by dots; ``study`` for the whole file.

    Examples
    --------
    >>> dotted(("objectives", 1, "name"))
    'objectives.1.name'
    """
    return ".".join(shown(str(part)) for part in path) or "study"


def shown(text: str) -> str:
    """
    Keep a text from a file short and harmless in a message.

    Parameters
    ----------
    text : str
        Anything.

    Returns
    -------
    str
        Printable, on one line, at most some 60 characters.

    Examples
    --------
    >>> shown("thigh")
    'thigh'
    """
    short = text if len(text) <= _LONGEST_SHOWN else f"{text[:_LONGEST_SHOWN]}..."
    return short if short.isprintable() else ascii(short)[1:-1]
