"""Knows sleeves: cap, underarm seams, hem, front and back."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

import numpy as np
from msgspec import Struct

from svgfit.plugin import (
    Affine,
    Curve,
    DrawnPiece,
    Edge,
    Landmark,
    Mark,
    Piece,
    Recogniser,
    Refusal,
    both_ways,
    hookimpl,
    recognising,
    replace,
    rules,
)

WHAT_TO_CHECK = 'check that line, or mark "underarm front" and "underarm back" on a landmarks layer'
"""What to do where the grain line that is drawn does not suit the corners that were found."""
WHERE_UNDERARM = 'mark "underarm front" and "underarm back" on a landmarks layer where the cap ends'
"""What to do where both ends of the cap were found in one place."""
REFUSED = {
    **dict.fromkeys(rules.piece_names.WITHOUT_CAP, "a sleeve cut in one with the bodice has no cap of its own"),
    "raglan": "a raglan sleeve has no cap of its own: its seams run to the neckline",
    **dict.fromkeys(rules.piece_names.SHARED_CAP, "its cap is shared with the under sleeve"),
    "under sleeve": "its cap is shared with the upper sleeve",
}
"""Why a sleeve whose name has such words in it is refused."""


BY_NOTCHES = "front and back: by the number of notches (fewer at the front)"

CORNERS = ("underarm front", "underarm back", "hem front", "hem back")
"""Landmarks of the corners."""


class Layout(Struct, frozen=True):
    """The sides of a sleeve, each list in the loop's order. Page mm."""

    cap: tuple[Curve, ...]
    first_underarm: tuple[Curve, ...]
    hem: tuple[Curve, ...]
    last_underarm: tuple[Curve, ...]


def suits(drawn: DrawnPiece) -> float:
    """Give 1 where convention or name says sleeve, 0.6 where its shape has a cap and underarm seams, else 0."""
    if "sleeve" in recognising.in_english(drawn.name):
        return 1.0
    try:
        found, grain = _outline_sides(drawn), recognising.find_grain(drawn)
        _lay_out(drawn, found.sides, grain)
    except Refusal:
        return 0.0
    axis = recognising.find_mirror_axis(found.outline.loop)
    return 0.0 if axis is not None and recognising.whole_edges(found.sides, axis) is not None else 0.6


def recognise(drawn: DrawnPiece) -> Piece:
    """Recognise a sleeve, in its own frame; raises Refusal, with what to add where, where it can't tell."""
    _refuse_by_name(drawn)
    found, grain = _outline_sides(drawn), recognising.find_grain(drawn)
    layout, up, notes = _lay_out(drawn, found.sides, grain)
    unsure = recognising.jog_notes(drawn, found.jogs, CORNERS)
    notched = recognising.ticks(drawn, found.outline.loop)
    right = recognising.right_of(up)
    front_right, how = _front_side(drawn, layout, up, right, notched)
    unsure += [how] if how and how != BY_NOTCHES else []
    notes += [*unsure, *([how] if how == BY_NOTCHES else [])]
    x = right if front_right else -right
    edges = _edges(layout, x)
    finished, more = recognising.finished_edges(drawn, found, edges)
    notes += more
    marked = set(dict(drawn.landmarks)) >= {*CORNERS}
    odd = recognising.refuse_flaw(drawn, "sleeve", flaw_of(finished, up), marked=marked)
    unsure += [odd] if odd else []
    notes += [odd] if odd else []
    cap = finished[0].curve
    if grain is None:  # of a cut line only, the corners found first were not yet the underarm points
        up = recognising.facing(1j * (cap.end - cap.start), up)
        up /= abs(up)
        x = recognising.right_of(up) if front_right else -recognising.right_of(up)
    place = recognising.placement((cap.start + cap.end) / 2, x, up)
    back = place.inverse()
    local = tuple(
        Edge(e.name, e.curve.transform(back), e.allowance, e.fold, backwards=e.name == "underarm front")
        for e in finished
    )
    return _piece(drawn, found, local, place, notes, unsure)


