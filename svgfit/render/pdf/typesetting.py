"""Typesetting: typst markup in, a PDF out, with the letters that come with svgfit and nothing else.

No system font, no network, no date: the same markup gives the same bytes everywhere. typst is imported only here,
inside the function.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Generator, Mapping
from contextlib import contextmanager
from typing import Any

from svgfit.model.refusal import Refusal
from svgfit.render.typeface import typeface


def typeset(source: str, files: Mapping[str, bytes] | None = None) -> bytes:
    """The PDF of typst markup.

    ``source`` starts with the face set and no date; it sets its own page size and title. ``files`` are what it may
    read, by the name it calls them, such as ``image("page.svg")``; their texts fall to the face too. Text that a person
    wrote belongs in ``quoted``.
    Raises Refusal where typst can't set it, with typst's own first line.
    """
    import typst

    face = typeface()
    start = f'#set document(date: none)\n#set text(font: "{face.family}", lang: "en", hyphenate: false)\n'
    sources = {"main.typ": (start + source).encode(), **dict(files or {})}
    compile_pdf: Any = typst.compile  # its stub does not know of several files
    try:
        with _muted():
            made: bytes = compile_pdf(
                sources,
                font_paths=[str(face.folder)],
                ignore_system_fonts=True,
                format="pdf",
                timestamp=0,
                pdf_tags=False,
            )
    except typst.TypstError as error:
        reason = str(error).strip().splitlines()[0]
    except BaseException as fault:  # what typst's own code breaks off with is no Exception
        if type(fault).__name__ != "PanicException":
            raise
        reason = "typst broke off at something in the drawing"
    else:
        return made
    raise Refusal("the handout", f"can't be typeset ({reason})", "please report it with the drawing")


@contextmanager
def _muted() -> Generator[None, None, None]:
    """Within it nothing reaches the error stream: what typst's own code breaks off with it also writes there."""
    sys.stderr.flush()
    kept, nowhere = os.dup(2), os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(nowhere)


def quoted(text: str) -> str:
    r"""A typst string that holds ``text`` as it is; in markup write ``#`` before it.

    >>> quoted('3/8" #all') == r'"3/8\" #all"'
    True
    """
    clean = "".join(sign if sign.isprintable() or sign == "\u00a0" else " " for sign in text)
    return '"' + clean.replace("\\", "\\\\").replace('"', '\\"') + '"'


def millimetres(value: float) -> str:
    """A typst length, to a ten-thousandth of a millimetre.

    >>> millimetres(12.7), millimetres(-0.00001)
    ('12.7mm', '0mm')
    """
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return f"{'0' if text in ('-0', '') else text}mm"
