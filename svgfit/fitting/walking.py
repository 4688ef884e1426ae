"""Walking a sleeve along its armhole, stitch line against stitch line, from notch to notch. Lengths in mm.

Below the notches cap and armhole must match; above them the cap is longer, and that ease is spread. Of a sleeve that is
turned in its armhole on purpose (svgfit.model.cap_turn) the cap is laid as it is sewn so, and what the turn alone
makes longer or shorter is no fault.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct

from svgfit.fitting.armhole import Armhole, armhole_of
from svgfit.fitting.measure import shoulder_distance
from svgfit.fitting.sewn import sewn_distance, turned_edge
from svgfit.fitting.smoothness import armhole_joints, sleeve_corner
from svgfit.geometry.curve import Curve
from svgfit.model.cap_turn import CapTurn
from svgfit.model.length import Units
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam
from svgfit.model.refusal import Refusal
from svgfit.model.report import Check
from svgfit.model.vocabulary import EdgeName, LandmarkName, MarkKind, MeasureUnit, Side, Status
from svgfit.model.walk import (
    BACK_LOWER,
    BACK_UPPER,
    BACK_WHOLE,
    CAP_EASE,
    CAP_TOP,
    FRONT_LOWER,
    FRONT_UPPER,
    FRONT_WHOLE,
    NOTCH,
    SHOULDER,
    TURNED,
    Stop,
    Walk,
    Zone,
)
from svgfit.rules.ease import GATHERED, LEAST_PARTED, SHARE_BACK, SHARE_BACK_IN_WORDS, SHARE_SLACK, Style
from svgfit.rules.matching import CAREFUL, WORKABLE
from svgfit.rules.notches import AT_END

_ZONES = {Side.FRONT: (FRONT_LOWER, FRONT_UPPER, FRONT_WHOLE), Side.BACK: (BACK_LOWER, BACK_UPPER, BACK_WHOLE)}


class WalkLimits(Struct, frozen=True):
    """What a walk is held to. Lengths in mm."""

    careful: float = CAREFUL
    """Seams that must match pass within this."""
    workable: float = WORKABLE
    """Within this they are warned of, beyond it they fail."""
    style: Style | None = None
    """Whose range of cap ease holds; None: less than nothing and 3 in and more are warned of."""
    gathered: bool = False
    """The cap is to be gathered: no ease is too much."""
    seam_truer: Callable[[], str | None] | None = None
    """Finds the operation that trues an edge across a seam, for verdicts to name; asked only where one is needed."""


class SewnCap(Struct, frozen=True):
    """A sleeve's cap, darts closed, from where it meets the armhole's underarm point in front round to there again.

    These are the sleeve's own underarm points, unless it is turned on purpose.
    """

    curve: Curve
    length: float
    shoulder: float
    """Where the shoulder notch (else the cap top) stands, in mm along it."""
    stops: tuple[Stop, ...]
    turn: CapTurn = CapTurn()
    """How far it is turned on purpose."""


def walk_sleeve(
    sleeve: Piece,
    pieces: Sequence[Piece],
    seams: Sequence[Seam],
    limits: WalkLimits | None = None,
    units: Units = Units(),
) -> Walk:
    """Walk one sleeve along the armhole that the seam map sews it into.

    ``pieces`` are those of one size; ``units`` (of Unit) is how verdicts speak. Refuse, with why, where there is no
    armhole or only half of one.
    """
    limits = limits or WalkLimits()
    armhole = armhole_of(sleeve, pieces, seams)
    cap = cap_of(sleeve)
    _refuse_one_sided(sleeve.where, "the cap", cap.shoulder, cap.length)
    _refuse_one_sided(sleeve.where, "its armhole", armhole.shoulder, armhole.row.length)
    zones: list[Zone] = []
    verdicts: list[Check] = []
    for side in Side:
        found, checks = _side(side, sleeve, cap, armhole)
        zones += found
        lower = [zone for zone in found if zone.zone in (FRONT_LOWER, BACK_LOWER)]
        verdicts += [check_match(zone, limits, units, cap.turn) for zone in lower]
        verdicts += checks
    ease = cap.length - armhole.row.length
    behind = [zone for zone in zones if zone.zone in _ZONES[Side.BACK]]
    back = sum(zone.ease for zone in behind)
    share = back / ease if ease >= LEAST_PARTED else None
    verdicts += shoulder_warnings(sleeve, cap, armhole)
    verdicts.append(check_total_ease(ease, armhole, limits, units, stated_cap_ease(sleeve, seams)))
    if share is not None and not armhole.guessed:
        meant = sum(zone.on_purpose for zone in behind)
        verdicts.append(check_ease_share(ease, back, units, meant))
    verdicts += [turn_check(sleeve, armhole, cap.turn, units)] if cap.turn else []
    corner = sleeve_corner(sleeve, limits.seam_truer)
    verdicts += [corner] if corner else []
    verdicts += armhole_joints(armhole, limits.seam_truer)
    return Walk(
        sleeve=sleeve.name,
        size=sleeve.size or next((piece.size for piece in pieces if piece.size is not None), None),
        zones=tuple(zones),
        cap=cap.length,
        armhole=armhole.row.length,
        ease=ease,
        share_back=share,
        cap_stops=cap.stops,
        armhole_stops=armhole.stops,
        verdicts=tuple(verdicts),
        turn=cap.turn,
    )


def _refuse_one_sided(where: str, seam: str, shoulder: float, length: float) -> None:
    """Refuse a seam whose shoulder lies at an underarm point."""
    if not AT_END <= shoulder <= length - AT_END:
        what = f"the shoulder of {seam} is marked at an underarm point, so front and back can't be told apart"
        raise Refusal(where, what, "put the shoulder notch where the shoulder seam meets the sleeve")


def cap_of(sleeve: Piece) -> SewnCap:
    """Lay the cap as sewn, its notches and its shoulder, a turn on purpose among it. Refuse one that can't be read."""
    turn = CapTurn.of(sleeve)
    curve = turned_edge(sleeve, EdgeName.CAP, turn.underarm)
    length = curve.length()

    def along(at: float) -> float:
        """Count a distance from the front underarm point from where the cap meets the armhole's."""
        return (at + turn.underarm) % length if turn else at

    shoulder = along(shoulder_distance(sleeve))
    stops = [
        Stop(at, NOTCH, Side.FRONT if at < shoulder else Side.BACK)
        for mark in sleeve.notches(EdgeName.CAP)
        if mark.at is not None
        for at in (along(sewn_distance(sleeve, EdgeName.CAP, mark.at)),)
    ]
    marked = sleeve.find_landmark(LandmarkName.SHOULDER_NOTCH) is not None
    stops.append(Stop(shoulder, SHOULDER if marked else CAP_TOP, ""))
    return SewnCap(curve, length, shoulder, tuple(sorted(stops, key=lambda stop: stop.at)), turn)


