"""Signals as a flag."""

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType


@contextmanager
def stop_on_signal() -> Iterator[threading.Event]:
    """Turn the first interrupt or termination signal into a flag; a second one is not caught.

    In another thread than the main one no signal comes, and none may be caught.
    """
    stopping = threading.Event()
    if threading.current_thread() is not threading.main_thread():
        yield stopping
        return
    before = {number: signal.getsignal(number) for number in (signal.SIGINT, signal.SIGTERM)}

    def restore() -> None:
        for number, handler in before.items():
            signal.signal(number, handler)

    def ask(_number: int, _frame: FrameType | None) -> None:
        stopping.set()
        restore()

    for number in before:
        signal.signal(number, ask)
    try:
        yield stopping
    finally:
        restore()
