"""shoulder-width: shoulders broader or narrower than the pattern's, on front and back.

By the cut: from the shoulder down to the level of the armhole's lowest notch and out to that notch, which is the hinge;
the tip's part swings out or in, and the armhole keeps its length. By redrawing: the tip moves along the seam, and the
armhole is redrawn down to the notch. From memory.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from svgfit.plugin import (
    REDRAW,
    Affine,
    Annotation,
    Curve,
    Instructions,
    Job,
    Measurement,
    Movement,
    Opening,
    Operation,
    Outcome,
    Parameter,
    Piece,
    StepFacts,
    Words,
    alterations,
    both_ways,
    hookimpl,
    refuse_crossing,
    sewing,
    slash_words,
    swap,
    true,
    unkept_promises,
)

ANSWERS = (
    "shoulder seam hangs off",
    "armhole seam lies beyond the shoulder bone",
    "shoulder seam pulls in",
    "broad shoulders",
    "narrow shoulders",
    "shoulders too wide",
)
CUT = "cut"
ROUNDS = 12
EXACT = 1e-7
"""The swing is searched until the seam is as long as asked, within this (mm)."""

Made = tuple[Piece, tuple[Opening, ...], tuple[Movement, ...]]


def run(job: Job) -> Outcome:
    """Change the shoulder of every piece asked for by the same; then measure."""
    found = alterations.shoulders(job.pieces, job.values.get("pieces", ()))
    if not found:
        raise job.refuse(
            "none of the pieces asked for has a shoulder seam that meets an armhole",
            "name a front or back that has one; a yoke is widened with slash",
        )
    amount = job.values["amount"] if "amount" in job.values else job.values["width"] - found[0].length
    pieces, notes = job.pieces, []
    openings: list[Opening] = []
    moved: list[Movement] = []
    for one in found:
        if one.length + amount < one.length / 2:
            what = f"{one.piece.title}'s shoulder is only {both_ways(one.length)} long"
            raise job.refuse(what, f"take off less than {both_ways(one.length / 2)}")
        new, made, parts = _swung(job, one, amount, notes) if job.values["how"] == CUT else _redrawn(one, amount, notes)
        pieces = swap(pieces, new)
        openings += made
        moved += parts
        (tip,) = (other.tip for other in alterations.shoulders((new,)))
        notes.append(Annotation("arrow", new.title, Curve.polyline([one.tip, tip]), length=amount))
    names = [one.piece.name for one in found]
    got = tuple(
        Measurement(f"{piece.name} {edge}", sewing.sewn_length(piece, edge))
        for edge in ("shoulder", "armhole")
        for piece in pieces
        if piece.name in names
    )
    return Outcome(pieces, got, tuple(openings), tuple(notes), (), unkept_promises(openings), tuple(moved))


def _redrawn(one: alterations.Shoulder, amount: float, notes: list[Annotation]) -> Made:
    """Move the tip along the seam as sewn, and redraw the armhole down to its lowest notch."""
    by = -one.ways[0] * (amount / one.length)
    new = alterations.move_tip(one, by, keep=alterations.upper_armhole(one.piece))
    refuse_crossing(new, "the redrawn armhole would cross another edge")
    notes += [Annotation("old edge", new.title, one.piece.edge(name).curve) for name in ("shoulder", "armhole")]
    return new, (), ()


def _swung(job: Job, one: alterations.Shoulder, amount: float, notes: list[Annotation]) -> Made:
    """Cut to the hinge and swing the tip's part until the seam, trued, has changed by ``amount``."""
    piece = one.piece
    found, hinge = _cut(one)
    notes.append(Annotation("slash", piece.title, Curve.polyline(found.line), label=f"slash {job.do}"))
    notes.append(Annotation("hinge", piece.title, Curve.polyline([hinge - 1, hinge + 1])))
    wanted = one.length + amount
    start = min(found.line, key=lambda at: abs(at - (one.tip + one.neck) / 2))
    way = 1 if (1j * (start - hinge) * -one.ways[0].conjugate()).real > 0 else -1
    angle, before = way * amount / abs(start - hinge), (0.0, -amount)
    for _ in range(ROUNDS):
        if abs(angle) > math.radians(30):
            raise job.refuse(f"{piece.title}'s shoulder can't be swung so far", "ask for less, or how=redraw")
        parted = alterations.spread_each(piece, ((found, Affine.turn(angle, hinge)),))
        new, openings = true(parted, job.values.get("redraw"))
        off = sewing.sewn_length(new, "shoulder") - wanted
        if abs(off) < EXACT or angle == before[0]:
            return new, openings, parted.moved
        angle, before = angle - off * (angle - before[0]) / (off - before[1]), (angle, off)
    raise job.refuse(f"no swing makes {piece.title}'s shoulder {both_ways(wanted)} long", "ask for less, or how=redraw")


