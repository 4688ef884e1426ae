"""notch-match: cap and armhole given the same lengths below the notches; the shoulder notch put where the ease asks."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import (
    Annotation,
    CapTurn,
    Curve,
    Instructions,
    Job,
    Measurement,
    Operation,
    Outcome,
    Parameter,
    Piece,
    Reach,
    StepFacts,
    Words,
    both_ways,
    hookimpl,
    rules,
    sewing,
    sleeves,
    swap,
)

SIDES = ("front", "back")


def run(job: Job) -> Outcome:
    """Move the notches of one seam to where the other's stand, then the shoulder notch; then measure."""
    sleeve = job.piece
    assert sleeve is not None
    pieces, notes, warnings = _lower_notches(job, sleeve)
    moved = 0.0
    if "share-back" in job.values:
        pieces, moved, arrows = _shoulder_notch(job, pieces, job.values["share-back"])
        notes += arrows
    return Outcome(pieces, _got(job, pieces, moved), annotations=tuple(notes), warnings=tuple(warnings))


def _now(pieces: tuple[Piece, ...], old: Piece) -> Piece:
    """Return a piece as the pieces hold it now."""
    return next(one for one in pieces if (one.file, one.name, one.size) == (old.file, old.name, old.size))


def _lower_notches(job: Job, sleeve: Piece) -> tuple[tuple[Piece, ...], list[Annotation], list[str]]:
    """Move the lower notches, front and back, to the other seam's length; those above keep their distance from them."""
    row = sewing.armhole_row(sleeve, job.pieces, job.seams)
    if row is None:
        why, todo = sewing.why_unsewn(job.pieces)
        raise job.refuse(f"it needs the armhole, and {why}", todo)
    cap, armhole = sewing.cap_notches(sleeve), sewing.armhole_notches(row)
    turn = CapTurn.of(sleeve)
    lengths = {"cap": sewing.sewn_length(sleeve, "cap"), "armhole": row.length}
    middle = {
        "cap": sleeves.shoulder_distance(sleeve) + turn.notches,
        "armhole": sewing.shoulder_at(row)[0],
    }
    seam = "cap" if job.values["to"] == "armhole" else "armhole"
    limits = {"front": middle[seam], "back": lengths[seam] - middle[seam]}
    pieces, notes, warnings, matched = job.pieces, list[Annotation](), list[str](), 0
    for side in SIDES:
        missing = [name for name, found in (("cap", cap[side]), ("armhole", armhole[side])) if not found]
        if missing:
            warnings.append(f"{sleeve.title}: the {' and the '.join(missing)} has no {side} notch, so the {side} stays")
            continue
        if len(cap[side]) != len(armhole[side]):
            warnings.append(
                f"{sleeve.title}: {len(cap[side])} {side} notches on the cap and {len(armhole[side])} on the armhole; "
                "the lowest of each are matched"
            )
        matched += 1
        moving, target = (cap[side], armhole[side]) if seam == "cap" else (armhole[side], cap[side])
        by = target[0].from_underarm - moving[0].from_underarm
        _refuse_beyond(job, side, seam, moving, by, limits[side])
        for notch in moving if abs(by) > 1e-9 else ():
            pieces, arrow = _moved(pieces, notch, by)
            notes.append(arrow)
    if not matched and "share-back" not in job.values:
        raise job.refuse("there is no pair of notches to match", "draw a notch on the cap and one on each armhole")
    return pieces, notes, warnings


def _refuse_beyond(
    job: Job, side: str, seam: str, moving: tuple[sewing.NotchPlace, ...], by: float, limit: float
) -> None:
    """Refuse what would carry a notch over the shoulder notch."""
    over = moving[-1].from_underarm + by - (limit - rules.notches.CLEAR_OF_ENDS)
    if over > 0:
        raise job.refuse(
            f"the upper {side} notch of the {seam} would come to lie {both_ways(over)} too near to the shoulder notch "
            "or beyond it",
            "check the notches, or match the other way with to=" + ("cap" if seam == "cap" else "armhole"),
        )


def _moved(pieces: tuple[Piece, ...], notch: sewing.NotchPlace, by: float) -> tuple[tuple[Piece, ...], Annotation]:
    """Move a notch up from its underarm point; return also the arrow that shows it."""
    piece = _now(pieces, notch.piece)
    mark = next(one for one in piece.marks if one == notch.mark)
    piece, new = sewing.slide_notch(piece, mark, by * notch.way)
    assert mark.at is not None
    assert new.at is not None
    arrow = Annotation("arrow", piece.title, Curve.polyline([mark.at, new.at]), length=by)
    return swap(pieces, piece), arrow


