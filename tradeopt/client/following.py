"""Following a run from afar."""

import json
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import httpx2
from rich.console import Console, Group
from rich.live import Live
from rich.progress_bar import ProgressBar
from rich.text import Text

from tradeopt.client.told import RunStatus
from tradeopt.client.transport import PASSING, Pauses, Transport, refuse

_BAR = 40
_END = "end"


@dataclass(frozen=True)
class RunEvent:
    """Something that happened to a run.

    Attributes
    ----------
    kind : str
        `epoch`, `status` or `end`.
    data : mapping
        What there is to tell.
    number : int or None
        Epochs closed by then; None for what is not told again.
    """

    kind: str
    data: Mapping[str, Any]
    number: int | None = None


def follow(transport: Transport, path: str, after: int) -> Iterator[RunEvent]:
    """
    Read events until the last one, over as many connections as it takes.

    Parameters
    ----------
    transport : Transport
        The service.
    path : str
        Where its events are.
    after : int
        Number of the last event that is known.

    Yields
    ------
    RunEvent
        Each numbered one once.

    Raises
    ------
    UnreachableError
        When the service does not come back.
    ServiceError
        When it refuses to tell.
    """
    pauses = Pauses(transport.patience)
    while True:
        lost = "the events broke off"
        try:
            with transport.stream(path, {"Last-Event-ID": str(after)}) as answer:
                if answer.is_error and answer.status_code not in PASSING:
                    refuse(answer)
                for event in parsed(answer.iter_lines() if answer.is_success else []):
                    pauses.begin()
                    after = after if event.number is None else event.number
                    yield event
                    if event.kind == _END:
                        return
        except httpx2.TransportError as error:
            lost = type(error).__name__
        if not pauses.wait():
            raise transport.unreachable(lost)


def parsed(lines: Iterable[str]) -> Iterator[RunEvent]:
    """
    Read server-sent events.

    Parameters
    ----------
    lines : iterable of str
        Without their ends.

    Yields
    ------
    RunEvent
        Whole ones only; remarks are passed over.

    Examples
    --------
    >>> list(parsed(["event: end", 'data: {"state": "finished"}', "id: 4", "", "event: en"]))
    [RunEvent(kind='end', data={'state': 'finished'}, number=4)]
    """
    fields: dict[str, str] = {}
    for line in lines:
        name, _, value = line.partition(":")
        value = value.removeprefix(" ")
        if not line and "data" in fields:
            number = int(fields["id"]) if "id" in fields else None
            yield RunEvent(fields.get("event", "message"), json.loads(fields["data"]), number)
        if not line:
            fields = {}
        elif name == "data" and name in fields:
            fields[name] += f"\n{value}"
        elif name:
            fields[name] = value


@contextmanager
def shown_progress(
    on_progress: Callable[[RunStatus], None] | None,
) -> Iterator[Callable[[RunStatus], None]]:
    """Return what shows how a run comes along: what is given, or a line on a terminal."""
    if on_progress is not None:
        yield on_progress
    elif not sys.stderr.isatty():
        yield lambda _status: None
    else:
        console = Console(stderr=True, highlight=False)
        with Live(console=console, transient=True, auto_refresh=False) as live:
            yield lambda status: live.update(_drawn(status), refresh=True)


def _drawn(status: RunStatus) -> Group:
    bar = ProgressBar(total=1.0, completed=status["share_done"], width=_BAR)
    return Group(bar, Text(status["progress"], no_wrap=True, overflow="ellipsis"))
