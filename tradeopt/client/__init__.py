"""The same from another machine: a client of the service."""

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from secrets import token_hex
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

import numpy as np

from tradeopt.client.following import RunEvent, follow, shown_progress
from tradeopt.client.told import RunStatus, SheetTold
from tradeopt.client.transport import MAKING, Transport
from tradeopt.errors import SearchError
from tradeopt.report.table import Column, DesignTable
from tradeopt.study.read import load
from tradeopt.study.study import Study

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Client", "RunEvent", "RunStatus", "SheetTold"]

_PAGE = 10_000
"""Designs that are asked for at once."""


class Client:
    """A client of a service that searches studies.

    Whatever gets lost on the way is asked again, which starts nothing twice.

    Parameters
    ----------
    url : str
        Address of the service, such as ``http://127.0.0.1:8000``.
    token : str, optional
        What `tradeopt token new` has made for you, once the service has any.
    patience : float
        Seconds for which a service that does not answer is asked again.
    """

    def __init__(self, url: str, token: str | None = None, *, patience: float = 60.0) -> None:
        self._transport = Transport(url, token, patience)

    def __enter__(self) -> "Client":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def __repr__(self) -> str:
        return f"<tradeopt.Client of {self._transport.url}>"

    def close(self) -> None:
        """Let go of all connections."""
        self._transport.close()

    def submit(
        self,
        study: Study | str | Path,
        *,
        time: str | None = None,
        designs: int | None = None,
        seed: int | None = None,
        to_the_end: bool = False,
        picked: Sequence[Mapping[str, str]] = (),
        reuse: RunStatus | str | None = None,
        priority: float | None = None,
        most_workers: int | None = None,
        files: Mapping[str, str] | None = None,
    ) -> RunStatus:
        """
        Have a study searched; the same study with the same seed is the same run.

        Parameters
        ----------
        study : Study, str or Path
            A study, a study file, the name of an example, or the text of a study file.
        time : str, optional
            How long to search, such as ``8 h``; of the whole run.
        designs : int, optional
            How many designs to try; with neither, the study's own budget holds.
        seed : int, optional
            Start of all chance; that of the study unless given.
        to_the_end : bool
            Do not stop early once the front has stopped growing.
        picked : sequence of mapping
            Designs to try and keep: values of variables that differ from the baseline.
        reuse : RunStatus or str, optional
            A run, whose designs are scored again and begun with.
        priority : float, optional
            Its share of the workers against that of other runs; 1 is usual.
        most_workers : int, optional
            How many workers it may have at once.
        files : mapping of str to str, optional
            Files that the text of a study names; those of a study file are found beside it.

        Returns
        -------
        RunStatus
            How the run stands.

        Raises
        ------
        StudyError
            With every problem of the study, each at its place.
        """
        body = _text_and_files(study, files or {}) | {
            "time": time,
            "designs": designs,
            "seed": seed,
            "to_the_end": to_the_end,
            "picks": [dict(one) for one in picked],
            "reuse": reuse and _name(reuse),
            "priority": priority,
            "most_workers": most_workers,
        }
        key = {"Idempotency-Key": token_hex(16)}
        return RunStatus(self._transport.json("POST", "/v1/runs", json=body, headers=key))

    def runs(self, most: int = 50) -> list[RunStatus]:
        """Return how the newest runs stand, the newest first."""
        found: list[RunStatus] = []
        after: str | None = ""
        while after is not None and len(found) < most:
            asked = {"limit": min(most - len(found), 200)} | ({"cursor": after} if after else {})
            page = self._transport.json("GET", "/v1/runs", params=asked)
            found += [RunStatus(one) for one in page["items"]]
            after = page["next"]
        return found

    def status(self, run: RunStatus | str) -> RunStatus:
        """Return how a run stands."""
        return RunStatus(self._transport.json("GET", _path(run)))

    def stop(self, run: RunStatus | str) -> RunStatus:
        """Ask a run to stop; what it has found stays."""
        return RunStatus(self._transport.json("POST", f"{_path(run)}/stop"))

    def resume(
        self,
        run: RunStatus | str,
        *,
        time: str | None = None,
        designs: int | None = None,
        to_the_end: bool = False,
    ) -> RunStatus:
        """Let a run go on; the budget is that of the whole run, as before unless given."""
        body = {"time": time, "designs": designs, "to_the_end": to_the_end}
        return RunStatus(self._transport.json("POST", f"{_path(run)}/resume", json=body))

    def events(self, run: RunStatus | str, after: int = 0) -> Iterator[RunEvent]:
        """
        Tell what happens to a run, as it happens, until nobody works on it any more.

        Parameters
        ----------
        run : RunStatus or str
            Which run.
        after : int
            Number of the last event that is known.

        Yields
        ------
        RunEvent
            `epoch` for each that was closed, `status` when the run stands otherwise, `end`.
            Nothing is missed where the connection is lost on the way.
        """
        return follow(self._transport, f"{_path(run)}/events", after)

    def wait(
        self, run: RunStatus | str, on_progress: Callable[[RunStatus], None] | None = None
    ) -> RunStatus:
        """
        Wait until a run has ended.

        Parameters
        ----------
        run : RunStatus or str
            Which run.
        on_progress : callable, optional
            Told how it comes along; unless given, that is shown where there is a terminal.

        Returns
        -------
        RunStatus
            How it stands at the end.

        Raises
        ------
        SearchError
            When the search failed.
        """
        with shown_progress(on_progress) as show:
            for event in self.events(run):
                if event.kind == "status":
                    show(RunStatus(event.data))
        last = self.status(run)
        if last.state == "failed":
            raise SearchError(f"search: {last['note'].strip()}")
        return last

    def front(
        self,
        run: RunStatus | str,
        *,
        at_least: Mapping[str, str] | None = None,
        at_most: Mapping[str, str] | None = None,
    ) -> "pd.DataFrame":
        """
        Return the front of a run as a table (extra: pandas).

        Parameters
        ----------
        run : RunStatus or str
            Which run.
        at_least, at_most : mapping of str to str, optional
            Bounds by column, such as ``{"range": "15 km"}``.

        Returns
        -------
        DataFrame
            A row a design, by its number, the unit in the name of each column; the best of the
            first objective first.
        """
        return _table(self._transport, f"{_path(run)}/front", _bounds(at_least, at_most))

    def designs(
        self,
        run: RunStatus | str,
        *,
        at_least: Mapping[str, str] | None = None,
        at_most: Mapping[str, str] | None = None,
        feasible: bool | None = None,
        columns: Sequence[str] = (),
    ) -> "pd.DataFrame":
        """
        Return the designs that a run has kept as a table (extra: pandas).

        Parameters
        ----------
        run : RunStatus or str
            Which run.
        at_least, at_most : mapping of str to str, optional
            Bounds by column, such as ``{"range": "15 km"}``.
        feasible : bool, optional
            Only those that meet every limit, or only the others.
        columns : sequence of str
            What to tell of them; everything unless given.

        Returns
        -------
        DataFrame
            A row a design, by its number, the unit in the name of each column.
        """
        asked = _bounds(at_least, at_most)
        if feasible is not None:
            asked["feasible"] = json.dumps(feasible)
        if columns:
            asked["columns"] = ",".join(dict.fromkeys(("design", *columns)))
        return _table(self._transport, f"{_path(run)}/designs", asked)

    def nearest(self, run: RunStatus | str) -> "pd.DataFrame":
        """
        Return the designs that come nearest to the limits (extra: pandas).

        Parameters
        ----------
        run : RunStatus or str
            Which run.

        Returns
        -------
        DataFrame
            The best first; where no design meets every limit, ``.attrs["way_out"]`` says which
            limits to relax, and to what.
        """
        told = self._transport.json("GET", f"{_path(run)}/nearest")
        table = _frame(told["columns"], told["rows"])
        table.attrs["way_out"] = told["way_out"]
        return table

    def sheet(self, run: RunStatus | str, number: int) -> SheetTold:
        """Return all there is to say of one design."""
        return SheetTold(self._transport.json("GET", f"{_path(run)}/designs/{number}/sheet"))

    def deck(self, run: RunStatus | str, to: str | Path, picks: Sequence[int] = ()) -> Path:
        """
        Write the review deck of a run into a file.

        Parameters
        ----------
        run : RunStatus or str
            Which run.
        to : str or Path
            The file, such as ``review.pptx``.
        picks : sequence of int
            Designs to show, the recommended one first; chosen from the front unless given.

        Returns
        -------
        Path
            The file.
        """
        return self._save(f"{_path(run)}/deck", to, picks)

    def report(self, run: RunStatus | str, to: str | Path, picks: Sequence[int] = ()) -> Path:
        """Write the review of a run into one HTML file; see `deck`."""
        return self._save(f"{_path(run)}/report.html", to, picks)

    def _save(self, path: str, to: str | Path, picks: Sequence[int]) -> Path:
        file = Path(to)
        answer = self._transport.call("GET", path, params={"pick": list(picks)}, timeout=MAKING)
        file.write_bytes(answer.content)
        return file

    def evaluate(
        self,
        study: Study | str | Path,
        changes: Mapping[str, str] | None = None,
        *,
        files: Mapping[str, str] | None = None,
    ) -> SheetTold:
        """Evaluate the study's own design, or that with some values said otherwise."""
        body = {**_text_and_files(study, files or {}), "set": dict(changes or {})}
        return SheetTold(self._transport.json("POST", "/v1/evaluate", json=body))


