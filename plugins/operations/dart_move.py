"""dart-move: a dart's tip moved, its mouth made wider or narrower, the dart moved along its edge or divided.

From memory: tip and legs are drawn anew, both legs of one length; for height the whole dart
moves, parallel. Moved or divided the edge as sewn stays as long as it was; a wider mouth takes from it, and is told.
"""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import (
    Annotation,
    Curve,
    Dart,
    Instructions,
    Job,
    Measurement,
    Operation,
    Outcome,
    Parameter,
    Piece,
    StepFacts,
    Words,
    alterations,
    both_ways,
    hookimpl,
    replace,
    rules,
    sewing,
    swap,
)

TOLD = 0.1
"""A length that changes by more than this, mm, is told."""
KEPT, ROUNDS = 1e-7, 12
"""How near to its old length the edge as sewn is brought, mm, and in how many rounds at most."""


def run(job: Job) -> Outcome:
    """Draw the dart anew; then measure."""
    piece = job.piece
    assert piece is not None
    if not any(name in job.values for name in ("amount", "mouth", "tip", "along")) and job.values["parts"] == 1:
        raise job.refuse("nothing to do is said", "give tip=, amount= or mouth=, along= or parts=")
    owner, edge = job.values.get("dart", (piece.name, None))
    if owner != piece.name:
        raise job.refuse(f"the dart's edge is one of {owner}", f"name one of {piece.name}")
    old = alterations.dart_on(piece, edge, job.values["number"])
    anew = _anew(job, piece, old)
    new = alterations.redraw_dart(piece, old, anew)
    tip = sum(one.apex for one in anew) / len(anew)
    got = [
        *(Measurement("dart mouth", alterations.mouth_width(one)) for one in anew[:1]),
        *(Measurement("dart leg", alterations.legs(one)[0]) for one in anew[:1]),
        Measurement(f"{old.edge} length", sewing.sewn_length(new, old.edge)),
    ]
    return Outcome(
        swap(job.pieces, new),
        tuple(got),
        annotations=(
            Annotation("old edge", piece.title, Curve.polyline([old.start, old.apex, old.end])),
            *([Annotation("arrow", piece.title, Curve.polyline([old.apex, tip]))] if abs(tip - old.apex) > 1.0 else ()),
        ),
        warnings=tuple(_told(piece, new, old)),
    )


def _anew(job: Job, piece: Piece, old: Dart) -> tuple[Dart, ...]:
    """Draw the dart (or darts) anew; where no width is asked, so wide that the edge as sewn stays as long as it was."""
    if "amount" in job.values and "mouth" in job.values:
        raise job.refuse("amount and mouth are two ways to say how wide it is to be", "give one of them")
    mouth, moved = alterations.mouth_width(old), _moved(job, piece, old)
    wide = job.values.get("mouth", mouth + job.values.get("amount", 0.0))
    if wide < 1.0:
        raise job.refuse(
            f"the dart is only {both_ways(mouth)} wide", f"make it narrower by less than {both_ways(mouth)}"
        )

    def drawn(wide: float) -> tuple[Dart, ...]:
        by = (moved.end - moved.start) / mouth * (wide - mouth) / 2
        dart = replace(moved, start=moved.start - by, end=moved.end + by)
        return _divided(job, piece, _with_tip(dart, job.values["tip"].at if "tip" in job.values else dart.apex))

    if wide != mouth:
        return drawn(wide)
    length = sewing.sewn_length(piece, old.edge)
    for _ in range(ROUNDS):
        off = sewing.sewn_length(alterations.redraw_dart(piece, old, drawn(wide)), old.edge) - length
        if abs(off) < KEPT:
            break
        wide += off  # what the mouth takes the seam loses, but for the cosine of a few degrees
    return drawn(wide)


def _moved(job: Job, piece: Piece, dart: Dart) -> Dart:
    """Move the whole dart along the line from the one end of its mouth to the other, away from the edge's front end."""
    by = job.values.get("along", 0.0)
    mouth = dart.end - dart.start
    way = mouth / abs(mouth) * (-1 if piece.edge(dart.edge).backwards else 1)
    half = abs(mouth) / 2
    length = sewing.sewn_length(piece, dart.edge)
    at = sewing.sewn_distance(piece, dart.edge, dart.start)
    if not half - at < by < length - at - half:
        low, high = both_ways(max(at - half, 0.0)), both_ways(max(length - at - half, 0.0))
        raise job.refuse(
            "the dart would leave its edge", f"move it {low} towards the edge's front or underarm end, or {high} away"
        )
    return replace(dart, start=dart.start + by * way, apex=dart.apex + by * way, end=dart.end + by * way)


