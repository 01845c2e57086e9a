"""A study file as plain values that know their place in it, and the opening of text files."""

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tradeopt.errors import Problem, StudyError, near
from tradeopt.study.place import Place, ValuePath, dotted, shown
from tradeopt.study.yaml_reader import Reader

__all__ = ["Document", "Place", "ValuePath", "dotted", "load_text", "near", "read"]

LARGEST_FILE = 262_144
"""Bytes a study file may have; a long study has some 20,000."""


@dataclass(frozen=True)
class Document:
    """What a file says, and where it says it.

    Attributes
    ----------
    file : str
        Name of the file, as the reader gave it.
    data : dict
        Mappings, lists, text, numbers, yes or no, and nothing.
    lines : tuple of str
        The file, line by line.
    values : dict
        Place of each value, by its path.
    names : dict
        Place of each name, by the path of its value.
    """

    file: str
    data: dict[str, Any]
    lines: tuple[str, ...]
    values: dict[ValuePath, Place] = field(repr=False)
    names: dict[ValuePath, Place] = field(repr=False)

    def place(self, path: ValuePath, *, key: bool = False) -> Place:
        r"""
        Find a value, or its name, in the file.

        Parameters
        ----------
        path : tuple of str and int
            Path of the value.
        key : bool
            Point at the name instead of the value.

        Returns
        -------
        tuple of int
            Line and column, from 1. What is not in the file has the place of what should hold it.

        Examples
        --------
        >>> read("frame:\n  thigh: 6 kg\n", file="study.yaml").place(("frame", "thigh"))
        (2, 10)
        """
        first, second = (self.names, self.values) if key else (self.values, self.names)
        if path in first or path in second:
            return first.get(path) or second[path]
        return self.place(path[:-1], key=True) if path else (1, 1)

    def problem(
        self, path: ValuePath, got: str, want: str, near: str | None = None, *, key: bool = False
    ) -> Problem:
        """
        Say what is wrong with a value, with its place.

        Parameters
        ----------
        path : tuple of str and int
            Path of the value.
        got, want : str
            What came and what was wanted.
        near : str, optional
            The known name closest to a mistyped one.
        key : bool
            Point at the name instead of the value.

        Returns
        -------
        Problem
            With file, line, column and the line itself.

        Examples
        --------
        >>> document = read("thigh: 6 kg", file="study.yaml")
        >>> print(document.problem(("thigh",), "'6 kg'", "a length in m"))
        study.yaml:1:8: thigh: got '6 kg', want a length in m
            thigh: 6 kg
                   ^
        """
        line, column = self.place(path, key=key)
        text = self.lines[line - 1]
        return Problem(dotted(path), got, want, near, self.file, line, column, text)


def load_text(path: Path, *, largest: int, want: str) -> str:
    """
    Take in a text file of limited size.

    Parameters
    ----------
    path : Path
        The file.
    largest : int
        Bytes it may have; a larger file is not opened.
    want : str
        What the file should be, for the message.

    Returns
    -------
    str
        Its text, without a byte order mark.

    Raises
    ------
    StudyError
        When it is no readable file, too large, or no UTF-8.

    Examples
    --------
    >>> load_text(Path("/nowhere.csv"), largest=100, want="a table")
    Traceback (most recent call last):
    tradeopt.errors.StudyError: /nowhere.csv: got no file of that name, want a table
    """
    size = _size(path, want)
    if size > largest:
        raise _file_error(path, f"{size} bytes", f"{want} of at most {largest} bytes")
    try:
        with path.open("rb") as stream:
            content = stream.read(largest + 1)
    except OSError as error:
        raise _file_error(path, f"a file that cannot be read ({error.strerror})", want) from error
    if len(content) > largest:
        raise _file_error(path, "a file that is growing", f"{want} of at most {largest} bytes")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        got = f"bytes that are no UTF-8 text on line {line}"
        raise _file_error(path, got, f"{want} saved as UTF-8") from error


def _size(path: Path, want: str) -> int:
    """Look at a path without opening it: a pipe would keep the reader waiting for ever."""
    try:
        if path.is_dir():
            raise _file_error(path, "a directory", want)
        if path.exists() and not path.is_file():
            raise _file_error(path, "a device or pipe", want)
        return path.stat().st_size
    except FileNotFoundError as error:
        raise _file_error(path, "no file of that name", want) from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _file_error(path, f"a file that cannot be read ({reason})", want) from error


def _file_error(path: Path, got: str, want: str) -> StudyError:
    return StudyError((Problem(shown(str(path)), got, want, file=str(path)),))


def read(text: str, *, file: str) -> Document:
    r"""
    Read the text of a study.

    Parameters
    ----------
    text : str
        YAML: one mapping of names to values.
    file : str
        What to call it in messages.

    Returns
    -------
    Document
        What it says, and where.

    Raises
    ------
    StudyError
        With every problem found.

    Examples
    --------
    >>> read("air: no\nspring: 12:30\ncount: 3", file="study.yaml").data
    {'air': 'no', 'spring': '12:30', 'count': 3}
    """
    text = text.removeprefix("\ufeff")
    reader = Reader(file, text[:LARGEST_FILE])
    if len(text) > LARGEST_FILE:
        reader.report((), (1, 1), f"{len(text)} characters", f"at most {LARGEST_FILE}")
    else:
        reader.take(text)
    if reader.problems.found:
        raise StudyError(reader.problems.told())
    return Document(file, reader.data, reader.problems.lines, reader.values, reader.names)
