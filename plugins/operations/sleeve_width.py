"""sleeve-width: a sleeve made wider or narrower at elbow, forearm or hem; bicep and cap stay as drawn.

From memory: half of it at each underarm seam, straight or in one curve from the bicep.
"""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import (
    Annotation,
    Curve,
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
    refuse_crossing,
    sewing,
    swap,
)

LEVELS = ("elbow", "forearm", "hem")
SEAMS = {"underarm front": 1, "underarm back": -1}
"""The seams, and which way is out of the sleeve on the piece."""
UNLIKE = 0.1
"""Underarm seams that differ by more than this beside what they differed (mm) are told."""


def run(job: Job) -> Outcome:
    """Move both underarm seams at the levels that are asked for; then measure."""
    piece = job.piece
    assert piece is not None
    asked = _asked(job, piece)
    places = {name: {seam: _place(job, piece, seam, name) for seam in SEAMS} for name in (*asked, "hem")}
    moves = {
        seam: alterations.level_moves(
            piece,
            seam,
            ((0.0, 0j), *((at[seam], complex(way * asked.get(name, 0.0) / 2)) for name, at in places.items())),
        )
        for seam, way in SEAMS.items()
    }
    new = alterations.shift_seams(piece, moves)
    refuse_crossing(new, "the moved underarm seam would cross another edge")
    got = [Measurement(f"{name} width", _across(new, _levels(piece, places, name))) for name in asked]
    got += [Measurement(f"{seam} length", sewing.sewn_length(new, seam)) for seam in SEAMS]
    notes = [Annotation("old edge", piece.title, piece.edge(seam).curve) for seam in SEAMS]
    for name, by in asked.items():
        for seam, way in SEAMS.items():
            point = alterations.seam_point(piece, seam, places[name][seam])
            arrow = Curve.polyline([point, point + way * by / 2])
            notes += [Annotation("arrow", piece.title, arrow, length=by / 2)] if by else []
    return Outcome(swap(job.pieces, new), tuple(got), annotations=tuple(notes), warnings=tuple(_warnings(piece, new)))


def _asked(job: Job, piece: Piece) -> dict[str, float]:
    """Return by how much the sleeve grows at each level that is asked for, mm."""
    by_level = {name: job.values[name] for name in LEVELS if name in job.values}
    ways = [f"{name}=" for name in ("amount", "width") if name in job.values] + (["values a level"] if by_level else [])
    if len(ways) != 1:
        what = f"{' and '.join(ways) or 'nothing'} is asked"
        raise job.refuse(what, "ask for one: amount=, width=, or a value a level (elbow=, forearm=, hem=)")
    at = job.values["at"]
    if "width" in job.values:
        places = {at: {seam: _place(job, piece, seam, at) for seam in SEAMS}}
        by_level = {at: job.values["width"] - _across(piece, _levels(piece, places, at))}
    elif "amount" in job.values:
        by_level = {at: job.values["amount"]}
    for name, by in by_level.items():
        places = {name: {seam: _place(job, piece, seam, name) for seam in SEAMS}}
        wide = _across(piece, _levels(piece, places, name))
        if by <= -wide / 2:
            raise job.refuse(
                f"{both_ways(-by)} is half the {name} or more, which is {both_ways(wide)} wide",
                f"ask for less: it can be taken in by less than {both_ways(wide / 2)}",
            )
    return by_level


def _place(job: Job, piece: Piece, seam: str, name: str) -> float:
    """Find how far along an underarm seam a level lies: as said, or as drawn."""
    length = sewing.sewn_length(piece, seam)
    if name == "hem":
        return length
    at = job.values.get(f"{name}-at", alterations.drawn_level(piece, seam, name))
    if at is None:
        raise job.refuse(f"where the {name} lies is not drawn", f"say how far below the underarm point: {name}-at=…")
    if at >= length:
        raise job.refuse(
            f"the {name} would lie {both_ways(at)} down the {seam}, which is {both_ways(length)} long",
            f"give {name}-at= below that",
        )
    return at


