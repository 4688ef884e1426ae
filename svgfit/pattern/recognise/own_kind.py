"""What a recogniser of any kind of piece needs: the outline parted at its corners, and a piece made of named edges.

Page millimetres, y down; the piece that comes of it lies in its own frame.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Edge, Landmark, Mark, Piece
from svgfit.model.raw_piece import DrawnPiece
from svgfit.pattern.corners import Jog, find_jogs, find_sides
from svgfit.pattern.cut_only import cut_sides
from svgfit.pattern.outline import Outline, find_outline
from svgfit.pattern.recognise.choose import build_piece, collect_marks, drawn_outline, finish_edges, plain_piece
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
    """The whole outline as it was found; handed on to what makes the piece."""
    jogs: tuple[Jog, ...] = ()
    """Steps in an edge whose corners part no side; () where they were not looked for."""


def drawn_sides(
    drawn: DrawnPiece, corners: int, marked: Sequence[complex] = (), *, over_jogs: bool = False
) -> DrawnSides:
    """Part a piece's outline at its corners: of its stitch line, or of its cut line where it has no other.

    ``corners``: how many corners a piece of this kind has; of a cut line as many sides are kept, and shorter ones that
    only turn a corner of the allowance left out. ``marked``: points (page mm) that part the outline too, such as
    landmarks. ``over_jogs``: whether a step in an edge, as slashed paper leaves it, is no corner. There may be other
    than ``corners`` sides: it is the recogniser's to say what that means. Raises Refusal where no one outline is drawn.
    """
    outline, cut_only = drawn_outline(drawn)
    return _parted(drawn, outline, cut_only, corners, marked, over_jogs)


def parted_again(
    drawn: DrawnPiece,
    found: DrawnSides,
    corners: int,
    marked: Sequence[complex] = (),
    *,
    over_jogs: bool = False,
    over_darts: bool = True,
) -> DrawnSides:
    """Part an outline that was found once more, otherwise: arguments as of ``drawn_sides``.

    ``over_darts``: whether the mouths of darts are bridged; False to take what was held for darts for edges.
    """
    outline = found.outline
    if not over_darts and outline.mouths:
        outline = find_outline(drawn.stitch, f"{drawn.where}: stitch line", drawn.join)
    return _parted(drawn, outline, found.cut_only, corners, marked, over_jogs)


def _parted(
    drawn: DrawnPiece, outline: Outline, cut_only: bool, corners: int, marked: Sequence[complex], over_jogs: bool
) -> DrawnSides:
    jogs = tuple(find_jogs(outline.loop)) if over_jogs else ()
    gaps = (*outline.bridges, *((jog.start, jog.end) for jog in jogs))
    if cut_only:
        sides = cut_sides(outline.loop, gaps, drawn.allowances, corners, marked)
    else:
        sides = find_sides(outline.loop, gaps, extra=marked)
    return DrawnSides(
        sides=tuple(sides), clockwise=outline.loop.area() > 0, cut_only=cut_only, outline=outline, jogs=jogs
    )


def finished_edges(
    drawn: DrawnPiece, found: DrawnSides, edges: Sequence[Edge]
) -> tuple[tuple[Edge, ...], tuple[str, ...]]:
    """Put named edges on the stitch line, with their allowances; also notes on how that was done. Page mm.

    ``edges``: all of the outline, in order round it, as drawn. Of a cut line only they become its inner parallels.
    Raises Refusal where none fit inside it.
    """
    return finish_edges(drawn, edges, found.outline.loop, found.cut_only)


def drawn_marks(
    drawn: DrawnPiece, found: DrawnSides, edges: Sequence[Edge], place: Affine
) -> tuple[tuple[Mark, ...], tuple[str, ...]]:
    """Collect what is drawn on a piece (notches, lines, details, texts), in its frame; also doubts about its notches.

    ``edges``: in the piece's frame. ``place``: from that frame to the page (``placement``).
    """
    return collect_marks(drawn, edges, place.inverse(), found.outline.loop)


def placed_piece(
    drawn: DrawnPiece,
    kind: str,
    found: DrawnSides,
    edges: tuple[Edge, ...],
    place: Affine,
    *,
    marks: tuple[Mark, ...],
    landmarks: Sequence[Landmark] = (),
    guessed: Sequence[str] = (),
    unsure: Sequence[str] = (),
) -> Piece:
    """Make a piece of ``kind`` in a frame of the recogniser's choosing; its darts are put back into their edges.

    ``edges`` (of ``finished_edges``), ``marks`` (of ``drawn_marks``) and ``landmarks`` lie in the piece's frame, which
    ``place`` lays on the page. ``guessed``: what the recogniser had to guess, in words for people, those among them
    that can change a figure also in ``unsure``. Raises NoPiece where a stitch line made from a cut line crosses itself.
    """
    return build_piece(drawn, kind, edges, place, found.outline, marks, landmarks, guessed, unsure)


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
