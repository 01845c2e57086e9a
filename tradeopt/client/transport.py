"""Calls to a service: asked again where they get lost, and refusals as errors."""

import random
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from importlib.metadata import version
from typing import Any

import httpx2

from tradeopt.errors import (
    AccessError,
    MissingError,
    Problem,
    ServiceError,
    StudyError,
    UnreachableError,
)

CONNECT, READ = 5.0, 60.0
"""Seconds to wait for a connection and for an answer; the service says something every 15 s."""

MAKING = httpx2.Timeout(600.0, connect=CONNECT)
"""The same for a deck or report: a busy service takes a minute to make one, and asking again would
have it make a second one."""

FIRST_PAUSE, LONGEST_PAUSE = 0.2, 10.0
"""Seconds between two tries, at most; the pauses are drawn by chance, so that many clients of a
service that comes back do not ask at once."""

PASSING = {429, 502, 503, 504}
"""Answers that may be another one soon."""

INVALID_STUDY = "urn:tradeopt:invalid-study"


class Pauses:
    """How long to wait before the next try, and when to give up.

    Parameters
    ----------
    patience : float
        Seconds after which no more tries are made; counted anew after each success.
    """

    def __init__(self, patience: float) -> None:
        self._patience = patience
        self.begin()

    def begin(self) -> None:
        """Count anew."""
        self._give_up = time.monotonic() + self._patience
        self._most = FIRST_PAUSE

    def wait(self, asked: float = 0.0) -> bool:
        """Wait, at least for what the service has asked for; False where it is time to give up."""
        pause = asked + random.uniform(0.0, self._most)  # noqa: S311 - no secret
        if time.monotonic() + pause > self._give_up:
            return False
        time.sleep(pause)
        self._most = min(2.0 * self._most, LONGEST_PAUSE)
        return True


class Transport:
    """Calls to one service, each of which may be made twice without harm.

    Parameters
    ----------
    url : str
        Its address.
    token : str or None
        What lets us in.
    patience : float
        Seconds for which a service that does not answer is asked again.

    Raises
    ------
    UnreachableError
        When that is no address.
    """

    def __init__(self, url: str, token: str | None, patience: float) -> None:
        if not url.startswith(("http://", "https://")):
            raise UnreachableError(
                f"service: got {url!r}, want its address, such as 'http://127.0.0.1:8000'"
            )
        self.url = url.rstrip("/")
        self.patience = patience
        headers = {"User-Agent": f"tradeopt/{version('tradeopt')}"}
        if token is not None:
            headers["Authorization"] = f"Bearer {token}"
        timeout = httpx2.Timeout(READ, connect=CONNECT)
        self._http = httpx2.Client(base_url=self.url, headers=headers, timeout=timeout)

    def close(self) -> None:
        """Let go of all connections."""
        self._http.close()

    def json(self, method: str, path: str, **how: Any) -> Any:  # noqa: ANN401 - whatever JSON holds
        """Call, and return what came back."""
        return self.call(method, path, **how).json()

    def call(self, method: str, path: str, **how: Any) -> httpx2.Response:  # noqa: ANN401 - as the library has it
        """
        Call, as often as it takes.

        Parameters
        ----------
        method, path : str
            What to call.
        **how : object
            As the library below has it.

        Returns
        -------
        Response
            A success.

        Raises
        ------
        UnreachableError
            When no answer came.
        ServiceError
            When the answer is a refusal.
        """
        pauses = Pauses(self.patience)
        while True:
            try:
                answer = self._http.request(method, path, **how)
            except httpx2.TransportError as error:
                if not pauses.wait():
                    raise self.unreachable(type(error).__name__) from error
                continue
            if answer.status_code in PASSING and pauses.wait(_asked_pause(answer)):
                continue
            if answer.is_error:
                refuse(answer)
            return answer

    @contextmanager
    def stream(self, path: str, headers: Mapping[str, str]) -> Iterator[httpx2.Response]:
        """Open a stream; whatever goes wrong is left to the caller."""
        with self._http.stream("GET", path, headers=headers) as answer:
            if answer.is_error:
                answer.read()
            yield answer

    def unreachable(self, why: str) -> UnreachableError:
        """Say that the service does not answer."""
        return UnreachableError(
            f"service: got no answer from {self.url} ({why}), want one; start it with: "
            "tradeopt serve"
        )


def _asked_pause(answer: httpx2.Response) -> float:
    said = answer.headers.get("Retry-After", "")
    return float(said) if said.isdecimal() else 0.0


def refuse(answer: httpx2.Response) -> None:
    """
    Raise what a refusal means.

    Parameters
    ----------
    answer : Response
        Read in full.

    Raises
    ------
    StudyError
        Where the study is not valid, with the problems at their places, as if it was read here.
    AccessError, MissingError, ServiceError
        Otherwise.
    """
    document = _document(answer)
    status = answer.status_code
    if document.get("type") == INVALID_STUDY:
        problems = tuple(_problem(one) for one in document.get("errors", []))
        raise StudyError(problems) from ServiceError(status, document)
    kinds = {401: AccessError, 403: AccessError, 404: MissingError}
    raise kinds.get(status, ServiceError)(status, document)


def _document(answer: httpx2.Response) -> dict[str, Any]:
    """Return the problem document, or one made of whatever else came."""
    if "json" in answer.headers.get("Content-Type", ""):
        told = answer.json()
        if isinstance(told, dict):
            return told
    return {"type": "about:blank", "status": answer.status_code, "title": answer.reason_phrase}


def _problem(told: Mapping[str, Any]) -> Problem:
    place = {name: told.get(name) for name in ("near", "file", "line", "column", "text")}
    return Problem(str(told["where"]), str(told["got"]), str(told["want"]), **place)
