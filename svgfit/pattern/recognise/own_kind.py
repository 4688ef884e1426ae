"""What a recogniser of any kind of piece needs: the outline parted at its corners, and a piece made of named edges.

Page millimetres, y down; the piece that comes of it lies in its own frame.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.curve import Curve
from svgfit.model.piece import Edge, Piece
from svgfit.model.raw_piece import DrawnPiece
from svgfit.pattern.corners import find_sides
from svgfit.pattern.cut_only import cut_sides
from svgfit.pattern.outline import Outline
from svgfit.pattern.recognise.choose import drawn_outline, plain_piece
from svgfit.pattern.recognise.named_edges import with_directions


class DrawnSides(Struct, frozen=True, kw_only=True):
    """A piece's drawn outline, parted at its corners. Page mm, y down."""

    sides: tuple[Curve, ...]
    """The stretches between corners, in order round the outline, each beginning where the one before ended."""
    clockwise: bool
    """Whether they run clockwise on the page."""
    cut_only: bool
    """Whether only a cut line is drawn: the sides lie on it then, and ``finished_piece`` finds the stitch line."""
    outline: Outline
    """The whole outline as it was found; handed on to ``finished_piece``."""


def drawn_sides(drawn: DrawnPiece, corners: int, marked: Sequence[complex] = ()) -> DrawnSides:
    """Part a piece's outline at its corners: of its stitch line, or of its cut line where it has no other.

    ``corners``: how many corners a piece of this kind has; of a cut line as many sides are kept, and shorter ones that
    only turn a corner of the allowance left out. ``marked``: points (page mm) that part the outline too, such as
    landmarks. There may be other than ``corners`` sides: it is the recogniser's to say what that means. Raises Refusal
    where no one outline is drawn.
    """
    outline, cut_only = drawn_outline(drawn)
    if cut_only:
        sides = cut_sides(outline.loop, outline.bridges, drawn.allowances, corners, marked)
    else:
        sides = find_sides(outline.loop, outline.bridges, extra=marked)
    return DrawnSides(sides=tuple(sides), clockwise=outline.loop.area() > 0, cut_only=cut_only, outline=outline)


def finished_piece(
    drawn: DrawnPiece,
    kind: str,
    found: DrawnSides,
    edges: Sequence[Edge],
    guessed: Sequence[str] = (),
    *,
    unsure: Sequence[str] = (),
) -> Piece:
    """Make a piece of ``kind`` of its named edges, with all that is drawn on it: notches, darts, lines, texts.

    ``edges``: all of the outline, in order round it, page mm; allowances are those drawn, or of the convention.
    ``guessed``: what the recogniser had to guess, in words for people. ``unsure``: guesses that can change a figure;
    they are told by every command that shows figures. The piece's frame is up along its grain line (or
    the page), its origin the middle of its box. Raises Refusal where only a cut line is drawn and no stitch line fits
    inside it.
    """
    notes = [*unsure, *guessed]
    piece = plain_piece(drawn, kind, found.outline, found.cut_only, with_directions(edges), notes)
    return replace(piece, unsure=tuple(dict.fromkeys((*unsure, *piece.unsure))))