def _shoulder_notch(
    job: Job, pieces: tuple[Piece, ...], share: float
) -> tuple[tuple[Piece, ...], float, list[Annotation]]:
    """Put the shoulder notch where the back has ``share`` of the ease; return also how far it went to the front."""
    assert job.piece is not None
    sleeve = _now(pieces, job.piece)
    row = sewing.armhole_row(sleeve, pieces, job.seams)
    assert row is not None
    whole = sewing.sewn_length(sleeve, "cap")
    back = row.length - sewing.shoulder_at(row)[0] + share * (whole - row.length)
    turn = CapTurn.of(sleeve)
    before, there = sleeves.shoulder_distance(sleeve), whole - back - turn.underarm
    notches = sewing.cap_notches(sleeve)
    lowest = max((notch.from_underarm for notch in notches["front"]), default=0.0) + rules.notches.CLEAR_OF_ENDS
    highest = whole - max((notch.from_underarm for notch in notches["back"]), default=0.0) - rules.notches.CLEAR_OF_ENDS
    if not lowest < there + turn.notches < highest:
        raise job.refuse(
            f"the shoulder notch would have to stand {both_ways(abs(there - before))} from where it is, beyond a notch",
            "check which edges are sewn to which, or give another share-back",
        )
    old = sleeves.shoulder_point(sleeve)
    new = sewing.with_shoulder_notch(sleeve, there)
    moved = before - there
    arrow = Annotation("arrow", new.title, Curve.polyline([old, sleeves.shoulder_point(new)]), length=moved)
    return swap(pieces, new), moved, [arrow] if abs(moved) > 1e-9 else []


def _got(job: Job, pieces: tuple[Piece, ...], moved: float) -> tuple[Measurement, ...]:
    """Measure both seams below the notches, the ease of each side, and how far the shoulder notch went."""
    assert job.piece is not None
    sleeve = _now(pieces, job.piece)
    row = sewing.armhole_row(sleeve, pieces, job.seams)
    assert row is not None
    cap, armhole = sewing.cap_notches(sleeve), sewing.armhole_notches(row)
    got: list[tuple[str, float]] = []
    for side in SIDES:
        for name, notches in (("cap", cap[side]), ("armhole", armhole[side])):
            got += [(f"{side} underarm to notch, {name}", notches[0].from_underarm)] if notches else []
    measured = {one.name: one.value for one in job.measure(pieces, job.seams)[sleeve.title]}
    got += [(name, measured[name]) for name in ("cap ease front", "cap ease back") if name in measured]
    got += [("shoulder notch towards the front", moved)] if "share-back" in job.values else []
    return tuple(Measurement(name, value) for name, value in got)


# -- teaching words -------------------------------------------------------------------------------------------------


def _words(facts: StepFacts) -> Words:
    """Say where notches are marked anew so that cap and armhole meet."""
    to_armhole = facts.row.asked.get("to", "armhole") != "cap"
    fixed, marked = ("armhole", "cap") if to_armhole else ("cap", "armhole")
    found = [(side, facts.got(f"{side} underarm to notch, {fixed}")) for side in ("front", "back")]
    sides = " and ".join(f"{figure} in the {side}" for side, figure in found if figure)
    lengths = f": {sides}" if sides else ""
    shoulder = facts.row.got.get("shoulder notch towards the front", 0.0)
    way = "front" if shoulder >= 0 else "back"
    split = f" The shoulder notch moves {facts.length(shoulder)} towards the {way}, so that the ease falls as asked."
    moves = sum(abs(one) > 0.3 for one in facts.moved) > (abs(shoulder) > 0.3)
    shifts = abs(shoulder) > 0.3
    done = f"Mark the {marked}'s notches there (heavy). Thin: where they were. The edge itself stays."
    return Words(
        title="Match the notches",
        draw="Pin the underarm points of cap and armhole together, stitch line on stitch line. Walk one along the "
        f"other, pin by pin, from the underarm up to the {fixed}'s notch{lengths}.",
        cut="",
        move="",
        true=(done if moves else f"The {marked}'s notches are there already{'.' if shifts else ': nothing moves.'}")
        + (split if shifts else ""),
    )


INSTRUCTIONS = Instructions(
    asked={
        "to=armhole": "move the cap's notches to where the armhole has its own",
        "to=cap": "move the armhole's notches to where the cap has its own",
        "share-back": "put the shoulder notch so that {} of the ease lies in the back",
    },
    asked_first=("to", "move the cap's notches to where the armhole has its own"),
    lists_notches=True,
    words=_words,
)


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "notch-match",
            "Moves notches so that cap and armhole are equally long below them; the shoulder notch so that the ease "
            "splits as asked.",
            (
                Parameter(
                    "to",
                    "text",
                    "armhole: the cap's notches are moved to the armhole's lengths from the underarm; cap: the "
                    "armhole's to the cap's. Of a pair the lower one is matched, the upper keeps its distance from it",
                    default="armhole",
                    choices=("armhole", "cap"),
                ),
                Parameter(
                    "share-back",
                    "number",
                    "the back's share of the whole cap ease: the shoulder notch is put where the cap's back half is "
                    "longer than the armhole's by that much",
                    default_text="the shoulder notch stays",
                    minimum=0.0,
                    maximum=1.0,
                ),
            ),
            run,
            instructions=INSTRUCTIONS,
            kinds=("sleeve",),
            reaches=(Reach("share to the back", "share-back", keeps=("cap length", "cap height"), rank=0),),
            matches_notches=True,
        )
    ]
