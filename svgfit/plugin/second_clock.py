"""A process beside the program that ends it where its own clocks stand still: in C code that never gives way.

A plug-in that loops within one call of a C function (``sum`` over an endless iterator, numpy on Python objects) holds
the one lock that every other thread and every signal's handler needs. Run as a script, with nothing but the standard
library, this file is that process; it ends when the pipe to it is closed. Some systems have none.
"""

from __future__ import annotations

import os
import select
import signal
import sys
import threading
import time
import weakref
from collections.abc import Generator
from contextlib import contextmanager, suppress

_GRACE = 1.0
"""Seconds that the program's own clocks have to end it before, since they know the line at which it hangs."""


class SecondClock:
    """Watches one program; the process is started with the first thing to be watched."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._pipe = -1
        self._of = -1
        self._count = 0

    @contextmanager
    def watching(self, seconds: float, line: str) -> Generator[None]:
        """Kill this program if what is within takes longer than ``seconds``, with ``line`` on stderr before."""
        with self._lock:
            self._count += 1
            ticket = self._count
            if self._of != os.getpid():
                self._start()
        self._send(f"{ticket} {seconds + _GRACE:.3f} {' '.join(line.split())}\n")
        try:
            yield
        finally:
            self._send(f"{ticket}\n")

    def _start(self) -> None:
        """Start the process; where that can't be, the program's own clocks are all there is."""
        self._of = os.getpid()
        if not hasattr(os, "posix_spawn"):
            return
        end, self._pipe = os.pipe()
        command = [sys.executable, "-I", "-S", os.path.abspath(__file__), str(os.getpid())]
        actions = [(os.POSIX_SPAWN_DUP2, end, 0), (os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)]
        try:
            child = os.posix_spawn(sys.executable, command, dict(os.environ), file_actions=actions)
        except OSError:
            os.close(self._pipe)
            self._pipe = -1
        else:
            weakref.finalize(self, _let_go, self._pipe, child, self._of)
        finally:
            os.close(end)

    def _send(self, text: str) -> None:
        if self._pipe >= 0:
            try:
                os.write(self._pipe, text.encode(errors="replace"))
            except OSError:
                self._pipe = -1  # somebody ended it


def _let_go(pipe: int, child: int, of: int) -> None:
    """Close the pipe, at which the process ends by itself."""
    if os.getpid() == of:
        os.close(pipe)
        with suppress(ChildProcessError):
            os.waitpid(child, os.WNOHANG)


def _watch(program: int) -> None:
    """Read what is to be watched, and end the program where something is overdue."""
    due: dict[str, tuple[float, str]] = {}
    unread = b""
    while True:
        first = min(due.values(), default=None)
        wait = None if first is None else max(0.0, first[0] - time.monotonic())
        if not select.select([0], [], [], wait)[0]:
            if first is not None:
                os.write(2, f"{first[1]}\n".encode())
                os.kill(program, signal.SIGKILL)
            return
        found = os.read(0, 65536)
        if not found:
            return
        *lines, unread = (unread + found).split(b"\n")
        for line in lines:
            ticket, _, rest = line.decode(errors="replace").partition(" ")
            seconds, _, words = rest.partition(" ")
            if rest:
                due[ticket] = time.monotonic() + float(seconds), words
            else:
                due.pop(ticket, None)


if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the program, whose end closes the pipe
    _watch(int(sys.argv[1]))
