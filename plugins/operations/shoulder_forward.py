"""shoulder-forward: the shoulder seam lies too far back (or forward) at its tip; front, back and sleeve in one step.

A wedge is cut off the front along the shoulder and taped to the back; the sleeve's shoulder notch goes along. From
memory: front armhole less by the amount, back armhole more by it, all other seams as before.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable

from svgfit.plugin import (
    Affine,
    Annotation,
    Curve,
    Instructions,
    Job,
    Measurement,
    Opening,
    Operation,
    Outcome,
    Parameter,
    Piece,
    StepFacts,
    Words,
    alterations,
    both_ways,
    edgework,
    hookimpl,
    refuse_crossing,
    replace,
    rules,
    sewing,
    sleeves,
    swap,
    unkept_promises,
)

BENT = math.radians(0.1)
"""An armhole that bends by more than this at the old shoulder seam is trued there, unless it has a
corner: that is left for a person to redraw."""
ANSWERS = (
    "shoulder seam pulls back",
    "shoulder seam lies behind the bone",
    "shoulder seam lies too far forward",
    "sleeve's shoulder notch sits behind the bone",
    "drag to the front of the armhole",
    "forward shoulder",
)

Pair = tuple[alterations.Shoulder, alterations.Shoulder]


def run(job: Job) -> Outcome:
    """Move the seam of each front and back sewn along it, then the notch of each sleeve; then measure."""
    pairs = alterations.shoulder_pairs(job.pieces, job.seams)
    if not pairs:
        raise job.refuse(
            "there is no front sewn to a back along the shoulder",
            "give the drawings of both, or say with [[seams]] in svgfit.toml which edges meet; with a yoke, cut and "
            "tape with slash and shift",
        )
    front = pairs[0][0].piece
    now = sewing.sewn_length(front, "armhole")
    amount = job.values["amount"] if "amount" in job.values else now - job.values["front-armhole"]
    new: dict[str, Piece] = {}
    openings: list[Opening] = []
    for pair in pairs:
        for piece, opening in _moved(job, pair, amount, job.values.get("neck", 0.0)):
            if piece.name not in new:
                new[piece.name] = piece
                openings += opening
    pieces = job.pieces
    for piece in new.values():
        pieces = swap(pieces, piece)
    turned = [(one, _move_notch(job, one, amount)) for one in alterations.sleeves_at(new, job.pieces, job.seams)]
    for _, sleeve in turned:
        pieces = swap(pieces, sleeve)
    old = {one.piece.name: one.piece for pair in pairs for one in pair}
    notes = [Annotation("old edge", piece.title, piece.edge("shoulder").curve) for piece in old.values()]
    ways = [(was.title, [sleeves.shoulder_point(each) for each in (was, sleeve)]) for was, sleeve in turned]
    tips = [(one.piece.title, [one.tip, _shoulder(new[one.piece.name]).tip]) for pair in pairs for one in pair]
    for title, way in dict(tips + ways).items():
        notes.append(Annotation("arrow", title, Curve.polyline(way), length=amount))
    corners = (
        f"{piece.title}: the {name} has a corner at the old shoulder seam: redraw it there"
        for piece in new.values()
        for name in ("armhole", _shoulder(piece).neckline)
        for corner in (_shoulder(old[piece.name]).tip, _shoulder(old[piece.name]).neck)
        if _bend(piece.edge(name).curve, corner) >= rules.smoothness.CORNER
    )
    warnings = (*unkept_promises(openings), *corners)
    return Outcome(pieces, tuple(_got(job, pieces, new)), tuple(openings), tuple(notes), (), warnings)


def _moved(job: Job, pair: Pair, amount: float, neck: float) -> Iterable[tuple[Piece, list[Opening]]]:
    """Move the seam of a front and a back: at each end one of them loses a strip and the other gains it."""
    front, back = pair
    curves: dict[str, dict[str, Curve]] = {front.piece.name: {}, back.piece.name: {}}
    for by, edges, ends in (
        (amount, ("armhole", "armhole"), (front.tip, back.tip)),
        (neck, (front.neckline, back.neckline), (front.neck, back.neck)),
    ):
        k = 0 if by > 0 else 1
        loses, gains = (front, back)[k], (front, back)[1 - k]
        if not by:
            continue
        kept, strip = _cut_off(job, loses.piece, edges[k], ends[k], abs(by))
        strip = strip.transform(_as_sewn(loses, gains, edges[k]))
        curves[loses.piece.name][edges[k]] = kept
        whole = _towards(gains.piece, edges[1 - k], ends[1 - k])
        curves[gains.piece.name][edges[1 - k]] = Curve.chain([whole, strip.reverse()])
    for one in pair:
        yield _with_ends(one, curves[one.piece.name])


def _cut_off(job: Job, piece: Piece, edge: str, corner: complex, by: float) -> tuple[Curve, Curve]:
    """Part an edge ``by`` mm before its corner at the shoulder: what stays, and the strip, both towards the corner."""
    curve = _towards(piece, edge, corner)
    stops = [mark.at for mark in piece.marks if mark.edge == edge and mark.at is not None]
    stops += [at for dart in piece.darts if dart.edge == edge for at in (dart.start, dart.end)]
    far = float(len(curve))
    room = min((curve.length_between(curve.nearest(at)[0], far) for at in stops), default=curve.length())
    if by >= room - 1:
        what = f"{piece.title}'s {edge} has only {both_ways(room)} up to its next notch, dart or corner"
        raise job.refuse(what, f"ask for less than {both_ways(room - 1)}, or move the notch first")
    at = curve.at_length(curve.length() - by)
    return curve.subcurve(0.0, at), curve.subcurve(at, far)


def _towards(piece: Piece, edge: str, corner: complex) -> Curve:
    """Walk an edge from its other end to a corner."""
    curve = piece.edge(edge).curve
    return curve.reverse() if abs(curve.start - corner) < abs(curve.end - corner) else curve


def _as_sewn(one: alterations.Shoulder, other: alterations.Shoulder, edge: str) -> Affine:
    """Lay a piece on another as their shoulders are sewn: the corner at ``edge`` on the corner, seam along seam."""
    k = 0 if edge == "armhole" else 1
    turn = Affine.turn(cmath.phase(other.ways[k] / one.ways[k]))
    ends = ((one.tip, other.tip), (one.neck, other.neck))[k]
    return Affine.shift(-ends[0]).then(turn).then(Affine.shift(ends[1]))


def _with_ends(old: alterations.Shoulder, curves: dict[str, Curve]) -> tuple[Piece, list[Opening]]:
    """Give a piece its new armhole (and neckline), the shoulder seam laid between their ends; true where they bend."""
    piece, drawn = old.piece, old.piece.edge("shoulder").from_front()
    tip = curves["armhole"].end if "armhole" in curves else old.tip
    neck = curves[old.neckline].end if old.neckline in curves else old.neck
    new = alterations.lay_between(piece, "shoulder", *((tip, neck) if drawn.start == old.tip else (neck, tip)))
    openings: list[Opening] = []
    for name, curve in curves.items():
        was = piece.edge(name).from_front()
        at_end = was.end in (old.tip, old.neck)
        new = edgework.with_edge(new, name, curve if at_end else curve.reverse())
        corner = was.end if at_end else was.start
        if BENT < _bend(new.edge(name).curve, corner) < rules.smoothness.CORNER:
            new, opening = edgework.round_bend(new, name, round(new.edge(name).curve.nearest(corner)[0]))
            openings.append(opening)
    new = replace(new, edges=edgework.close_outline(new.edges))
    refuse_crossing(new, "the moved shoulder seam would cross another edge")
    return new, openings


def _bend(curve: Curve, corner: complex) -> float:
    """Tell by how much an edge turns at what was the corner of a piece, radians; 0 where that is no place inside it."""
    t, away = curve.nearest(corner)
    inside = away < edgework.ON_EDGE and 0 < round(t) < len(curve)
    return abs(cmath.phase(curve.tangent(round(t)) / curve.tangent(round(t), before=True))) if inside else 0.0


def _shoulder(piece: Piece) -> alterations.Shoulder:
    found = alterations.find_shoulder(piece)
    assert found is not None
    return found


def _move_notch(job: Job, sleeve: Piece, forward: float) -> Piece:
    """Move the sleeve's shoulder notch along the cap towards the front; other notches stay."""
    old = sleeves.shoulder_distance(sleeve)
    marks = (mark.at for mark in sleeve.notches("cap") if mark.at is not None)
    others = [0.0, *(sewing.sewn_distance(sleeve, "cap", at) for at in marks), sewing.sewn_length(sleeve, "cap")]
    room = min((abs(at - old) for at in others if (at < old) == (forward > 0)), default=0.0)
    if abs(forward) >= room - 1:
        raise job.refuse(
            f"{sleeve.title}'s shoulder notch would come to another notch of the cap, {both_ways(room)} away",
            f"ask for less than {both_ways(room - 1)}",
        )
    return sewing.with_shoulder_notch(sleeve, old - forward)


