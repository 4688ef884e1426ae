"""bust: the front made for a fuller or smaller bust, with all that is sewn to it as it was.

From memory: cut from the lower edge (along its dart) to the bust point and on to a hinge in
the armhole's lower third, and from the side (along its dart) to the bust point. The upper side part swings about the
hinge, the lower one is set straight beside it, the centre's lower part is cut level and moved to the same level.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable

from svgfit.plugin import (
    REDRAW,
    Affine,
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
    slash_words,
    swap,
    true,
    unkept_promises,
)

TOLD = 0.1
"""A length that changes by more than this, mm, is told."""


def run(job: Job) -> Outcome:
    """Make the three cuts, move the parts, true; then measure."""
    piece = job.piece
    assert piece is not None
    point = job.values["bust-point"].at if "bust-point" in job.values else alterations.fullest_point(piece)
    if point is None:
        raise job.refuse("no bust point is known", "draw a landmark 'bust point', or say it: bust-point=")
    side, low = (_dart(job, piece, name, point) for name in ("side", "low"))
    bare = piece
    for dart in (side, low):
        bare = bare if dart is None else alterations.without_mouth(bare, dart)
    underarm = piece.landmark("underarm")
    places = {name: _place(job, bare, name, point) for name in ("hinge", "side", "low")}
    if side is not None:  # the leg nearer to the underarm goes up with the upper part, the other down
        places["side"] = min((side.start, side.end), key=lambda at: sewing.sewn_distance(bare, side.edge, at))
    if low is not None:
        places["low"] = min((low.start, low.end), key=lambda at: abs(at - underarm))
    centre = alterations.standing_place(bare)
    leg = places["side"] if side is None else side.start + side.end - places["side"]
    each = _each(job, leg, centre)
    swing, by = _swing(job, point, places["hinge"], -each * math.copysign(1.0, (centre - point).real))
    cuts = _cuts(job, bare, centre, point, places, (swing, by))
    _refuse_closed(job, side, point, swing, each)
    parted = alterations.spread_each(bare, cuts)
    short = job.values["tip"]
    if side is not None:
        parted = alterations.keep_dart(parted, side, swing.apply(point), short)
    else:
        parted, _ = alterations.open_dart(parted, places["side"], swing.apply(point), short)
    if low is not None:
        parted = alterations.keep_dart(parted, low, low.apex + complex(by.real / 2, by.imag), 0.0)
    new, openings = true(parted, job.values.get("redraw"))
    alterations.refuse_bent_fold(piece, new)
    return Outcome(
        swap(job.pieces, new),
        tuple(_got(piece, new, leg + by, centre, point, by)),
        openings,
        tuple(
            Annotation("slash", piece.title, Curve.polyline(found.line), label=f"slash {job.do}" if k == 0 else "")
            for k, (found, _) in enumerate(cuts)
        ),
        warnings=(*unkept_promises(openings), *_told(piece, new, places, low)),
        moved=parted.moved,
    )


def _cuts(
    job: Job,
    bare: Piece,
    centre: complex,
    point: complex,
    places: dict[str, complex],
    moves: tuple[Affine, complex],
) -> tuple[tuple[alterations.Cut, Affine], ...]:
    """Make the three cuts, each with how its part moves.

    The side turns about the hinge, its lower part is set straight beside it, the centre's lower part goes down to the
    same level.
    """
    swing, by = moves
    outline = bare.outline()
    underarm = bare.landmark("underarm")
    level = point.imag + (places["low"].imag - point.imag) / 2
    meets = point + (places["low"] - point) / 2
    hem, hinge, at_side = (outline.nearest(places[name])[0] for name in ("low", "hinge", "side"))
    middle = _at_centre(job, bare, centre, level)
    armpit = outline.nearest(underarm)[0]
    below, inner = (middle_of(outline, one, hem, away_from=armpit) for one in (at_side, middle))
    straight = Affine.turn(-cmath.phase(swing.apply_vector(1 + 0j)), swing.apply(point))
    return (
        (alterations.cut_between(bare, hem, hinge, (point,), moves=underarm), swing),
        (alterations.cut_between(bare, at_side, hem, (point,), moves=below), straight),
        (alterations.cut_between(bare, middle, hem, (meets,), moves=inner), Affine.shift(1j * by.imag)),
    )


def middle_of(outline: Curve, one: float, other: float, away_from: float) -> complex:
    """Return the middle of that way round the outline between two places that does not pass a third."""
    n = len(outline)
    first, last = (one, other) if (away_from - one) % n > (other - one) % n else (other, one)
    return outline.point((first + ((last - first) % n) / 2) % n)


def _dart(job: Job, piece: Piece, name: str, point: complex) -> Dart | None:
    """Find the dart that the cut to the side (or lower edge) follows: where a place is asked, none."""
    if name in job.values:
        return None
    on_side = [one for one in piece.darts if one.edge == "side seam"]
    others = [one for one in piece.darts if one.edge in ("hem", "waist", "waist seam")]
    found = on_side if name == "side" else others
    if not found:
        return None
    dart = min(found, key=lambda one: abs(one.apex - point))
    if name == "side":
        alterations.pivot_on(piece, dart, point)
    return dart


def _place(job: Job, bare: Piece, name: str, point: complex) -> complex:
    """Return where a cut ends on the outline: as asked, or where it usually does."""
    if name in job.values:
        try:
            alterations.on_outline(bare, job.values[name])
        except ValueError as error:
            raise job.refuse(*str(error).split(": ", 1)) from None
        return job.values[name].at
    if name == "hinge":
        curve, t = sewing.place_along(bare, "armhole", sewing.sewn_length(bare, "armhole") * rules.darts.BUST_HINGE)
        return curve.point(t)
    if name == "side":
        curve = bare.edge("side seam").curve
        met = curve.crossings(complex(-1e4, point.imag), complex(1e4, point.imag))
        if not met:
            raise job.refuse("the bust point lies above or below the side seam", "say where the side dart is: side=")
        return curve.point(met[0])
    outline = bare.outline()
    met = [outline.point(t) for t in outline.crossings(complex(point.real, -1e4), complex(point.real, 1e4))]
    return max(met, key=lambda at: at.imag, default=point)


def _each(job: Job, side: complex, centre: complex) -> float:
    """Return how much wider the half front becomes."""
    if "each" in job.values:
        return job.values["each"]
    if "width" in job.values:
        return job.values["width"] - abs((side - centre).real)
    return job.values["amount"] / 2


def _swing(job: Job, point: complex, hinge: complex, across: float) -> tuple[Affine, complex]:
    """Find the turn about the hinge that takes the bust point so far across, and how far it takes it in all."""
    arm = point - hinge
    most = abs(arm) / 2
    if abs(across) > most or arm.imag <= 0:
        what = (
            "the hinge does not lie above the bust point" if arm.imag <= 0 else "so much can't be swung about the hinge"
        )
        raise job.refuse(what, f"ask for at most {both_ways(2 * most)} in all, or name another hinge")
    angle = math.acos((arm.real + across) / abs(arm)) - cmath.phase(arm)
    return Affine.turn(angle, hinge), arm * (cmath.exp(1j * angle) - 1)


def _refuse_closed(job: Job, side: Dart | None, point: complex, swing: Affine, each: float) -> None:
    """Refuse a smaller bust that closes more of the side dart than there is, and no change at all."""
    if abs(each) < 0.05:
        raise job.refuse("nothing would change", "ask for another amount")
    if each > 0:
        return
    if side is None:
        raise job.refuse("a smaller bust takes from a side dart, and there is none", "draw the dart that it has")
    turned, whole = abs(cmath.phase(swing.apply_vector(1 + 0j))), alterations.angle(side, point)
    if turned > whole - 0.01:
        share = both_ways(2 * abs(each) * (whole - 0.01) / turned)
        raise job.refuse("the side dart would be closed and more", f"take away less than about {share} in all")


def _at_centre(job: Job, bare: Piece, centre: complex, level: float) -> float:
    """Find where the level cut meets the centre or fold, a parameter of the outline."""
    edge = min(bare.edges, key=lambda edge: edge.curve.nearest(centre)[1])
    met = edge.curve.crossings(complex(-1e4, level), complex(1e4, level))
    if not met:
        raise job.refuse("the level cut misses the centre", "name another place of the lower edge: low=")
    return bare.outline().nearest(edge.curve.point(met[0]))[0]


def _got(piece: Piece, new: Piece, leg: complex, centre: complex, point: complex, by: complex) -> Iterable[Measurement]:
    """Measure what came of it on the new piece."""
    side = new.edge("side seam").curve
    yield Measurement("bust width", abs((side.point(side.nearest(leg)[0]) - centre).real))
    darts = [one for one in new.darts if one.edge == "side seam"]
    for dart in darts[-1:]:
        yield Measurement("dart mouth", alterations.mouth_width(dart))
        yield Measurement("dart angle", math.degrees(alterations.angle(dart, point + by)), "deg")
    for edge in piece.edges:
        if edge.name in ("armhole", "side seam", "shoulder", "hem", "waist") or edge.fold or edge.name == "centre":
            yield Measurement(f"{edge.name} length", sewing.sewn_length(new, edge.name))


def _told(piece: Piece, new: Piece, places: dict[str, complex], low: Dart | None) -> Iterable[str]:
    """Tell which lengths changed, so that what is sewn there can follow."""
    for edge in piece.edges:
        gain = sewing.sewn_length(new, edge.name) - sewing.sewn_length(piece, edge.name)
        if abs(gain) <= TOLD or edge.fold or edge.name == "centre":
            continue
        how = "longer" if gain > 0 else "shorter"
        more = ": take it in at the side or into a dart where it was right" if edge.name in ("hem", "waist") else ""
        yield f"{piece.title}: the {edge.name} is {both_ways(abs(gain))} {how} now{more}"


def _words(facts: StepFacts) -> Words:
    title = "Make the bust smaller" if facts.closes else "Make the bust fuller"
    return slash_words(
        replace(facts, hinged=True),
        title,
        "Swing the upper side part about the hinge at the armhole; set the lower one beside it with the edges of the "
        "cut parallel; cut the centre level and move its lower part until the lower edge is level.",
        note="The side dart takes what the side seam gained: sewn, armhole and side seam are as long as they were.",
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "bust",
            "Makes a front wider and longer over a fuller bust, less so over a smaller; armhole and side seam stay.",
            (
                Parameter("amount", "length", "how much wider it becomes, all round; negative: narrower"),
                Parameter("each", "length", "how much wider the half front becomes; negative: narrower"),
                Parameter("width", "length", "how wide the half front is to be below the side dart", minimum=1.0),
                Parameter("bust-point", "place", "the bust point", default_text="the landmark of that name"),
                Parameter("hinge", "place", "where the armhole is the hinge", default_text="a third up the armhole"),
                Parameter(
                    "side", "place", "where the side is cut", default_text="its dart; else level with the bust point"
                ),
                Parameter("low", "place", "where the lower edge is cut", default_text="its dart; else below the point"),
                Parameter("tip", "length", "how far short of the point the side dart ends", "3/4 in", minimum=0.0),
                REDRAW,
            ),
            run,
            instructions=Instructions(
                asked={
                    "width": "to be {} wide below the side dart",
                    "bust-point": "the bust point at {}",
                    "hinge": "hinged at {}",
                    "side": "cutting the side at {}",
                    "low": "cutting the lower edge at {}",
                    "tip": "the dart ending {} short of the point",
                    "redraw": "redrawing at most {} on each side of a cut",
                    "amount": ("make the bust {} fuller", "make the bust {} smaller"),
                    "each": ("make the half front {} wider", "make the half front {} narrower"),
                },
                words=_words,
            ),
            kinds=("front",),
            one_of=(("amount", "each", "width"),),
            answers=("drags to the bust", "hem rises in front", "front hangs empty at the bust"),
        )
    ]
