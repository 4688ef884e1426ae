"""bicep-widen: a sleeve made wider (or narrower) at the bicep, in the four ways a fitter has."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable

from msgspec import Struct

from svgfit.plugin import (
    REDRAW,
    Affine,
    Annotation,
    Curve,
    Instructions,
    Job,
    Landmark,
    Mark,
    Measurement,
    Movement,
    Opening,
    Operation,
    Outcome,
    Parameter,
    Piece,
    Reach,
    Slash,
    StepFacts,
    Words,
    at_most,
    both_ways,
    edgework,
    hookimpl,
    parts_moved,
    refuse_crossing,
    replace,
    rules,
    sewing,
    slash_words,
    sleeves,
    smallest_movement,
    spread,
    swap,
    true,
    unkept_promises,
)

WAYS = ("height", "cap-length", "underarm", "hem")
MANNERS = (
    Reach(
        "bicep width",
        "width",
        "amount",
        given=(("how", "height"),),
        keeps=("cap height", "hem"),
        manner="height kept",
        does="Move the underarm points apart and draw the cap wider; its height stays.",
        does_less="Move the underarm points towards each other and draw the cap narrower; its height stays.",
        rank=0,
    ),
    Reach(
        "bicep width",
        "width",
        "amount",
        given=(("how", "cap-length"),),
        keeps=("cap length", "hem"),
        manner="cap length kept",
        does="Move the underarm points apart and keep the cap's edge as long as it is: the cap gets lower instead.",
        does_less="Move the underarm points towards each other and keep the cap's edge as long as it is: the cap gets "
        "higher instead.",
    ),
    Reach(
        "bicep width",
        "width",
        "amount",
        given=(("how", "underarm"),),
        keeps=("cap height", "hem"),
        manner="at the underarm",
        does="Move only the underarm points out; the seam below runs back to where it was.",
        does_less="Move only the underarm points in; the seam below runs back to where it was.",
    ),
    Reach(
        "bicep width",
        "width",
        given=(("how", "hem"),),
        keeps=("underarm seam front", "underarm seam back"),
        manner="slash to the hem",
        does="Slash down the middle to the hem and open it like a fan; the cap opens at its top.",
        does_less="Slash down the middle to the hem and lap the halves like a fan; the cap closes at its top.",
    ),
)
"""The four ways to a width, the one that svgfit takes by itself first."""
LEVEL = ("grain line", "centre line", "fold line")
"""Marks that stay where they are when both halves of the sleeve turn away from the centre line."""


class Widened(Struct, frozen=True):
    """The sleeve and what was drawn to make it."""

    piece: Piece
    annotations: tuple[Annotation, ...]
    openings: tuple[Opening, ...] = ()
    warnings: tuple[str, ...] = ()
    moved: tuple[Movement, ...] = ()


def run(job: Job) -> Outcome:
    """Widen in the way asked; then measure."""
    piece = job.piece
    assert piece is not None
    how = job.values["how"]
    if how == "hem" and "taper" in job.values:
        raise job.refuse(
            "taper says how far down the seams the change runs out, and a slash to the hem changes none", "leave it out"
        )
    if how != "hem" and "redraw" in job.values:
        raise job.refuse(
            f"redraw says how far a cut edge is redrawn, and how={how} makes none", "leave it out, or give how=hem"
        )
    wide = sleeves.bicep_width(piece)
    amount = job.values["amount"] if "amount" in job.values else job.values["width"] - wide
    if abs(amount) < 1e-9:
        return Outcome(job.pieces, _got(job, job.pieces), warnings=(f"{piece.title}: the bicep is already that wide",))
    _refuse_amount(job, piece, amount, wide)
    done = _widen_by_hem_slash(job, piece) if how == "hem" else _widen_at_underarms(job, piece, amount)
    refuse_crossing(done.piece, "the widened sleeve's edge would cross another")
    pieces = swap(job.pieces, done.piece)
    warnings = (*done.warnings, *_underarm_corner(job, pieces))
    return Outcome(pieces, _got(job, pieces), done.openings, done.annotations, warnings=warnings, moved=done.moved)


def _refuse_amount(job: Job, piece: Piece, amount: float, wide: float) -> None:
    """Refuse what leaves no sleeve, or no sensible one."""
    if abs(amount) > wide / 2:
        raise job.refuse(
            f"{both_ways(abs(amount))} is more than half the bicep, which is {both_ways(wide)} wide",
            "ask for less, or start from a sleeve of a nearer size",
        )
    hem = piece.edge("hem").curve
    across = abs(hem.start.real - hem.end.real)
    if amount < 0 and wide + amount < across <= wide:
        raise job.refuse(
            f"the bicep would be {both_ways(wide + amount)}, narrower than the hem of {both_ways(across)}",
            f"narrow it by {at_most(wide - across)} at most, or draw the hem narrower first",
        )


# -- the underarm points moved apart ---------------------------------------------------------------------------------


def _widen_at_underarms(job: Job, piece: Piece, amount: float) -> Widened:
    """Move each underarm point out by half (how=height, cap-length and underarm)."""
    over = job.values.get("taper")
    seams = [sewing.sewn_length(piece, f"underarm {side}") for side in ("front", "back")]
    if over is not None and over > min(seams) + 1e-6:
        raise job.refuse(
            f"taper={both_ways(over)} is more than the underarm seam, {both_ways(min(seams))}", "give less"
        )
    out = amount / 2
    drop = 0.0
    if job.values["how"] == "underarm":
        new = sleeves.move_underarms_out(piece, out, over)
    else:
        if job.values["how"] == "cap-length":
            drop = _drop(job, piece, out, over)
        new = sleeves.stretch_cap(piece, out, drop, over)
    notes = [
        Annotation("arrow", piece.title, Curve.polyline([at, at + way]), length=out)
        for at, way in ((piece.landmark("underarm front"), out), (piece.landmark("underarm back"), -out))
    ]
    if drop:
        top = piece.edge("cap").from_front().point(sleeves.cap_apex(piece))
        notes.append(Annotation("arrow", piece.title, Curve.polyline([top, top + 1j * drop]), length=drop))
    for side in ("front", "back"):
        seam = piece.edge(f"underarm {side}").from_front()
        ends = seam.end if over is None else seam.point(seam.at_length(over))
        notes.append(Annotation("hinge", piece.title, point=ends))
    return Widened(new, tuple(notes), warnings=_hem_corners(piece, new))


def _drop(job: Job, piece: Piece, out: float, over: float | None) -> float:
    """Find how far the cap top must come down (negative: go up) for the cap edge to keep its length, in mm."""
    wanted = sewing.sewn_length(piece, "cap")
    top = piece.edge("cap").from_front().point(sleeves.cap_apex(piece))
    lowest = min(piece.landmark(f"underarm {side}").imag for side in ("front", "back")) - top.imag - 1.5

    def length(drop: float) -> float:
        return sewing.sewn_length(sleeves.stretch_cap(piece, out, drop, over), "cap")

    level = length(0.0)
    limits = (0.0, lowest) if out > 0 else (-lowest - 4 * abs(out), 0.0)
    found = smallest_movement(lambda drop: length(drop) - level, wanted - level, limits, accuracy=1e-6)
    if found.movement is None:
        raise job.refuse(
            f"even a flat cap edge would be longer than the {both_ways(wanted)} it should keep",
            "ask for less, or give how=height and take up a longer cap edge in a longer armhole",
        )
    return found.movement


def _hem_corners(before: Piece, after: Piece) -> tuple[str, ...]:
    """Warn where the leaning seams turn the hem's corners by much."""
    turns = [
        abs(cmath.phase(_hem_way(after, side) / _hem_way(before, side)))
        for side in ("front", "back")
        if before.has_edge(f"underarm {side}")
    ]
    if sum(turns) <= rules.caps.HEM_TURN_REPORTED:
        return ()
    return (
        f"{after.title}: the hem keeps its width, so its two corners together turn by {math.degrees(sum(turns)):.1f}°; "
        "true the hem across the seam",
    )