def _piece(
    drawn: DrawnPiece,
    found: recognising.DrawnSides,
    edges: tuple[Edge, ...],
    place: Affine,
    notes: Sequence[str],
    unsure: Sequence[str],
) -> Piece:
    back = place.inverse()
    cap, hem = edges[0].curve, edges[2].curve
    named = {name: back.apply(at) for name, at in drawn.landmarks}
    top = cap.point(cap.nearest(named["cap top"])[0]) if "cap top" in named else recognising.highest(cap)
    landmarks = [
        Landmark("underarm front", cap.start, "underarm front" not in named),
        Landmark("underarm back", cap.end, "underarm back" not in named),
        Landmark("cap top", top, "cap top" not in named),
        Landmark("hem front", hem.end, "hem front" not in named),
        Landmark("hem back", hem.start, "hem back" not in named),
    ]
    at_shoulder = named.get("shoulder notch")
    marks, doubts = recognising.drawn_marks(drawn, found, edges, place)
    marks = _name_shoulder_notch(marks, cap, top, at_shoulder)
    shoulder = next((mark for mark in marks if mark.kind == "shoulder notch"), None)
    if shoulder is not None and shoulder.at is not None:
        landmarks.append(Landmark("shoulder notch", shoulder.at, at_shoulder is None))
    elif at_shoulder is not None:
        landmarks.append(Landmark("shoulder notch", cap.point(cap.nearest(at_shoulder)[0])))
    step = cap.start.imag - cap.end.imag
    notes = list(notes)
    if abs(step) > rules.caps.UNLEVEL_REPORTED:
        lower = "front" if step > 0 else "back"
        notes.append(
            f"the underarm points are not level: the {lower} one lies {both_ways(abs(step))} lower; "
            "the bicep line is taken through their middle"
        )
    known = {landmark.name for landmark in landmarks}
    landmarks += [Landmark(name, at) for name, at in named.items() if name not in known]
    return recognising.placed_piece(
        drawn,
        "sleeve",
        found,
        edges,
        place,
        marks=marks,
        landmarks=landmarks,
        guessed=(*notes, *doubts),
        unsure=(*unsure, *doubts),
    )


def _refuse_by_name(drawn: DrawnPiece) -> None:
    name = recognising.in_english(drawn.name)
    for word, why in REFUSED.items():
        if word in name:
            key = recognising.spell(("pieces", drawn.name, "kind"))
            raise Refusal(drawn.where, why, f'leave it out (give its layers to "ignore", or {key} = "other")')


def _outline_sides(drawn: DrawnPiece) -> recognising.DrawnSides:
    named = [at for name, at in drawn.landmarks if name.startswith(("underarm", "hem"))]
    return recognising.drawn_sides(drawn, 4, named, over_jogs=True)


def _lay_out(
    drawn: DrawnPiece, sides: Sequence[Curve], grain: recognising.Grain | None
) -> tuple[Layout, complex, list[str]]:
    """Find which sides are what, and which way is up."""
    first, last, notes = _find_cap(drawn, sides, grain)
    cap = tuple(sides[k % len(sides)] for k in range(first, last + 1))
    rest = [sides[k % len(sides)] for k in range(last + 1, first + len(sides))]
    chord = cap[-1].end - cap[0].start
    rise = recognising.sagitta(recognising.join_sides(cap))
    if abs(chord) < 1e-6:
        raise Refusal(drawn.where, "its cap would begin where it ends", WHERE_UNDERARM)
    if grain is None and abs(rise) < 1e-6:
        raise Refusal(
            drawn.where, "its cap is straight and no grain line is drawn, so up is not known", "draw the grain line"
        )
    if grain is None:
        up = rise / abs(rise)
        notes.append("grain: square to the line between the underarm points; no grain line is drawn")
    else:
        up = recognising.facing(grain.along, rise)
        if grain.guessed:
            notes.append(f"grain: {grain.source}; no grain line is drawn")
        slant = recognising.off_square(grain.along, chord)
        if slant > 20:
            raise Refusal(
                drawn.where,
                f"the {grain.source} runs {90 - slant:.0f}° from the line between the underarm points, so up is not "
                "known",
                "draw the grain line along the lengthwise thread" if grain.guessed else WHAT_TO_CHECK,
            )
    return _part_rest(drawn, cap, rest, up), up, notes


