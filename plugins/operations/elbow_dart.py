"""elbow-dart: a sleeve bent forward at the elbow, what opens at the back underarm seam made a dart.

From memory: a level cut from the back underarm seam at the elbow to a hinge on the front
one; the lower part swings to the front; the wedge becomes a dart with its tip on the centre line. The front seam keeps
its length, the back seam grows by the dart's mouth and is as long as it was once the dart is closed.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable

from msgspec import Struct

from svgfit.plugin import (
    Affine,
    Annotation,
    Curve,
    Dart,
    Instructions,
    Job,
    Measurement,
    Movement,
    Opening,
    Operation,
    Outcome,
    Parameter,
    Piece,
    Slash,
    StepFacts,
    Words,
    alterations,
    both_ways,
    hookimpl,
    refuse_crossing,
    rules,
    sewing,
    sleeves,
    spread,
    swap,
    true,
    unkept_promises,
)

BACK, FRONT = "underarm back", "underarm front"
EXACT = 1e-9


class Bent(Struct, frozen=True, kw_only=True):
    """The sleeve bent, and what came of it."""

    piece: Piece
    dart: Dart
    openings: tuple[Opening, ...]
    moved: tuple[Movement, ...]


def run(job: Job) -> Outcome:
    """Cut level at the elbow, swing the lower part forward, make the wedge a dart; then measure."""
    piece = job.piece
    assert piece is not None
    if any(dart.edge == BACK for dart in piece.darts):
        raise job.refuse("there is a dart in its back underarm seam already", "start from the sleeve without it")
    start, hinge = _cut(job, piece)
    aim, bent = job.values.get("forward", 0.0), _bent(job, piece, start, hinge, job.values.get("forward", 0.0))
    for _ in range(5 if "forward" in job.values else 0):  # the hem's front corner is moved last, and its middle with it
        aim += job.values["forward"] - (_hem_middle(bent.piece) - _hem_middle(piece)).real
        bent = _bent(job, piece, start, hinge, aim)
    new, dart, openings, middle = bent.piece, bent.dart, bent.openings, _hem_middle(piece)
    refuse_crossing(new, "the bent sleeve's edge would cross another")
    swung = _hem_middle(new) - middle
    got = (
        Measurement("dart mouth", alterations.mouth_width(dart)),
        Measurement("dart leg", alterations.legs(dart)[0]),
        Measurement("hem forward", swung.real),
        Measurement(f"{FRONT} length", sewing.sewn_length(new, FRONT)),
        Measurement(f"{BACK} length", sewing.sewn_length(new, BACK)),
    )
    notes = (
        Annotation("slash", piece.title, Curve.polyline([start, hinge]), label="slash at the elbow"),
        Annotation("hinge", piece.title, point=hinge),
        Annotation("arrow", piece.title, Curve.polyline([middle, middle + swung]), length=abs(swung)),
        Annotation("old edge", piece.title, piece.edge(FRONT).curve),
    )
    along = sewing.sewn_distance(new, BACK, dart.start)
    warnings = (
        *unkept_promises(openings),
        f"{new.title}: mark both seams {both_ways(along)} below the underarm point: the dart stays at the elbow",
    )
    return Outcome(swap(job.pieces, new), got, openings, notes, warnings=warnings, moved=bent.moved)


def _bent(job: Job, piece: Piece, start: complex, hinge: complex, forward: float) -> Bent:
    """Swing the lower part by the dart's mouth, or ``forward`` mm at the hem, and true what that left."""
    angle = _angle(job, abs(start - hinge), _hem_middle(piece) - hinge, forward)
    lower = alterations.seam_point(piece, "hem", sewing.sewn_length(piece, "hem") / 2)
    slash = Slash((start + (start - hinge) / 10, hinge), moves=lower, hinge=hinge)
    parted = spread(piece, slash, Affine.turn(-angle, hinge))
    # The dart's tip lies where the line that halves the wedge meets the centre line, or short of it.
    halves = (start - hinge) * cmath.exp(-0.5j * angle)
    centre = hinge.real - sleeves.shoulder_point(piece).real
    opened, dart = alterations.open_dart(
        parted, start, hinge, centre / -halves.real * abs(halves) + job.values["short"]
    )
    trued, openings = true(opened)
    new = _front_as_it_was(trued, sewing.sewn_length(piece, FRONT))
    return Bent(piece=new, dart=dart, openings=openings, moved=parted.moved)


