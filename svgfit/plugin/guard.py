"""The guard under which other people's code runs: what it throws becomes a reason."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext, redirect_stdout
from typing import TypeVar

from msgspec import Struct

from svgfit.model.refusal import BrokenPlugin, NoSuchName, Refusal
from svgfit.plugin.second_clock import SecondClock
from svgfit.plugin.watchdog import interrupted, line_in, watched

Result = TypeVar("Result")


_FROZEN = ("immutable type", "cannot assign to field", "cannot delete field")
"""How Python's records say that they can't be changed."""


class PluginFault(Exception):
    """A plug-in broke. ``name`` and ``where`` say which, ``why`` is one line; the cause is the plug-in's exception."""

    def __init__(self, name: str, where: str, why: str, file: str | None = None, made_in: object = None) -> None:
        self.name = name
        self.where = where
        self.why = why
        self.file = file
        """Its file, or the folder of its files."""
        self.made_in = made_in
        """The function of the plug-in that gave back what can't be used, where it was that."""
        super().__init__(f"plug-in {name} ({where}) failed: {why}")

    def __repr__(self) -> str:
        return str(self)

    def refusal(self, place: str = "", todo: str = "") -> BrokenPlugin:
        """Turn the fault into what a person sees when svgfit can't go on without the plug-in."""
        return BrokenPlugin(place, str(self), todo or "this is the plug-in's own fault; --debug shows where in it")


class Unusable(Exception):
    """What a plug-in gave back can't be used; the text is the whole reason.

    ``made_in``: the plug-in's function at fault, where it is another than the one that gave it back.
    """

    def __init__(self, text: str, made_in: object = None) -> None:
        self.made_in = made_in
        super().__init__(text)


class Guard(Struct, frozen=True):
    """Runs the code of one plug-in, so that whatever it throws becomes a PluginFault that names it."""

    name: str
    where: str
    file: str | None = None
    """Its file, or the folder of its files."""
    to_stderr: bool = False
    """Whether what the plug-in prints goes to stderr. Python has one stdout for all threads, so only a program that has
    its process to itself (the command line) asks for this; a library leaves stdout as it is."""

    stock: bool = False
    """Whether it is one of svgfit's own."""

    @property
    def who(self) -> str:
        """Name the plug-in and its file, for messages."""
        return f"plug-in {self.name} ({self.where})"

    timeout: float | None = None
    """Seconds after which the program is ended where the plug-in does not come back; None: never. As ``to_stderr``,
    only for a program that has its process to itself."""

    second: SecondClock | None = None
    """What ends the program where the plug-in lets nothing else run; None: nothing."""

    interrupts: bool = False
    """Whether Overdue is raised in such a plug-in instead, and the program goes on: for tests."""

    def run(
        self, action: Callable[[], Result], place: str = "", *, watch: bool = True, made_in: object = None
    ) -> Result:
        """Return what ``action`` gives back; raise PluginFault for anything it throws but a Refusal or an interruption.

        A plug-in's exit (SystemExit) counts as a fault: one bad plug-in must never take the tool down. ``place`` says
        where in the plan it stands, should it not come back; without ``watch`` that is not looked at, for what is
        called thousands of times. ``made_in``: the plug-in's function whose result ``action`` looks at.
        """
        try:
            with redirect_stdout(sys.stderr) if self.to_stderr else nullcontext():
                if self.timeout is None or not watch:
                    return action()
                limit = interrupted if self.interrupts else watched
                with self._second(place), limit(self.timeout, lambda thread: self._overdue(place, thread)):
                    return action()
        except NoSuchName as refusal:
            line = "" if self.stock else _line_within(refusal, self.file)
            if not line:
                raise
            where, what, todo = refusal.parts
            raise Refusal(where, f"{what} (line {line})", todo) from refusal
        except (Refusal, PluginFault):
            raise
        except (Exception, SystemExit) as error:  # a stranger's code may throw anything
            why = reason(error, self.file)
            made_in = error.made_in or made_in if isinstance(error, Unusable) else None
            at = place_of(made_in, self.file)
            raise PluginFault(self.name, self.where, f"{why} ({at})" if at else why, self.file, made_in) from error

    def _second(self, place: str) -> AbstractContextManager[None]:
        if self.second is None or self.timeout is None:
            return nullcontext()
        return self.second.watching(self.timeout, f"svgfit: {self._overdue(place, None)}")

    def _overdue(self, place: str, thread: int | None) -> str:
        """Say that the plug-in did not come back, and where in it as far as the thread is known."""
        line = "" if thread is None else line_in(self.file, thread)
        at = f" ({line})" if line else ""
        what = f"{self.who} did not come back within {self.timeout:g} s{at}"
        if self.interrupts:
            return f"{f'{place}: ' if place else ''}{what}"
        return f"{f'{place}: ' if place else ''}{what}; nothing is written; --step-timeout gives it longer"


