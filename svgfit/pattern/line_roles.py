"""What a layer's lines are by their shape, where no name tells: for a proposal, never for a figure. Page mm."""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec import Struct

from svgfit.geometry.box import Box, box_around, longer_side
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import DrawnText, Layer
from svgfit.model.length import both_ways
from svgfit.pattern.beside_outlines import ClosedLine, along_edge, is_tick, runs_beside, stroke
from svgfit.pattern.convention import Convention, Role
from svgfit.pattern.layer_patterns import name_key
from svgfit.pattern.layer_rows import OUTLINES
from svgfit.pattern.piece_places import lies_in, outlines
from svgfit.pattern.shape_roles import is_outline, is_test_square
from svgfit.rules.drawing_habits import FRAME_SHARE, LARGEST_MARK, MOSTLY_NOTCHES


class Taken(Struct, frozen=True):
    """What a layer is taken for."""

    layer: Layer
    role: str | None = None
    """None where nothing on it tells."""
    piece: str | None = None
    size: str | None = None
    guess: str = ""
    """What of its lines the role was guessed from; "" where its name tells it."""
    whole: bool = True
    """Whether it is all that is on the layer; else its lines are told apart by shape, and ``layer`` holds these."""


class _Drawn(Struct, frozen=True):
    """A layer with its closed lines that may be pieces."""

    layer: Layer
    outlines: tuple[ClosedLine, ...]
    role: str | None
    """What its name says."""

    @property
    def loops(self) -> list[Curve]:
        return [one.loop for one in self.outlines]


def roles_by_shape(layers: Sequence[Layer], convention: Convention, page: tuple[float, float]) -> tuple[Taken, ...]:
    """Take each of one drawing's layers for what its name says, else for what its lines look like.

    ``page`` is the page's size in mm, 0 where none is stated. Layers of svgfit's own and empty ones are left out.
    """
    named = [(layer, convention.role_of(layer.path)) for layer in layers if _has_lines(layer)]
    texts = [drawn for layer, _ in named for drawn in layer.texts]
    drawn = [
        _Drawn(layer, _outlines(layer, convention, texts), _line_role(known and known.role)) for layer, known in named
    ]
    pieces = [one for one in drawn if one.loops and one.role in (None, *OUTLINES) and not _is_frame(one, page)]
    found: list[Taken] = []
    for one, (_, known) in zip(drawn, named, strict=True):
        piece, size = (known.piece, known.size) if known is not None else (None, None)
        if one.role is not None:
            found.append(Taken(one.layer, one.role, piece, size))
            continue
        role, why = _by_shape(one, pieces, texts, page)
        found.append(Taken(one.layer, role, piece, size, why))
    return tuple(found)


def sizeless(name: str) -> str:
    """Write a layer's name with a sign for each number: those of the sizes of a nest come out the same.

    >>> sizeless("Size 12 cut"), sizeless("Gr_8")
    ('size # cut', 'gr #')
    """
    return re.sub(r"\d+", "#", name_key(name))


def _has_lines(layer: Layer) -> bool:
    return not layer.ours and bool(layer.shapes or layer.texts)


def _line_role(role: str | None) -> str | None:
    return None if role == Role.SIZE else role


def _outlines(layer: Layer, convention: Convention, texts: Sequence[DrawnText]) -> tuple[ClosedLine, ...]:
    """Find the closed lines of a layer that may be pieces."""
    found = outlines(layer.shapes, convention.join_within) if layer.shapes else []
    return tuple(ClosedLine(one.loop) for one in found if is_outline(one, texts))


def _by_shape(
    one: _Drawn,
    pieces: Sequence[_Drawn],
    texts: Sequence[DrawnText],
    page: tuple[float, float],
) -> tuple[str | None, str]:
    """Guess what a layer's lines are, and say from what."""
    shapes = one.layer.shapes
    if not shapes:
        return Role.TEXT, "only writing is on it"
    if _is_frame(one, page):
        return Role.IGNORE, "a frame round the page"
    curves = [curve for shape in shapes for curve in shape.curves]
    squares = [curve for curve in curves if curve.is_closed() and is_test_square(curve, texts)]
    if squares and not one.loops and len(squares) == len(curves):
        left, _, right, _ = squares[0].bounds()
        return Role.TEST_SQUARE, f"one square of {both_ways(right - left)}"
    outline = _outline(one, pieces) if one.loops else None
    if outline is not None:
        return outline
    around = [each for piece in pieces for each in piece.outlines]
    if sum(is_tick(shape, around) for shape in shapes) >= MOSTLY_NOTCHES * len(shapes):
        return Role.NOTCHES, f"small marks, up to {both_ways(LARGEST_MARK)}, at outlines"
    lines = [stroke(shape) for shape in shapes]
    long = [line for line in lines if line is not None]
    large = (longer_side(box_around(curve.bounds() for curve in shape.curves)) > LARGEST_MARK for shape in shapes)
    rest = sum(line is None and is_large for line, is_large in zip(lines, large, strict=True))
    along = [line for line in long if along_edge(line, around)]
    if long and len(along) == len(long) and not rest:
        return Role.FOLD_LINE, "straight lines along outlines"
    if len(long) > len(along) and len(long) >= rest:
        mixed = ", with other lines: put those on a layer of their own" if along or rest else ""
        return Role.GRAIN_LINE, f"long straight lines within outlines{mixed}"
    return Role.DETAILS, "none of its lines goes round a piece"


def _outline(one: _Drawn, pieces: Sequence[_Drawn]) -> tuple[str, str] | None:
    """Tell a cut line from a stitch line by a line of another layer beside it.

    None where all its closed lines lie within outlines of other layers, as places for pockets do.
    """
    for other in pieces:
        if other is one or sizeless(other.layer.name) == sizeless(one.layer.name):
            continue  # sizes of a nest lie within one another too
        if _is_inset(one.outlines, other.outlines):
            return Role.STITCH_LINE, f"closed lines that lie within those of {other.layer.name!r}"
        if _is_inset(other.outlines, one.outlines):
            return Role.CUT_LINE, f"closed lines that go round those of {other.layer.name!r}"
    others = [
        loop for other in pieces if sizeless(other.layer.name) != sizeless(one.layer.name) for loop in other.loops
    ]
    if all(any(abs(loop.area()) < abs(each.area()) and lies_in(loop, each) for each in others) for loop in one.loops):
        return None
    return Role.CUT_LINE, "closed lines, one a piece: look whether the allowance is in them"


def _is_inset(inner: Sequence[ClosedLine], outer: Sequence[ClosedLine]) -> bool:
    """Say whether most closed lines run beside another one each that goes round them, as a stitch line does."""
    count = sum(any(_is_stitch_line(one.loop, other) for other in outer) for one in inner)
    return bool(inner) and 2 * count > len(inner)


def _is_stitch_line(inner: Curve, outer: ClosedLine) -> bool:
    return abs(inner.area()) < abs(outer.loop.area()) and lies_in(inner, outer.loop) and runs_beside(inner, outer)


def _is_frame(one: _Drawn, page: tuple[float, float]) -> bool:
    """Say whether all that is on a layer goes round the page."""
    if one.role is not None or not one.loops or page[0] * page[1] <= 0:
        return False
    return all(_size(loop.bounds()) >= FRAME_SHARE * page[0] * page[1] and _is_box(loop) for loop in one.loops)


def _size(box: Box) -> float:
    left, top, right, bottom = box
    return (right - left) * (bottom - top)


def _is_box(loop: Curve) -> bool:
    return abs(abs(loop.area()) - _size(loop.bounds())) <= 0.01 * _size(loop.bounds())
