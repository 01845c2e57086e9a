"""Calls that get lost on the way: asked again, and nothing done twice."""

import asyncio
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

import tradeopt
from api import events as routes
from tests.api.served import finished_run, serving
from tradeopt.client import transport
from tradeopt.client.following import parsed
from tradeopt.errors import ServiceError
from tradeopt.study.read import load

STUDY = load("levee_rounds")


class Unsteady:
    """A service that does what it is asked, but whose answers get lost at first."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app
        self.losses: list[str] = []
        self.calls: list[tuple[str, str]] = []

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = dict(scope["headers"])
        self.calls.append((scope["path"], headers.get(b"last-event-id", b"").decode()))
        loss = self.losses.pop(0) if self.losses else ""
        if loss == "busy":
            answer = PlainTextResponse("busy", 503, headers={"Retry-After": "0"})
            await answer(scope, receive, send)
        elif loss == "silent":  # done, but the answer never comes
            await self.app(scope, receive, _nowhere)
            length = [(b"content-length", b"9")]
            await send({"type": "http.response.start", "status": 200, "headers": length})
            raise ConnectionError("lost")
        elif loss:
            await self.app(scope, receive, _broken_after(send, int(loss)))
        else:
            await self.app(scope, receive, send)


async def _nowhere(_message: Message) -> None:
    pass


def _broken_after(send: Send, parts: int) -> Send:
    """Pass on so many parts of an answer and then break the connection."""
    sent = 0

    async def some(message: Message) -> None:
        nonlocal sent
        if sent > parts:
            raise ConnectionError("lost")
        sent += 1
        await send(message)

    return some


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Address of a database with a finished run."""
    url = f"sqlite:///{tmp_path_factory.mktemp('lost')}/runs.db"
    finished_run(url)
    return url


@contextmanager
def unsteady(url: str) -> Iterator[tuple[Unsteady, tradeopt.Client]]:
    made: list[Unsteady] = []

    def wrap(app: ASGIApp) -> ASGIApp:
        made.append(Unsteady(app))
        return made[0]

    with (
        serving(url, wrap, but=(ConnectionError,)) as address,
        tradeopt.Client(address, patience=10.0) as client,
    ):
        yield made[0], client


def test_a_lost_submission_is_sent_again_and_starts_one_run(home: str) -> None:
    with unsteady(home) as (service, client):
        service.losses = ["busy", "silent", "silent"]
        run = client.submit(STUDY, designs=1000)
        assert run.id == "levee-rounds-1"
        assert len(service.calls) == 4
        assert [one.id for one in client.runs()] == ["levee-rounds-1", "toy-1"]


def test_a_busy_service_is_asked_until_patience_ends(home: str) -> None:
    with unsteady(home) as (service, client):
        service.losses = ["busy"] * 3
        assert client.status("toy-1").state == "finished"
        assert len(service.calls) == 4
        service.losses = ["busy"] * 1000
        impatient = tradeopt.Client(repr(client).split()[-1].rstrip(">"), patience=0.3)
        with impatient, pytest.raises(ServiceError) as refusal:
            impatient.status("toy-1")
        assert refusal.value.status == 503


def test_events_go_on_where_they_broke_off(home: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(routes, "PAUSE", 0.02)
    with unsteady(home) as (service, client):
        # headers and an event; headers alone; nothing
        service.losses = ["2", "1", "busy"]
        events = list(client.events("toy-1"))
        assert [event.number for event in events if event.kind == "epoch"] == [1]
        assert events[-1].kind == "end"
        known = [last for path, last in service.calls if path.endswith("events")]
        assert known == ["0", "1", "1", "1"]


def test_what_is_made_elsewhere_is_written_into_a_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(transport, "READ", 0.1)  # making takes longer than any other answer
    asked = []

    async def maker(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http":
            asked.append((scope["path"], scope["query_string"]))
            await asyncio.sleep(0.3)
            await PlainTextResponse("slides")(scope, receive, send)

    with (
        serving(f"sqlite:///{tmp_path}/runs.db", lambda _: maker) as address,
        tradeopt.Client(address) as client,
    ):
        written = client.deck("toy-1", tmp_path / "review.pptx", picks=[7, 3])
        client.report("toy-1", tmp_path / "review.html")
    assert written.read_text() == "slides"
    assert (tmp_path / "review.html").exists()
    assert asked == [
        ("/v1/runs/toy-1/deck", b"pick=7&pick=3"),
        ("/v1/runs/toy-1/report.html", b""),
    ]


def test_the_format_of_events_is_read_as_it_is_written() -> None:
    lines = [
        ": ping",
        "",
        "retry: 10",
        "event:epoch",
        'data: {"a":',
        "data: 1}",
        "id: 7",
        "",
        "event: status",
        "data: 2",
        "",
        "event: end",
    ]
    told = [(event.kind, event.data, event.number) for event in parsed(lines)]
    assert told == [("epoch", {"a": 1}, 7), ("status", 2, None)]