def _cut(one: alterations.Shoulder) -> tuple[alterations.Cut, complex]:
    """Lay the cut from the middle of the shoulder (between dart and tip, where it has one); return it and its hinge."""
    piece = one.piece
    curve, t = sewing.place_along(piece, "armhole", alterations.upper_armhole(piece))
    hinge = curve.point(t)
    tip_first = abs(piece.edge("shoulder").from_front().start - one.tip) < abs(
        piece.edge("shoulder").from_front().end - one.tip
    )
    mouths = [sewing.sewn_distance(piece, "shoulder", dart.start) for dart in piece.darts if dart.edge == "shoulder"]
    outer = min(mouths, default=one.length) if tip_first else one.length - max(mouths, default=0.0)
    curve, t = sewing.place_along(piece, "shoulder", outer / 2 if tip_first else one.length - outer / 2)
    start = curve.point(t)
    outline = piece.outline()
    first, last = outline.nearest(start)[0], outline.nearest(hinge)[0]
    corner = complex(start.real, hinge.imag)
    return alterations.cut_between(piece, first, last, (corner,), moves=one.tip), hinge


def _words(facts: StepFacts) -> Words:
    if not facts.openings:
        way = "in" if facts.moved and facts.moved[0] < 0 else "out"
        return Words(
            title="Move the shoulder tip",
            draw=f"Mark a new shoulder tip {facts.length(facts.moved[0] if facts.moved else 0.0)} further {way} along "
            "the shoulder seam.",
            cut="",
            move="",
            true="Redraw the armhole from the new tip, running into the old line at its lowest notch.",
            note="The armhole's length has changed: walk the cap against it. A seam further out wants a lower cap.",
        )
    narrow = facts.moved and facts.moved[0] < 0
    return slash_words(
        facts,
        "Narrow the shoulder" if narrow else "Widen the shoulder",
        f"Swing the shaded part {'in, over the other,' if narrow else 'out'} until the shoulder is "
        f"{facts.length(facts.moved[0]) if facts.moved else facts.amounts} {'shorter' if narrow else 'longer'}.",
        note="Draw the shoulder straight from neck point to tip. The armhole keeps its length, so the sleeve still "
        "fits; a seam further out wants a lower cap.",
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "shoulder-width",
            "Makes the shoulders broader or narrower: by a cut to the armhole's notch, or the tip moved and redrawn.",
            (
                Parameter("amount", "length", "how much longer each shoulder seam is to be; negative: shorter"),
                Parameter(
                    "width",
                    "length",
                    "how long the shoulder seam is to be: of the first of the pieces, the others change by the same",
                    minimum=1.0,
                ),
                Parameter(
                    "how",
                    "text",
                    "cut: down from the shoulder and out to a hinge at the armhole's lowest notch (half-way up where "
                    "there is none); redraw: the tip moved along the seam, the armhole redrawn down to there",
                    default=CUT,
                    choices=(CUT, "redraw"),
                ),
                Parameter("pieces", "pieces", "which fronts and backs", default_text="all that have a shoulder seam"),
                REDRAW,
            ),
            run,
            instructions=Instructions(
                asked={
                    "redraw": "redrawing at most {} on each side of a cut",
                    "amount": ("widen the shoulders by {}", "narrow the shoulders by {}"),
                    "width": "bring the shoulder seam to {}",
                    "how=cut": "by a cut to the armhole's notch",
                    "how=redraw": "by redrawing the armhole",
                    "pieces": "on {}",
                },
                words=_words,
            ),
            one_of=(("amount", "width"),),
            answers=ANSWERS,
        )
    ]
