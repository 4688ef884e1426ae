"""side-seam: the side seams let out or taken in, at all levels alike or by so much a level, front and back alike.

From memory: a quarter of what the garment is to gain at each of its four seam sides; a
smooth curve through the levels; what is added at the underarm changes the armhole, and the sleeve with it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

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
    at_least,
    both_ways,
    hookimpl,
    refuse_crossing,
    sewing,
    sleeves,
    smallest_movement,
    swap,
)

SEAM, SIDES = "side seam", ("front", "back")
LEVELS = ("underarm", "bust", "waist", "hip", "hem")
DRAWN = ("bust", "waist", "hip")
NEAR = 1e-3
"""Widths at the underarm are measured so far below it (mm): at the corner itself the armhole lies in the way."""


def run(job: Job) -> Outcome:
    """Find the levels and what each moves by, move front, back and (if asked) sleeve; then measure."""
    _refuse_unclear(job)
    pieces = _sides(job)
    places = {piece.title: _places(job, piece, pieces) for piece in pieces}
    asked = _asked(job, pieces, places)
    new, moved = _moved(job, pieces, places, asked)
    after = tuple(new[piece.title] for piece in pieces)
    result, warnings = job.pieces, [*_darts(pieces), *_unlike(pieces, after)]
    for piece in after:
        result = swap(result, piece)
    got = [Measurement(f"{name} girth", _girth(after, places, name)) for name in asked]
    got += [Measurement(f"{one.name} {SEAM}", sewing.sewn_length(one, SEAM)) for one in after]
    notes = list(_notes(pieces, places, moved))
    if "underarm" in asked:
        sleeve, told, words = _sleeve(job, result, {one.kind: moved[one.title]["underarm"] for one in pieces})
        result, got, warnings = (swap(result, sleeve) if sleeve else result), [*got, *told], [*warnings, *words]
        if sleeve is not None:
            was = next(one for one in job.pieces if one.key == sleeve.key)
            notes += [Annotation("old edge", sleeve.title, was.edge(f"underarm {kind}").curve) for kind in SIDES]
    return Outcome(result, tuple(got), annotations=tuple(notes), warnings=tuple(warnings))


def _refuse_unclear(job: Job) -> None:
    """Refuse where not exactly one is asked of: an amount, a girth, values a level."""
    ways = [f"{name}=" for name in ("amount", "girth") if name in job.values]
    ways += ["values a level"] if any(name in job.values for name in LEVELS) else []
    if len(ways) != 1:
        what = f"{' and '.join(ways) or 'nothing'} is asked"
        raise job.refuse(what, "ask for one: amount=, girth=, or a value a level (waist=, hem=, …)")


def _sides(job: Job) -> tuple[Piece, ...]:
    """Find the front and the back: one of each at most, each with a side seam."""
    found = tuple(piece for piece in job.pieces if piece.kind in SIDES and piece.has_edge(SEAM))
    if not found:
        raise job.refuse("there is neither a front nor a back with a side seam", "give their drawings")
    for kind in SIDES:
        if len(names := [piece.title for piece in found if piece.kind == kind]) > 1:
            raise job.refuse(f"there are {len(names)} {kind}s: {', '.join(names)}", "give only those of one garment")
    return found


def _places(job: Job, piece: Piece, pieces: Iterable[Piece]) -> Mapping[str, float]:
    """Find how far along the side seam each level lies that is asked for: as said, as drawn, or as on the other."""
    length = sewing.sewn_length(piece, SEAM)
    found = {"underarm": 0.0}
    for name in DRAWN:
        drawn = [alterations.drawn_level(one, SEAM, name) for one in (piece, *pieces)]
        at = job.values.get(f"{name}-at", next((each for each in drawn if each is not None), None))
        if at is not None:
            found[name] = at
        elif name in job.values or (job.values["at"] == name and "girth" in job.values):
            raise job.refuse(f"where the {name} lies is not drawn", f"say how far below the underarm: {name}-at=…")
    wrong = [
        name
        for name, at in found.items()
        if not 0 <= at < length and (name in job.values or f"{name}-at" in job.values)
    ]
    if wrong:
        raise job.refuse(
            f"the {wrong[0]} would lie {both_ways(found[wrong[0]])} down the side seam of {piece.title}, which is "
            f"{both_ways(length)} long",
            f"give {wrong[0]}-at= between nothing and that",
        )
    return {**found, "hem": length}


def _asked(job: Job, pieces: tuple[Piece, ...], places: Mapping[str, Mapping[str, float]]) -> dict[str, float]:
    """Return by how much the whole garment grows at each level that moves (mm): those left out stay."""
    by_level = {name: job.values[name] for name in LEVELS if name in job.values}
    if by_level:
        times = 4.0 if job.values["each"] else 1.0
        return {name: times * by for name, by in by_level.items()}
    if "amount" in job.values:
        amount = job.values["amount"] * (4.0 if job.values["each"] else 1.0)
        return dict.fromkeys(("underarm", "hem"), amount)
    at = job.values["at"]
    old = _girth(pieces, places, at)

    def gain(amount: float) -> float:
        new, _ = _moved(job, pieces, places, dict.fromkeys(("underarm", "hem"), amount))
        return _girth(tuple(new[piece.title] for piece in pieces), places, at) - old

    if len(pieces) < len(SIDES):
        raise job.refuse("the girth needs front and back", "give both drawings, or ask for an amount")
    wanted = job.values["girth"] - old
    found = smallest_movement(gain, wanted, (-abs(wanted) * 1.5, abs(wanted) * 1.5), accuracy=1e-6)
    if found.movement is None:
        raise job.refuse(
            f"the side seams bring the {at} only to {at_least(old + found.least)}", "ask for another girth"
        )
    return dict.fromkeys(("underarm", "hem"), found.movement)


def _moved(
    job: Job, pieces: tuple[Piece, ...], places: Mapping[str, Mapping[str, float]], asked: Mapping[str, float]
) -> tuple[dict[str, Piece], dict[str, dict[str, complex]]]:
    """Move each piece's side seam; return the pieces, and by how much each level of each moved."""
    new: dict[str, Piece] = {}
    moved: dict[str, dict[str, complex]] = {}
    for piece in pieces:
        share = job.values["share-front"] if piece.kind == "front" else 1 - job.values["share-front"]
        out = -1 if piece.kind == "front" else 1
        by = {name: complex(out * amount / 2 * share) for name, amount in asked.items()}
        ends = {name: by.get(name, 0j) for name in ("underarm", "hem")}
        knots = [(places[piece.title][name], each) for name, each in (by | ends).items()]
        moves = {SEAM: alterations.level_moves(piece, SEAM, knots)}
        after = alterations.shift_seams(piece, moves, share={"armhole": 0.5})
        refuse_crossing(after, "the moved side seam would cross another edge")
        alterations.refuse_bent_fold(piece, after)
        new[piece.title], moved[piece.title] = after, by
    return new, moved