def _got(job: Job, pieces: tuple[Piece, ...], names: Iterable[str]) -> Iterable[Measurement]:
    """Measure armholes and shoulder seams, and how the ease of each cap is shared."""
    by_name = {piece.name: piece for piece in pieces}
    for edge in ("armhole", "shoulder"):
        for name in names:
            yield Measurement(f"{name} {edge}", sewing.sewn_length(by_name[name], edge))
    measured = job.measure(pieces, job.seams)
    for sleeve in alterations.sleeves_at(tuple(names), pieces, job.seams):
        for one in measured[sleeve.title]:
            if one.name in ("cap ease front", "cap ease back"):
                yield Measurement(f"{sleeve.name} {one.name}", one.value)


def _words(facts: StepFacts) -> Words:
    back = bool(facts.moved) and facts.moved[0] < 0
    loses, gains, way = ("back", "front", "back") if back else ("front", "back", "forward")
    return Words(
        title="Move the shoulder seam",
        draw=f"On the {loses}, measure {facts.amounts} down the armhole from the shoulder tip and draw a line from "
        "there to the neck point. On the sleeve, mark a new shoulder notch as far along the cap from the old.",
        cut="Cut the wedge off along that line.",
        move=f"Tape the wedge to the {gains}'s shoulder, old seam on old seam, tip to tip and neck to neck.",
        true="Redraw the armhole smoothly over the old seam; the new shoulder seams are equally long.",
        note=f"The seam lies {way} at the tip and as before at the neck. A dart in the shoulder keeps its tip: draw "
        "its legs on to the new seam. Cross out the sleeve's old notch.",
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "shoulder-forward",
            "Moves the shoulder seam forward (or back) at its tip: front, back and the sleeve's shoulder notch.",
            (
                Parameter("amount", "length", "how far the seam moves to the front at the tip; negative: to the back"),
                Parameter("front-armhole", "length", "how long the front armhole is to be", minimum=1.0),
                Parameter(
                    "neck",
                    "length",
                    "how far the seam moves to the front at the neck point; negative: to the back",
                    default_text="it stays there",
                ),
            ),
            run,
            instructions=Instructions(
                asked={
                    "amount": ("move the shoulder seam {} forward", "move the shoulder seam {} back"),
                    "front-armhole": "move the shoulder seam until the front armhole is {}",
                    "neck": ("and {} forward at the neck", "and {} back at the neck"),
                },
                words=_words,
            ),
            one_of=(("amount", "front-armhole"),),
            answers=ANSWERS,
        )
    ]
