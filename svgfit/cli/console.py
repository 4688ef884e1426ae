"""What a person sees: results on stdout, complaints on stderr, each complaint one line that begins with ``svgfit:``."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import Any, TextIO

import click

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


def table_style() -> dict[str, Any]:
    """Choose how tables are drawn: as wide as the terminal and in colour on one, unwrapped and plain elsewhere."""
    if not sys.stdout.isatty():
        return {"width": None, "colour": False}
    from shutil import get_terminal_size

    return {"width": get_terminal_size().columns, "colour": "NO_COLOR" not in os.environ}


def _write(stream: TextIO, text: str) -> None:
    try:
        stream.write(text)
        stream.flush()
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())  # so that Python's own last flush is quiet too


def columns(rows: Sequence[Sequence[str]], indent: str = "  ", gap: str = "   ") -> str:
    """Lay rows out in aligned columns, left to right, without blanks at the ends of lines.

    >>> print(columns([("cap height", "5 in", "6 in"), ("cap ease", "1 in", "1/2 in")], indent=""))
    cap height   5 in   6 in
    cap ease     1 in   1/2 in
    """
    widths = [max(len(row[k]) for row in rows if k < len(row)) for k in range(max(map(len, rows), default=0))]
    lines = (gap.join(cell.ljust(widths[k]) for k, cell in enumerate(row)) for row in rows)
    return "\n".join(indent + line.rstrip() for line in lines)