def _girth(pieces: tuple[Piece, ...], places: Mapping[str, Mapping[str, float]], name: str) -> float:
    """Measure the garment at a level, square to the grain: each piece twice, without its darts; the hem along it."""
    total = 0.0
    for piece in pieces:
        along = places[piece.title][name] if name in DRAWN else 0.0
        level = alterations.seam_point(piece, SEAM, along).imag + (NEAR if name == "underarm" else 0.0)
        hem = name == "hem" and piece.has_edge("hem")
        total += 2 * (sewing.sewn_length(piece, "hem") if hem else alterations.width_at(piece, level))
    return total


def _sleeve(
    job: Job, pieces: tuple[Piece, ...], by: Mapping[str, complex]
) -> tuple[Piece | None, list[Measurement], list[str]]:
    """Move the sleeve's underarm points with the bodice's, if asked; else say what the sleeve lacks."""
    found = [one for one in job.pieces if one.kind == "sleeve" and sewing.armhole_row(one, job.pieces, job.seams)]
    if len(found) != 1:
        if job.values["with-sleeve"]:
            raise job.refuse("the sleeve that is sewn into this armhole is not here", "give its drawing too")
        return None, [], ["the armhole has changed at the underarm: the sleeve's bicep has to change alike"]
    old = found[0]
    ways = {kind: complex(abs(each) if _lets_out(kind, each) else -abs(each)) for kind, each in by.items()}
    wider = sum(each.real for each in ways.values())
    if not job.values["with-sleeve"]:
        way = "wider" if wider > 0 else "narrower"
        told = f"{old.title}: the armhole is {both_ways(abs(wider))} {way} at the underarm"
        return (
            None,
            _ease(job, pieces, old),
            [f"{told}, and the sleeve's bicep is as drawn; with-sleeve=yes alters it alike"],
        )
    moves: dict[str, alterations.Movements] = {}
    for kind in SIDES:
        name, out = f"underarm {kind}", ways.get(kind, 0j) * (1 if kind == "front" else -1)
        moves[name] = alterations.level_moves(old, name, [(0.0, out), (sewing.sewn_length(old, name), 0j)])
    new = alterations.shift_seams(old, moves, share={"cap": 0.25})
    refuse_crossing(new, "the sleeve's moved edge would cross another")
    return new, [Measurement("bicep width", sleeves.bicep_width(new)), *_ease(job, swap(pieces, new), new)], []


