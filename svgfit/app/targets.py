"""Ends that a plan states without saying how: the steps that reach them, and whether they are met. Lengths in mm.

The order is a fitter's: bicep width, then cap height, then the length of the cap edge, never ease before height. Each
step leaves the ends before it alone (what widens keeps the height, what raises the width, what redraws both), so that
one pass reaches them all together; the run measures every end again when all is done.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct

from svgfit.app.parameter_values import Unfit
from svgfit.fitting.armhole import armhole_row
from svgfit.model.length import both_ways, parse_length, reads_alike
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam, Step
from svgfit.model.report import Check, Measurement
from svgfit.model.vocabulary import EdgeName, Figure, MeasureUnit, PieceKind, Status, Unit
from svgfit.model.wording import closest_name
from svgfit.pattern.layer_patterns import name_key
from svgfit.plugin.abilities import ways_to
from svgfit.plugin.registry import Registry
from svgfit.rules.matching import PLAN_STEP_INCHES, PLAN_STEP_METRIC

HOLDS = 0.01
"""How near an end must be for nothing to be done for it, in mm."""
SEEN: Mapping[str, float] = {
    Unit.IN: PLAN_STEP_INCHES / 2,
    Unit.MM: PLAN_STEP_METRIC / 2,
    Unit.CM: PLAN_STEP_METRIC / 2,
}
"""How near an end must be to count as met, in mm, by the unit it is written in: half of what figures are rounded to."""
SHARE_SEEN = 0.005
"""A share of the ease in whole per cents is met to its rounding."""
SHARE = "share to the back"
ENDS = ("bicep width", "cap height", "cap ease", "cap length", SHARE)
SHARE_KEPT = 0.002
"""A share of the ease that nobody asked to change is as drawn within this."""
SEWN = (*ENDS, Figure.CAP_HEIGHT_AT_SHOULDER_NOTCH)
"""Ends that only a cap that can be sewn meets."""
MEASURE_ONLY = "measure only"
_REACH = "reach"
"""What plans said before there was MEASURE_ONLY, and its opposite."""
_KEYS = {name: name for name in ENDS} | {"share back": SHARE}


class End(Struct, frozen=True):
    """An end of one piece: a measurement's name, what it should be (mm; a part of 1 for the share), and as written."""

    name: str
    value: float
    text: str
    stated: str
    """What stated it, for the check's name: "ends", or an operation with its parameter."""
    reach: bool = True
    """Whether it is to be reached; else it is only measured."""
    on: str = ""
    """On what it was tried, where an earlier end could not be had."""


def read_ends(step: Step) -> tuple[End, ...]:
    """Read the ends of one ``[[ends]]`` table, in the order in which they are reached; raise Unfit."""
    found: dict[str, End] = {}
    reach = _to_be_reached(step)
    for key, text in step.asked:
        if name_key(key) in (MEASURE_ONLY, _REACH):
            continue
        name = _KEYS.get(name_key(key), None if reach else name_key(key))
        if name is None:
            near = closest_name(name_key(key), tuple(_KEYS))
            todo = f"did you mean {_KEYS[near]!r}? " if near else ""
            raise Unfit(key, "is no figure that svgfit can reach by itself", f"{todo}the ends are {', '.join(ENDS)}")
        if name in found:
            raise Unfit(key, "is given twice", "leave one out")
        found[name] = End(name, _read(key, name, text, reach=reach), text, "ends", reach)
    if Figure.CAP_EASE in found and Figure.CAP_LENGTH in found:
        raise Unfit("cap length", "cap ease and cap length exclude each other", "leave one out")
    if not found:
        raise Unfit(None, "asks for nothing", f"it may ask for {', '.join(ENDS)}")
    return tuple(found[name] for name in dict.fromkeys((*ENDS, *found)) if name in found)


def _to_be_reached(step: Step) -> bool:
    """Return whether svgfit is to reach these ends (as long as nothing else is said) or only to measure them."""
    said = {name_key(key): (key, text) for key, text in step.asked if name_key(key) in (MEASURE_ONLY, _REACH)}
    if len(said) > 1:
        raise Unfit(said[_REACH][0], f"is the older way to say {MEASURE_ONLY!r}", "leave it out")
    for key, text in said.values():
        if name_key(text) not in ("true", "false"):
            raise Unfit(key, f"{text!r} is neither true nor false", "write true where they are only to be measured")
        return (name_key(text) == "true") is (name_key(key) == _REACH)
    return True


