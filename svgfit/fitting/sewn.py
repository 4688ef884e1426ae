"""Edges as they are sewn: darts closed, several laid end to end as one seam. What every seam is measured on.

Piece frame, mm. A dart is closed by turning what lies beyond it (seen from the edge's front or underarm end) about the
dart's apex until its legs meet; where they are not equally long the rest is a small shift, so that nothing of a leg
counts as edge. Pieces are laid together as they lie when the seam between them is sewn and opened out: the seam's
directions at the corner on one another, the pieces on opposite sides of it.
"""

from __future__ import annotations

import cmath
import itertools
from collections.abc import Sequence

from msgspec import Struct

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import LENGTH_ACCURACY, Curve
from svgfit.model.length import both_ways
from svgfit.model.piece import Edge, Mark, Piece
from svgfit.model.plan import Seam
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import LandmarkName, MarkKind, PieceKind
from svgfit.model.wording import name_key

_STILL = Affine()


class KeptStretch(Struct, frozen=True):
    """A stretch of an edge between darts: its parameters from the front or underarm end, and how closing moves it."""

    start: float
    end: float
    motion: Affine


class SewnPart(Struct, frozen=True):
    """One edge of a row, in the direction in which it is sewn."""

    piece: Piece
    """The piece that it belongs to."""
    edge: str
    """The edge's name."""
    curve: Curve
    """Darts closed, in the piece's own frame."""
    at: float
    """Where it begins, mm along the row."""
    length: float
    """As sewn, mm."""
    turned: bool
    """Whether it is walked towards its front or underarm end (as a back armhole from the shoulder down)."""
    motion: Affine
    """From the piece's frame to the first piece's, as laid together (with darts: of what lies before them)."""


class SewnRow(Struct, frozen=True):
    """Edges sewn as one seam, such as an armhole from the front underarm point over the shoulder to the back one."""

    parts: tuple[SewnPart, ...]
    """Each edge as sewn, in order."""
    length: float
    """Of all together, darts closed, mm."""
    curve: Curve
    """All laid together, in the frame of the first piece."""
    doubts: tuple[str, ...] = ()
    """Edges of which neither the seam map nor the kind of piece told the direction, in words for people."""


# -- one edge --------------------------------------------------------------------------------------------------------


def kept_stretches(piece: Piece, name: str) -> tuple[Curve, tuple[KeptStretch, ...]]:
    """Return the edge as drawn from its front or underarm end, and its stretches between the darts."""
    curve = piece.edge(name).from_front()
    n = float(len(curve))
    darts = [dart for dart in piece.darts if dart.edge == name]
    mouths = (
        sorted((*sorted(curve.nearest(at)[0] for at in (dart.start, dart.end)), dart.apex) for dart in darts)
        if darts
        else []
    )
    kept: list[KeptStretch] = []
    start, motion = 0.0, _STILL
    for first, last, apex in mouths:
        if first - start > 1e-9:
            kept.append(KeptStretch(start, first, motion))
        start, motion = max(start, last), _closing_motion(curve.point(first), apex, curve.point(last)).then(motion)
    if n - start > 1e-9 or not kept:
        kept.append(KeptStretch(start, n, motion))
    return curve, tuple(kept)


def _closing_motion(first: complex, apex: complex, last: complex) -> Affine:
    """Find the motion that brings a dart's far leg onto its near one."""
    if first == apex or last == apex:
        return Affine.shift(first - last)
    turn = Affine.turn(cmath.phase((first - apex) / (last - apex)), apex)
    return turn.then(Affine.shift(first - turn.apply(last)))


def sewn_edge(piece: Piece, name: str) -> Curve:
    """Lay an edge as sewn: its stitch line from its front or underarm end, darts closed. Refuse one that is not there.

    What lies before the first dart stays where it is in the piece's frame.
    """
    curve, kept = kept_stretches(piece, name)
    if len(kept) == 1 and kept[0].start == 0.0 and kept[0].end == float(len(curve)):
        return curve
    return Curve.chain([curve.subcurve(one.start, one.end).transform(one.motion) for one in kept])