def _hem_middle(piece: Piece) -> complex:
    return (piece.landmark("hem front") + piece.landmark("hem back")) / 2


def _cut(job: Job, piece: Piece) -> tuple[complex, complex]:
    """Find where the level cut begins, on the back seam, and its hinge on the front one."""
    at = job.values.get("elbow-at", alterations.drawn_level(piece, BACK, "elbow"))
    length = sewing.sewn_length(piece, BACK)
    if at is None:
        raise job.refuse("where the elbow lies is not drawn", "say how far below the underarm point: elbow-at=…")
    if at >= length:
        raise job.refuse(
            f"the elbow would lie {both_ways(at)} down the seam, which is {both_ways(length)} long",
            "give elbow-at= below that",
        )
    start = alterations.seam_point(piece, BACK, at)
    front = piece.edge(FRONT).from_front()
    met = front.crossings(complex(-1e5, start.imag), complex(1e5, start.imag))
    if not met:
        raise job.refuse("a level cut at the elbow misses the front underarm seam", "give another elbow-at")
    return start, front.point(met[0])


def _angle(job: Job, width: float, arm: complex, forward: float) -> float:
    """Find by how much the lower part turns (radians): for the dart's mouth, or for how far the hem swings."""
    if "amount" in job.values:
        share = job.values["amount"] / (2 * width)
        most = 2 * width * math.sin(rules.widths.ELBOW_BEND / 2)
        angle = 2 * math.asin(min(share, 1.0))
    else:
        # The hem's middle turns about the hinge: r·cos(way − angle) is how far it lies from it square to the grain.
        radius, way = cmath.polar(arm)
        to = (arm.real + forward) / radius
        angle = way - math.acos(max(-1.0, min(1.0, to)))
        most = radius * math.cos(way - rules.widths.ELBOW_BEND) - arm.real
    if angle > rules.widths.ELBOW_BEND:
        raise job.refuse("the sleeve would be bent by more than 15° at the elbow", f"ask for {both_ways(most)} at most")
    return angle


def _front_as_it_was(piece: Piece, length: float) -> Piece:
    """Run the front seam on, or shorten it, at the hem until it is as long as it was."""
    more, new = 0.0, piece
    for _ in range(20):
        off = length - sewing.sewn_length(new, FRONT)
        if abs(off) < EXACT:
            break
        more += off
        seam, whole = piece.edge(FRONT).from_front(), sewing.sewn_length(piece, FRONT)
        way = seam.tangent(float(len(seam)), before=True)
        moves = {FRONT: alterations.level_moves(piece, FRONT, ((0.0, 0j), (whole, more * way)))}
        new = alterations.shift_seams(piece, moves)
    return new


def _words(facts: StepFacts) -> Words:
    return Words(
        title="Bend the sleeve at the elbow",
        draw="Draw a level line at the elbow, from the back underarm seam to the front one.",
        cut="Cut from the back seam along the line to the front one, but not through it: leave a thread of paper.",
        move=f"Swing the shaded part to the front until the cut is open by {facts.got('dart mouth')} at the back seam, "
        "and tape it down on paper laid beneath.",
        true="Draw the dart from both ends of the opening to its tip on the centre line. Draw the front seam in one "
        "line again; at the hem make it as long as it was.",
        note="With the dart closed both underarm seams are as long as they were. Mark both at the dart's upper leg.",
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "elbow-dart",
            "Bends a sleeve forward at the elbow, with a dart at its back underarm seam.",
            (
                Parameter("amount", "length", "how wide the dart's mouth is", minimum=1.0),
                Parameter("forward", "length", "how far the middle of the hem is to swing to the front", minimum=1.0),
                Parameter(
                    "elbow-at",
                    "length",
                    "how far below the underarm point, along the back seam, the elbow lies",
                    default_text="where it is drawn",
                    minimum=1.0,
                ),
                Parameter(
                    "short", "length", "how far short of the centre line the dart ends", default="0 mm", minimum=0.0
                ),
            ),
            run,
            instructions=Instructions(
                asked={
                    "amount": "bend the sleeve with an elbow dart {} wide",
                    "forward": "bend the sleeve at the elbow until its hem swings {} to the front",
                    "elbow-at": "{} below the underarm",
                    "short": "ending {} short of the centre line",
                },
                words=_words,
            ),
            kinds=("sleeve",),
            one_of=(("amount", "forward"),),
            answers=("folds at the elbow of a narrow sleeve", "sleeve drags when the arm is bent"),
        )
    ]
