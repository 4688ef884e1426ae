"""Whether edges run on smoothly as sewn: across a seam that joins two pieces, and across a fold. Angles in radians.

Sewn and opened out, the cloth's angles at the two sides of a seam lie side by side: together 180°, the edge runs on
straight; less, it has a peak there (a point of cloth juts out); more, it has a dip. Plane geometry.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable, Sequence

from msgspec.structs import replace

from svgfit.fitting.armhole import Armhole
from svgfit.model.piece import Piece
from svgfit.model.report import Check
from svgfit.model.vocabulary import EdgeName, Side, Status
from svgfit.rules.smoothness import AS_SEWN

Truer = Callable[[], str | None]


def inside_angle(piece: Piece, edge: str, *, at_start: bool) -> float:
    """Measure the angle of cloth (0 … 2π) in the corner at an edge's front or underarm end (else: its other end).

    Refuse an edge that is not there.
    """
    here = piece.edges.index(piece.edge(edge))
    last = at_start == piece.edges[here].backwards
    one, other = (here, (here + 1) % len(piece.edges)) if last else (here - 1, here)
    arriving, leaving = piece.edges[one].curve, piece.edges[other].curve
    turn = cmath.phase(leaving.tangent(0.0) / arriving.tangent(float(len(arriving)), before=True))
    return math.pi - turn if piece.outline().area() > 0 else math.pi + turn


def sleeve_corner(sleeve: Piece, truer: Truer | None = None) -> Check | None:
    """Check the sleeve's two underarm corners, sewn together; None where it has no underarm seam.

    ``truer`` finds the operation that trues an edge across a seam.
    """
    if not (sleeve.has_edge(EdgeName.UNDERARM_FRONT) and sleeve.has_edge(EdgeName.UNDERARM_BACK)):
        return None
    angles = [inside_angle(sleeve, EdgeName.CAP, at_start=start) for start in (True, False)]
    where = f"{sleeve.title}: cap at the underarm"
    found = _joint_check(where, "front and back corner together", angles, (Side.FRONT, Side.BACK))
    return _with_truer(found, truer, EdgeName.CAP)


def _with_truer(check: Check, truer: Truer | None, edge: str) -> Check:
    """Add to a check that found no smooth edge which step trues it."""
    name = truer() if truer is not None and check.status != Status.PASS else None
    return replace(check, message=f"{check.message}; {name} edge={edge} trues it") if name else check


def armhole_joints(armhole: Armhole, truer: Truer | None = None) -> tuple[Check, ...]:
    """Check where the armhole's pieces meet: seam by seam from the front underarm point, the underarm itself last.

    ``truer`` finds the operation that trues an edge across a seam.
    """
    parts = armhole.row.parts
    found: list[Check] = []
    for k, part in enumerate(parts):
        after = parts[(k + 1) % len(parts)]
        if after is part:
            continue
        angles = [
            inside_angle(part.piece, part.edge, at_start=part.turned),
            inside_angle(after.piece, after.edge, at_start=not after.turned),
        ]
        names = part.piece.name, after.piece.name
        if k == len(parts) - 1:
            where = "the underarm"
        elif abs(after.at - armhole.shoulder) < 1e-6:
            where = "the shoulder"
        else:
            where = f"the seam of {names[0]} and {names[1]}"
        check = _joint_check(f"armhole at {where}", f"{names[0]} and {names[1]} together", angles, names)
        found.append(_with_truer(check, truer, EdgeName.ARMHOLE if part.edge == after.edge else f"'{part.edge}'"))
    return tuple(found)


def fold_checks(piece: Piece) -> tuple[Check, ...]:
    """Check that each edge that a fold crosses is square to it, so that it runs on smoothly when opened out."""
    found: list[Check] = []
    for k, edge in enumerate(piece.edges):
        if not edge.fold:
            continue
        for other, first in ((piece.edges[k - 1], False), (piece.edges[(k + 1) % len(piece.edges)], True)):
            angle = inside_angle(piece, other.name, at_start=first != other.backwards)
            what = f"{math.degrees(angle):.1f}° to the fold, opened out"
            found.append(
                _joint_check(f"{piece.title}: {other.name} at the fold", what, [angle, angle], ("to the fold",))
            )
    return tuple(found)


def _joint_check(name: str, what: str, angles: Sequence[float], names: Sequence[str]) -> Check:
    """Check that angles (radians), one for each of ``names``, add up to half a turn."""
    total = sum(angles)
    off = math.degrees(total - math.pi)
    values = {label: math.degrees(angle) for label, angle in zip(names, angles, strict=False)}
    values |= {"together": math.degrees(total), "tolerance": math.degrees(AS_SEWN)}
    words = f"{what} {math.degrees(total):.1f}°"
    if abs(total - math.pi) <= AS_SEWN + 1e-9:
        return Check(name, Status.PASS, f"{words}: smooth", values)
    kind = "peak" if off < 0 else "dip"
    return Check(
        name,
        Status.WARN,
        f"{words}: a {kind} of {abs(off):.1f}°, where 180° is smooth ({math.degrees(AS_SEWN):.0f}° more or less)",
        values,
    )