def _table(transport: Transport, path: str, asked: Mapping[str, str]) -> "pd.DataFrame":
    rows: list[list[float | None]] = []
    columns: list[dict[str, Any]] = []
    offset: int | None = 0
    while offset is not None:
        page = {**asked, "limit": str(_PAGE), "offset": str(offset)}
        told = transport.json("GET", path, params=page)
        columns, offset = told["columns"], told["next"]
        rows += told["rows"]
    return _frame(columns, rows)


def _frame(
    columns: Sequence[Mapping[str, Any]], rows: Sequence[Sequence[float | None]]
) -> "pd.DataFrame":
    import pandas as pd  # noqa: PLC0415 - an extra, and slow to import

    meant = tuple(Column(**{**one, "choices": tuple(one["choices"])}) for one in columns)
    numbers = np.array(rows, dtype=np.float64).reshape(-1, len(meant))
    return pd.DataFrame(DesignTable(meant, numbers).shown()).set_index("design")


def _path(run: RunStatus | str) -> str:
    return f"/v1/runs/{quote(_name(run), safe='')}"


def _name(run: RunStatus | str) -> str:
    return run if isinstance(run, str) else run.id


def _bounds(
    at_least: Mapping[str, str] | None, at_most: Mapping[str, str] | None
) -> dict[str, str]:
    said = [*(("min", one) for one in (at_least or {}).items())]
    said += [("max", one) for one in (at_most or {}).items()]
    return {f"{side}.{name}": bound for side, (name, bound) in said}


def _text_and_files(study: Study | str | Path, files: Mapping[str, str]) -> dict[str, Any]:
    if isinstance(study, str) and "\n" in study:
        return {"study": study, "files": dict(files)}
    read = study if isinstance(study, Study) else load(study)
    return {"study": read.text, "files": dict(read.files)}
