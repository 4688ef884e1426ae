"""Typesetting: a template of this package and its data in, a PDF out, with the letters that come with svgfit.

No system font, no network, no date: the same data gives the same bytes everywhere. What a person wrote reaches typst
only as data, never as markup. typst is imported only here, inside the function.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Generator, Mapping, Sequence
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from threading import Lock
from typing import Any, cast

import msgspec
from msgspec import Struct

from svgfit.model.refusal import Refusal
from svgfit.render.typeface import typeface
from svgfit.rules import lettering

_SIZES = {
    "small": lettering.HANDOUT_SMALL,
    "plain": lettering.HANDOUT_PLAIN,
    "square": lettering.HANDOUT_SQUARE,
    "square-name": lettering.HANDOUT_SQUARE_NAME,
    "name": lettering.HANDOUT_NAME,
    "heading": lettering.HANDOUT_HEADING,
    "title": lettering.HANDOUT_TITLE,
    "lesson": lettering.HANDOUT_LESSON,
    "lesson-heading": lettering.HANDOUT_LESSON_HEADING,
    "lesson-title": lettering.HANDOUT_LESSON_TITLE,
}
"""Sizes of letters as templates know them, points."""

_ERROR_STREAM = Lock()
"""Held while the error stream, which all threads share, is muted."""


class FullSize(Struct, frozen=True):
    """Size, mm, of a drawing that the template ``drawing`` shows on a page of its own."""

    width: float
    height: float


def typeset(template: str, data: Struct, pictures: Mapping[str, bytes] | None = None) -> bytes:
    """Set a template (its name in ``templates/``, without its ending) with its data as a PDF.

    ``pictures`` are what it may show, by the names that the data calls them, such as ``page.svg``; their texts fall to
    the face too. Raises Refusal where typst can't set it, with typst's own first line.
    """
    import typst

    face = typeface()
    plain = msgspec.json.encode(_printable(msgspec.to_builtins(data)))
    sources = {**_templates(), "data.json": plain, **(pictures or {})}
    compile_pdf: Any = typst.compile  # its stub does not know of several files
    try:
        with _muted():
            made: bytes = compile_pdf(
                sources,
                sys_inputs={
                    "face": face.family,
                    "template": f"{template}.typ",
                    **{name: str(size) for name, size in _SIZES.items()},
                },
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


@cache
def _templates() -> Mapping[str, bytes]:
    """Read the package's templates, by their file names."""
    folder = Path(__file__).parent / "templates"
    return {file.name: file.read_bytes() for file in sorted(folder.glob("*.typ"))}


def _printable(value: object) -> object:
    """Put a space for every sign in the data's texts that can't be printed, such as a tab."""
    match value:
        case str():
            signs = (sign if sign.isprintable() or sign == "\u00a0" else " " for sign in value)
            return value if value.isprintable() else "".join(signs)
        case dict():
            return {name: _printable(one) for name, one in cast(dict[str, object], value).items()}
        case list() | tuple():
            return [_printable(one) for one in cast(Sequence[object], value)]
        case _:
            return value


@contextmanager
def _muted() -> Generator[None, None, None]:
    """Keep everything from the error stream: what typst's own code breaks off with it also writes there."""
    with _ERROR_STREAM:
        sys.stderr.flush()
        kept, nowhere = os.dup(2), os.open(os.devnull, os.O_WRONLY)
        try:
            os.dup2(nowhere, 2)
            yield
        finally:
            os.dup2(kept, 2)
            os.close(kept)
            os.close(nowhere)
