"""Which armhole a sleeve's cap is sewn into, and that armhole as sewn: pieces, shoulder, notches. Lengths in mm."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from svgfit.fitting.sewn import SewnPart, SewnRow, bodice_kind, row_marks, sewn_length, sewn_row, shoulder_at
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam, spell_edges
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import EdgeName, PieceKind, Side
from svgfit.model.walk import NOTCH, SEAM, SHOULDER, Stop
from svgfit.rules.armholes import SHORTEST

Edges = tuple[tuple[str, str], ...]


class Armhole(Struct, frozen=True):
    """An armhole from the front underarm point over the shoulder to the back one."""

    row: SewnRow
    shoulder: float
    """Where the shoulder lies, in mm along the row."""
    guessed: bool
    """Whether that is guessed."""
    stops: tuple[Stop, ...]
    """Notches, the seams between its pieces, and the shoulder (the one stop without a side), in order."""

    @property
    def name(self) -> str:
        """Name it as people do: ``Front/armhole+Back/armhole``."""
        return spell_edges([(part.piece.name, part.edge) for part in self.row.parts])

    def lower_part(self, side: str) -> SewnPart:
        """Return the part that begins at the front's or the back's underarm point."""
        return self.row.parts[0 if side == Side.FRONT else -1]

    def stretch(self, start: float, end: float, side: str) -> Curve:
        """Cut out what lies between two distances (mm along the row), from its lower end up.

        In the frame of the piece at that end.
        """
        t0, t1 = self.row.curve.at_lengths([start, end])
        curve = self.row.curve.subcurve(t0, t1)
        parts = self.row.parts
        if side == Side.FRONT:
            part = next((one for one in reversed(parts) if one.at <= start + SHORTEST), parts[0])
        else:
            curve = curve.reverse()
            part = next((one for one in parts if one.at + one.length >= end - SHORTEST), parts[-1])
        return curve if part is parts[0] else curve.transform(part.motion.inverse())


def cap_and_armhole(seam: Seam) -> tuple[Edges, Edges] | None:
    """Tell a seam's cap from the armhole that it is sewn into: (cap, armhole); None where neither side is one cap."""
    for one, other in ((seam.a, seam.b), (seam.b, seam.a)):
        if [edge for _, edge in one] == [EdgeName.CAP]:
            return one, other
    return None


def armhole_edges(sleeve: str, seams: Sequence[Seam], pieces: Sequence[Piece] = ()) -> Edges:
    """Find the armhole that the seam map sews the cap of the sleeve of that name into; () where it says nothing.

    The first seam of that cap counts; where ``pieces`` are given, rather the first whose pieces are all among these.
    """
    cap = ((sleeve, EdgeName.CAP),)
    found = [other for seam in seams for one, other in ((seam.a, seam.b), (seam.b, seam.a)) if one == cap]
    names = {piece.name for piece in pieces}
    return next((edges for edges in found if all(name in names for name, _ in edges)), found[0] if found else ())


def pieces_at_cap(sleeve: str, seams: Sequence[Seam]) -> frozenset[str]:
    """Name the sleeve and the pieces of its armhole, on which its walk depends; empty where no armhole is known."""
    edges = armhole_edges(sleeve, seams)
    return frozenset((sleeve, *(piece for piece, _ in edges))) if edges else frozenset()


def armhole_row(sleeve: Piece, pieces: Sequence[Piece], seams: Sequence[Seam]) -> SewnRow | None:
    """Lay the armhole of a sleeve's cap in a row; None where the seam map, a piece of that size or an edge is missing.

    From the front underarm point over the shoulder to the back one, also where the seam map has it the other way.
    """
    same_size = [piece for piece in pieces if piece.size == sleeve.size]
    edges = armhole_edges(sleeve.name, seams, same_size)
    here = {(piece.name, edge.name) for piece in same_size for edge in piece.edges}
    if sleeve.kind != PieceKind.SLEEVE or not edges or not here.issuperset(edges):
        return None
    return sewn_row(same_size, _from_front(edges, same_size), seams)


def _from_front(edges: Edges, pieces: Sequence[Piece]) -> Edges:
    """Turn an armhole round where it runs from the back to the front."""
    kinds = {piece.name: bodice_kind(piece) for piece in reversed(pieces)}
    first = next((kinds[name] for name, _ in edges if kinds[name] in (PieceKind.FRONT, PieceKind.BACK)), None)
    return edges[::-1] if first == PieceKind.BACK else edges


def armhole_of(sleeve: Piece, pieces: Sequence[Piece], seams: Sequence[Seam]) -> Armhole:
    """Find the armhole that the seam map sews a sleeve's cap into. Refuse, with why, where there is none."""
    edges = armhole_edges(sleeve.name, seams, pieces)
    if not edges:
        raise why_no_armhole(sleeve, pieces)
    names = {piece.name for piece in pieces}
    missing = list(dict.fromkeys(name for name, _ in edges if name not in names))
    if missing:
        what = f"its armhole runs over {' and '.join(missing)}, which is not among the pieces"
        raise Refusal(sleeve.where, what, "give the drawings of all pieces of the armhole")
    return _lay_armhole(sleeve, edges, pieces, seams)