def _read(key: str, name: str, text: str, *, reach: bool) -> float:
    if name == SHARE:
        try:
            share = float(_number(text))
        except ValueError:
            raise Unfit(key, f"{text!r} is not a number", "write for example 0.55 or 55%") from None
        if not 0 <= share <= 1:
            raise Unfit(key, f"{text} is no part of the whole", "give 0 to 1, such as 0.55")
        return share
    try:
        value = parse_length(text)
    except ValueError as error:
        what, _, todo = str(error).partition(": ")
        raise Unfit(key, what, todo) from None
    if reach and name != Figure.CAP_EASE and value <= 0:
        raise Unfit(key, f"{text} is no length that a sleeve can have", "give more than 0")
    return value


def ways(end: End, step: Step, piece: Piece, registry: Registry) -> tuple[Step, ...]:
    """List the steps that may reach an end, the one that changes least first.

    They are those of the operations that declare a way to it with a rank. A share is reached by the shoulder notch,
    once the ease is what it should be: the shape of the cap is not bent to it.
    """
    steps: list[Step] = []
    for way in ways_to(registry, end.name):
        if way.reach.rank is not None and way.reach.parameter:
            text = _number(end.text) if end.name == SHARE else end.text
            steps.append(way.step(piece.name, text, where=step.where))
    return tuple(steps)


def notches_move_apart(
    sleeve: Piece, before: tuple[Piece, ...], after: tuple[Piece, ...], seams: Sequence[Seam]
) -> bool:
    """Tell whether the lower notches of cap and armhole lie further apart (by more than ``HOLDS``) than they did."""
    from svgfit.fitting.notch_moves import notch_mismatch  # only where ends were reached

    mismatches: list[float] = []
    for pieces in (before, after):
        one = next(piece for piece in pieces if piece.title == sleeve.title)
        row = armhole_row(one, pieces, seams)
        mismatches.append(0.0 if row is None else notch_mismatch(one, row))
    return mismatches[1] > mismatches[0] + HOLDS


def _number(text: str) -> str:
    plain = text.strip().replace(",", ".")
    return str(float(plain.removesuffix("%")) / 100) if plain.endswith("%") else plain


def found_end(end: End, measured: Sequence[Measurement]) -> float | None:
    """Return what was measured of an end (a share is the back's ease over the whole); None where it can't be."""
    figures = {item.name: item.value for item in measured}
    if end.name != SHARE:
        return figures.get(end.name)
    whole, back = figures.get(Figure.CAP_EASE), figures.get(Figure.CAP_EASE_BACK)
    return None if whole is None or back is None or abs(whole) < HOLDS else back / whole


def needs_nothing(end: End, measured: Sequence[Measurement]) -> bool:
    """Tell whether an end holds within ``HOLDS`` mm (the share within what that is of the ease): nothing to be done."""
    return _within(end, measured, HOLDS)


def is_met(end: End, measured: Sequence[Measurement]) -> bool:
    """Tell whether an end holds as near as the trade can see: as it is written, to the sixteenth or the millimetre."""
    return _within(end, measured, SEEN[_unit_of(end.text)])


def _within(end: End, measured: Sequence[Measurement], near: float) -> bool:
    found = found_end(end, measured)
    if found is None:
        return False
    figures: Mapping[str, float] = {item.name: item.value for item in measured}
    return abs(found - end.value) <= (near / abs(figures[Figure.CAP_EASE]) if end.name == SHARE else near)


def holds_as_written(off: float, kind: str, unit: str) -> bool:
    """Tell whether a figure that is off by so much still is what was wanted: mm in a plan's ``unit``, parts of 1."""
    return abs(off) <= (SHARE_SEEN if kind != MeasureUnit.MM else SEEN[unit])


def _unit_of(text: str) -> str:
    return Unit.IN if Unit.IN in text or '"' in text else Unit.CM if Unit.CM in text else Unit.MM


