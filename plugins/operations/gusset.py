"""gusset: a diamond set in under the arm, between side seams and underarm seams left open for it.

From memory: its four sides are as long as what is left open of each seam, exactly; nothing
else of the garment changes. It is set into the seams, so no slit is cut into the cloth beside them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from svgfit.plugin import (
    Affine,
    Annotation,
    Curve,
    Edge,
    Instructions,
    Job,
    Mark,
    Measurement,
    Operation,
    Outcome,
    Parameter,
    Piece,
    StepFacts,
    Words,
    alterations,
    beside,
    both_ways,
    hookimpl,
    replace,
    rules,
    sewing,
    swap,
)

NAME = "Gusset"
SEAMS = {"sleeve": ("underarm front", "underarm back"), "front": ("side seam",), "back": ("side seam",)}
"""The seams that are left open, by kind of piece."""
TICK = 6.0
"""How long a notch is drawn, mm."""


def run(job: Job) -> Outcome:
    """Mark how far the seams stay open, and make the piece that is set in; then measure."""
    sleeve, side = job.piece, job.values["amount"]
    assert sleeve is not None
    row = sewing.armhole_row(sleeve, job.pieces, job.seams)
    if row is None:
        why, todo = sewing.why_unsewn(job.pieces)
        raise job.refuse(f"it needs the armhole, and {why}", todo)
    pieces = (sleeve, *(part.piece for part in row.parts if part.piece.kind in ("front", "back")))
    if sorted(piece.kind for piece in pieces) != ["back", "front", "sleeve"]:
        raise job.refuse("its armhole has not one front and one back", "give a garment with these")
    if any(piece.name == NAME for piece in job.pieces):
        raise job.refuse(f"there is a piece {NAME} already", "leave that out, or this step")
    width = job.values.get("width", side)
    if width >= 2 * side:
        raise job.refuse(
            f"a gusset with sides of {both_ways(side)} can't be {both_ways(width)} wide",
            f"give width= less than {both_ways(2 * side)}",
        )
    marked = tuple(_marked(job, piece, side) for piece in pieces)
    result = job.pieces
    for piece in marked:
        result = swap(result, piece)
    gusset = beside(_diamond(sleeve, side, width), job.pieces)
    got = (
        Measurement("gusset side", sewing.sewn_length(gusset, gusset.edges[0].name)),
        Measurement("gusset width", abs(gusset.edges[0].curve.start - gusset.edges[1].curve.end)),
        Measurement("gusset length", abs(gusset.edges[0].curve.end - gusset.edges[2].curve.end)),
    )
    notes = tuple(
        Annotation("cut end", piece.title, point=alterations.seam_point(piece, seam, side))
        for piece in pieces
        for seam in SEAMS[piece.kind]
    )
    told = (
        f"leave side seams and underarm seams open for {both_ways(side)} from the underarm point, up to the new notches"
    )
    return Outcome((*result, gusset), got, annotations=notes, warnings=(f"{gusset.title}: cut 2; {told}",))


def _marked(job: Job, piece: Piece, side: float) -> Piece:
    """Put a notch on each of a piece's seams where the gusset ends."""
    for seam in SEAMS[piece.kind]:
        if not piece.has_edge(seam):
            raise job.refuse(f"{piece.title} has no {seam}", "give a garment with one")
        length = sewing.sewn_length(piece, seam)
        if side > length - rules.widths.GUSSET_ROOM:
            raise job.refuse(
                f"the {seam} of {piece.title} is {both_ways(length)} long, and a gusset of {both_ways(side)} leaves "
                "nothing of it",
                f"ask for {both_ways(max(length - rules.widths.GUSSET_ROOM, 0.0))} at most",
            )
        curve, t = sewing.place_along(piece, seam, side)
        at, out = curve.point(t), 1j * curve.tangent(t)
        inside = piece.outline().area() > 0
        way = -out if inside != piece.edge(seam).backwards else out
        notch = Mark("notch", (Curve.polyline([at, at + TICK * way]),), seam, at)
        piece = replace(piece, marks=(*piece.marks, notch))
    return piece


def _diamond(sleeve: Piece, side: float, width: float) -> Piece:
    """Draw the gusset: between the armhole seams ``width`` across, its points on side seam and underarm seam."""
    half, high = width / 2, math.sqrt(side * side - width * width / 4)
    corners = (half + 0j, 1j * high, -half + 0j, -1j * high)
    names = ("body front", "body back", "sleeve back", "sleeve front")
    allowance = sleeve.edge("underarm front").allowance
    edges = tuple(
        Edge(name, Curve.polyline([one, two]), allowance)
        for name, one, two in zip(names, corners, (*corners[1:], corners[0]), strict=True)
    )
    grain = Mark("grain line", (Curve.polyline([-0.6j * high, 0.6j * high]),))
    return Piece(
        sleeve.file,
        NAME,
        "other",
        edges,
        Affine(),
        size=sleeve.size,
        marks=(grain,),
        drawn=sleeve.drawn,
        corners="plain",
    )


def _words(facts: StepFacts) -> Words:
    return Words(
        title="Set in a gusset",
        draw="Mark each side seam and underarm seam as far from the underarm point as a side of the gusset is long. "
        "Draw the gusset: four sides of that length.",
        cut="",
        move="",
        true="Sew the seams up to the marks, set the sleeve in, then the gusset into the opening, point to point.",
        note="Its allowance, and the seams', runs to nothing at the marks: clip to them and no further. Cut two.",
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "gusset",
            "Makes a gusset for under the arm, and marks how far the seams stay open for it.",
            (
                Parameter(
                    "amount", "length", "how long each of its sides is, and each seam's open stretch", minimum=10.0
                ),
                Parameter(
                    "width",
                    "length",
                    "how wide it is from front to back",
                    default_text="as wide as its sides are long",
                    minimum=5.0,
                ),
            ),
            run,
            instructions=Instructions(
                asked={"amount": "set in a gusset with sides of {}", "width": "{} wide"}, words=_words
            ),
            kinds=("sleeve",),
            one_of=(("amount",),),
            answers=("garment rises when the arm is lifted, and below the arm it fits", "can't lift the arm"),
        )
    ]