def turned_edge(piece: Piece, name: str, by: float) -> Curve:
    """Lay an edge that closes to a ring when sewn (a cap), begun ``by`` mm before its front or underarm end.

    What is taken from beyond the other end lies as it does when the seams at the two ends are sewn to one another;
    negative: so much is taken from the front and laid behind the end. Refuse what is longer than the edge.
    """
    curve = sewn_edge(piece, name)
    if abs(by) < 1e-9:
        return curve
    length = curve.length()
    if abs(by) >= length:
        what = f"is turned {both_ways(abs(by))}, more than its {name} is long"
        raise Refusal(piece.where, what, "adjust it again from the drawn outline")
    ways = [_seam_direction(piece, name, at_start=at_start)[0] for at_start in (True, False)]
    closing = Affine.turn(cmath.phase(ways[0] / ways[1]))
    closing = closing.then(Affine.shift(curve.start - closing.apply(curve.end)))
    first, last = curve.split(curve.at_length(length - by if by > 0 else -by))
    if by > 0:
        return Curve.chain([last.transform(closing), first])
    return Curve.chain([last, first.transform(closing.inverse())])


def sewn_length(piece: Piece, name: str, accuracy: float = LENGTH_ACCURACY) -> float:
    """Measure an edge in mm, darts closed, within ``accuracy`` mm. Refuse one that is not there.

    The one measure of an edge: whatever is reported, compared or taught of an edge's length is this.
    """
    if not piece.darts:
        return piece.edge(name).curve.length(accuracy)
    return sewn_edge(piece, name).length(accuracy)


def has_dart(piece: Piece, name: str) -> bool:
    """Tell whether a dart is sewn into an edge, so that it measures less as sewn than as drawn."""
    return any(dart.edge == name for dart in piece.darts)


def notch_distance(piece: Piece, mark: Mark) -> float | None:
    """Measure where a notch stands, in mm along its edge from its front or underarm end; None for other marks."""
    if mark.edge is None or mark.at is None or not piece.has_edge(mark.edge):
        return None
    return sewn_distance(piece, mark.edge, mark.at)


def sewn_distance(piece: Piece, name: str, point: complex) -> float:
    """Measure how far along an edge a point (its foot) lies: mm from the front or underarm end, darts closed."""
    curve, kept = kept_stretches(piece, name)
    t = curve.nearest(point)[0]
    return sum(curve.length_between(one.start, min(t, one.end)) for one in kept)


def place_along(piece: Piece, edge: str, distance: float) -> tuple[Curve, float]:
    """Find the place ``distance`` mm along an edge as sewn: the edge from its front or underarm end, and a parameter.

    Darts count as closed. Refuse a distance that runs off the edge.
    """
    curve, kept = kept_stretches(piece, edge)
    left = distance
    for one in kept:
        size = curve.length_between(one.start, one.end)
        if -1e-9 <= left <= size + 1e-9:
            return curve, curve.at_length(curve.length_between(0.0, one.start) + left)
        left -= size
    raise Refusal(piece.where, f"{both_ways(distance)} along {edge} lies off that edge", "ask for a place on it")


def seam_length(pieces: Sequence[Piece], edges: Sequence[tuple[str, str]]) -> float:
    """Add up edges, each (piece, edge), in mm, darts closed; refuse a name that is not there, with those that are."""
    by_name = {name_key(piece.name): piece for piece in pieces}
    total = 0.0
    for name, edge in edges:
        piece = by_name.get(name_key(name))
        if piece is None:
            raise Refusal("", f"no piece {name!r}", f"the pieces are: {', '.join(p.name for p in pieces)}")
        total += sewn_length(piece, edge)
    return total


# -- several edges ---------------------------------------------------------------------------------------------------


def sewn_row(pieces: Sequence[Piece], edges: Sequence[tuple[str, str]], seams: Sequence[Seam] = ()) -> SewnRow:
    """Lay edges (each a piece's and an edge's name), in sewing order, together as one seam.

    The first of the pieces with a name counts: hand over those of one size. Which way each edge is walked follows from
    which ends meet: corners where edges begin that ``seams`` sew to one another. Where these say nothing, an edge is
    walked from its front or underarm end, only of front and back the one that comes later in the row towards it.
    Refuse a piece or edge that is not there, and an empty row.
    """
    if not edges:
        raise Refusal("", "a seam without an edge can't be measured", "name its edges")
    rows = [(_find_piece(pieces, name), edge) for name, edge in edges]
    turns, doubts = _directions(rows, seams)
    parts: list[SewnPart] = []
    laid: list[Curve] = []
    at = 0.0
    for (piece, edge), turned in zip(rows, turns, strict=True):
        curve = sewn_edge(piece, edge)
        curve = curve.reverse() if turned else curve
        motion = _motion_into_row(parts[-1], laid[-1].end, piece, edge, curve.start, turned) if parts else _STILL
        length = curve.length()
        parts.append(SewnPart(piece, edge, curve, at, length, turned, motion))
        laid.append(curve if motion is _STILL else curve.transform(motion))
        at += length
    return SewnRow(tuple(parts), at, Curve.chain(laid) if len(laid) > 1 else laid[0], doubts)


