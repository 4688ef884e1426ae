"""Readers and writers: how a file of another kind becomes a drawing, and a drawing a file of another kind.

A reader turns a file into a layered SVG in millimetres; from there on everything works on those bytes, in memory, and
messages keep the original file's name. Both are handed over as arguments by whoever loads plug-ins.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from enum import StrEnum

from msgspec import Struct, field

from svgfit.geometry.affine import Affine
from svgfit.geometry.box import Box
from svgfit.model.drawing import Canvas, Layer
from svgfit.model.piece import Piece
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.report import PieceRow
from svgfit.model.vocabulary import Unit


class Wishes(Struct, frozen=True, kw_only=True):
    """What a person says of how a file is to be read, where the file does not say it itself."""

    scale: float | None = None
    """Units of the drawing in an inch."""
    pages: tuple[int, int] | None = None
    """Columns and rows of the pages that one drawing is spread over."""
    overlap: float | None = None
    """By how much such pages overlap, mm."""
    layers: Mapping[str, str] = field(default_factory=dict[str, str])
    """What the layers are that the convention calls by a number, as a DXF does: roles in the convention's words."""


class PagePlace(Struct, frozen=True):
    """Where a page of a file lies on the drawing that was made of it."""

    number: int
    """From 1."""
    motion: Affine
    """The page's own space (PDF: user space, y up) → the drawing's mm."""
    window: Box | None = None
    """What of the drawing the page shows, mm; None: all that lies on it."""


class Converted(Struct, frozen=True):
    """A file as a reader understood it."""

    svg: bytes
    """A layered SVG as UTF-8: width and height in mm and a viewBox of the same numbers, so that a unit is 1 mm; layers
    as Inkscape writes them (``inkscape:groupmode="layer"``, ``inkscape:label``), hidden ones with ``display:none``."""
    warnings: tuple[str, ...] = ()
    """What a person is to mind; without the file's name, which is put before each."""
    notes: tuple[str, ...] = ()
    """How it was read, for whoever asks ("32 pages, put together as 4 by 8: 291 lines go on, 0 don't")."""
    scale_from: str = "the file's own unit"
    """Where its true size comes from, for people."""
    places: tuple[PagePlace, ...] = ()
    """The pages that are part of it; () where whoever reads the file has none, or does not say."""


class Reader(Struct, frozen=True):
    """A plug-in's way to read one kind of file."""

    name: str
    """No two readers' alike."""
    suffixes: tuple[str, ...]
    """Endings of such files, in lower case with their dot; for messages, and to name what is written by default."""
    suits: Callable[[bytes], bool]
    """Whether a file that begins with these bytes (at most ``HEAD`` of them) is of the kind. Cheap, never refuses."""
    read: Callable[[str, bytes, Wishes], Converted]
    """The file's name (for messages), its bytes and the person's wishes → the drawing; raises Refusal."""
    summary: str = ""
    """The kind of file, for people: "PDF, with layers, tiles put together"."""


class Needs(StrEnum):
    """How far a drawing must be understood before a writer can write it."""

    DRAWING = "drawing"
    """Layers, lines and texts; whatever they mean."""
    PIECES = "pieces"
    """Pieces known for what they are."""
    MEASUREMENTS = "measurements"
    """Pieces that are measured as well."""
    PAINTED = "painted"
    """Layers as they are seen: their lines with colours and dashes, their letters."""


class Convertible(Struct, frozen=True, kw_only=True):
    """A drawing as a writer is given it. Lines and texts in page millimetres, y down; pieces in frames of their own."""

    file: str
    """The name of the file that it was read from."""
    svg: bytes
    """The drawing as SVG."""
    canvas: Canvas
    """The sheet."""
    layers: tuple[Layer, ...]
    """All layers; those that svgfit wrote have ``ours``."""
    drawn: tuple[DrawnPiece, ...] = ()
    """The content of the layers of each piece and size, by role; () where a writer needs only the drawing."""
    pieces: tuple[Piece, ...] = ()
    """The same, known for what they are; () likewise."""
    rows: tuple[PieceRow, ...] = ()
    """Their measurements, in mm; () where a writer needs none."""
    painted: bytes = b""
    """A PDF with a page for each of ``layers``, in their order, all of one size and true to it; b"" where a writer
    needs none. A layer that is hidden is painted too, and whoever writes it down hides it."""
    unit: Unit = Unit.MM
    """The unit that a person asked for."""


class Writer(Struct, frozen=True):
    """A plug-in's way to write one kind of file."""

    name: str
    """No two writers' alike."""
    suffix: str
    """The ending by which it is chosen, in lower case with its dot."""
    write: Callable[[Convertible], bytes]
    """The drawing → the file's bytes, the same for the same drawing; raises Refusal."""
    needs: Needs = Needs.DRAWING
    """How far svgfit must understand the drawing first."""
    summary: str = ""
    """The kind of file, for people."""


HEAD = 4096
"""So many bytes of a file's beginning a reader is shown to say whether it suits."""
