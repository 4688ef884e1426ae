"""What a person sees: results on stdout, complaints on stderr, each complaint one line that begins with ``svgfit:``."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable
from functools import partial
from typing import TYPE_CHECKING, TextIO

import click

if TYPE_CHECKING:
    from svgfit.render.text.table import Terminal

_IF_REFUSED = "svgfit.if_refused"


def say(text: str) -> None:
    """Write text and a line's end to stdout. A reader that has gone away (``| head``) is no error."""
    _write(sys.stdout, text + "\n")


def complain(text: str) -> None:
    """Write one line to stderr."""
    _write(sys.stderr, f"svgfit: {text}\n")


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


def terminal() -> Terminal:
    """Ask how wide a terminal tables are printed on, and whether in colour; a pipe or file gets them plain."""
    from svgfit.render.text.table import PIPE, Terminal

    if not sys.stdout.isatty():
        return PIPE
    from shutil import get_terminal_size

    return Terminal(get_terminal_size().columns, "NO_COLOR" not in os.environ)


def _write(stream: TextIO, text: str) -> None:
    try:
        stream.write(text)
        stream.flush()
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())  # so that Python's own last flush is quiet too
