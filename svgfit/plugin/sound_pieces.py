"""Whether a piece that a plug-in made can be used: each check raises Unusable with what is wrong, in one line.

What the drawing itself had stays as it was: an outline that crossed itself before, a notch beside its edge, are no
fault of the plug-in that left them so. Piece frame, mm.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from numbers import Real
from typing import Any, TypeVar

import numpy as np

from svgfit.fitting.sewn import sewn_length
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.geometry.intersect import outline_crossing
from svgfit.model.cap_turn import CAP_TURN, HOUSE, CapTurn
from svgfit.model.length import both_ways, on_page
from svgfit.model.piece import Dart, Edge, Landmark, Mark, Piece
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import EdgeName, LandmarkName, MarkKind, PieceKind
from svgfit.plugin.guard import Unusable
from svgfit.rules.notches import FARTHEST_FROM_SEAM

Record = TypeVar("Record")

JOINED = 0.01
"""Edges that end and begin nearer to each other than this, mm, are joined."""
ON_EDGE = 0.1
"""What stands on an edge may lie so far off it, mm."""
LEFT_BEHIND = 1.0
"""A landmark that stood on the outline may lie so far off it afterwards, mm."""
NOTCHES = (MarkKind.NOTCH, MarkKind.SHOULDER_NOTCH)
"""Marks that stand on an edge."""
_STANDS: Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    PieceKind.SLEEVE: (
        (EdgeName.CAP,),
        (LandmarkName.CAP_TOP, LandmarkName.UNDERARM_FRONT, LandmarkName.UNDERARM_BACK),
    ),
}
"""Edges and landmarks without which a piece of the kind can't be measured (svgfit.fitting.measure)."""


def what_is(found: object) -> str:
    """Name what was given back in place of something else."""
    return "nothing" if found is None else f"a {type(found).__name__}"


def number(value: object, what: str) -> float:
    """Return a finite number as a float; raise Unusable where ``what`` is no number, or none that is finite."""
    if isinstance(value, bool) or not isinstance(value, Real):
        raise Unusable(f"{what} is {value!r}, not a number")
    found = float(value)
    if not math.isfinite(found):
        raise Unusable(f"{what} is {found}")
    return found


def point(value: object, what: str) -> complex:
    """Return a finite point; raise Unusable where ``what`` is none."""
    if isinstance(value, bool) or not isinstance(value, (int, float, complex, np.number)):
        raise Unusable(f"{what} is {value!r}, not a point (a complex number)")
    found = complex(value)  # pyright: ignore[reportUnknownArgumentType]
    if not (math.isfinite(found.real) and math.isfinite(found.imag)):
        raise Unusable(f"{what} is {found}")
    return found


def text(value: object, what: str) -> str:
    """Return a text that is not blank; raise Unusable where ``what`` is none."""
    if not isinstance(value, str) or not value.strip():
        raise Unusable(f"{what} is {value!r}, not a name")
    if any(ord(sign) < 32 for sign in value):
        raise Unusable(f"{what} is {value!r}: a name is one line, without tabs")
    return value


def several(found: Any, kind: type[Record], what: str) -> tuple[Record, ...]:
    """Return what was given back as a tuple of records of one kind; raise Unusable where it is something else."""
    if isinstance(found, (str, bytes)) or not hasattr(found, "__iter__"):
        raise Unusable(f"{what} are {what_is(found)}, not a tuple of {kind.__name__}")
    items: tuple[Any, ...] = tuple(found)
    for item in items:
        if not isinstance(item, kind):
            raise Unusable(f"{what} hold {what_is(item)}, not only {kind.__name__}")
    return items


def check_piece(new: Piece, old: Piece | None = None, *, as_drawn: bool = False) -> None:
    """Raise Unusable where a piece can't be used; ``old`` is the same piece before, None for one that is new.

    ``as_drawn``: it was just read, so its outline may cross itself and a notch may be drawn far from its seam.
    """
    title = text(new.name, "a piece's name")
    title = f"{title} ({new.size})" if new.size else title
    if old is not None and new.kind != old.kind:
        raise Unusable(f"{title}: it was a {old.kind} and is a {new.kind!r} now; a piece keeps its kind")
    text(new.kind, f"{title}: its kind")
    _check_edges(title, new)
    _check_placement(title, new.placement, None if old is None else old.placement)
    if not as_drawn:
        _check_crossing(title, new, old)
    _check_darts(title, new)
    _check_landmarks(title, new)
    _check_marks(title, new, old, as_drawn)
    _check_data(title, new.data)
    _check_turn(title, new, old)
    edges, landmarks = _STANDS.get(new.kind, ((), ()))
    for name in edges:
        if not new.has_edge(name):
            raise Unusable(f"{title}: a {new.kind} needs an edge {str(name)!r}; its edges are: {_names(new.edges)}")
    for name in landmarks:
        if new.find_landmark(name) is None:
            there = _names(new.landmarks) or "none"
            raise Unusable(f"{title}: a {new.kind} needs a landmark {str(name)!r}; its landmarks are: {there}")


