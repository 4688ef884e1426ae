"""What a person sees: results on stdout, complaints on stderr, each complaint one line that begins with ``svgfit:``."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable
from functools import partial
from typing import TYPE_CHECKING, TextIO

import click

from svgfit.model.wording import harmless

if TYPE_CHECKING:
    from svgfit.model.length import Units
    from svgfit.model.refusal import Refusal
    from svgfit.render.text.table import Terminal

_IF_REFUSED = "svgfit.if_refused"
_UNITS = "svgfit.units"
_UNHEARD = "svgfit.unheard"
_LONGEST = 3000
"""No complaint is longer than this, in signs: whatever was given is told in it."""


def say(text: str, *, painted: bool = False) -> None:
    """Write text and a line's end to stdout. A reader that has gone away (``| head``) is no error.

    ``painted``: the text is made of tables, whose colours pass where the terminal shows them. No other sign that
    commands a terminal ever does, whoever wrote it: this is the one door.
    """
    if painted and terminal().colour:
        from svgfit.render.text.table import PAINT

        text = "".join(part if k % 2 else harmless(part) for k, part in enumerate(PAINT.split(text)))
    else:
        text = harmless(text)
    _write(sys.stdout, text + "\n")


def complain(text: str) -> None:
    """Write one line to stderr, the middle of an endless one left out."""
    shown = text if len(text) <= _LONGEST else f"{text[: _LONGEST - 501]} … {text[-500:]}"
    _write(sys.stderr, f"svgfit: {harmless(shown)}\n")


def note(lines: Iterable[str]) -> None:
    """Write lines to stderr as they are: what is no complaint, where stdout is for something else."""
    _write(sys.stderr, "".join(f"{harmless(line)}\n" for line in lines))


def unheard() -> bool:
    """Tell whether something that was to be said could not be written: a full disk behind stdout, for one."""
    context = click.get_current_context(silent=True)
    return context is not None and bool(context.meta.get(_UNHEARD))


def warn(texts: Iterable[str], *, quiet: bool = False) -> None:
    """Write warnings to stderr, one line each; none with ``quiet``."""
    for text in () if quiet else texts:
        complain(f"warning: {' '.join(text.split())}")


def warn_if_refused(texts: Callable[[], Iterable[str]]) -> None:
    """Remember, for the command that is running, what to warn of should it be refused: often that is the cause.

    Called again it takes the place of what was remembered before. ``texts`` is asked at the refusal.
    """
    context = click.get_current_context(silent=True)
    if context is not None:
        context.meta[_IF_REFUSED] = partial(_warn_once, texts, quiet=bool(context.params.get("quiet")))


def warn_of_refused(context: click.Context) -> None:
    """Write what ``warn_if_refused`` remembered to stderr."""
    context.meta.get(_IF_REFUSED, lambda: None)()


def _warn_once(texts: Callable[[], Iterable[str]], *, quiet: bool) -> None:
    warn(dict.fromkeys(texts()), quiet=quiet)


def speak_in(units: Units) -> None:
    """Remember, for the command that is running, how its person reads lengths, should it be refused."""
    context = click.get_current_context(silent=True)
    if context is not None:
        context.meta[_UNITS] = units


def spoken(refusal: Refusal) -> Refusal:
    """Write a refusal's lengths as the person reads them (``speak_in``), in inches where nobody said."""
    from svgfit.model.length import Units

    context = click.get_current_context(silent=True)
    return refusal.spoken_in((context and context.meta.get(_UNITS)) or Units())


def terminal() -> Terminal:
    """Ask how wide a terminal tables are printed on, and whether in colour; a pipe or file gets them plain."""
    from svgfit.render.text.table import PIPE, Terminal

    if sys.stdout is None or not sys.stdout.isatty():  # pyright: ignore[reportUnnecessaryComparison]  # closed
        return PIPE
    from shutil import get_terminal_size

    return Terminal(get_terminal_size().columns, "NO_COLOR" not in os.environ)


def _write(stream: TextIO | None, text: str) -> None:
    if stream is None:  # closed before svgfit began
        return
    try:
        stream.write(text)
        stream.flush()
    except BrokenPipeError:
        _hush(stream)
    except OSError as fault:
        context = click.get_current_context(silent=True)
        if context is not None:
            context.meta[_UNHEARD] = True
        give_up(stream, fault)


def give_up(stream: TextIO, fault: OSError) -> None:
    """Write no more to a stream that can't be written to, and say so where that is not the error stream itself."""
    _hush(stream)
    if stream is not sys.stderr:
        why = fault.strerror or str(fault)
        complain(f"what there is to say can't be written ({why}); files named behind -o are written all the same")


def _hush(stream: TextIO) -> None:
    """Write to nowhere from now on, so that Python's own last flush is quiet too."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, stream.fileno())
    os.close(nowhere)
