"""Ends the program where a plug-in does not come back: nothing is written then, and a line says which and where."""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Callable, Generator
from contextlib import contextmanager

ENDED = 2
"""Exit status of a program that was ended so: refused, nothing written."""


@contextmanager
def watched(seconds: float, tell: Callable[[int], str]) -> Generator[None]:
    """End the program if what is within takes longer; ``tell`` writes the line for stderr, given the thread's number.

    Two clocks: a thread, for what sleeps, waits or loops, and, where the system has one and this is the main thread, an
    alarm, for what never lets another thread run (a regular expression without end). Only for a program that has its
    process to itself.
    """
    watching = threading.get_ident()
    said = threading.Lock()

    def end(*_: object) -> None:
        if not said.acquire(blocking=False):
            return  # the other clock is about to end it
        line = f"svgfit: {' '.join(tell(watching).split())}\n"
        os.write(2, line.encode(errors="replace"))
        os._exit(ENDED)  # what hangs can't be asked to end; whatever is cleaned up on the way out would wait for it

    clock = threading.Timer(seconds, end)
    clock.daemon = True
    clock.start()
    try:
        with _alarm(seconds, end):
            yield
    finally:
        clock.cancel()
        clock.join()


@contextmanager
def _alarm(seconds: float, end: Callable[..., None]) -> Generator[None]:
    """Set the process's own alarm too, where there is one, this is its main thread, and none is set."""
    import signal  # here because a run without plug-ins' limits needs none

    if not hasattr(signal, "setitimer") or threading.current_thread() is not threading.main_thread():
        yield
        return
    if signal.getitimer(signal.ITIMER_REAL)[0] > 0:
        yield
        return
    before = signal.signal(signal.SIGALRM, end)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


def line_in(file: str | None, thread: int) -> int | None:
    """Find the innermost line of a file, or of one in a folder, at which a thread is; None for none."""
    inside = None if file is None else os.path.join(os.path.abspath(file), "")
    frame = sys._current_frames().get(thread)  # pyright: ignore[reportPrivateUsage]  documented, for debuggers
    while frame is not None:
        place = frame.f_code.co_filename
        if place == file or (inside is not None and os.path.abspath(place).startswith(inside)):
            return frame.f_lineno
        frame = frame.f_back
    return None