def bounding_notches(stops: Sequence[Stop], side: str, length: float, shoulder: float) -> tuple[float, ...]:
    """List notches that may bound a side's zones, the lowest first: mm along the seam from the front underarm point."""
    found = [
        stop.at
        for stop in stops
        if stop.kind == NOTCH
        and stop.side == side
        and min(stop.at, length - stop.at, abs(stop.at - shoulder)) >= AT_END
    ]
    return tuple(sorted(found, reverse=side == Side.BACK))


def _side(side: Side, sleeve: Piece, cap: SewnCap, armhole: Armhole) -> tuple[list[Zone], list[Check]]:
    """Part the front or the back into zones, and check its notches."""
    lower, upper, whole = _ZONES[side]
    ends = (0.0, 0.0) if side == Side.FRONT else (cap.length, armhole.row.length)
    on_cap = bounding_notches(cap.stops, side, cap.length, cap.shoulder)
    on_armhole = bounding_notches(armhole.stops, side, armhole.row.length, armhole.shoulder)
    top = (cap.shoulder, armhole.shoulder)
    seams = f"{sleeve.name}/cap", armhole.name
    if not on_cap or not on_armhole:
        lacking = [name for name, found in zip(seams, (on_cap, on_armhole), strict=True) if not found]
        neither = f"neither {lacking[0]} nor {lacking[-1]} has a notch" if len(lacking) > 1 else ""
        words = neither or f"{lacking[0]} has no notch"
        message = f"{words} on the {side}, so underarm to shoulder is walked in one and may hide a mismatch below"
        meant = cap.turn.below_notches + cap.turn.above_notches
        return [_zone(whole, side, cap, armhole, ends, top, meant)], [Check(f"{side} notch", Status.WARN, message)]
    notch = (on_cap[0], on_armhole[0])
    checks: list[Check] = []
    if len(on_cap) != len(on_armhole):
        message = (
            f"{seams[0]} has {_count(len(on_cap))} on the {side}, {seams[1]} {_count(len(on_armhole))}; "
            "the lowest of each are taken to meet"
        )
        checks.append(
            Check(
                f"{side} notch",
                Status.WARN,
                message,
                {EdgeName.CAP: float(len(on_cap)), EdgeName.ARMHOLE: float(len(on_armhole))},
            )
        )
    found = [
        _zone(lower, side, cap, armhole, ends, notch, cap.turn.below_notches),
        _zone(upper, side, cap, armhole, notch, top, cap.turn.above_notches),
    ]
    return found, checks