def row_distance(part: SewnPart, point: complex) -> float:
    """Measure how far along the row, in mm, a point on one of its edges lies, in the frame of the part's piece."""
    along = sewn_distance(part.piece, part.edge, point)
    return part.at + (part.length - along if part.turned else along)


def row_marks(row: SewnRow) -> tuple[tuple[float, Mark, SewnPart], ...]:
    """List the notches (shoulder notches too) on a row's edges in sewing order: mm along the row, mark, its part."""
    found = [
        (row_distance(part, mark.at), mark, part)
        for part in row.parts
        for mark in part.piece.marks
        if mark.edge == part.edge and mark.at is not None
    ]
    return tuple(sorted(found, key=lambda one: one[0]))


def bodice_kind(piece: Piece) -> str:
    """Tell of which kind a piece is; of a whole front or back, which is of kind other, what half of it would be."""
    return piece.doubt.kinds[0] if piece.doubt is not None and len(piece.doubt.kinds) == 1 else piece.kind


def shoulder_at(row: SewnRow) -> tuple[float, bool]:
    """Find where along an armhole's row (mm) the sleeve's shoulder notch meets it, and whether that is guessed.

    A mark or landmark on the row with "shoulder" in its name or kind says it; else it is where front and back meet.
    Where other pieces (a yoke) lie between them: the one notch on these, else the middle of them, as a guess. A
    row without both front and back: its middle, guessed.
    """
    named = _marked_shoulder(row)
    if named is not None:
        return named, False
    fronts = [k for k, part in enumerate(row.parts) if bodice_kind(part.piece) == PieceKind.FRONT]
    backs = [k for k, part in enumerate(row.parts) if bodice_kind(part.piece) == PieceKind.BACK]
    if not fronts or not backs:
        return row.length / 2, True
    first, last = (max(fronts), min(backs)) if max(fronts) < min(backs) else (max(backs), min(fronts))
    if last == first + 1:
        return row.parts[last].at, False
    if last < first:
        return row.length / 2, True
    between = row.parts[first + 1 : last]
    middle = (between[0].at + row.parts[last].at) / 2
    notches = [at for at, _, part in row_marks(row) if any(part is one for one in between)]
    if len(notches) == 1:
        return notches[0], False
    return min(notches, key=lambda at: abs(at - middle), default=middle), True


def _marked_shoulder(row: SewnRow) -> float | None:
    """Find where a shoulder notch, or a landmark of that name that is no bodice's corner, stands on the row."""
    for at, mark, _ in row_marks(row):
        if mark.kind == MarkKind.SHOULDER_NOTCH or (mark.name is not None and "shoulder" in mark.name.casefold()):
            return at
    for part in row.parts:
        for landmark in part.piece.landmarks:
            if "shoulder" in landmark.name and landmark.name != LandmarkName.SHOULDER_TIP:
                edge = part.piece.edge(part.edge).curve
                if edge.nearest(landmark.at)[1] < 3.0:
                    return row_distance(part, landmark.at)
    return None


def _find_piece(pieces: Sequence[Piece], name: str) -> Piece:
    """Find a piece by its name, however it is spelt; refuse one that is not there."""
    for piece in pieces:
        if piece.name == name:
            return piece
    for piece in pieces:
        if name_key(piece.name) == name_key(name):
            return piece
    raise Refusal("", f"no piece {name!r}", f"the pieces are: {', '.join(piece.name for piece in pieces)}")


# -- which way, and how they lie -------------------------------------------------------------------------------------