def _hem_way(piece: Piece, side: str) -> complex:
    seam = piece.edge(f"underarm {side}").from_front()
    return seam.tangent(float(len(seam)), before=True)


def _underarm_corner(job: Job, pieces: tuple[Piece, ...]) -> tuple[str, ...]:
    """Warn where the cap could not keep its angle to seams that lean by much."""
    assert job.piece is not None
    title = job.piece.title
    angles = [
        one.value
        for measured in (job.measure(job.pieces, job.seams), job.measure(pieces, job.seams))
        for one in measured[title]
        if one.name == "underarm corner"
    ]
    if len(angles) < 2 or abs(angles[1] - angles[0]) <= rules.caps.CORNER_CHANGE_REPORTED:
        return ()
    return (
        f"{title}: the corner at the underarm is now {angles[1]:.0f}°, before {angles[0]:.0f}° (front and back "
        "together); let the change run out further down (over), or true the seam there",
    )


# -- slashed to the hem ----------------------------------------------------------------------------------------------


def _widen_by_hem_slash(job: Job, piece: Piece) -> Widened:
    """Cut down the centre line to a hinge at the hem and turn the halves apart (how=hem)."""
    top = piece.edge("cap").from_front().point(sleeves.cap_apex(piece))
    hem = piece.edge("hem").curve
    met = hem.crossings(top, complex(top.real, top.imag + 1e5))
    if not met:
        raise job.refuse("the centre line misses the hem", "give another how")
    hinge = hem.point(met[0])
    angle = _angle(job, piece, hinge)
    front, back = Affine.turn(angle, hinge), Affine.turn(-angle, hinge)
    near = piece.edge("cap").from_front()
    slash = Slash((top - 50j, hinge), moves=near.point(0.02), hinge=hinge)
    parted = spread(_bare(piece), slash, front.then(front))
    trued, openings = true(parted, job.values.get("redraw"))
    # The underarm points sink a little; the bicep line stays where it was on the page.
    sunk = (trued.landmark("underarm front") + trued.landmark("underarm back")) / 2
    home = back.then(Affine.shift(complex(0, sleeves.bicep_level(piece)) - 1j * back.apply(sunk).imag))
    turned = edgework.move_piece(trued, home)
    set_back = tuple(
        replace(
            opening,
            first=home.apply(opening.first),
            second=home.apply(opening.second),
            trued=opening.trued.transform(home),
        )
        for opening in openings
    )
    new = _with_marks(piece, turned)
    level = complex(top.real, sleeves.bicep_level(piece))
    notes = [
        Annotation("slash", piece.title, Curve.polyline([top, hinge]), label="slash to widen the bicep"),
        Annotation("hinge", piece.title, point=hinge),
    ]
    for motion in (front, back):
        way = motion.apply(level) - level
        notes.append(Annotation("arrow", piece.title, Curve.polyline([level, level + way]), length=way.real))
    parts = parts_moved(piece, ((parted.cut, parted.motion),), home)
    return Widened(new, tuple(notes), set_back, unkept_promises(set_back), parts)


