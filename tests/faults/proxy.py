"""A line between a program and its server that can be cut, or go dead without a word."""

import select
import socket
import struct
import threading
import time

from tests.faults.servers import HERE

_LINGER_NOT = struct.pack("ii", 1, 0)
"""Closes a connection with a reset."""


class Proxy:
    """Passes bytes on to a port of this machine.

    Attributes
    ----------
    port : int
        Where to call instead.
    """

    def __init__(self, target: int) -> None:
        self.target = target
        self._listener = socket.create_server((HERE, 0), backlog=64)
        self.port: int = self._listener.getsockname()[1]
        self._lines: set[tuple[socket.socket, socket.socket]] = set()
        self._dead: set[tuple[socket.socket, socket.socket]] = set()
        self._is_hole = threading.Event()
        self._over = threading.Event()
        threading.Thread(target=self._accept, daemon=True).start()

    def _accept(self) -> None:
        while not self._over.is_set():
            try:
                caller, _ = self._listener.accept()
            except OSError:
                return
            threading.Thread(target=self._pass_on, args=(caller,), daemon=True).start()

    def _pass_on(self, caller: socket.socket) -> None:
        while self._is_hole.is_set() and not self._over.is_set():
            time.sleep(0.05)
        try:
            server = socket.create_connection((HERE, self.target), timeout=5.0)
        except OSError:
            caller.close()
            return
        line = caller, server
        self._lines.add(line)
        try:
            while not self._over.is_set() and self._pump(line):
                pass
        except OSError:
            pass
        finally:
            self._lines.discard(line)
            for end in line:
                end.close()

    def _pump(self, line: tuple[socket.socket, socket.socket]) -> bool:
        """Pass on what has come; tell whether the line still stands."""
        if line in self._dead:
            time.sleep(0.05)
            return True
        ready, _, _ = select.select(line, [], [], 0.05)
        for end in ready:
            data = end.recv(65536)
            if not data:
                return False
            if line not in self._dead:
                line[end is line[0]].sendall(data)
        return True

    def cut(self) -> None:
        """Reset every connection."""
        for line in list(self._lines):
            for end in line:
                try:
                    end.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, _LINGER_NOT)
                    end.shutdown(socket.SHUT_RDWR)
                except OSError:
                    continue

    def go_dead(self) -> None:
        """Let every connection there is pass nothing for good, and new ones wait."""
        self._is_hole.set()
        self._dead |= self._lines

    def come_back(self) -> None:
        """Let new connections through."""
        self._is_hole.clear()

    def close(self) -> None:
        self._over.set()
        self._listener.close()