def _with_tip(dart: Dart, tip: complex) -> Dart:
    """Draw both legs to another tip; where it is nearer to the one end of the mouth both legs get the mean length."""
    long = (abs(dart.start - tip) + abs(dart.end - tip)) / 2
    ends = [tip + (end - tip) / abs(end - tip) * long for end in (dart.start, dart.end)]
    return replace(dart, start=ends[0], apex=tip, end=ends[1])


def _divided(job: Job, piece: Piece, dart: Dart) -> tuple[Dart, ...]:
    """Divide a dart into several of one width, so far apart at the edge, square to it."""
    parts, gap = job.values["parts"], job.values["apart"]
    if parts == 1:
        return (dart,)
    edge = piece.edge(dart.edge)
    room = gap * (parts - 1) / 2
    curve = edge.curve
    ends: list[complex] = []
    for at, way in ((dart.start, -1), (dart.end, 1)):
        along = curve.length_between(0.0, curve.nearest(at)[0]) + way * room
        if not 1.0 < along < curve.length_between(0.0, float(len(curve))) - 1.0:
            raise job.refuse("the darts need more edge than there is", "let them lie nearer to one another: apart=")
        ends.append(curve.point(curve.at_length(along)))
    out = (ends[1] - ends[0]) / abs(ends[1] - ends[0])
    wide = (abs(ends[1] - ends[0]) - gap * (parts - 1)) / parts
    named = alterations.fullest_point(piece)
    pivot = dart.apex if named is None else named
    short = max(abs(dart.apex - pivot), rules.darts.TIP_SHORT)
    starts = [ends[0] + out * k * (wide + gap) for k in range(parts)]
    return tuple(alterations.pointed(replace(dart, start=at, end=at + out * wide), pivot, short) for at in starts)


def _told(piece: Piece, new: Piece, dart: Dart) -> Iterable[str]:
    """Tell what the edge as sewn gained or lost."""
    gain = sewing.sewn_length(new, dart.edge) - sewing.sewn_length(piece, dart.edge)
    if abs(gain) > TOLD:
        how = "longer" if gain > 0 else "shorter"
        yield f"{piece.title}: the {dart.edge} as sewn is {both_ways(abs(gain))} {how}: see what it is sewn to"


def _words(facts: StepFacts) -> Words:
    return Words(
        title="Draw the dart again",
        draw="Mark the new tip, and the new ends of the dart's mouth on the edge.",
        cut="",
        move="",
        true="Draw the legs with a ruler, both of one length; run the edge into their ends. Fold the dart as it is "
        "pressed and cut along the seam's cut line, so that it gets its roof.",
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "dart-move",
            "Moves a dart's tip, makes it wider or narrower, moves it along its edge, or divides it; legs stay equal.",
            (
                Parameter("dart", "edge", "the edge that the dart is in", default_text="the piece's only dart"),
                Parameter("number", "count", "which of its darts, from its front or underarm end", "1", minimum=1),
                Parameter("tip", "place", "where its tip is to be", default_text="where it is"),
                Parameter(
                    "amount",
                    "length",
                    "how much wider its mouth becomes, half at each end; negative: narrower",
                    default_text="as wide as it is",
                ),
                Parameter("mouth", "length", "how wide it is to be", default_text="as wide as it is", minimum=1.0),
                Parameter(
                    "along",
                    "length",
                    "how far the whole dart moves along the edge, away from its front or underarm end; negative: back",
                    default_text="not at all",
                ),
                Parameter("parts", "count", "into how many darts it is divided", "1", minimum=1, maximum=4),
                Parameter("apart", "length", "how far apart divided darts lie at the edge", "1 in", minimum=1.0),
            ),
            run,
            instructions=Instructions(
                asked={
                    "dart": "the dart in the {}",
                    "number": "the dart of number {}",
                    "tip": "its tip to {}",
                    "amount": ("{} wider", "{} narrower"),
                    "mouth": "to {} wide",
                    "along": ("{} along the edge", "{} back along the edge"),
                    "parts": "in {} parts",
                    "apart": "{} apart",
                },
                words=_words,
            ),
            kinds=("any",),
            answers=("dart ends too high, too low or beside the fullest point", "dart makes a point at its tip"),
        )
    ]
