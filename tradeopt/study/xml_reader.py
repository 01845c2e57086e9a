"""XML as nested elements that know their place, for files that nobody has to trust.

Document types are refused before anything in them is looked at, so that no entity is ever
expanded and no other file is ever opened.
"""

import re
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final
from xml.parsers import expat  # nosec -- entities never get as far as being expanded

from tradeopt.errors import Problem, StudyError
from tradeopt.study.place import shown

MOST_ELEMENTS: Final = 20_000
"""Elements a file may have; a large robot has some 2,000."""

DEEPEST: Final = 32
"""Elements inside one another; a robot needs 6."""

_LINE_END = re.compile(r"\r\n|\r|\n")
_UNREADABLE = re.compile(r"[^ -~\u00a0-\ud7ff\ue000-\ufffd]")


@dataclass(frozen=True)
class Element:
    """One element with what is inside it.

    Attributes
    ----------
    tag : str
        Its name.
    attributes : dict of str to str
        As written.
    line, column : int
        Where it starts, from 1.
    children : list of Element
        Elements inside it, in order.
    """

    tag: str
    attributes: dict[str, str]
    line: int
    column: int
    children: list["Element"] = field(default_factory=list, repr=False)

    def all(self, tag: str) -> list["Element"]:
        """Return the elements of one name right inside this one."""
        return [child for child in self.children if child.tag == tag]

    def first(self, tag: str) -> "Element | None":
        """Return the first element of a name right inside this one."""
        return next((child for child in self.children if child.tag == tag), None)


@dataclass(frozen=True)
class Source:
    """A text and what it is called, for messages.

    Attributes
    ----------
    file : str
        Name of the file.
    text : str
        What it says.
    """

    file: str
    text: str

    @cached_property
    def lines(self) -> tuple[str, ...]:
        """The text, line by line."""
        return tuple(_LINE_END.split(self.text))

    def problem(
        self, where: str, place: tuple[int, int], got: str, want: str, near: str | None = None
    ) -> Problem:
        """
        Say what is wrong at a place.

        Parameters
        ----------
        where : str
            What it is about.
        place : tuple of int
            Line and column, from 1.
        got, want : str
            What came and what was wanted.
        near : str, optional
            The known name closest to a mistyped one.

        Returns
        -------
        Problem
            With file, line, column and the line itself.

        Examples
        --------
        >>> print(Source("walker.urdf", "<robot/>").problem("robot", (1, 1), "no link", "a link"))
        walker.urdf:1:1: robot: got no link, want a link
            <robot/>
            ^
        """
        line, column = place
        found = self.lines[line - 1] if line <= len(self.lines) else ""
        text = _UNREADABLE.sub("\N{REPLACEMENT CHARACTER}", found)
        return Problem(shown(where), got, want, near, self.file, line, column, text)


def read_xml(source: Source) -> Element:
    """
    Read XML.

    Parameters
    ----------
    source : Source
        The text.

    Returns
    -------
    Element
        The outermost element.

    Raises
    ------
    StudyError
        Where it is no XML, declares a document type or entities, or is too large.

    Examples
    --------
    >>> read_xml(Source("walker.urdf", "<robot name='walker'><link/></robot>")).children[0].tag
    'link'
    """
    builder = _Builder(source)
    parser = expat.ParserCreate("utf-8")
    builder.attach(parser)
    try:
        parser.Parse(source.text.encode("utf-8", "replace"), True)  # noqa: FBT003 -- by position only
    except expat.ExpatError as error:
        place = (max(error.lineno, 1), error.offset + 1)
        got = f"text that is no XML ({expat.ErrorString(error.code)})"
        problem = source.problem("file", place, got, "XML whose elements are closed in order")
        raise StudyError((problem,)) from error
    return builder.root


class _Builder:
    """Builds elements as the parser meets them."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.open: list[Element] = []
        self.count = 0
        self.root = Element("", {}, 1, 1)

    def attach(self, parser: expat.XMLParserType) -> None:
        """Let a parser report here."""
        self.parser = parser
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.StartDoctypeDeclHandler = self._refuse_type
        parser.EntityDeclHandler = self._refuse_type

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        line, column = self.parser.CurrentLineNumber, self.parser.CurrentColumnNumber + 1
        element = Element(tag, attributes, line, column)
        self.count += 1
        if self.count > MOST_ELEMENTS:
            raise self._refusal(f"more than {MOST_ELEMENTS} elements", f"at most {MOST_ELEMENTS}")
        if len(self.open) >= DEEPEST:
            raise self._refusal(f"more than {DEEPEST} elements inside one another", "fewer")
        if self.open:
            self.open[-1].children.append(element)
        else:
            self.root = element
        self.open.append(element)

    def _end(self, _tag: str) -> None:
        self.open.pop()

    def _refuse_type(self, *_declared: object) -> None:
        raise self._refusal("a document type or entity", "plain elements without any")

    def _refusal(self, got: str, want: str) -> StudyError:
        place = self.parser.CurrentLineNumber, self.parser.CurrentColumnNumber + 1
        return StudyError((self.source.problem("file", place, got, want),))
