"""notch-match: cap and armhole given the same lengths below the notches; the shoulder notch put where the ease asks."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import (
    Annotation,
    Curve,
    Job,
    NotchPlace,
    Operation,
    Outcome,
    Parameter,
    Piece,
    Reach,
    armhole_notches,
    armhole_row,
    both_ways,
    cap_notches,
    hookimpl,
    rules,
    sewn_distance,
    sewn_length,
    shoulder_at,
    shoulder_point,
    slide_notch,
    swap,
    why_unsewn,
    with_shoulder_notch,
)

SIDES = ("front", "back")


def run(job: Job) -> Outcome:
    """Move the notches of one seam to where the other's stand, then the shoulder notch; then measure."""
    sleeve = job.piece
    assert sleeve is not None
    if job.values["to"] not in ("armhole", "cap"):
        raise job.refuse(f"to={job.values['to']} is neither of the two seams", "give to=armhole or to=cap")
    pieces, notes, warnings = _lower_notches(job, sleeve)
    moved = 0.0
    if "share-back" in job.values:
        pieces, moved, arrows = _shoulder_notch(job, pieces, job.values["share-back"])
        notes += arrows
    return Outcome(pieces, _got(job, pieces, moved), annotations=tuple(notes), warnings=tuple(warnings))


def _now(pieces: tuple[Piece, ...], old: Piece) -> Piece:
    """A piece as the pieces hold it now."""
    return next(one for one in pieces if (one.file, one.name, one.size) == (old.file, old.name, old.size))


def _lower_notches(job: Job, sleeve: Piece) -> tuple[tuple[Piece, ...], list[Annotation], list[str]]:
    """Front and back: the lower notch to the other seam's length, those above it as far from it as they were."""
    row = armhole_row(sleeve, job.pieces, job.seams)
    if row is None:
        why, todo = why_unsewn(job.pieces)
        raise job.refuse(f"it needs the armhole, and {why}", todo)
    cap, armhole = cap_notches(sleeve), armhole_notches(row)
    lengths = {"cap": sewn_length(sleeve, "cap"), "armhole": row.length}
    middle = {"cap": sewn_distance(sleeve, "cap", shoulder_point(sleeve)), "armhole": shoulder_at(row)[0]}
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


def _refuse_beyond(job: Job, side: str, seam: str, moving: tuple[NotchPlace, ...], by: float, limit: float) -> None:
    """Refuse what would carry a notch over the shoulder notch."""
    over = moving[-1].from_underarm + by - (limit - rules.notches.CLEAR_OF_ENDS)
    if over > 0:
        raise job.refuse(
            f"the upper {side} notch of the {seam} would come to lie {both_ways(over)} too near to the shoulder notch "
            "or beyond it",
            "check the notches, or match the other way with to=" + ("cap" if seam == "cap" else "armhole"),
        )


def _moved(pieces: tuple[Piece, ...], notch: NotchPlace, by: float) -> tuple[tuple[Piece, ...], Annotation]:
    """A notch moved up from its underarm point, and the arrow that shows it."""
    piece = _now(pieces, notch.piece)
    mark = next(one for one in piece.marks if one == notch.mark)
    piece, new = slide_notch(piece, mark, by * notch.way)
    assert mark.at is not None
    assert new.at is not None
    arrow = Annotation("arrow", piece.title, Curve.polyline([mark.at, new.at]), length=by)
    return swap(pieces, piece), arrow


def _shoulder_notch(
    job: Job, pieces: tuple[Piece, ...], share: float
) -> tuple[tuple[Piece, ...], float, list[Annotation]]:
    """The shoulder notch where the cap's back half has ``share`` of the ease; how far it went towards the front."""
    assert job.piece is not None
    sleeve = _now(pieces, job.piece)
    row = armhole_row(sleeve, pieces, job.seams)
    assert row is not None
    whole = sewn_length(sleeve, "cap")
    back = row.length - shoulder_at(row)[0] + share * (whole - row.length)
    before, there = sewn_distance(sleeve, "cap", shoulder_point(sleeve)), whole - back
    notches = cap_notches(sleeve)
    lowest = max((notch.from_underarm for notch in notches["front"]), default=0.0) + rules.notches.CLEAR_OF_ENDS
    highest = whole - max((notch.from_underarm for notch in notches["back"]), default=0.0) - rules.notches.CLEAR_OF_ENDS
    if not lowest < there < highest:
        raise job.refuse(
            f"the shoulder notch would have to stand {both_ways(abs(there - before))} from where it is, beyond a notch",
            "check which edges are sewn to which, or give another share-back",
        )
    old = shoulder_point(sleeve)
    new = with_shoulder_notch(sleeve, there)
    moved = before - there
    arrow = Annotation("arrow", new.title, Curve.polyline([old, shoulder_point(new)]), length=moved)
    return swap(pieces, new), moved, [arrow] if abs(moved) > 1e-9 else []


def _got(job: Job, pieces: tuple[Piece, ...], moved: float) -> tuple[tuple[str, float], ...]:
    """Both seams' lengths below the notches, the ease of each side, and how far the shoulder notch went."""
    assert job.piece is not None
    sleeve = _now(pieces, job.piece)
    row = armhole_row(sleeve, pieces, job.seams)
    assert row is not None
    cap, armhole = cap_notches(sleeve), armhole_notches(row)
    got: list[tuple[str, float]] = []
    for side in SIDES:
        for name, notches in (("cap", cap[side]), ("armhole", armhole[side])):
            got += [(f"{side} underarm to notch, {name}", notches[0].from_underarm)] if notches else []
    measured = {one.name: one.value for one in job.measure(pieces, job.seams)[sleeve.title]}
    got += [(name, measured[name]) for name in ("cap ease front", "cap ease back") if name in measured]
    return (*got, ("shoulder notch towards the front", moved)) if "share-back" in job.values else tuple(got)


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """One operation."""
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
            kinds=("sleeve",),
            reaches=(Reach("share to the back", "share-back", keeps=("cap length", "cap height"), rank=0),),
            matches_notches=True,
        )
    ]