def drawn_share(measured: Sequence[Measurement]) -> float | None:
    """Return the back's share of the ease; None where front or back has none, or too little to be parted."""
    figures = {item.name: item.value for item in measured}
    front, back = figures.get(Figure.CAP_EASE_FRONT), figures.get(Figure.CAP_EASE_BACK)
    if front is None or back is None or min(front, back) < 0:
        return None
    from svgfit.rules.ease import LEAST_PARTED  # only where ends were reached

    return None if front + back < LEAST_PARTED else back / (front + back)


def cap_fault(drawn: Piece, changed: Piece) -> str:
    """Say why a sleeve's cap, changed, can't be sewn; "" where it can, or is as drawn, or the piece is no sleeve."""
    if changed is drawn or changed.kind != PieceKind.SLEEVE or not changed.has_edge(EdgeName.CAP):
        return ""
    old, new = (piece.edge(EdgeName.CAP) for piece in (drawn, changed))
    if new.curve is old.curve or any(dart.edge == EdgeName.CAP for dart in changed.darts):
        return ""
    from svgfit.fitting.cap_shape import why_unsewable  # only where ends were stated and a cap changed

    return why_unsewable(old.from_front(), new.from_front())


def end_check(
    title: str, end: End, measured: Sequence[Measurement], reasons: Sequence[str] = (), unsewable: str = ""
) -> Check:
    """Check whether an end is met, measured when all steps were done.

    ``reasons``: why no step could reach it; ``unsewable``: why the cap as it is then can't be sewn.
    """
    name = f"end: {end.stated}" if end.stated != "ends" else f"end: {end.name}" if end.reach else f"wanted: {end.name}"
    found = found_end(end, measured)
    if not end.reach:
        reasons = ("it was only to be measured, and no step here is for it",)
    because = f": {'; '.join(dict.fromkeys(reasons))}" if reasons else ""
    if found is None:
        message = f"{title}: {end.name} can't be measured, so whether it is {_asked(end)} is not known{because}"
        return Check(name, Status.FAIL, message, {"asked": end.value})
    values = {"asked": end.value, "got": found}
    if unsewable and end.reach and end.name in SEWN and is_met(end, measured):
        message = f"{title}: {end.name} is {_asked(end)} when all steps are done, but by a cap that can't be sewn"
        return Check(name, Status.FAIL, f"{message}: {unsewable}", values)
    if is_met(end, measured):
        exact = needs_nothing(end, measured)
        near = "" if exact else ", as near as can be seen"
        message = f"{title}: {end.name} is {_asked(end)} when all steps are done{end.on}{near}"
        return Check(name, Status.PASS, message, values)
    now = _now(end, found)
    message = f"{title}: {end.name} should be {_asked(end)} and is {now} when all steps are done{end.on}{because}"
    return Check(name, Status.FAIL, message, values)


def _asked(end: End) -> str:
    return end.text if end.name == SHARE else both_ways(end.value)


def _now(end: End, found: float) -> str:
    """Say what a figure is that is not as wanted; by how much it is off, where the two would read alike."""
    if end.name == SHARE:
        return f"{found:.3f}"
    off = found - end.value
    return f"{both_ways(abs(off))} {'over' if off > 0 else 'under'}" if reads_alike(off, 0.0) else both_ways(found)


def on_the_old(lost: Sequence[str]) -> str:
    """Say what a later end was tried on, where those before it could not be had."""
    return f", on the cap as it is without the {' and the '.join(lost)} that could not be had" if lost else ""


def stated_twice(title: str, first: End, last: End) -> str:
    """Warn of an end that is stated twice and differently; "" where both are the same."""
    if abs(first.value - last.value) <= HOLDS:
        return ""
    both = f"{first.text} ({first.stated}), then {last.text} ({last.stated})"
    return f"{title}: {last.name} is stated twice, {both}: the last one counts"


def unusual_share(title: str, end: End) -> str:
    """Warn of a share that practice does not know; "" for any other end."""
    if end.name != SHARE:
        return ""
    from svgfit.rules.ease import SHARE_BACK  # only where a share was asked for

    low, high = SHARE_BACK
    if low - 0.005 <= end.value <= high + 0.005:
        return ""
    usual = f"{100 * low:.0f} to {100 * high:.0f} %"
    return f"{title}: {100 * end.value:.0f} % of the ease to the back is unusual; practice gives the back {usual}"
