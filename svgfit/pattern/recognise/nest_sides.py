"""Front and back of a sleeve in sizes that don't tell them: as in another size of the nest.

The sizes of a nest lie over one another the same way round; often only one of them has notches.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec.structs import replace

from svgfit.model.piece import Piece
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import PieceKind
from svgfit.pattern.layer_patterns import name_key


def with_sides_of_nest(
    pairs: Sequence[tuple[DrawnPiece, Piece]],
    others: Sequence[DrawnPiece],
    recognise: Callable[[DrawnPiece], Piece],
) -> tuple[Piece, ...]:
    """Recognise sleeves again whose sides could not be told, with the front on the side where other sizes have it.

    ``pairs`` are pieces as drawn and as recognised, ``others`` those of sizes that are not looked at. What is taken
    from another size is noted as a guess.
    """
    pieces = [piece for _, piece in pairs]
    found: list[Piece] = []
    for raw, piece in pairs:
        doubtful = piece.doubt is not None and PieceKind.SLEEVE in piece.doubt.kinds
        known = _known(raw, pieces, others, recognise) if doubtful and raw.size and raw.front is None else []
        again = recognise(replace(raw, front=_front(known[0]))) if len({_front(one) for one in known}) == 1 else piece
        if known and again.kind == PieceKind.SLEEVE:
            note = f"front and back: as in size {known[0].size}"
            again = replace(again, guessed=(note, *again.guessed), unsure=(note, *again.unsure))
        found.append(again)
    return tuple(found)


def _known(
    raw: DrawnPiece,
    pieces: Sequence[Piece],
    others: Sequence[DrawnPiece],
    recognise: Callable[[DrawnPiece], Piece],
) -> list[Piece]:
    """Find the sizes of a sleeve whose sides are known: among those looked at, else the first of the others."""
    key = (raw.file, name_key(raw.name))
    here = [
        one for one in pieces if one.kind == PieceKind.SLEEVE and one.size and (one.file, name_key(one.name)) == key
    ]
    if here:
        return here
    for other in others:
        if (other.file, name_key(other.name)) == key and other.notches:
            try:
                piece = recognise(other)
            except Refusal:  # a size that nobody asked for
                continue
            if piece.kind == PieceKind.SLEEVE:
                return [piece]
    return []


def _front(piece: Piece) -> str:
    """Say on which side of a sleeve its front lies as drawn: in its frame it lies to the right."""
    return "right" if piece.placement.determinant > 0 else "left"
