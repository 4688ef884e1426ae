"""Typesetting: a template of this package and its data in, a PDF out, with the letters that come with svgfit.

No system font, no network, no date: the same data gives the same bytes everywhere. What a person wrote reaches typst
only as data, never as markup.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Generator, Mapping, Sequence
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from threading import Lock
from typing import cast

import msgspec
from msgspec import Struct

from svgfit.model.refusal import Refusal
from svgfit.render.limited import NotRendered, begin
from svgfit.render.pdf.typst_job import compile_pdf
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

_JOB = "svgfit.render.pdf.typst_job:compile_pdf"
_ERROR_STREAM = Lock()
"""Held while the error stream, which all threads share, is muted."""


class FullSize(Struct, frozen=True):
    """Size, mm, of a drawing that the template ``drawing`` shows on a page of its own."""

    width: float
    height: float


class LayerPages(Struct, frozen=True):
    """Size, mm, of the pages on which the template ``layers`` shows so many layers of a drawing."""

    width: float
    height: float
    count: int


def typeset(template: str, data: Struct, pictures: Mapping[str, bytes] | None = None) -> bytes:
    """Set a template (its name in ``templates/``, without its ending) with its data as a PDF.

    ``pictures`` are what it may show, by the names that the data calls them, such as ``page.svg``; their texts fall to
    the face too. They are ours: what a person drew is for ``TypesetDrawing``.

    Raises Refusal where typst can't set it, with typst's own first line.
    """
    try:
        with _muted():
            return compile_pdf(*_arguments(template, data, pictures))
    except ValueError as fault:
        raise Refusal("the handout", f"can't be typeset ({fault})", "please report it with the drawing") from None


class TypesetDrawing:
    """A drawing being set on a page of its own, in another process: whatever may be in it can't harm this one."""

    def __init__(self, file: str, svg: bytes, size: FullSize) -> None:
        """Begin; ``file`` is what messages call the drawing. Raises Refusal where no process can be started."""
        self._begin(file, "drawing", size, {"page.svg": svg})

    @classmethod
    def of_layers(cls, file: str, svgs: Sequence[bytes], width: float, height: float) -> TypesetDrawing:
        """Begin with a drawing's layers, each on a page of that size in mm. Raises Refusal as the constructor does."""
        begun = cls.__new__(cls)
        pictures = {f"layer{number}.svg": svg for number, svg in enumerate(svgs)}
        begun._begin(file, "layers", LayerPages(width, height, len(svgs)), pictures)
        return begun

    def _begin(self, file: str, template: str, data: Struct, pictures: Mapping[str, bytes]) -> None:
        self._file = file
        with self._refusals():
            self._rendering = begin(_JOB, _arguments(template, data, pictures))

    def result(self) -> bytes:
        """Wait for the PDF. Raises Refusal where it can't be set, or takes too much time or memory."""
        with self._refusals(), self._rendering:
            return self._rendering.result()

    def end(self) -> None:
        """End it, whether or not its result was asked for."""
        self._rendering.__exit__(None, None, None)

    @contextmanager
    def _refusals(self) -> Generator[None, None, None]:
        try:
            yield
        except NotRendered as fault:
            raise Refusal(self._file, f"can't be printed: {fault}", fault.todo) from None


def _arguments(
    template: str, data: Struct, pictures: Mapping[str, bytes] | None = None
) -> tuple[dict[str, bytes], dict[str, str], str]:
    """Collect what typst is handed: sources, inputs, and the folder of the letters."""
    face = typeface()
    plain = msgspec.json.encode(_printable(msgspec.to_builtins(data)))
    inputs = {"face": face.family, "template": f"{template}.typ", **{name: str(size) for name, size in _SIZES.items()}}
    return {**_templates(), "data.json": plain, **(pictures or {})}, inputs, str(face.folder)


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
