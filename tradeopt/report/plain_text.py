"""Texts from outside, made harmless for the files that hold them."""

import re

_UNFIT = re.compile("[\\x00-\\x08\\x0b\\x0c\\x0e-\\x1f\\ud800-\\udfff\\ufffe\\uffff]")
_NAME = re.compile("[a-z]+(_[a-z]+)+")
_FORMULA = ("=", "+", "-", "@")


def clean(text: str) -> str:
    r"""
    Take out what no file can hold: control characters and halves of characters.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        Without them.

    Examples
    --------
    >>> clean("levee\x00 rounds\ud800")
    'levee rounds'
    """
    return _UNFIT.sub("", text)


def no_formula(text: str) -> str:
    """
    Keep a text from being taken for a formula by a spreadsheet.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        Cleaned, on one line, and with an apostrophe before what would begin a formula.

    Examples
    --------
    >>> no_formula("=1+1"), no_formula("knee")
    ("'=1+1", 'knee')
    """
    told = " ".join(clean(text).split())
    return f"'{told}" if told.startswith(_FORMULA) else told


def readable(cell: str) -> str:
    """
    Write a name of the glossary the way it is read.

    Parameters
    ----------
    cell : str
        What stands in one place of a table.

    Returns
    -------
    str
        The name with spaces; anything else as it is.

    Examples
    --------
    >>> readable("hip_pitch"), readable("demo-flat"), readable("gaits.steady")
    ('hip pitch', 'demo-flat', 'gaits.steady')
    """
    return cell.replace("_", " ") if _NAME.fullmatch(cell) else cell