def _angle(job: Job, piece: Piece, hinge: complex) -> float:
    """Find how far each half turns: the slash opens at the bicep line by the amount, or the bicep gets its width."""
    deep = hinge.imag - sleeves.bicep_level(piece)
    if deep < 10:
        raise job.refuse("the hem lies too near to the bicep line to turn anything about it", "give another how")
    if "amount" in job.values:
        share = job.values["amount"] / (2 * deep)
        if abs(share) > math.sin(math.radians(15)):
            raise job.refuse(
                f"each half would have to turn by more than 15° to open {both_ways(abs(job.values['amount']))} at the "
                f"bicep line, only {both_ways(deep)} above the hem",
                "ask for less, or give another how",
            )
        return math.asin(share)
    # Width over both turned underarm points: wide·cos(angle) + 2·deep·sin(angle).
    wide, reach = sleeves.bicep_width(piece), math.hypot(sleeves.bicep_width(piece), 2 * deep)
    if job.values["width"] > reach:
        raise job.refuse(f"no turn about the hem makes the bicep wider than {at_most(reach)}", "give another how")
    angle = math.atan2(2 * deep, wide) - math.acos(job.values["width"] / reach)
    if abs(angle) > math.radians(15):
        raise job.refuse(
            f"each half would have to turn by {math.degrees(abs(angle)):.0f}° about the hem",
            "ask for less, or give another how",
        )
    return angle