def is_rigid(motion: Affine, accuracy: float = 1e-6) -> bool:
    """Tell whether a motion keeps every length; it may mirror."""
    numbers = (motion.a, motion.b, motion.c, motion.d, motion.e, motion.f)
    return all(map(math.isfinite, numbers)) and motion.is_uniform() and abs(abs(motion.determinant) - 1) <= accuracy


def _check_edges(title: str, piece: Piece) -> None:
    """Raise Unusable where edges are none, are named alike, have a width below nothing, or are not joined."""
    edges = several(piece.edges, Edge, f"{title}: its edges")
    if not edges:
        raise Unusable(f"{title}: it has no edges")
    seen: set[str] = set()
    for edge in edges:
        name = text(edge.name, f"{title}: the name of an edge")
        if name in seen:
            raise Unusable(f"{title}: two edges are named {name!r}")
        seen.add(name)
        if not isinstance(edge.curve, Curve):  # pyright: ignore[reportUnnecessaryIsInstance]
            raise Unusable(f"{title}: the line of {name} is {what_is(edge.curve)}, not a Curve")
        if edge.allowance is not None and number(edge.allowance, f"{title}: the seam allowance of {name}") < 0:
            raise Unusable(f"{title}: the seam allowance of {name} is {edge.allowance:g} mm, below nothing")
    for edge, after in zip(edges, (*edges[1:], *edges[:1]), strict=True):
        gap = abs(after.curve.start - edge.curve.end)
        if gap > JOINED:
            raise Unusable(f"{title}: {edge.name} and {after.name} lie {gap:.3g} mm apart, and edges must be joined")


def _check_placement(title: str, new: Any, old: Affine | None) -> None:
    if not isinstance(new, Affine):
        raise Unusable(f"{title}: its placement is {what_is(new)}, not an Affine")
    if not is_rigid(new):
        raise Unusable(f"{title}: its placement on the page scales it by {new.size:.4g}; a piece lies at its true size")
    if old is not None and max(abs(getattr(new, name) - getattr(old, name)) for name in "abcdef") > 1e-9:
        raise Unusable(f"{title}: its placement on the page is another than before; move its edges, not its placement")


def _check_crossing(title: str, new: Piece, old: Piece | None) -> None:
    """Raise Unusable where the outline crosses itself, and did not before."""
    if old is not None and _same_lines(new.edges, old.edges):
        return
    at = outline_crossing(new.outline())
    if at is None or (old is not None and outline_crossing(old.outline()) is not None):
        return
    edge = min(new.edges, key=lambda edge: edge.curve.nearest(at)[1])
    raise Unusable(f"{title}: its outline crosses itself, in the {edge.name} {on_page(new.placement.apply(at))}")


def _same_lines(one: Sequence[Edge], other: Sequence[Edge]) -> bool:
    return len(one) == len(other) and all(
        a.curve is b.curve or np.array_equal(a.curve.segments, b.curve.segments)
        for a, b in zip(one, other, strict=True)
    )


def _check_darts(title: str, piece: Piece) -> None:
    """Raise Unusable where a dart's mouth lies farther than ``ON_EDGE`` from its edge: no length is right then."""
    for dart in several(piece.darts, Dart, f"{title}: its darts"):
        edge = next((edge for edge in piece.edges if edge.name == dart.edge), None)
        ends = [point(at, f"{title}: a point of the dart in the {dart.edge}") for at in (dart.start, dart.end)]
        point(dart.apex, f"{title}: the point of the dart in the {dart.edge}")
        if edge is None:
            raise Unusable(f"{title}: a dart lies in the edge {dart.edge!r}; its edges are: {_names(piece.edges)}")
        if max(edge.curve.nearest(at)[1] for at in ends) > ON_EDGE:
            raise Unusable(f"{title}: the dart in its {dart.edge} does not lie on that edge")


def _check_landmarks(title: str, piece: Piece) -> None:
    """Raise Unusable where a landmark has no name or no place."""
    for mark in several(piece.landmarks, Landmark, f"{title}: its landmarks"):
        name = text(mark.name, f"{title}: the name of a landmark")
        point(mark.at, f"{title}: the landmark {name}")


def left_behind(new: Piece, old: Piece) -> tuple[str, ...]:
    """Name the landmarks that stood on the outline before, and which it has left: figures are taken from them."""
    if _same_lines(new.edges, old.edges):
        return ()
    found: list[str] = []
    for mark in new.landmarks:
        was = old.find_landmark(mark.name)
        away = new.outline().nearest(mark.at)[1]
        if was is not None and away > LEFT_BEHIND and old.outline().nearest(was)[1] <= ON_EDGE:
            found.append(
                f"{new.title}: its landmark {mark.name} stood on the outline and lies {both_ways(away)} off it after "
                "the step; figures that are taken from it may be wrong (the operation gives the new piece its place: "
                "replace(piece, landmarks=…))"
            )
    return tuple(found)