def _lets_out(kind: str, by: complex) -> bool:
    return (by.real < 0) == (kind == "front")


def _ease(job: Job, pieces: tuple[Piece, ...], sleeve: Piece) -> list[Measurement]:
    """Measure armhole and cap ease as they are now."""
    row = sewing.armhole_row(sleeve, pieces, job.seams)
    figures = [one for one in job.measure(pieces, job.seams)[sleeve.title] if one.name == "cap ease"]
    return [*([Measurement("whole armhole", row.length)] if row else []), *figures]


def _darts(pieces: tuple[Piece, ...]) -> Iterable[str]:
    """Warn of darts in a side seam, which move with it."""
    for piece in pieces:
        if any(dart.edge == SEAM for dart in piece.darts):
            yield f"{piece.title}: the dart in its side seam moved with the seam, its tip too; move the tip back"


def _unlike(before: tuple[Piece, ...], after: tuple[Piece, ...]) -> Iterable[str]:
    """Warn where front and back no longer measure alike along the seam, or where only one of them is here."""
    if len(before) < len(SIDES):
        yield f"{before[0].title}: only this side of the seam is here; alter the other alike"
        return
    old, new = (abs(sewing.sewn_length(a, SEAM) - sewing.sewn_length(b, SEAM)) for a, b in (before, after))
    if new - old > 0.1:
        yield f"the side seams of front and back now differ by {both_ways(new)}, before by {both_ways(old)}"


def _notes(
    pieces: tuple[Piece, ...],
    places: Mapping[str, Mapping[str, float]],
    moved: Mapping[str, Mapping[str, complex]],
) -> Iterable[Annotation]:
    """Draw the old seams, and an arrow at each level."""
    for piece in pieces:
        yield Annotation("old edge", piece.title, piece.edge(SEAM).curve)
        for name, by in moved[piece.title].items():
            point = alterations.seam_point(piece, SEAM, places[piece.title][name])
            if by:
                yield Annotation("arrow", piece.title, Curve.polyline([point, point + by]), length=abs(by))


def _words(facts: StepFacts) -> Words:
    return Words(
        title="Move the side seam",
        draw="At each level measure from the old seam, square to the grain, as the arrows say, and mark it.",
        cut="",
        move="",
        true="Draw the seam through the marks in one smooth line, front and back alike; at the underarm let the "
        "armhole run into its notch.",
        note="Pin the seams and look at hem and armhole across them. What changes at the underarm changes the sleeve.",
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    levels = (
        Parameter(
            name,
            "length",
            f"how much wider the whole garment is to be at the {name}",
            default_text="as the levels beside it say" if name in DRAWN else "with values a level it stays",
        )
        for name in LEVELS
    )
    lies = (
        Parameter(
            f"{name}-at",
            "length",
            f"how far below the underarm, along the seam, the {name} lies",
            default_text="where it is drawn",
            minimum=1.0,
        )
        for name in DRAWN
    )
    return [
        Operation(
            "side-seam",
            "Lets the side seams out or takes them in, by so much a level; front and back, and if asked the sleeve.",
            (
                Parameter("amount", "length", "how much wider the whole garment is to be; negative takes in"),
                Parameter("girth", "length", "how wide the whole garment is to be at the level at=", minimum=1.0),
                Parameter("at", "text", "the level that girth= speaks of", default="bust", choices=LEVELS),
                *levels,
                *lies,
                Parameter("each", "yes/no", "amounts are those of one seam side, not of the garment", default="no"),
                Parameter(
                    "share-front",
                    "number",
                    "the front's part of what is added",
                    default="0.5",
                    minimum=0.0,
                    maximum=1.0,
                ),
                Parameter("with-sleeve", "yes/no", "whether the sleeve's bicep is altered with it", default="no"),
            ),
            run,
            instructions=Instructions(
                asked={
                    "amount": ("let the side seams out by {} in all", "take the side seams in by {} in all"),
                    "girth": "bring the garment to {}",
                    **{name: (f"{{}} wider at the {name}", f"{{}} narrower at the {name}") for name in LEVELS},
                    **{f"at={name}": f"at the {name}" for name in LEVELS},
                    **{f"{name}-at": f"the {name} {{}} below the underarm" for name in DRAWN},
                    "each=yes": "at each seam side",
                    "each=no": "in all",
                    "each": "at each seam side: {}",
                    "share-front": "{} of it on the front",
                    "with-sleeve=yes": "with the sleeve",
                    "with-sleeve=no": "without the sleeve",
                    "with-sleeve": "with the sleeve: {}",
                },
                words=_words,
            ),
            answers=(
                "too tight across bust, waist or hip",
                "too wide at the side seams",
                "side seams pull",
            ),
        )
    ]