def place_of(function: object, file: str | None = None) -> str:
    """Say where a plug-in's function stands: its name, line and, but for the plug-in's only file, its file."""
    code = getattr(function, "__code__", None)
    if code is None:
        return ""
    inside = None if file is None else os.path.join(os.path.abspath(file), "")
    path = os.path.abspath(code.co_filename)
    name = os.path.relpath(path, file) if inside and path.startswith(inside) else os.path.basename(path)
    of = "" if file is not None and path == os.path.abspath(file) else f" of {name}"
    return f"{code.co_name}, line {code.co_firstlineno}{of}"


def fault_lines(error: BaseException) -> list[str]:
    """Write a plug-in's fault for its author: the frames from its own code on, or the function at fault; [] for none.

    What svgfit did before it called the plug-in is left out.
    """
    import traceback

    fault: BaseException | None = error
    while fault is not None and not isinstance(fault, PluginFault):
        fault = fault.__cause__ or fault.__context__
    if fault is None or fault.__cause__ is None:
        return []
    cause, file = fault.__cause__, os.path.abspath(fault.file or "")
    frames = traceback.extract_tb(cause.__traceback__)
    own = (k for k, frame in enumerate(frames) if (os.path.abspath(frame.filename) + os.sep).startswith(file + os.sep))
    first = next(own, None) if fault.file else None
    shown = frames[first:] if first is not None else []
    code = getattr(fault.made_in, "__code__", None)
    if first is None and code is not None:
        shown = [traceback.FrameSummary(code.co_filename, code.co_firstlineno, code.co_name)]
    if not shown:
        return []
    text = "".join((*traceback.format_list(shown), *traceback.format_exception_only(cause)))
    return [f"in {fault.name} ({fault.where}):", *text.splitlines()]


def reason(error: BaseException, file: str | None = None) -> str:
    """Describe an exception in one line, with the line of the plug-in's ``file`` (or folder) where it came from."""
    if isinstance(error, Unusable):
        return " ".join(str(error).split())
    text = f"{type(error).__name__}: {error}".rstrip(": ")
    if isinstance(error, AttributeError) and str(error).startswith(_FROZEN):
        text += ": nothing is changed in place, replace(record, name=value) gives a new one"
    if isinstance(error, SyntaxError):
        text = f"SyntaxError: {error.msg}"
        other = f" of {os.path.basename(error.filename)}" if error.filename not in (None, file) else ""
        line = f"{error.lineno}{other}"
    else:
        line = _line_within(error, file)
    return " ".join((f"{text} (line {line})" if line else text).split())


def _line_within(error: BaseException, file: str | None) -> str:
    """Find the last line of the plug-in's ``file`` (or folder) that an exception came by; "" where it did by none."""
    line = ""
    trace = error.__traceback__
    while trace is not None and file is not None:
        place = trace.tb_frame.f_code.co_filename
        if place == file:
            line = str(trace.tb_lineno)
        elif os.path.abspath(place).startswith(os.path.join(os.path.abspath(file), "")):
            line = f"{trace.tb_lineno} of {os.path.relpath(place, file)}"
        trace = trace.tb_next
    return line