def _bare(piece: Piece) -> Piece:
    """Return the sleeve without what would keep its edge from being trued at the cap top."""
    marks = tuple(replace(mark, edge=None) if mark.kind == "shoulder notch" else mark for mark in piece.marks)
    landmarks = tuple(mark for mark in piece.landmarks if mark.name not in ("cap top", "shoulder notch"))
    return replace(piece, marks=marks, landmarks=landmarks)


def _with_marks(old: Piece, new: Piece) -> Piece:
    """Put back grain and centre lines, cap top and shoulder notch as they were, and draw the bicep line anew."""
    was, cap = old.edge("cap").from_front(), new.edge("cap").from_front()
    gain = cap.length() - was.length()

    def place(point: complex) -> float:
        """Return where on the new cap a point of the old one lies, half of what the edge gains on each side of it."""
        return cap.at_length(was.length_between(0.0, was.nearest(point)[0]) + gain / 2)

    marks: list[Mark] = []
    for before, after in zip(old.marks, new.marks, strict=True):
        if before.kind in LEVEL:
            marks.append(before)
        elif before.kind == "bicep line":
            marks.append(_bicep_line(before, old, new))
        elif before.kind == "shoulder notch" and before.at is not None:
            marks.append(edgework.ride_along_edge(before, was, was.nearest(before.at)[0], cap, place(before.at)))
        else:
            marks.append(after)
    found = {mark.name: mark.at for mark in new.landmarks}
    found["cap top"] = cap.point(sleeves.cap_apex(new))
    notch = old.find_landmark("shoulder notch")
    if notch is not None:
        found["shoulder notch"] = cap.point(place(notch))
    landmarks = tuple(Landmark(mark.name, found[mark.name], mark.guessed) for mark in old.landmarks)
    return replace(new, marks=tuple(marks), landmarks=landmarks)


def _bicep_line(mark: Mark, old: Piece, new: Piece) -> Mark:
    """Return a straight bicep line through the new underarm points, standing over at its ends as before."""
    lines: list[Curve] = []
    for curve in mark.curves:
        ends: list[complex] = []
        for at in (curve.start, curve.end):
            side = min(("front", "back"), key=lambda side: abs(at - old.landmark(f"underarm {side}")))
            ends.append(at + new.landmark(f"underarm {side}") - old.landmark(f"underarm {side}"))
        lines.append(Curve.polyline(ends) if len(curve) == 1 else curve)
    return replace(mark, curves=tuple(lines))


def _got(job: Job, pieces: tuple[Piece, ...]) -> tuple[Measurement, ...]:
    assert job.piece is not None
    named = [piece for piece in pieces if piece.title == job.piece.title]
    measured = {one.name: one.value for one in job.measure(pieces, job.seams)[job.piece.title]}
    before = sewing.sewn_length(job.piece, "cap")
    got = [("bicep width", sleeves.bicep_width(named[0])), ("cap height", sleeves.cap_height(named[0]))]
    got += [("cap length", measured["cap length"]), ("cap length gained", measured["cap length"] - before)]
    got += [(name, measured[name]) for name in ("cap ease",) if name in measured]
    return tuple(Measurement(name, value) for name, value in got)


# -- teaching words -------------------------------------------------------------------------------------------------


def _words(facts: StepFacts) -> Words:
    """Say how a sleeve is widened or narrowed at the bicep."""
    if facts.openings:
        way = "together until they overlap by" if facts.closes else "apart until the cut opens at the top by"
        words = slash_words(
            facts,
            "Narrow the bicep" if facts.closes else "Widen the bicep",
            f"Turn both halves about the hinge at the hem, {way} {facts.amounts}.",
            "The underarm seams keep their length. The cap's edge has changed, so its notches no longer meet the "
            "armhole's: walk the cap along the armhole and mark them again.",
        )
        return replace(words, true=f"{words.true} Redraw the hem as well, in one smooth line across its hinge.")
    return _words_uncut(facts)


