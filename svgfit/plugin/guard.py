"""The guard under which other people's code runs: what it throws becomes a reason, what it prints goes to stderr."""

from __future__ import annotations

import sys
from collections.abc import Callable
from contextlib import redirect_stdout
from typing import TypeVar

from svgfit.model.refusal import Refusal

Result = TypeVar("Result")


class PluginFault(Exception):
    """A plug-in broke. ``name`` and ``where`` say which, ``why`` is one line; the cause is the plug-in's exception."""

    def __init__(self, name: str, where: str, why: str) -> None:
        self.name = name
        self.where = where
        self.why = why
        super().__init__(f"plug-in {name} ({where}) failed: {why}")

    def __repr__(self) -> str:
        return str(self)

    def refusal(self, place: str = "", todo: str = "") -> Refusal:
        """What a person sees when svgfit can't go on without the plug-in."""
        return Refusal(place, str(self), todo or "this is the plug-in's own fault; --debug shows where in it")


class Unusable(Exception):
    """What a plug-in gave back can't be used; the text is the whole reason."""


def guarded(name: str, where: str, action: Callable[[], Result], *, file: str | None = None) -> Result:
    """What ``action`` gives back; raises PluginFault for anything it throws but a Refusal or an interruption.

    A plug-in's exit (SystemExit) counts as a fault: one bad plug-in must never take the tool down. What it prints is
    sent to stderr, so that output meant for other programs stays clean.
    """
    try:
        with redirect_stdout(sys.stderr):
            return action()
    except (Refusal, PluginFault):
        raise
    except (Exception, SystemExit) as error:  # a stranger's code may throw anything
        raise PluginFault(name, where, reason(error, file)) from error


def reason(error: BaseException, file: str | None = None) -> str:
    """One line for an exception, with the line of the plug-in's ``file`` where it came from."""
    if isinstance(error, Unusable):
        return " ".join(str(error).split())
    text = f"{type(error).__name__}: {error}".rstrip(": ")
    line = error.lineno if isinstance(error, SyntaxError) else None
    if isinstance(error, SyntaxError):
        text = f"SyntaxError: {error.msg}"
    trace = error.__traceback__
    while trace is not None and not isinstance(error, SyntaxError):
        if file is not None and trace.tb_frame.f_code.co_filename == file:
            line = trace.tb_lineno
        trace = trace.tb_next
    return " ".join((f"{text} (line {line})" if line else text).split())