def _count(number: int) -> str:
    """Spell how many notches."""
    return f"{number} notch{'es' if number > 1 else ''}"


def _zone(
    name: str,
    side: str,
    cap: SewnCap,
    armhole: Armhole,
    low: tuple[float, float],
    high: tuple[float, float],
    turned: float,
) -> Zone:
    """Measure the zone between two places, each (on the cap, on the armhole) in mm along; ``low`` is the lower end.

    ``turned``: how far the upper end is turned to the front on purpose more than the lower one.
    """
    (cap_start, cap_end), (start, end) = (sorted(pair) for pair in zip(low, high, strict=True))
    t0, t1 = cap.curve.at_lengths([cap_start, cap_end])
    stretch = cap.curve.subcurve(t0, t1)
    lengths = cap_end - cap_start, end - start
    return Zone(
        zone=name,
        cap=lengths[0],
        armhole=lengths[1],
        ease=lengths[0] - lengths[1],
        cap_curve=stretch.reverse() if side == Side.BACK else stretch,
        armhole_curve=armhole.stretch(start, end, side),
        on_purpose=-turned if side == Side.FRONT else turned,
    )


# -- verdicts --------------------------------------------------------------------------------------------------------


def check_match(zone: Zone, limits: WalkLimits, units: Units, turn: CapTurn) -> Check:
    """Check that cap and armhole are equally long where nothing may be eased in, but for a turn on purpose."""
    off = zone.mismatch
    away = abs(off)
    values: dict[str, float] = {EdgeName.CAP: zone.cap, EdgeName.ARMHOLE: zone.armhole, "ease": zone.ease}
    values |= {"careful": limits.careful, "workable": limits.workable}
    lengths = f"cap {units.length(zone.cap)}, armhole {units.length(zone.armhole)}"
    said = turn.words(units.plain)
    if abs(zone.on_purpose) > 1e-6:
        values["on purpose"] = zone.on_purpose
        side = "longer" if zone.ease > 0 else "shorter"
        lengths += f": the cap is {units.length(abs(zone.ease))} {side}, {said}; but for that"
    else:
        lengths += f", {said}:" if said else ":"
    careful, workable = (units.plain(limit) for limit in (limits.careful, limits.workable))
    if away <= limits.careful + 1e-6:
        match = "they match" if "on purpose" in values else "match"
        return Check(zone.zone, Status.PASS, f"{lengths} {match} within {careful}", values)
    status = Status.WARN if away <= limits.workable + 1e-6 else Status.FAIL
    longer = "longer" if off > 0 else "shorter"
    words = f"the cap is {units.length(away)} {longer}; careful work keeps to {careful}, workable to {workable}"
    return Check(zone.zone, status, f"{lengths} {words}", values)


def turn_check(sleeve: Piece, armhole: Armhole, turn: CapTurn, units: Units) -> Check:
    """Tell of a sleeve that it is turned on purpose, and where its underarm seam then lies."""
    words = f"{sleeve.name}: {turn.words(units.plain)}"
    if turn.underarm:
        where = "in front of" if turn.underarm > 0 else "behind"
        words += (
            f"; its underarm seam meets {armhole.name} {units.length(abs(turn.underarm))} {where} the underarm point"
        )
    values: dict[str, float] = {
        MarkKind.SHOULDER_NOTCH: turn.shoulder,
        "notches": turn.notches,
        "underarm point": turn.underarm,
    }
    return Check(TURNED, Status.PASS, words, values)