def _words_uncut(facts: StepFacts) -> Words:
    """Say how a bicep is widened or narrowed at the underarm points, without a cut."""
    how = facts.row.asked.get("how", "height")
    wide = sum(facts.moved[:2]) >= 0
    figure = facts.length(facts.moved[0]) if facts.moved else facts.length(facts.aside)
    cap = {
        "height": "The cap top stays: draw each half of the cap from it to the new point.",
        "cap-length": "Draw each half of the cap from the new cap top to the new point: the edge keeps its length.",
        "underarm": "Draw the cap below the notches to the new points; above them it stays.",
    }.get(how, "Draw the cap to the new points.")
    lower = ""
    if how == "cap-length" and len(facts.moved) > 2:
        down = "down" if facts.moved[2] >= 0 else "up"
        lower = f" Mark the cap top {facts.length(facts.moved[2])} further {down} on the centre line."
    end = "to the hem, which stays" if "taper" not in facts.row.asked else "into the old seams"
    return Words(
        title="Widen the bicep" if wide else "Narrow the bicep",
        draw=f"Lay the sleeve on new paper and draw round it. Carry the bicep line on beyond the seams. On it, mark "
        f"each underarm point again, {figure} {'out' if wide else 'in'}.{lower}",
        cut="",
        move="",
        true=f"{cap} Draw the underarm seams from the new points {end} (heavy; dotted: as it was).",
        note="The underarm seams lean differently now, and so do their corners at the hem: pin the seam, look at the "
        "hem across it, and where it kinks redraw it in one smooth line. The cap's edge has changed too, so its "
        "notches no longer meet the armhole's: walk the cap along the armhole and mark them again.",
    )


INSTRUCTIONS = Instructions(
    asked={
        "amount": ("widen the bicep by {}", "narrow the bicep by {}"),
        "width": "make the bicep {} wide",
        "how=height": "keeping the cap's height",
        "how=cap-length": "keeping the length of the cap's edge",
        "how=underarm": "moving only the underarm points and the cap below the notches",
        "how=hem": "with a cut from the cap to the hem",
        "taper": "running out {} down the underarm seams",
        "redraw": "redrawing at most {} on each side of a cut",
    },
    words=_words,
)


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "bicep-widen",
            "Widens (or narrows) a sleeve at the bicep: the cap's height kept, its length kept, only the underarm "
            "points moved, or the sleeve slashed to the hem.",
            (
                Parameter(
                    "amount",
                    "length",
                    "how much wider; with how=hem what the slash opens at the bicep line; negative narrows",
                ),
                Parameter("width", "length", "the bicep width to end with", minimum=1.0, end="bicep width"),
                Parameter(
                    "how",
                    "text",
                    "height: cap height and cap top stay, each half of the cap is stretched (or drawn in) level, "
                    "nothing at the top and half the amount at the underarm point; cap-length: the same, and the cap "
                    "comes down (goes up) until its edge has its old length; underarm: only the cap below the notches "
                    "is redrawn; hem: cut down the centre line to a hinge at the hem, both halves turned, the "
                    "shoulder notch where each side has half of the gain. In the first three the underarm seams lean, "
                    "the cap keeps its angle to them, and the hem stays as it is; with hem the seams keep their length "
                    "and the hem is redrawn",
                    default="height",
                    choices=WAYS,
                ),
                Parameter(
                    "taper",
                    "length",
                    "how far down the underarm seams the change runs out (not with how=hem)",
                    default_text="to the hem",
                    minimum=10.0,
                    also=("over",),
                ),
                REDRAW,
            ),
            run,
            instructions=INSTRUCTIONS,
            kinds=("sleeve",),
            one_of=(("amount", "width"),),
            reaches=MANNERS,
        )
    ]
