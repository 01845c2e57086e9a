"""Which machine this is, and whether a process on it still lives."""

import socket
from functools import cache
from pathlib import Path

PROCESSES = Path("/proc")
"""Where the system lists its processes; on a system without it, leases alone tell who has died."""

_START = 19
"""Place of the time of birth behind the name in the line that tells of a process."""


@cache
def home() -> str:
    """
    Name this machine and its world of processes.

    Returns
    -------
    str
        The same for two processes exactly when each can see whether the other one lives: two
        containers may well have the same host name.
    """
    parts = [socket.gethostname()]
    boot = PROCESSES / "sys/kernel/random/boot_id"
    if boot.exists():
        world = (PROCESSES / "self/ns/pid").readlink().name
        parts += [boot.read_text(encoding="ascii").strip()[:8], world.strip("pid:[]")]
    return "/".join(parts)


def born(process: int) -> str:
    """
    Tell when a process began, in the machine's own count.

    Parameters
    ----------
    process : int
        Its number, which the machine gives to another process later.

    Returns
    -------
    str
        Empty where there is no such process, or no telling.
    """
    try:
        line = (PROCESSES / str(process) / "stat").read_text(encoding="utf-8", errors="replace")
    except OSError:
        return ""
    return line.rpartition(")")[2].split()[_START]


def has_died(where: str, process: int, birth: str) -> bool:
    """Tell whether a process has died for certain: it ran on this machine and is not there."""
    return where == home() and bool(birth) and born(process) != birth