def _find_cap(drawn: DrawnPiece, sides: Sequence[Curve], grain: recognising.Grain | None) -> tuple[int, int, list[str]]:
    """Find first and last index of the cap's sides (the last may run over the end of the list)."""
    named = dict(drawn.landmarks)
    if "underarm front" in named and "underarm back" in named:
        return (*_between(drawn, sides, named["underarm front"], named["underarm back"]), [])
    bicep = max(drawn.bicep, key=lambda curve: abs(curve.end - curve.start), default=None)
    if bicep is not None:
        ends = (bicep.start, bicep.end)
        corners = [min(sides, key=lambda side, at=end: abs(side.start - at)).start for end in ends]
        near = [abs(corner - end) for corner, end in zip(corners, ends, strict=True)]
        if max(near) < rules.drawing_habits.BICEP_LINE_ENDS and corners[0] != corners[1]:
            return (*_between(drawn, sides, *ends), [])
    # A cap is one smooth edge; one drawn to a peak has a corner at its top and is two.
    clockwise = sum(side.area() for side in sides) > 0
    for count in (1, 2):
        runs = (_rising(sides, k, count, grain, clockwise=clockwise) for k in range(len(sides)))
        found = [run for run in runs if run is not None]
        if found and len(sides) > count:
            first = max(found)[1]
            return first, first + count - 1, ["underarm points: the corners at the cap's ends"]
    raise Refusal(
        drawn.where,
        "no cap was found: one smooth edge that rises between two underarm points"
        + (" (a raglan or cut-on sleeve has none)" if len(sides) >= 5 else ""),
        'mark "underarm front" and "underarm back" on a landmarks layer, or draw the bicep line',
    )


def _rising(
    sides: Sequence[Curve], first: int, count: int, grain: recognising.Grain | None, *, clockwise: bool
) -> tuple[float, int] | None:
    """Rate how cap-like a run of sides is (mm²), and where it starts; None where it does not rise over its chord.

    ``clockwise``: how the sides run on the page. A peak of two sides counts only where both lean the same way to the
    chord and an underarm seam follows on each side.
    """
    n = len(sides)
    run = [sides[(first + k) % n] for k in range(count)]
    chord = run[-1].end - run[0].start
    if abs(chord) < 1e-6 or (grain is not None and recognising.off_square(grain.along, chord) >= 35):
        return None
    rise = recognising.sagitta(recognising.join_sides(run))
    outwards = ((rise * (1j * chord).conjugate()).real < 0) == clockwise
    if not outwards or abs(rise) < rules.caps.FLATTEST * abs(chord):
        return None
    if count == 2:
        lean = [recognising.off_square(side.end - side.start, chord * 1j) for side in run]
        along = [sides[(first + k) % n] for k in (-1, count)]
        steep = all(recognising.off_square(side.end - side.start, chord) < 50 for side in along)
        if max(lean) > 75 or not steep or n < 5:
            return None
    return abs(rise) * abs(chord), first


def _between(drawn: DrawnPiece, sides: Sequence[Curve], one: complex, other: complex) -> tuple[int, int]:
    """Find the run of sides between the corners nearest to two points that is the cap.

    It carries more of the notches; without any it has fewer corners than the run of seams and hem, or bulges more.
    """
    n = len(sides)
    a = min(range(n), key=lambda k: abs(sides[k].start - one))
    b = min(range(n), key=lambda k: abs(sides[k].start - other))
    if a == b:
        raise Refusal(drawn.where, "both its underarm points lie at one corner of its outline", WHERE_UNDERARM)
    runs = [(a, b - 1 if b > a else b - 1 + n), (b, a - 1 if a > b else a - 1 + n)]
    notched = [
        min(range(n), key=lambda k: sides[k].nearest(curve.start)[1])
        for shape in drawn.notches
        for curve in shape.curves
    ]

    def rank(run: tuple[int, int]) -> tuple[int, int, float]:
        own = {k % n for k in range(run[0], run[1] + 1)}
        return -sum(1 for k in notched if k in own), run[1] - run[0], -abs(recognising.sagitta(sides[run[0] % n]))

    return min(runs, key=rank)


