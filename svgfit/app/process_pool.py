"""Independent tasks side by side, on as many processors as there are; in turn where that can't be had or pays not.

Only on Linux, where a forked process begins with all that is loaded and read, and only where the program has one
thread: what another thread held locked at the fork would stay locked. Where a task fails, or gives back what can't be
handed over, all are done in turn: so a fault shows exactly as it would without.
"""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Callable, Sequence
from typing import Any, TypeVar

from svgfit.plugin.watchdog import ENDED

T = TypeVar("T")
FEWEST = 4
"""Fewer tasks than this are done in turn: a process costs some milliseconds."""


def side_by_side(tasks: Sequence[Callable[[], T]], *, workers: int | None = None) -> list[T]:
    """Do tasks in parallel and return what they give, in order.

    ``workers``: processes, this one among them; None: one a processor, where this is the program's only thread.

    Tasks must not change anything outside themselves: it would be lost. Raises what the first failing task raises.
    """
    count = min(_workers() if workers is None else workers, len(tasks) // 2)
    if len(tasks) < FEWEST or count < 2 or sys.platform != "linux":
        return [task() for task in tasks]
    from pickle import dumps, loads  # before the fork, so that no process need find it for itself

    shares = [tasks[k::count] for k in range(count)]
    children = [_begin(share, dumps) for share in shares[1:]]
    try:
        own: list[T] | None = [task() for task in shares[0]]
    except Exception:  # noqa: BLE001  which of several failures counts shows when all are done in turn
        own = None
    done: list[list[T]] = []
    for found in (own, *[_end(child, reading, loads) for child, reading in children]):
        if found is None:
            return [task() for task in tasks]
        done.append(found)
    return [done[k % count][k // count] for k in range(len(tasks))]


def _workers() -> int:
    return _processors() if threading.active_count() == 1 else 1


def _processors() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else 1


def _begin(share: Sequence[Callable[[], object]], dumps: Callable[[object], bytes]) -> tuple[int, int]:
    """Fork a process that does a share of the tasks; return its number, and where what it found can be read."""
    reading, writing = os.pipe()
    child = os.fork()
    if child:
        os.close(writing)
        return child, reading
    status = 1
    try:
        os.close(reading)
        with os.fdopen(writing, "wb") as stream:
            stream.write(dumps([task() for task in share]))
        status = 0
    finally:
        os._exit(status)  # nothing that was begun before the fork may be ended twice


def _end(child: int, reading: int, loads: Callable[[bytes], list[Any]]) -> list[Any] | None:
    """Collect what a process found; None where it failed."""
    with os.fdopen(reading, "rb") as stream:
        data = stream.read()
    _, status = os.waitpid(child, 0)
    if os.waitstatus_to_exitcode(status) == ENDED:
        os._exit(ENDED)  # a plug-in did not come back there, and it was said: it would not come back here either
    return loads(data) if status == 0 else None