def _directions(rows: Sequence[tuple[Piece, str]], seams: Sequence[Seam]) -> tuple[tuple[bool, ...], tuple[str, ...]]:
    """Choose whether each edge is turned round, and tell doubts: the most corners sewn to one another win."""
    kinds = [bodice_kind(piece) for piece, _ in rows]
    first = next((kind for kind in kinds if kind in (PieceKind.FRONT, PieceKind.BACK)), "")
    usual = [kind in (PieceKind.FRONT, PieceKind.BACK) and kind != first for kind in kinds]
    if len(rows) == 1:
        # A seam of one edge has no order of its own: it runs from its front or underarm end.
        return (False,), ()
    sewn = {pair for seam in seams for a in seam.a for b in seam.b for pair in ((a, b), (b, a))}
    met = [
        {
            (a, b): (_corner(*one, at_start=a, name=True), _corner(*two, at_start=not b, name=True)) in sewn
            for a, b in itertools.product((False, True), repeat=2)
        }
        for one, two in itertools.pairwise(rows)
    ]
    best: dict[bool, tuple[float, tuple[bool, ...]]] = {
        turn: (float(turn == usual[0]), (turn,)) for turn in (False, True)
    }
    for k in range(1, len(rows)):
        best = {
            turn: max(
                (
                    (score + (turn == usual[k]) + 100.0 * met[k - 1][turns[-1], turn], (*turns, turn))
                    for score, turns in best.values()
                ),
                key=lambda one: one[0],
            )
            for turn in (False, True)
        }
    turns = max(best.values(), key=lambda one: one[0])[1]
    joints = [met[k][turns[k], turns[k + 1]] for k in range(len(rows) - 1)]
    known = [
        kinds[k] in (PieceKind.FRONT, PieceKind.BACK, PieceKind.YOKE) or any(joints[max(0, k - 1) : k + 1])
        for k in range(len(rows))
    ]
    doubts = tuple(
        f"{piece.name}/{edge}: which end is sewn first is not known; "
        "say in svgfit.toml which edges are sewn to which at its ends"
        for (piece, edge), is_known in zip(rows, known, strict=True)
        if not is_known
    )
    return turns, doubts


def _corner(piece: Piece, edge: str, *, at_start: bool, name: bool = False) -> tuple[str, str]:
    """Return the piece and edge that follow at one end of an edge; ``at_start``: at its front or underarm end."""
    return piece.name, neighbour(piece, piece.edge(edge), at_start=at_start)[0].name


def neighbour(piece: Piece, edge: Edge, *, at_start: bool) -> tuple[Edge, bool]:
    """Find the edge beyond one end (``at_start``: the front or underarm one), and whether the outline runs into it."""
    index = next(k for k, one in enumerate(piece.edges) if one.name == edge.name)
    leaves = at_start == edge.backwards
    return piece.edges[(index + (1 if leaves else -1)) % len(piece.edges)], leaves


def _motion_into_row(before: SewnPart, end: complex, piece: Piece, edge: str, start: complex, turned: bool) -> Affine:
    """Find the motion that lays a piece so that its edge goes on where ``before`` ends (at ``end``, as laid)."""
    along, side = _seam_direction(before.piece, before.edge, at_start=before.turned)
    along, side = before.motion.apply_vector(along), -side if before.motion.mirrors else side
    direction, piece_side = _seam_direction(piece, edge, at_start=not turned)
    motion = _STILL
    if side == piece_side:  # both on one side of the seam: this piece was drawn for the other half of the body
        motion = Affine.scale(-1.0, 1.0)
        direction = motion.apply_vector(direction)
    motion = motion.then(Affine.turn(cmath.phase(along / direction)))
    return motion.then(Affine.shift(end - motion.apply(start)))


def _seam_direction(piece: Piece, name: str, *, at_start: bool) -> tuple[complex, int]:
    """Find the seam's direction away from an edge's end, darts closed, and on which side of it (±1) the piece lies."""
    edge = piece.edge(name)
    beyond, leaves = neighbour(piece, edge, at_start=at_start)
    curve = beyond.curve
    way = curve.tangent(0.0) if leaves else -curve.tangent(float(len(curve)), before=True)
    if not at_start and piece.darts:
        way = kept_stretches(piece, name)[1][-1].motion.apply_vector(way)
    inside = 1 if piece.outline().area() > 0 else -1
    return way, inside if leaves else -inside