def _lay_armhole(sleeve: Piece, edges: Edges, pieces: Sequence[Piece], seams: Sequence[Seam]) -> Armhole:
    """Lay the armhole in a row, all pieces there. Refuse half an armhole, and an edge without length."""
    by_name = {piece.name: piece for piece in reversed(pieces)}
    kinds = [by_name[name].kind for name, _ in edges]
    for there, lacking in ((Side.FRONT, Side.BACK), (Side.BACK, Side.FRONT)):
        if there in kinds and lacking not in kinds:
            what = f"its armhole has a {there} ({by_name[edges[kinds.index(there)][0]].name}) but no {lacking}"
            raise Refusal(
                sleeve.where, what, f"add the {lacking}'s armhole to the seam, under [[seams]] in svgfit.toml"
            )
    edges = _from_front(edges, pieces)
    for name, edge in edges:
        if sewn_length(by_name[name], edge) < SHORTEST:
            where = f"{by_name[name].where}: {edge}"
            raise Refusal(where, "has no length, so no sleeve can be sewn into it", "draw its curve")
    row = sewn_row(pieces, edges, seams)
    shoulder, guessed = shoulder_at(row)
    return Armhole(row, shoulder, guessed, _stops(row, shoulder))


def _stops(row: SewnRow, shoulder: float) -> tuple[Stop, ...]:
    """List notches, seams between pieces and the shoulder, in order along the row."""

    def side(at: float) -> str:
        return Side.FRONT if at < shoulder else Side.BACK

    joints = [part.at for part in row.parts[1:]]
    found = [Stop(at, SEAM, side(at)) for at in joints if abs(at - shoulder) > SHORTEST]
    found += [
        Stop(at, NOTCH, side(at))
        for at, mark, _ in row_marks(row)
        if mark.kind == NOTCH and abs(at - shoulder) > SHORTEST  # one for the shoulder notch is the shoulder itself
    ]
    found.append(Stop(shoulder, SEAM if any(abs(at - shoulder) <= SHORTEST for at in joints) else SHOULDER, ""))
    return tuple(sorted(found, key=lambda stop: stop.at))


def why_no_armhole(sleeve: Piece, pieces: Sequence[Piece]) -> Refusal:
    """Make the refusal that says why a sleeve has no armhole to be walked along."""
    kinds = {side: [piece for piece in pieces if piece.kind == side] for side in Side}
    holed = [piece for piece in pieces if piece.has_edge(EdgeName.ARMHOLE)]
    where = sleeve.where
    for there, lacking in ((Side.FRONT, Side.BACK), (Side.BACK, Side.FRONT)):
        if kinds[there] and not kinds[lacking]:
            doubtful = doubt_refusal(pieces, lacking, where)
            if doubtful:
                return doubtful
            what = f"there is a {there} ({kinds[there][0].name}) but no {lacking}, so only half of its armhole is here"
            return Refusal(where, what, f"give the drawing of the {lacking} too")
    if not holed:
        doubtful = doubt_refusal(pieces, PieceKind.FRONT, where) or doubt_refusal(pieces, PieceKind.BACK, where)
        what = "there is no armhole to walk along: neither a front nor a back is among the pieces"
        return doubtful or Refusal(where, what, "give the drawings of front and back too")
    names = ", ".join(dict.fromkeys(piece.name for piece in holed))
    what = f"which armhole it is sewn into is not known; there are those of {names}"
    state = f'a = ["{sleeve.name}/cap"] and b = ["{holed[0].name}/armhole", …]'
    return Refusal(where, what, f"say it in svgfit.toml: [[seams]] with {state}")


def why_unsewn(pieces: Sequence[Piece]) -> tuple[str, str]:
    """Say, for an operation that needs it, why no armhole is known for a sleeve (as a clause), and what to do.

    Either front and back are not both here, or they are and the seam map does not say what is sewn to what.
    """
    if not all(
        any(one.kind == kind and one.has_edge(EdgeName.ARMHOLE) for one in pieces)
        for kind in (PieceKind.FRONT, PieceKind.BACK)
    ):
        return (
            "the front and back that the sleeve is sewn to are not both here",
            "give the drawings of front and back too",
        )
    several = [
        f"{len(names)} {kind}s ({', '.join(names)})"
        for kind in (PieceKind.SLEEVE, PieceKind.FRONT, PieceKind.BACK, PieceKind.YOKE)
        if len(names := list(dict.fromkeys(one.name for one in pieces if one.kind == kind))) > 1
    ]
    because = f", since there are {' and '.join(several)}" if several else ""
    return (
        f"which seams meet is not known{because}",
        "say it with [[seams]] in svgfit.toml, or give only the drawings of one garment",
    )


def doubt_refusal(pieces: Sequence[Piece], kind: str, where: str) -> Refusal | None:
    """Make the refusal for a piece that may be of a kind but could not be taken for it; None where there is none."""
    for piece in pieces:
        if piece.doubt is not None and kind in piece.doubt.kinds:
            looks = " or ".join(piece.doubt.kinds)
            return Refusal(where, f"{piece.name} looks like a {looks}, but {piece.doubt.what}", piece.doubt.todo)
    return None
