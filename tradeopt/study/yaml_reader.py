"""YAML text to plain values and their places; nothing in a file can do more than be refused.

The text is read as a stream of events, so that size, depth, anchors and tags are refused before
anything is built from them, and nothing here calls itself. Values are typed by the core schema of
YAML 1.2.2 (section 10.3.2) but for what a reader of a study would take for text: ``010``,
``0x10``, ``.inf`` and ``.nan`` stay text, as ``no`` and ``12:30`` do.
"""

import math
import re
from dataclasses import dataclass
from typing import Any

import yaml

from tradeopt.errors import Problem
from tradeopt.study.place import MOST_PROBLEMS, Place, ValuePath, dotted, shown

DEEPEST = 40
"""Lists and groups that may stand inside one another."""

MOST_VALUES = 100_000
"""Values and names a file may have."""

_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

_LINE_END = re.compile(r"\r\n|\r|\n")
_UNREADABLE = re.compile(
    "[^\t\n\r\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)
_TAB_INDENT = re.compile(r" *\t\s*\S")
# Eighteen digits always fit 64 bits; a longer run of digits is no count of anything in a robot.
_WHOLE = re.compile(r"[-+]?(?:0|[1-9][0-9]{0,17})")
_DECIMAL = re.compile(
    r"[-+]?(?:\.[0-9]+|(?:0|[1-9][0-9]{0,63})(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]{1,3})?"
)
_WORDS: dict[str, bool | None] = {
    **dict.fromkeys(("", "~", "null", "Null", "NULL")),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
}


@dataclass(frozen=True)
class _Meaning:
    """What words of the parser mean to somebody who writes a study."""

    words: str
    got: str
    want: str
    at_start: bool = False


_MEANINGS = (
    _Meaning(
        "mapping values are not allowed",
        "a ':' that does not fit here",
        "one 'name: value' a line, indented like the others; quotes around text with ': ' in it",
    ),
    _Meaning("expected ':'", "a line without ':'", "'name: value'", at_start=True),
    _Meaning(
        "did not find expected key",
        "a line that does not fit the ones above",
        "the same indentation for all names of a group, and nothing after a value that has ended",
    ),
    _Meaning(
        "expected '-' indicator",
        "a line that does not fit the list above",
        "'- ' before each entry",
    ),
    _Meaning(
        "',' or ']'",
        "a list that is not closed",
        "',' between entries, ']' at the end",
        at_start=True,
    ),
    _Meaning(
        "',' or '}'",
        "a group that is not closed",
        "',' between entries, '}' at the end",
        at_start=True,
    ),
    _Meaning(
        "unexpected end of stream",
        "a text that is not closed",
        "a quote at its end",
        at_start=True,
    ),
    _Meaning(
        "cannot start any token",
        "a sign that cannot start a value",
        "quotes around text that starts with @, ` or %",
    ),
    _Meaning("nesting depth", "lists or groups too deep inside one another", "a flatter file"),
    _Meaning("expected node content", "a bracket or comma out of place", "a value"),
    _Meaning(
        "expected <document start>", "more text after the end", "one group of names and values"
    ),
    _Meaning(
        "escape character",
        "a backslash before a letter it does not go with",
        "single quotes around text with a backslash",
    ),
)


def typed(text: str) -> str | int | float | bool | None:
    """
    Give a plain scalar its type.

    Parameters
    ----------
    text : str
        As it stands in the file, without quotes.

    Returns
    -------
    str, int, float, bool or None
        Text wherever it is in doubt.

    Examples
    --------
    >>> [typed(text) for text in ("7", "0.5", "true", "no", "010", "12:30", "~")]
    [7, 0.5, True, 'no', '010', '12:30', None]
    """
    if text in _WORDS:
        return _WORDS[text]
    if _WHOLE.fullmatch(text):
        return int(text)
    if _DECIMAL.fullmatch(text) and math.isfinite(float(text)):
        return float(text)
    return text


@dataclass
class _Group:
    """A list or a mapping that is still open, and the name that waits for its value."""

    path: ValuePath
    value: dict[str, Any] | list[Any]
    name: str | None = None
    is_name: bool = False

    @property
    def wants_name(self) -> bool:
        return isinstance(self.value, dict) and self.name is None


class Problems:
    """The problems of one text, each with a place that is inside it.

    Parameters
    ----------
    file : str
        What to call the file in messages.
    text : str
        All of it.

    Attributes
    ----------
    lines : tuple of str
        The text, line by line.
    found : list of Problem
        In the order they were found.
    """

    def __init__(self, file: str, text: str) -> None:
        self.file = file
        self.lines = tuple(_LINE_END.split(text))
        self.found: list[Problem] = []

    def told(self) -> tuple[Problem, ...]:
        """Give the problems in the order of their places, no more than anybody reads."""
        ordered = sorted(self.found, key=lambda problem: (problem.line or 0, problem.column or 0))
        return tuple(ordered[:MOST_PROBLEMS])

    def inside(self, place: Place) -> Place:
        """Return the place itself, or the end of the text: the parser puts what is left out below.

        The value of ``? A`` alone, for one, is nothing on the line after the last.
        """
        line = min(place[0], len(self.lines))
        end = len(self.lines[line - 1]) + 1
        return line, min(place[1], end) if line == place[0] else end

    def report(self, path: ValuePath, place: Place, got: str, want: str) -> None:
        """Keep a problem, with a place that is inside the text."""
        line, column = self.inside(place)
        text = _UNREADABLE.sub("\N{REPLACEMENT CHARACTER}", self.lines[line - 1])
        self.found.append(
            Problem(dotted(path), got, want, file=self.file, line=line, column=column, text=text)
        )

    def report_unreadable(self) -> None:
        """Find what no parser should see: control characters, lone halves of a pair."""
        for number, line in enumerate(self.lines, 1):
            found = _UNREADABLE.search(line)
            if found:
                got = f"the unprintable character U+{ord(found[0]):04X}"
                self.report((), (number, found.start() + 1), got, "plain text")

    def report_tabs(self) -> None:
        """Find tabs before a value, which look like spaces and are not."""
        for number, line in enumerate(self.lines, 1):
            if _TAB_INDENT.match(line):
                self.report(("indentation",), (number, line.index("\t") + 1), "a tab", "spaces")


class Reader:
    """Builds plain values from text and gathers every problem on the way.

    Parameters
    ----------
    file : str
        What to call the file in messages.
    text : str
        All of it.

    Attributes
    ----------
    data : dict
        What the file says; complete only where there is no problem.
    values, names : dict
        Place of each value, and of its name, by path.
    problems : Problems
        What is wrong with it.
    """

    def __init__(self, file: str, text: str) -> None:
        self.problems = Problems(file, text)
        self.report = self.problems.report
        self.data: dict[str, Any] = {}
        self.values: dict[ValuePath, Place] = {}
        self.names: dict[ValuePath, Place] = {}
        self._root: Any = None
        self._open: list[_Group] = []
        self._count = 0
        self._documents = 0

    def take(self, text: str) -> None:
        """Read the text up to its end, or to where going on makes no sense."""
        if _UNREADABLE.search(text):
            self.problems.report_unreadable()
            return
        self.problems.report_tabs()
        try:
            for event in yaml.parse(text, Loader=_LOADER):
                if not self._event(event):
                    return
        except yaml.MarkedYAMLError as error:
            self._report_syntax(error)
        if isinstance(self._root, dict):
            self.data = self._root
        elif not self.problems.found:
            self._report_root()

    def _event(self, event: yaml.Event) -> bool:
        """Take one event in; False where going on makes no sense."""
        if isinstance(event, yaml.NodeEvent):
            return self._node(event)
        if isinstance(event, yaml.CollectionEndEvent):
            self._close()
        elif isinstance(event, yaml.DocumentStartEvent):
            self._documents += 1
            if self._documents > 1:
                self.report((), _place(event), "a second document after '---'", "one study a file")
                return False
        return True

    def _node(self, event: yaml.NodeEvent) -> bool:
        self._count += 1
        is_group = isinstance(event, yaml.CollectionStartEvent)
        if self._count > MOST_VALUES:
            self.report((), _place(event), "too many values", f"at most {MOST_VALUES}")
            return False
        if is_group and len(self._open) >= DEEPEST:
            got = f"more than {DEEPEST} lists or groups inside one another"
            self.report((), _place(event), got, "a flatter file")
            return False
        self._refuse_references(event)
        if isinstance(event, yaml.CollectionStartEvent):
            self._start(event)
        else:
            self._scalar(event)
        return len(self.problems.found) < MOST_PROBLEMS

    def _next_path(self) -> ValuePath:
        """Path of the value that comes next."""
        if not self._open:
            return ()
        group = self._open[-1]
        if isinstance(group.value, list):
            return (*group.path, len(group.value))
        return group.path if group.name is None else (*group.path, group.name)

    def _refuse_references(self, event: yaml.NodeEvent) -> None:
        """Refuse what lets a short file stand for a huge one, or for a program."""
        path = self._next_path()
        if isinstance(event, yaml.AliasEvent):
            self.report(
                path,
                _place(event),
                f"the reference '*{shown(str(event.anchor))}'",
                "the value itself",
            )
            return
        if event.anchor is not None:
            self.report(
                path, _place(event), f"the anchor '&{shown(event.anchor)}'", "the value alone"
            )
        tag = getattr(event, "tag", None)
        if tag is not None:
            self.report(path, _place(event), f"the tag '{shown(tag)}'", "the value alone")

    def _scalar(self, event: yaml.NodeEvent) -> None:
        value = None
        if isinstance(event, yaml.ScalarEvent):
            value = typed(event.value) if not event.style else event.value
        if self._open and self._open[-1].wants_name:
            self._name(value, _place(event))
        else:
            self._put(value, _place(event))

    def _name(self, value: str | float | None, place: Place) -> None:
        group = self._open[-1]
        name = value if isinstance(value, str) else str(value)
        path = (*group.path, name)
        if not isinstance(value, str):
            got = "no name" if value is None else f"{shown(name)} as a name"
            self.report(group.path, place, got, "a name of letters, or quotes around it")
        elif name in group.value:
            got = f"'{shown(name)}' a second time (first on line {self.names[path][0]})"
            self.report(path, place, got, "each name once")
        self.names.setdefault(path, self.problems.inside(place))
        group.name = name

    def _put(self, value: Any, place: Place) -> None:  # noqa: ANN401 - whatever a file may hold
        self.values.setdefault(self._next_path(), self.problems.inside(place))
        if not self._open:
            self._root = value
            return
        group = self._open[-1]
        if isinstance(group.value, list):
            group.value.append(value)
        elif group.name is not None:
            group.value[group.name] = value
            group.name = None

    def _start(self, event: yaml.CollectionStartEvent) -> None:
        value: dict[str, Any] | list[Any] = {} if isinstance(event, yaml.MappingStartEvent) else []
        path = self._next_path()
        is_name = bool(self._open) and self._open[-1].wants_name
        if is_name:
            self.report(path, _place(event), "a list or group as a name", "a name of letters")
        else:
            self._put(value, _place(event))
        self._open.append(_Group(path, value, is_name=is_name))

    def _close(self) -> None:
        group = self._open.pop()
        if group.is_name:
            self._open[-1].name = "?"

    def _report_syntax(self, error: yaml.MarkedYAMLError) -> None:
        words = str(error.problem)
        default = _Meaning("", f"text that is not YAML: {words}", "names with values")
        meaning = next((known for known in _MEANINGS if known.words in words), default)
        mark = (
            error.context_mark if meaning.at_start and error.context_mark else error.problem_mark
        )
        place = self.problems.inside((mark.line + 1, mark.column + 1) if mark else (1, 1))
        starts = (group.path for group in reversed(self._open) if self.values[group.path] == place)
        if all(problem.line != place[0] for problem in self.problems.found):
            self.report(next(starts, self._next_path()), place, meaning.got, meaning.want)

    def _report_root(self) -> None:
        kinds = {type(None): "an empty file", list: "a list"}
        got = kinds.get(type(self._root), f"only '{shown(str(self._root))}'")
        place = self.values.get((), (1, 1))
        self.report((), place, got, "names with values, such as 'name: levee-rounds'")


def _place(event: yaml.Event) -> Place:
    mark = event.start_mark
    return (mark.line + 1, mark.column + 1) if mark else (1, 1)
