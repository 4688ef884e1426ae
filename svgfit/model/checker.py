"""What a plug-in looks at beyond one piece, and its own checks. Pieces in their own frames, lengths in mm."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from enum import StrEnum

from msgspec import Struct

from svgfit.model.piece import Piece
from svgfit.model.plan import Seam
from svgfit.model.refusal import Refusal
from svgfit.model.report import Check, Measurement
from svgfit.model.vocabulary import ANY_KIND, Unit


class Looked(StrEnum):
    """What a plug-in's check looks at."""

    PIECE = "piece"
    """Each piece of its kinds."""
    SEAM = "seam"
    """Each seam whose pieces are all there."""
    GARMENT = "garment"
    """All pieces and seams of a size."""


class Subject(Struct, frozen=True, kw_only=True):
    """What is looked at: a garment, of which it may be one piece or one seam that is asked about."""

    pieces: tuple[Piece, ...]
    """All pieces of one size."""
    seams: tuple[Seam, ...] = ()
    """The seam map: edges that are sewn together."""
    piece: Piece | None = None
    """The piece that is asked about; None where a seam or the whole is."""
    seam: Seam | None = None
    """The seam that is asked about; its pieces are all there."""
    unit: str = Unit.MM
    """How the person is spoken to: "in", "mm" or "cm" (``both_ways`` and ``format_length``)."""

    @property
    def size(self) -> str | None:
        """The size of a nest; None where the pieces have none."""
        return next((piece.size for piece in self.pieces if piece.size is not None), None)

    def find(self, name: str) -> Piece | None:
        """Return the piece of that name or title; None where there is none."""
        return next((piece for piece in self.pieces if name in (piece.name, piece.title)), None)

    def named(self, name: str) -> Piece:
        """Return the piece of that name or title; raises Refusal with the names there are."""
        found = self.find(name)
        if found is None:
            there = ", ".join(piece.title for piece in self.pieces)
            raise Refusal("", f"there is no piece {name!r}", f"the pieces are: {there}")
        return found


class Checker(Struct, frozen=True, kw_only=True):
    """A plug-in's own check of each piece, of each seam, or of the garment as a whole."""

    name: str
    """No two checkers' alike."""
    of: str
    """What it looks at: "piece", "seam" or "garment" (all pieces and seams of a size)."""
    check: Callable[[Subject], Iterable[Check]]
    """Verdicts, () for none. Each is shown as its name, with the plug-in's and with what was looked at."""
    kinds: tuple[str, ...] = (ANY_KIND,)
    """Of "piece": the kinds of piece that it looks at, "any" for every kind."""


class SeamFinder(Struct, frozen=True, kw_only=True):
    """A plug-in's rule of what is sewn to what, where nobody says and it is not plain anyway."""

    name: str
    """No two finders' alike."""
    find: Callable[[tuple[Piece, ...]], Iterable[Seam]]
    """Seams between the pieces, one of each name (the sizes of a nest are sewn alike); () for none."""


class GarmentMeasurer(Struct, frozen=True, kw_only=True):
    """A plug-in's measurements across pieces."""

    name: str
    """No two measurers' alike."""
    measure: Callable[[Subject], Iterable[Measurement]]
    """Figures of the garment, each with its unit; () where the pieces for them are not there."""


class LoadedGarmentMeasurer(GarmentMeasurer, frozen=True, kw_only=True):
    """A measurer across pieces, and the plug-in that it comes from, as ``LoadedMeasurer``."""

    who: str = ""
    switch: str = ""
