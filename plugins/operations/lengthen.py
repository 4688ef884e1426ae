"""lengthen: a piece cut level and its lower part moved along the grain; or bodice and sleeve cut through the armhole.

From memory: straight seams are drawn straight again from corner to corner; through the
armhole one level runs through front, back and cap, where it lies on them when they are sewn, and opens alike.
"""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import (
    REDRAW,
    Affine,
    Annotation,
    Curve,
    Instructions,
    Job,
    Measurement,
    Operation,
    Outcome,
    Parameter,
    Piece,
    Slash,
    SpreadPiece,
    StepFacts,
    Words,
    alterations,
    both_ways,
    hookimpl,
    replace,
    sewing,
    slash_words,
    sleeves,
    spread,
    swap,
    true,
    unkept_promises,
)

LINE_WORDS = ("lengthen", "shorten")
"""A drawn line is the one to lengthen or shorten at where its name has one of these words."""


def run(job: Job) -> Outcome:
    """Choose the levels, cut there, move what lies on the far side, true; then measure."""
    piece = job.piece
    assert piece is not None
    if job.values["through"] == "armhole":
        if "at" in job.values or "length" in job.values:
            raise job.refuse("through the armhole the level is found, and only an amount is asked", "leave at= out")
        levels = _through_armhole(job, piece)
        amount = job.values["amount"]
        return _cut(job, levels, amount, upwards=True)
    top, bottom = piece.outline().bounds()[1], piece.outline().bounds()[3]
    amount = job.values["amount"] if "amount" in job.values else job.values["length"] - (bottom - top)
    outcome = _cut(job, ((piece, _level(job, piece)),), amount, upwards=False)
    if "length" not in job.values:
        return outcome
    (new,) = (one for one in outcome.pieces if one.key == piece.key)
    _, top, _, bottom = new.outline().bounds()
    return replace(outcome, got=(Measurement("length along the grain", bottom - top), *outcome.got))


def _cut(job: Job, levels: Iterable[tuple[Piece, float]], amount: float, *, upwards: bool) -> Outcome:
    """Cut each piece at its level and move what is above (or below) it along the grain."""
    pieces = job.pieces
    got: list[Measurement] = []
    openings = []
    notes: list[Annotation] = []
    warnings: list[str] = []
    moved = []
    for piece, level in levels:
        parted = _parted(job, piece, level, amount, upwards=upwards)
        new, made = true(parted, job.values.get("redraw"))
        alterations.refuse_bent_fold(piece, new)
        pieces = swap(pieces, new)
        openings += made
        warnings += unkept_promises(made)
        moved += parted.moved
        line = parted.cut.line
        middle = (line[0] + line[-1]) / 2
        way = -1j * amount if upwards else 1j * amount
        notes.append(Annotation("slash", piece.title, Curve.polyline([line[0], line[-1]]), label=f"slash {job.do}"))
        notes.append(Annotation("arrow", piece.title, Curve.polyline([middle, middle + way]), length=amount))
        title = "" if piece is job.piece else f"{piece.name} "
        for name in dict.fromkeys(opening.edge for opening in made):
            got.append(Measurement(f"{title}{name} length", sewing.sewn_length(new, name)))
    return Outcome(pieces, tuple(got), tuple(openings), tuple(notes), warnings=tuple(warnings), moved=tuple(moved))


def _parted(job: Job, piece: Piece, level: float, amount: float, *, upwards: bool) -> SpreadPiece:
    """Cut a piece level; refuse a level that is not on it, and an overlap larger than what moves."""
    left, top, right, bottom = piece.outline().bounds()
    room = level - top if upwards else bottom - level
    if not top < level < bottom:
        raise job.refuse("the cut runs beside the piece", f"cut within {both_ways(bottom - top)} of its top")
    if -amount >= room:
        raise job.refuse("the overlap is larger than the part that moves", f"ask for less than {both_ways(room)}")
    outline = piece.outline()
    places = outline.points(outline.level_places(1j))
    end = complex(places[int((places.imag.argmin if upwards else places.imag.argmax)())])
    slash = Slash((complex(left - 10, level), complex(right + 10, level)), moves=end)
    return spread(piece, slash, Affine.shift(-1j * amount if upwards else 1j * amount))