def stated_cap_ease(sleeve: Piece, seams: Sequence[Seam]) -> tuple[float, float] | None:
    """Find the least and most ease, mm, that the seam map states for a sleeve's cap; None where it states none."""
    cap = ((sleeve.name, EdgeName.CAP),)
    return next((seam.ease.amounts for seam in seams if seam.ease is not None and seam.ease.eased == cap), None)


def check_total_ease(
    ease: float, armhole: Armhole, limits: WalkLimits, units: Units, stated: tuple[float, float] | None = None
) -> Check:
    """Check that the whole ease is what the seam map states (``stated``, mm), else that it suits the style.

    Without either, that it is neither negative nor very large.
    """
    part = ease / armhole.row.length
    values = {"ease": ease, "part of the armhole": part}
    longer = "longer" if ease >= 0 else "shorter"
    said = f"the cap is {units.length(abs(ease))} {longer} than {armhole.name}, "
    said += f"{abs(100 * part):.1f} % of it"
    low, high = (limits.style.still or limits.style.cap) if limits.style else (0.0, GATHERED)
    if stated is not None:
        low, high = stated
        values |= {"least": low, "most": high}
        said += f"; {' to '.join(dict.fromkeys(units.plain(limit) for limit in stated))} is stated"
    elif limits.style is not None:
        values |= {"least": low, "most": high}
        usual = " to ".join(units.plain(limit) for limit in dict.fromkeys(limits.style.cap))
        said += f"; {limits.style.name} takes {usual}"
    judged = stated is not None or limits.style is not None
    too_much = ease > high + 0.01 if judged else ease >= high - 0.01
    if ease < low - 0.01:
        return Check(CAP_EASE, Status.WARN, f"{said}: too little", values)
    if too_much and (stated is not None or not limits.gathered):
        return Check(CAP_EASE, Status.WARN, f"{said}: too much unless it is to be gathered", values)
    remark = ", to be gathered" if too_much else "" if judged else "; not judged: no style is set"
    return Check(CAP_EASE, Status.PASS, f"{said}{remark}", values)


def check_ease_share(ease: float, back: float, units: Units, on_purpose: float = 0.0) -> Check:
    """Check how the ease is shared between front and back: half to three fifths of it belong to the back.

    ``on_purpose``: what of the back's is there only because the sleeve is turned on purpose, mm.
    """
    low, high = SHARE_BACK
    values = {Side.FRONT: ease - back, Side.BACK: back, MeasureUnit.SHARE: back / ease, "least": low, "most": high}
    said = f"front {units.length(ease - back)}, back {units.length(back)}"
    if abs(on_purpose) > 1e-6:
        values["on purpose"] = on_purpose
        back -= on_purpose
        side = "back" if on_purpose > 0 else "front"
        said += f"; {units.length(abs(on_purpose))} of it lies in the {side} by a turn on purpose, and without that"
        said += f" front {units.length(ease - back)}, back {units.length(back)}"
    off = max(low * ease - back, back - high * ease)
    if 0.0 <= back <= ease:
        said += f": the back takes {100 * back / ease:.0f} %"
    usual = f"{' to '.join(SHARE_BACK_IN_WORDS)} of the ease is usual"
    if off <= SHARE_SLACK:
        if off > 0.005 * ease:  # else the figures don't show it
            said += f"; {usual}, and this is within a pencil line of it"
        return Check("share of the back", Status.PASS, said, values)
    return Check("share of the back", Status.WARN, f"{said}; {usual}: move the shoulder notch, or the ease", values)


def shoulder_warnings(sleeve: Piece, cap: SewnCap, armhole: Armhole) -> list[Check]:
    """Warn of what had to be guessed about the shoulder."""
    warnings: list[Check] = []
    if any(stop.kind == CAP_TOP for stop in cap.stops):
        message = f"{sleeve.name}/cap has no shoulder notch: its top is taken to meet the shoulder"
        warnings.append(Check(MarkKind.SHOULDER_NOTCH, Status.WARN, message))
    if armhole.guessed:
        message = (
            f"where the shoulder notch meets {armhole.name} is guessed, so how front and back share the ease is not "
            "judged; a notch there would tell"
        )
        warnings.append(Check("shoulder on the armhole", Status.WARN, message))
    warnings += [Check("direction of the armhole", Status.WARN, text) for text in armhole.row.doubts]
    return warnings
