"""A sleeve widened at the bicep: cap edge, underarm seams, and what rides on them. Piece frame, mm, y down.

Every half of the cap is stretched level, nothing at the cap top and all of it at the underarm point, as if cut into
many narrow strips that are spread evenly: an affine motion, so that straight stays straight, level tangents (at the cap
top, at a squared underarm) stay level, nodes stay nodes, and no inflection is added.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from msgspec.structs import replace

from svgfit.fitting.gradual import ON_NODE
from svgfit.fitting.lower_curve import bend_to_end, motion_to_end
from svgfit.fitting.ride_along import (
    ON_EDGE,
    Deformation,
    close_outline,
    for_one_point,
    move_dart,
    reshape_curve,
    ride_along_edge,
    with_edge,
)
from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import Complex
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Dart, Landmark, Mark, Piece
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import EdgeName, LandmarkName, MarkKind, Side

AT_TOP = 0.002
"""A node nearer than this (mm) to the highest point is taken for it: the edge is level there."""


def cap_apex(piece: Piece) -> float:
    """Find the highest point of the cap edge: its parameter from the edge's front end."""
    cap = piece.edge(EdgeName.CAP).from_front()
    places = cap.level_places(-1j)
    heights = cap.points(places).imag
    near = places[heights <= float(heights.min()) + 1e-9]
    middle = float(near[len(near) // 2])
    return cap.snap_to_node(middle, AT_TOP)


def half_motions(piece: Piece, out: float, drop: float) -> tuple[Affine, Affine]:
    """Find what stretches the cap's front and back half: underarm points out by ``out`` mm, cap top down by ``drop``.

    Refuse a cap whose top does not lie between its underarm points and over them.
    """
    top = piece.edge(EdgeName.CAP).from_front().point(cap_apex(piece))
    motions: list[Affine] = []
    for sign, side in ((1, Side.FRONT), (-1, Side.BACK)):
        end = piece.landmark(f"underarm {side}")
        wide, high = sign * (end.real - top.real), end.imag - top.imag
        if wide < 1 or high - drop < 1:
            raise Refusal(
                piece.where,
                f"the cap top does not lie over and inside the {side} underarm point",
                "check which edge is the cap",
            )
        across, down = (wide + out) / wide, (high - drop) / high
        motions.append(Affine(across, 0.0, 0.0, down, top.real * (1 - across), end.imag * (1 - down)))
    return motions[0], motions[1]


def stretch_cap(piece: Piece, out: float, drop: float = 0.0, over: float | None = None) -> Piece:
    """Stretch both halves of the cap ``out`` mm wider (negative: narrower), its top ``drop`` mm lower, seams too.

    ``over``: see ``lean_seam``. Below the lower notches the edge is drawn on so that the underarm corners keep
    their angle to the leaning seams; where it is too straight for that it only stretches. Notches keep their place in
    the stretch and are turned with the edge.
    """
    return _redraw_cap(piece, half_motions(piece, out, drop), out, over)


def move_underarms_out(piece: Piece, out: float, over: float | None = None) -> Piece:
    """Move only the underarm points ``out`` mm out: the cap redrawn from its lower notches down, the seams too.

    Without a notch on a side, from half way up that side. The cap's tangent at the notch stays, and so does its angle
    to the seam at the underarm.
    """
    return _redraw_cap(piece, None, out, over)


def _redraw_cap(piece: Piece, motions: tuple[Affine, Affine] | None, out: float, over: float | None) -> Piece:
    """Move the cap's halves by ``motions`` (None: as they are), then each lower curve to its new underarm point."""
    cap, apex = piece.edge(EdgeName.CAP).from_front(), cap_apex(piece)
    leant = _lean_underarm_seams(piece, out, over)
    moves: list[tuple[float, Affine, Deformation | None]] = []
    parts: list[Curve] = []
    for k, side in enumerate(Side):
        motion = Affine() if motions is None else motions[k]
        start = lower_notch(piece, cap, apex, side)
        upper = cap.subcurve(start, apex) if side == Side.FRONT else cap.subcurve(apex, start)
        lower = cap.subcurve(0.0, start).reverse() if side == Side.FRONT else cap.subcurve(start, float(len(cap)))
        way = lower.tangent(float(len(lower)), before=True) * _seam_turn(piece, leant, side)
        lower = lower.transform(motion)
        end = lower.end if motions is not None else lower.end + (out if side == Side.FRONT else -out)
        new, move = _lower_curve_to(lower, end, way, bend=motions is None)
        moves.append((start, motion, move))
        found = [upper.transform(motion), new]
        parts += [found[1].reverse(), found[0]] if side == Side.FRONT else found

    def follow(point: complex) -> complex:
        t = cap.nearest(point)[0]
        start, motion, move = moves[0 if t <= apex else 1]
        there = motion.apply(point)
        low = t < start if t <= apex else t > start
        return for_one_point(move)(there) if low and move is not None else there

    return _with_cap(leant, piece, cap, Curve.chain(parts), follow)


def _lower_curve_to(lower: Curve, end: complex, way: complex, *, bend: bool) -> tuple[Curve, Deformation | None]:
    """Take a lower curve to ``end``, in the direction ``way`` there; with ``bend`` also where its tangents miss."""
    motion = motion_to_end(lower, end, way)
    if motion is not None:
        return lower.transform(motion), motion.apply
    if not bend:
        return lower, None
    move = bend_to_end(lower, end)
    return reshape_curve(lower, move), move


def _seam_turn(before: Piece, after: Piece, side: str) -> complex:
    """Return by how much the underarm seam turned at its upper end, as a unit number."""
    name = f"underarm {side}"
    if not before.has_edge(name):
        return 1 + 0j
    turn = after.edge(name).from_front().tangent(0.0) / before.edge(name).from_front().tangent(0.0)
    return turn / abs(turn)


def lower_notch(piece: Piece, cap: Curve, apex: float, side: str) -> float:
    """Find a side's lowest notch, without one half its length: a parameter along the cap from its front end."""
    places = [cap.nearest(mark.at)[0] for mark in piece.notches(EdgeName.CAP) if mark.at is not None]
    on_side = [t for t in places if (t < apex) == (side == Side.FRONT)]
    if on_side:
        return cap.snap_to_node(min(on_side) if side == Side.FRONT else max(on_side), ON_NODE)
    whole, half = cap.length(), cap.length_between(0.0, apex)
    return cap.at_length(half / 2 if side == Side.FRONT else (whole + half) / 2)


def lean_seam(seam: Curve, shift: float, over: float | None) -> tuple[Curve, Deformation]:
    """Lean an underarm seam, given from its upper end, which moves level by ``shift`` mm; also return how points move.

    Without ``over`` its whole length leans, nothing at the hem (a shear: straight stays straight). Else the shift runs
    out smoothly within ``over`` mm down the seam, and below that the seam stays. Refuse a seam that does not run down.
    """
    upper, lower = seam, None
    if over is not None and over < seam.length() - 1e-6:
        upper, lower = seam.split(seam.at_length(over))
    foot, high = upper.end.imag, upper.end.imag - upper.start.imag
    if high < 1:
        raise Refusal("", "its underarm seam does not run down from the underarm point", "choose another how")

    def move(points: Complex) -> Complex:
        left = np.clip((foot - points.imag) / high, 0.0, None)
        return np.asarray(points + shift * (left if lower is None else left * left), dtype=np.complex128)

    if lower is not None:
        return Curve.chain([reshape_curve(upper, move), lower]), move
    lean = shift / high
    return seam.transform(Affine(1.0, 0.0, -lean, 1.0, lean * foot, 0.0)), move


def _lean_underarm_seams(piece: Piece, out: float, over: float | None) -> Piece:
    """Lean both underarm seams, with their notches and darts, and lengthen the bicep line."""
    new = piece
    marks: list[Mark] = list(piece.marks)
    darts: list[Dart] = list(piece.darts)
    for sign, side in ((1, Side.FRONT), (-1, Side.BACK)):
        name = f"underarm {side}"
        if not piece.has_edge(name):
            continue
        old = piece.edge(name).from_front()
        try:
            seam, move = lean_seam(old, sign * out, over)
        except Refusal as refusal:
            raise Refusal(piece.where, *refusal.parts[1:]) from None
        new = with_edge(new, name, seam)
        for k, mark in enumerate(marks):
            if mark.edge == name and mark.at is not None:
                t = old.nearest(mark.at)[0]
                share = old.length_between(0.0, t) / old.length()
                marks[k] = ride_along_edge(mark, old, t, seam, seam.at_length(share * seam.length()))
        darts = [move_dart(dart, for_one_point(move)) if dart.edge == name else dart for dart in darts]
    return replace(new, marks=tuple(_lengthen_bicep_line(mark, piece, out) for mark in marks), darts=tuple(darts))


def _lengthen_bicep_line(mark: Mark, piece: Piece, out: float) -> Mark:
    """Lengthen a drawn bicep line, its ends as far from the underarm points as before."""
    if mark.kind != MarkKind.BICEP_LINE:
        return mark
    middle = piece.landmark(LandmarkName.CAP_TOP).real
    lines = [
        Curve.polyline([at + (out if at.real > middle else -out) for at in (curve.start, curve.end)])
        if len(curve) == 1
        else curve
        for curve in mark.curves
    ]
    return replace(mark, curves=tuple(lines))


def _with_cap(new: Piece, old: Piece, cap: Curve, curve: Curve, follow: Callable[[complex], complex]) -> Piece:
    """Put a cap edge (from its front end) into ``new`` in place of ``cap``, its marks and every landmark with it."""
    new = with_edge(new, EdgeName.CAP, curve)
    marks = tuple(
        ride_along_edge(mark, cap, cap.nearest(mark.at)[0], curve, curve.nearest(follow(mark.at))[0])
        if mark.edge == EdgeName.CAP and mark.at is not None
        else mark
        for mark in new.marks
    )
    landmarks = tuple(replace(mark, at=_new_place(mark, old, new, cap, curve, follow)) for mark in old.landmarks)
    darts = tuple(move_dart(dart, follow) if dart.edge == EdgeName.CAP else dart for dart in new.darts)
    return replace(new, edges=close_outline(new.edges), marks=marks, landmarks=landmarks, darts=darts)


def _new_place(
    mark: Landmark, old: Piece, new: Piece, cap: Curve, curve: Curve, follow: Callable[[complex], complex]
) -> complex:
    """Return where a landmark lies on the new edges; one on no edge stays."""
    if mark.name in (LandmarkName.UNDERARM_FRONT, LandmarkName.UNDERARM_BACK):
        return curve.start if mark.name == LandmarkName.UNDERARM_FRONT else curve.end
    if cap.nearest(mark.at)[1] < ON_EDGE:
        return follow(mark.at)
    for side in Side:
        if old.has_edge(f"underarm {side}"):
            seam, there = (piece.edge(f"underarm {side}").from_front() for piece in (old, new))
            t, away = seam.nearest(mark.at)
            if away < ON_EDGE:
                return there.point(there.at_length(seam.length_between(0.0, t) / seam.length() * there.length()))
    return mark.at