def _level(job: Job, piece: Piece) -> float:
    """Find where to cut: as asked, at the drawn line, or half-way down to the hem."""
    zero = _zero(piece)
    bottom = piece.outline().bounds()[3]
    if "at" in job.values:
        return zero + job.values["at"]
    drawn = [
        mark.curves[0]
        for mark in piece.marks
        if mark.curves and any(word in (mark.name or "").casefold() for word in LINE_WORDS)
    ]
    if drawn:
        return (drawn[0].start.imag + drawn[0].end.imag) / 2
    return (zero + bottom) / 2


def _zero(piece: Piece) -> float:
    """Return the level that ``at`` is counted from: the bicep line, the underarm point, or the top of the piece."""
    if piece.kind == "sleeve":
        return sleeves.bicep_level(piece)
    underarm = piece.find_landmark("underarm")
    return underarm.imag if underarm is not None else piece.outline().bounds()[1]


def _through_armhole(job: Job, piece: Piece) -> tuple[tuple[Piece, float], ...]:
    """Find the level in each piece: of the sleeve with its armhole, or of one bodice piece alone."""
    if piece.kind in ("front", "back"):
        return ((piece, _half_way(job, piece)),)
    row = sewing.armhole_row(piece, job.pieces, job.seams) if piece.kind == "sleeve" else None
    if row is None:
        why, todo = sewing.why_unsewn(job.pieces) if piece.kind == "sleeve" else ("it has none", "name the sleeve")
        raise job.refuse(f"it needs the armhole, and {why}", todo)
    if sorted(part.piece.kind for part in row.parts) != ["back", "front"]:
        raise job.refuse("its armhole is not one front and one back", "cut its pieces with slash, one by one")
    levels = [(part.piece, _half_way(job, part.piece)) for part in row.parts]
    cap, heights = piece.edge("cap").from_front(), []
    whole = sewing.sewn_length(piece, "cap")
    for bodice, level in levels:
        along = _along_armhole(bodice, level)
        t = cap.at_length(along if bodice.kind == "front" else whole - along)
        heights.append(cap.point(t).imag)
    return (*levels, (piece, sum(heights) / 2))


def _half_way(job: Job, piece: Piece) -> float:
    """Return the level half-way between shoulder tip and underarm point."""
    if not piece.has_edge("armhole"):
        raise job.refuse(f"{piece.title} has no armhole", "cut it with slash")
    return (piece.landmark("shoulder tip").imag + piece.landmark("underarm").imag) / 2


def _along_armhole(piece: Piece, level: float) -> float:
    """Measure how far along its armhole, from the underarm point, a level crosses it first from the shoulder down."""
    met = alterations.at_level(piece, "armhole", level)
    return max(sewing.sewn_distance(piece, "armhole", point) for point in met)


def _words(facts: StepFacts) -> Words:
    title = "Shorten at the line" if facts.closes else "Lengthen at the line"
    way = (
        "over the other part, along the grain, until it laps" if facts.closes else "along the grain until the cut opens"
    )
    return slash_words(
        facts,
        title,
        f"Slide the shaded part {way} by {facts.amounts}.",
        note="Straight seams are drawn straight again from corner to corner. Do the same on every piece sewn along it.",
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "lengthen",
            "Lengthens (or shortens) a piece at a level line, or bodice and sleeve through the armhole.",
            (
                Parameter("amount", "length", "how far the parts move apart along the grain; negative shortens"),
                Parameter(
                    "length",
                    "length",
                    "how long the piece is to be along the grain, from its highest point",
                    minimum=1.0,
                ),
                Parameter(
                    "at",
                    "length",
                    "how far below the bicep line or underarm point to cut; of other pieces, below their top",
                    default_text="at the drawn line to lengthen or shorten at, else half-way down to the hem",
                ),
                Parameter(
                    "through",
                    "text",
                    "the piece; or armhole: front, back and cap at one level (for a front or back: that one alone)",
                    default="piece",
                    choices=("piece", "armhole"),
                ),
                REDRAW,
            ),
            run,
            instructions=Instructions(
                asked={
                    "amount": ("lengthen by {}", "shorten by {}"),
                    "length": "make it {} long",
                    "at": "cutting {} below the bicep line or underarm",
                    "through=piece": "through the piece",
                    "through=armhole": "through the armhole",
                    "redraw": "redrawing at most {} on each side of a cut",
                },
                words=_words,
            ),
            kinds=("any",),
            one_of=(("amount", "length"),),
            answers=(
                "hem, waist or elbow sits too high or too low",
                "neckline rides back, armhole tight though the cap is right",
            ),
        )
    ]