def _part_rest(drawn: DrawnPiece, cap: tuple[Curve, ...], rest: list[Curve], up: complex) -> Layout:
    """Part the sides after the cap: underarm seams run more along the grain, the hem lies between them."""
    named = dict(drawn.landmarks)
    if "hem front" in named and "hem back" in named:
        first, last = _hem_run(rest, named["hem front"], named["hem back"])
    else:
        lengthwise = [
            abs(((side.end - side.start) * up.conjugate()).real) > abs(side.end - side.start) * 0.6 for side in rest
        ]
        first = next((k for k, long in enumerate(lengthwise) if not long), len(rest))
        last = next((k for k in range(len(rest) - 1, -1, -1) if not lengthwise[k]), -1)
        if len(rest) == 2 and all(lengthwise):
            first = last = -1
    if first <= 0 or last >= len(rest) - 1 or last < first:
        raise Refusal(
            drawn.where,
            "the sleeve has no underarm seam of its own between cap and hem on both sides (a raglan, cut-on or "
            "seamless sleeve), or its corners are too blunt to tell",
            'where it has one, mark "underarm front", "underarm back", "hem front" and "hem back" on a landmarks layer',
        )
    return Layout(cap, tuple(rest[:first]), tuple(rest[first : last + 1]), tuple(rest[last + 1 :]))


def _hem_run(rest: Sequence[Curve], one: complex, other: complex) -> tuple[int, int]:
    starts = [side.start for side in rest]
    a = min(range(len(rest)), key=lambda k: abs(starts[k] - one))
    b = min(range(len(rest)), key=lambda k: abs(starts[k] - other))
    return min(a, b), max(a, b) - 1


def _front_side(
    drawn: DrawnPiece, layout: Layout, up: complex, right: complex, notched: Sequence[recognising.Tick]
) -> tuple[bool, str]:
    """Find whether the front lies to the right with the cap up, and how that was guessed ("" where it was told)."""
    cap = recognising.join_sides(layout.cap)
    places = cap.points(cap.level_places(up))
    top = complex(places[int(np.argmax((places * up.conjugate()).real))])

    def side(point: complex) -> float:
        return ((point - top) * right.conjugate()).real

    counts = _notch_counts(layout, cap, notched, side)
    usual = drawn.notch_counts
    fronts, backs = (usual.front, usual.back) if usual is not None else (rules.notches.ON_FRONT, rules.notches.ON_BACK)
    as_ruled = f", as {usual.by} says" if usual is not None else ""
    by_counts = (counts[0] < counts[1]) == (fronts < backs)
    if drawn.front in ("left", "right"):
        right_side = drawn.front == "right"
        against = min(counts) >= 1 and counts[0] != counts[1] and by_counts != right_side
        more = "more" if fronts < backs else "fewer"
        said = f"front and back: as svgfit.toml says, though the front has {more} notches than the back"
        return right_side, said if against else ""
    for name, at in drawn.landmarks:
        for word, sign in (("front", 1), ("back", -1)):
            if name in (f"underarm {word}", f"hem {word}"):
                return side(at) * sign > 0, ""
    width = abs(cap.end - cap.start)
    if counts[0] != counts[1] and min(counts) >= 1:
        many = rules.notches.HOW_MANY[fronts]
        ruled = f"front and back: by the number of notches ({many} at the front{as_ruled})"
        return by_counts, ruled if usual is not None else BY_NOTCHES
    for text in drawn.texts:
        words = re.findall(r"[^\W\d_]+", recognising.in_english(text.content))
        for word, sign in (("front", 1), ("back", -1)):
            if word in words and len(words) <= 2 and abs(side(text.at)) > 0.05 * width:
                return side(text.at) * sign > 0, f'front and back: by the text "{text.content}"'
    if sum(counts) in (fronts, backs) and 0 in counts:
        in_front, on_right = sum(counts) == fronts, counts[0] > 0
        many = ("notch", "pair of notches", "three notches")[sum(counts) - 1]
        name = "front" if in_front else "back"
        return on_right == in_front, f"front and back: the only {many} on the cap is taken for the {name}'s{as_ruled}"
    raise Refusal(
        drawn.where,
        "front and back of the sleeve can't be told apart",
        f"draw {_notches(fronts)} on the front of the cap and {rules.notches.HOW_MANY[backs]} on the back{as_ruled}, "
        f'or write {recognising.spell(("pieces", drawn.name, "front"))} = "left" or "right" in svgfit.toml',
    )


def _notches(count: int) -> str:
    """Say how many notches, in words."""
    return f"{rules.notches.HOW_MANY[count]} notch{'es' * (count > 1)}"