def _check_marks(title: str, piece: Piece, old: Piece | None, as_drawn: bool) -> None:
    """Raise Unusable where a mark has no place, or a notch stands beside its edge that did not before."""
    known = () if old is None else tuple(map(id, old.marks))
    stays = old is not None and _same_lines(piece.edges, old.edges)
    for mark in several(piece.marks, Mark, f"{title}: its marks"):
        if id(mark) in known:
            if not stays and mark.kind in NOTCHES and mark.at is not None:
                _check_stands(title, mark, mark.at, piece, old)
            continue
        kind = text(mark.kind, f"{title}: the kind of a mark")
        several(mark.curves, Curve, f"{title}: the lines of a {kind}")
        if mark.at is not None:
            point(mark.at, f"{title}: the place of a {kind}")
        if kind in NOTCHES and mark.at is not None:
            _check_stands(title, mark, mark.at, piece, old)
            if not as_drawn:
                _check_line(title, mark, mark.at, piece, old)


def _check_stands(title: str, mark: Mark, at: complex, piece: Piece, old: Piece | None) -> None:
    """Raise Unusable where a notch stands beside its edge, farther than any did before."""
    edge = next((edge for edge in piece.edges if edge.name == mark.edge), None)
    if edge is None:
        raise Unusable(f"{title}: a {mark.kind} stands on {mark.edge!r}; its edges are: {_names(piece.edges)}")
    away = edge.curve.nearest(at)[1]
    if away > ON_EDGE and away > _stood_off(mark, old):
        raise Unusable(f"{title}: a {mark.kind} of the {edge.name} lies {both_ways(away)} off that edge")


def _check_line(title: str, mark: Mark, at: complex, piece: Piece, old: Piece | None) -> None:
    """Raise Unusable where a notch is drawn farther from its place than any mark of a seam is, or of its cut line."""
    farthest = FARTHEST_FROM_SEAM + max((edge.allowance or 0.0 for edge in piece.edges), default=0.0)
    drawn = min((curve.nearest(at)[1] for curve in mark.curves), default=0.0)
    if drawn > farthest + _stood_off(mark, old):
        what = f"the line of a {mark.kind} of the {mark.edge} lies {both_ways(drawn)} off the notch's own place"
        raise Unusable(f"{title}: {what}")


def _check_turn(title: str, new: Piece, old: Piece | None) -> None:
    """Raise Unusable for a fact that svgfit reads itself and can't: one it does not know, or no turn of this cap."""
    known = (CAP_TURN, *(name for name, _ in (old.data if old is not None else ())))
    unknown = [name for name, _ in new.data if name.startswith(HOUSE) and name not in known]
    if unknown:
        raise Unusable(f"{title}: its data have {unknown[0]!r}, and what begins so is svgfit's own; use another name")
    try:
        turn = CapTurn.of(new)
    except Refusal as refusal:
        raise Unusable(f"{title}: {refusal.parts[1]}; CapTurn(…).kept_on(piece) keeps it") from None
    if turn and not new.has_edge(EdgeName.CAP):
        raise Unusable(f"{title}: is turned on purpose, but a {new.kind} without a cap can't be")
    if turn and abs(turn.most) >= sewn_length(new, EdgeName.CAP) / 2:
        raise Unusable(f"{title}: is turned {both_ways(abs(turn.most))} on purpose, more than half its cap")


def _check_data(title: str, found: Any) -> None:
    """Raise Unusable where what is kept with a piece is no text under a name, each name once."""
    if isinstance(found, (str, bytes)) or not hasattr(found, "__iter__"):
        raise Unusable(f"{title}: its data are {what_is(found)}, not a tuple of names and texts; with_fact keeps one")
    names: list[str] = []
    for pair in found:
        if not isinstance(pair, tuple) or len(pair) != 2 or not all(isinstance(each, str) for each in pair):  # pyright: ignore[reportUnknownArgumentType, reportUnknownVariableType]
            raise Unusable(f"{title}: its data hold {pair!r}, not a name and a text; with_fact keeps one")
        names.append(text(pair[0], f"{title}: a name in its data"))  # pyright: ignore[reportUnknownArgumentType]
    if twice := [name for name in names if names.count(name) > 1]:
        raise Unusable(f"{title}: its data have {twice[0]!r} twice")


def _stood_off(mark: Mark, old: Piece | None) -> float:
    """Measure how far off their edge such marks lay before at most, mm."""
    edge = None if old is None else next((edge for edge in old.edges if edge.name == mark.edge), None)
    if old is None or edge is None:
        return 0.0
    places = [one.at for one in old.marks if one.edge == mark.edge and one.at is not None]
    return max((edge.curve.nearest(at)[1] for at in places), default=0.0)


def _names(records: Sequence[Edge] | Sequence[Landmark]) -> str:
    return ", ".join(record.name for record in records)
