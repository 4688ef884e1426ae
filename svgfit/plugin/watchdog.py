"""Ends the program where a plug-in does not come back: nothing is written then, and a line says which and where."""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Callable, Generator
from contextlib import contextmanager

STEP_TIMEOUT = 60.0
"""Seconds that a plug-in may take for one thing that it is asked, where nobody says otherwise."""
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


class Overdue(BaseException):
    """Raised in a plug-in that does not come back; no ``except Exception`` of its own stops it."""


@contextmanager
def interrupted(seconds: float, tell: Callable[[int], str]) -> Generator[None]:
    """Raise Overdue in what is within if it takes longer, with the line that ``tell`` writes.

    For a program that must go on, such as a run of tests. An alarm interrupts what sleeps or searches; where there is
    none, or something else has set it, a thread asks Python to raise it at the next step of the code within. What
    never comes to one ends the program ``_GRACE`` seconds later, as ``watched`` does.
    """
    watching, state = threading.get_ident(), _State()

    def end() -> None:
        if state.is_over:
            return
        line = f"svgfit: {' '.join(tell(watching).split())}\n"
        os.write(2, line.encode(errors="replace"))
        os._exit(ENDED)

    def ask() -> None:
        if not state.take():
            return
        state.line = tell(watching)
        _raise_in(watching)

    def ring(*_: object) -> None:
        if state.take():
            raise Overdue(tell(watching))

    last = threading.Timer(seconds + _GRACE, end)
    clock = threading.Timer(seconds + (_LATER if _has_alarm() else 0.0), ask)
    for each in (clock, last):
        each.daemon = True
        each.start()
    try:
        with _alarm(seconds, ring):
            yield
    except Overdue as overdue:
        raise (overdue if overdue.args else Overdue(state.line)) from None
    finally:
        state.is_over = True
        for each in (clock, last):
            each.cancel()
            each.join()


class _State:
    """Whether what is watched has been interrupted, or is over; only one clock may interrupt it."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self.is_over = False
        self.line = ""

    def take(self) -> bool:
        """Say, once, that it is to be interrupted."""
        return not self.is_over and self._lock.acquire(blocking=False)


_GRACE = 10.0
"""How long something may take, s, to come to where it can be interrupted."""
_LATER = 0.5
"""By how much, s, the thread's clock gives way to the alarm."""


def _raise_in(thread: int) -> None:
    """Have Python raise Overdue in a thread, at the next step of its code."""
    import ctypes  # here because only what hangs needs it

    ctypes.pythonapi.PyThreadState_SetAsyncExc(ctypes.c_ulong(thread), ctypes.py_object(Overdue))


def _has_alarm() -> bool:
    """Tell whether an alarm can be set here, and nobody else has set it."""
    import signal

    main = threading.current_thread() is threading.main_thread()
    return hasattr(signal, "setitimer") and main and signal.getitimer(signal.ITIMER_REAL)[0] <= 0


@contextmanager
def _alarm(seconds: float, end: Callable[..., None]) -> Generator[None]:
    """Set the process's own alarm too, where there is one, this is its main thread, and none is set."""
    import signal  # here because a run without plug-ins' limits needs none

    if not _has_alarm():
        yield
        return
    before = signal.signal(signal.SIGALRM, end)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


def line_in(file: str | None, thread: int) -> str:
    """Say at which innermost line of a file, or of which one in a folder, a thread is; "" for none."""
    inside = None if file is None else os.path.join(os.path.abspath(file), "")
    frame = sys._current_frames().get(thread)  # pyright: ignore[reportPrivateUsage]  documented, for debuggers
    while frame is not None:
        place = frame.f_code.co_filename
        if place == file:
            return f"line {frame.f_lineno}"
        if file is not None and inside is not None and os.path.abspath(place).startswith(inside):
            return f"line {frame.f_lineno} of {os.path.relpath(place, file)}"
        frame = frame.f_back
    return ""