def _notch_counts(
    layout: Layout, cap: Curve, notched: Sequence[recognising.Tick], side: Callable[[complex], float]
) -> tuple[int, int]:
    """Count notches on the cap to the right and to the left of its top, those near the top left out."""
    width = abs(cap.end - cap.start)
    seams = (layout.first_underarm[0], layout.last_underarm[-1])
    on_cap = [
        t
        for t in notched
        if cap.nearest(t.point)[1]
        < min(rules.notches.FARTHEST_FROM_SEAM, *(seam.nearest(t.point)[1] for seam in seams))
    ]
    right, left = (
        sum(1 for t in on_cap if sign * side(t.point) > rules.notches.BESIDE_TOP * width) for sign in (1, -1)
    )
    return right, left


def _edges(layout: Layout, x: complex) -> list[Edge]:
    """Make the edges cap (front to back), underarm back, hem, underarm front, on the page; turned if need be."""
    groups = [layout.cap, layout.first_underarm, layout.hem, layout.last_underarm]
    cap = layout.cap
    if ((cap[0].start - cap[-1].end) * x.conjugate()).real < 0:
        cap_back, last, hem, first = (tuple(side.reverse() for side in reversed(group)) for group in groups)
        groups = [cap_back, first, hem, last]
    names = ("cap", "underarm back", "hem", "underarm front")
    return [Edge(name, recognising.join_sides(group)) for name, group in zip(names, groups, strict=True)]


def _name_shoulder_notch(marks: Sequence[Mark], cap: Curve, top: complex, named: complex | None) -> tuple[Mark, ...]:
    """Tell the cap's shoulder notch apart from other marks: the named one, else the one nearest the cap top.

    Without a landmark it is a notch near the cap top (rules.notches.SHOULDER_WITHIN) and in the upper part of the cap's
    height (rules.notches.SHOULDER_HIGHEST).
    """
    at = cap.nearest(top)[0]
    reach = rules.notches.SHOULDER_WITHIN * cap.length(1e-3)
    level = (cap.start.imag + cap.end.imag) / 2
    lowest = top.imag + (level - top.imag) * rules.notches.SHOULDER_HIGHEST
    best: tuple[float, int] | None = None
    for k, mark in enumerate(marks):
        if mark.edge != "cap" or mark.at is None:
            continue
        if mark.name is not None and "shoulder" in mark.name.casefold():
            best = (-1.0, k)
            break
        away = abs(mark.at - named) if named is not None else _apart(cap, at, cap.nearest(mark.at)[0])
        if named is None and mark.at.imag > lowest:
            continue
        if away <= (rules.notches.AT_LANDMARK if named is not None else reach) and (best is None or away < best[0]):
            best = (away, k)
    if best is None:
        return tuple(marks)
    return tuple(replace(mark, kind="shoulder notch") if k == best[1] else mark for k, mark in enumerate(marks))


def _apart(curve: Curve, first: float, second: float) -> float:
    return curve.length_between(min(first, second), max(first, second), 1e-3)


def flaw_of(edges: Sequence[Edge], up: complex) -> str | None:
    """Say what keeps these edges from being a sleeve's; None where nothing does."""
    return next(_flaws({edge.name: edge.curve for edge in edges}, up), None)


def _flaws(lines: Mapping[str, Curve], up: complex) -> Iterator[str]:
    cap, hem = lines["cap"], lines["hem"]
    front, back = lines["underarm front"], lines["underarm back"]
    wide = abs(cap.end - cap.start)
    if wide < 1e-6:
        yield "its cap would begin where it ends"
        return
    yield from recognising.share_flaw(
        "cap", cap.length(1e-2) / wide, rules.plausible.CAP_TO_BICEP, "its width at the bicep line"
    )
    yield from recognising.share_flaw(
        "cap's rise", abs(recognising.sagitta(cap)) / wide, rules.plausible.CAP_RISE, "its width at the bicep line"
    )
    lengths = front.length(1e-2), back.length(1e-2)
    yield from recognising.share_flaw(
        "one underarm seam", lengths[0] / lengths[1], rules.plausible.UNDERARM_SEAMS, "the other's length"
    )
    yield from recognising.share_flaw(
        "hem", hem.length(1e-2) / wide, rules.plausible.HEM_TO_BICEP, "its width at the bicep line"
    )
    if min(recognising.steepness(front, up), recognising.steepness(back, up)) < rules.plausible.FLATTEST_SEAM:
        yield "an underarm seam would run across the grain"


@hookimpl
def svgfit_recognisers() -> Iterable[Recogniser]:
    """Offer the recogniser of sleeves."""
    return [Recogniser("sleeve", ("sleeve",), suits, recognise)]