def _levels(piece: Piece, places: dict[str, dict[str, float]], name: str) -> dict[str, float | None]:
    """Return at which level (y) the sleeve is measured at each seam; None at the hem: at the seam's end."""
    if name == "hem":
        return dict.fromkeys(SEAMS)
    return {seam: alterations.seam_point(piece, seam, at).imag for seam, at in places[name].items()}


def _across(piece: Piece, levels: dict[str, float | None]) -> float:
    """Measure a sleeve between its underarm seams, square to the grain."""
    sides: list[float] = []
    for seam, level in levels.items():
        curve = piece.edge(seam).from_front()
        met = [] if level is None else curve.crossings(complex(-1e5, level), complex(1e5, level))
        sides.append((curve.point(met[0]) if met else curve.end).real)
    return sides[0] - sides[1]


def _warnings(old: Piece, new: Piece) -> Iterable[str]:
    """Warn where the underarm seams no longer match, and of what is sewn to a hem that changed."""
    one, two = (
        abs(lengths[0] - lengths[1]) for lengths in ([sewing.sewn_length(p, s) for s in SEAMS] for p in (old, new))
    )
    if two - one > UNLIKE:
        yield f"{new.title}: its underarm seams now differ by {both_ways(two)}, before by {both_ways(one)}"
    if any(dart.edge in SEAMS for dart in old.darts):
        yield f"{new.title}: the dart in its underarm seam moved with the seam, its tip too; move the tip back"
    more = sewing.sewn_length(new, "hem") - sewing.sewn_length(old, "hem")
    if abs(more) > UNLIKE:
        how = "longer" if more > 0 else "shorter"
        yield f"{new.title}: its hem is {both_ways(abs(more))} {how}: change a cuff or facing sewn to it alike"


def _words(facts: StepFacts) -> Words:
    return Words(
        title="Change the sleeve's width",
        draw="At each level measure half of the amount from both underarm seams, square to the grain, and mark it.",
        cut="",
        move="",
        true="Draw both seams from the underarm point through the marks, straight or in one smooth line, front and "
        "back alike.",
        note="The bicep and the cap stay. Pin the seam and look at the hem across it.",
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    lies = (
        Parameter(
            f"{name}-at",
            "length",
            f"how far below the underarm point, along the seam, the {name} lies",
            default_text="where it is drawn",
            minimum=1.0,
        )
        for name in LEVELS[:2]
    )
    return [
        Operation(
            "sleeve-width",
            "Makes a sleeve wider or narrower at elbow, forearm or hem; its bicep and cap stay.",
            (
                Parameter("amount", "length", "how much wider it is to be at the level at=; negative narrows"),
                Parameter("width", "length", "how wide it is to be there, straight across", minimum=1.0),
                Parameter("at", "text", "the level that amount= or width= speaks of", default="hem", choices=LEVELS),
                *(
                    Parameter(
                        name,
                        "length",
                        f"how much wider it is to be at the {name}",
                        default_text="it stays" if name == "hem" else "as the levels beside it say",
                    )
                    for name in LEVELS
                ),
                *lies,
            ),
            run,
            instructions=Instructions(
                asked={
                    "amount": ("widen the sleeve by {}", "narrow the sleeve by {}"),
                    "width": "make the sleeve {} wide",
                    **{f"at={name}": f"at the {name}" for name in LEVELS},
                    **{f"{name}-at": f"the {name} {{}} below the underarm" for name in LEVELS[:2]},
                    **{name: (f"{{}} wider at the {name}", f"{{}} narrower at the {name}") for name in LEVELS},
                },
                words=_words,
            ),
            kinds=("sleeve",),
            answers=("sleeve too tight below the bicep", "sleeve too wide at the wrist", "sleeve tight at the elbow"),
        )
    ]
