"""What no longer matches elsewhere after a step: what to *also change*, with the amount. Lengths as sewn, mm.

Held against each other before and after: every seam of the map, and every piece that is cut after one that the step
changed (a lining or facing by its name, or any piece with an edge of the same curved shape).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from msgspec import Struct

from svgfit.app.seam_checks import TOLERANCE
from svgfit.fitting.armhole import cap_and_armhole
from svgfit.fitting.sewn import sewn_edge, sewn_length
from svgfit.geometry.curve import Curve
from svgfit.model.length import Units
from svgfit.model.piece import Edge, Piece, edge_pairs, paired
from svgfit.model.plan import Seam, SeamEase, spell_edges
from svgfit.model.report import AlsoRow, Check
from svgfit.model.run import SizeRun
from svgfit.model.vocabulary import EdgeName, PieceKind, Status
from svgfit.model.walk import holds_cap_ease
from svgfit.model.wording import listed
from svgfit.pattern.languages import in_english
from svgfit.pattern.seam_inference import cut_after
from svgfit.rules.ease import LEAST_CHANGE_REPORTED
from svgfit.rules.piece_names import SEWN_TO_HEM
from svgfit.rules.smoothness import STRAIGHT

_PLACES = np.linspace(0.0, 1.0, 33)

Row = tuple[tuple[str, str], ...]
Pair = tuple[Piece, Piece]
"""A piece before the step and after it."""


class Sides(Struct, frozen=True):
    """The lengths of a seam's two rows before and after a step."""

    a: tuple[float, float]
    b: tuple[float, float]

    @property
    def before(self) -> float:
        """How much longer the first row was."""
        return self.a[0] - self.b[0]

    @property
    def after(self) -> float:
        """How much longer the first row is."""
        return self.a[1] - self.b[1]

    def turned(self) -> Sides:
        """Swap the two rows."""
        return Sides(self.b, self.a)


def also_changes(
    before: Sequence[Piece],
    after: Sequence[Piece],
    seams: Sequence[Seam],
    units: Units,
    *,
    tolerance: float = TOLERANCE,
) -> tuple[AlsoRow, ...]:
    """Find what a step left unmatched; ``before`` and ``after``: the same pieces (of one size) in order.

    A seam is named where its rows matched within ``tolerance`` mm and no longer do, or differed and now do so by more
    than ``tolerance`` more; where an ease is stated, where it left that; a cap and its armhole where the ease
    changed. A seam both rows of which changed alike is not named. Messages speak in ``units``.
    """
    pairs = {old.name: (old, new) for old, new in paired(before, after)}
    if all(old is new for old, new in pairs.values()):
        return ()
    edges = {(name, edge.name) for name, pair in pairs.items() for edge in pair[0].edges if pair[1].has_edge(edge.name)}
    found: list[AlsoRow] = []
    for seam in seams:
        names = {name for name, _ in (*seam.a, *seam.b)}
        if edges.issuperset((*seam.a, *seam.b)) and any(pairs[name][0] is not pairs[name][1] for name in names):
            found += _seam(seam, pairs, units, tolerance)
    found += _copies(pairs, seams, units, tolerance)
    return tuple(found)


def net_changes(run: SizeRun) -> tuple[AlsoRow, ...]:
    """Find what a run left unmatched when all was done, but for an ease that it was asked for and reached.

    A piece that a step added is held against what it was when it was new.
    """
    known = {piece.key: piece for piece in (*run.before, *(one for stage in run.stages for one in stage.pieces))[::-1]}
    rows = also_changes(tuple(known.values()), run.after, run.seams, run.units)
    return tuple(row for row in rows if not any(_was_asked(row, check) for check in run.checks))


def also_texts(runs: Sequence[SizeRun]) -> tuple[str, ...]:
    """Write what runs left unmatched, each thing once, with the sizes where it does not hold for all."""
    found: dict[str, list[str]] = {}
    for run in runs:
        for row in net_changes(run):
            found.setdefault(row.message, []).append(run.size or "")
    return tuple(
        text if len(sizes) == len(runs) else f"{text} (size{'s' if len(sizes) > 1 else ''} {', '.join(sizes)})"
        for text, sizes in found.items()
    )


def _was_asked(row: AlsoRow, check: Check) -> bool:
    """Tell whether a check holds that a cap's ease, of which a row tells, is what was asked for."""
    cap = next((edges for edges in (row.edge, row.against) if edges.endswith(f"/{EdgeName.CAP}")), None)
    if cap is None or check.status != Status.PASS:
        return False
    sleeve = cap.removesuffix(f"/{EdgeName.CAP}")
    return holds_cap_ease(check, sleeve)


# -- seams -----------------------------------------------------------------------------------------------------------


def _seam(seam: Seam, pairs: dict[str, Pair], units: Units, tolerance: float) -> Iterable[AlsoRow]:
    first, second = seam.a, seam.b
    sides = Sides(_lengths(first, pairs), _lengths(second, pairs))
    change = sides.after - sides.before
    cap = cap_and_armhole(seam)
    if cap is not None:
        if abs(change) > LEAST_CHANGE_REPORTED:
            yield _ease(*cap, sides if cap[0] == seam.a else sides.turned(), units)
        return
    was, now = _off(seam, sides.before, tolerance), _off(seam, sides.after, tolerance)
    if abs(change) < 0.01 or now <= 0.0:
        return
    if was > 0.0 and now - was <= tolerance:
        return
    # The row that the step left alone (or changed less) is the one to change after it.
    if abs(sides.a[1] - sides.a[0]) < abs(sides.b[1] - sides.b[0]):
        first, second, sides = second, first, sides.turned()
    yield _unmatched(first, second, sides, seam.ease, units, tolerance)


def _off(seam: Seam, difference: float, tolerance: float) -> float:
    """Measure how far a difference of ``a`` less ``b`` lies outside what the seam may have, mm; not above 0: within.

    That is within ``tolerance`` of nothing; where an ease is stated, within that.
    """
    if seam.ease is None:
        return abs(difference) - tolerance
    more = difference if seam.ease.eased == seam.a else -difference
    least, most = seam.ease.amounts
    return max(least - more, more - most) - (tolerance if least == most else 0.0)


def _lengths(row: Row, pairs: dict[str, Pair]) -> tuple[float, float]:
    before = [sewn_length(pairs[name][0], edge) for name, edge in row]
    after = [
        length if pairs[name][0] is pairs[name][1] else sewn_length(pairs[name][1], edge)
        for (name, edge), length in zip(row, before, strict=True)
    ]
    return sum(before), sum(after)


def _ease(cap: Row, armhole: Row, sides: Sides, units: Units) -> AlsoRow:
    """Say how the ease changed of a cap (``sides.a``) in its armhole."""
    change = sides.after - sides.before
    amount, how = units.plain(abs(change)), "more" if change > 0 else "less"
    eases = f"{units.plain(sides.after)}, before {units.plain(sides.before)}"
    by_cap = abs(sides.a[1] - sides.a[0]) >= abs(sides.b[1] - sides.b[0])
    done, other = (cap, armhole) if by_cap else (armhole, cap)
    into = f"{'its armhole' if len(armhole) == 1 else 'their armhole'}" if by_cap else f"the {_whose(armhole)}"
    owner = f"{cap[0][0]}'s cap" if by_cap else "its cap"
    message = (
        f"also change {_owners(other)}, unless this is the ease you want: {owner} has {amount} {how} ease in {into}"
    )
    return AlsoRow(_names(other), spell_edges(other), spell_edges(done), change, f"{message} ({eases})")


def _unmatched(
    changed: Row, other: Row, sides: Sides, ease: SeamEase | None, units: Units, tolerance: float
) -> AlsoRow:
    """Say by how much to change the row that is sewn to the one that the step changed, ``sides.a``."""
    one = len(other) == 1
    own = f"its {other[0][1]}" if one else f"the {_whose(other)}"
    same_piece = _names(changed) == _names(other)
    theirs = f"its {changed[0][1]}" if same_piece and len(changed) == 1 else f"the {_whose(changed)}"
    if abs(sides.before) <= tolerance:
        was = f"was as long as {theirs}"
    else:
        was = f"was {_longer(-sides.before, units)} than {theirs}"
    is_now = "as long" if abs(sides.after) < 0.005 else _longer(-sides.after, units)
    message = f"also change {_owners(other)}: {own} {was} and is now {is_now}"
    if ease is not None:
        stated = " to ".join(dict.fromkeys(units.plain(amount) for amount in ease.amounts))
        message += f"; {stated} of ease is stated for {spell_edges(ease.eased)}"
    return AlsoRow(_names(other), spell_edges(other), spell_edges(changed), -sides.after, message)


# -- pieces cut after another ----------------------------------------------------------------------------------------


def _copies(pairs: dict[str, Pair], seams: Sequence[Seam], units: Units, tolerance: float) -> Iterable[AlsoRow]:
    sewn = {pair for seam in seams for a in seam.a for b in seam.b for pair in ((a, b), (b, a))}
    for old, new in pairs.values():
        if old is new:
            continue
        changed = [
            (was, now)
            for was, now in edge_pairs(old, new)
            if not np.array_equal(was.curve.segments, now.curve.segments)
        ]
        for copy_old, copy_new in pairs.values():
            named = _is_copy(copy_old, old)
            if copy_old is old or not (named or _may_copy(copy_old, old)):
                continue
            for was, now in changed:
                if now.fold:
                    continue
                partner = _partner(copy_old, old, was, tolerance, named=named)
                if partner is not None and ((old.name, was.name), (copy_old.name, partner.name)) not in sewn:
                    yield from _copy((old, new), was.name, (copy_old, copy_new), partner.name, units, tolerance)


def _is_copy(piece: Piece, of: Piece) -> bool:
    """Tell whether a piece's name says that it is the other's lining, facing or the like."""
    found = cut_after(piece.name)
    return found is not None and cut_after(of.name) is None and found[0] in (in_english(of.name), of.kind)


def _may_copy(piece: Piece, of: Piece) -> bool:
    """Tell whether edges of one shape mean anything: a front and a back may well have like ones by chance."""
    return {piece.kind, of.kind} != {PieceKind.FRONT, PieceKind.BACK} and cut_after(of.name) is None


def _partner(copy: Piece, of: Piece, edge: Edge, tolerance: float, *, named: bool) -> Edge | None:
    """Find the edge of a copy that was cut after ``edge``: of its name, else of its length and curved shape.

    A straight edge's shape tells nothing, but the only one of its length on a facing is meant, and one of a cuff or
    band that is as long as a hem is sewn to it.
    """
    if named and copy.has_edge(edge.name):
        return copy.edge(edge.name)
    wanted = sewn_edge(of, edge.name)
    length = wanted.length(1e-3)
    if _is_straight(wanted):
        at_hem = edge.name == EdgeName.HEM and set(in_english(copy.name).split()).intersection(SEWN_TO_HEM)
        if not (named or at_hem):
            return None
        alike = [one for one in copy.edges if abs(sewn_length(copy, one.name) - length) <= tolerance]
        return alike[0] if alike and (at_hem or len(alike) == 1) else None
    for one in copy.edges:
        if copy.darts or _may_be(one.curve, length, tolerance):
            curve = sewn_edge(copy, one.name)
            if abs(curve.length(1e-3) - length) <= tolerance and shape_distance(wanted, curve) <= tolerance:
                return one
    return None


def _may_be(curve: Curve, length: float, tolerance: float) -> bool:
    """Tell whether a curve may be so long: it is no shorter than its chord, no longer than its control polygon."""
    polygon = float(np.abs(np.diff(curve.segments, axis=1)).sum())
    return abs(curve.end - curve.start) - tolerance <= length <= polygon + tolerance


def _copy(piece: Pair, edge: str, copy: Pair, partner: str, units: Units, tolerance: float) -> Iterable[AlsoRow]:
    lengths = [sewn_length(one, edge) for one in piece], [sewn_length(one, partner) for one in copy]
    before, after = lengths[1][0] - lengths[0][0], lengths[1][1] - lengths[0][1]
    own, theirs = f"its {partner}", f"{piece[0].name}'s" + ("" if partner == edge else f" {edge}")
    start = f"also change {copy[0].name}: {own}"
    if abs(before) <= tolerance < abs(after):
        message = f"{start} was as long as {theirs} and is now {_longer(after, units)}"
    elif abs(before) > tolerance and abs(after - before) > tolerance:
        message = f"{start} was {_longer(before, units)} than {theirs} and is now {_longer(after, units)}"
    else:
        far = _new_shape_distance(piece, edge, copy, partner, tolerance)
        if far is None:
            return
        off = units.plain(far)
        message = f"{start} lay like {theirs} and no longer does, by up to {off}, though the two are as long as before"
    edges = f"{copy[0].name}/{partner}", f"{piece[0].name}/{edge}"
    yield AlsoRow(copy[0].name, *edges, after, message)


def _new_shape_distance(piece: Pair, edge: str, copy: Pair, partner: str, tolerance: float) -> float | None:
    """Measure how far two edges' shapes now lie apart; None where they lie alike, or did not before."""
    curves = [(sewn_edge(one, edge), sewn_edge(other, partner)) for one, other in zip(piece, copy, strict=True)]
    # Two sleeves lie in like frames: one mirrored would have its front where the other has its back.
    freely = piece[0].kind != copy[0].kind
    if shape_distance(*curves[0], freely=freely) > tolerance:
        return None
    far = shape_distance(*curves[1], freely=freely)
    return far if far > tolerance else None


def shape_distance(one: Curve, other: Curve, *, freely: bool = True) -> float:
    """Measure how far two curves lie from one another, mm, the second turned until it lies on the first as it can.

    ``freely``: it may also be mirrored, and walked the other way.
    Sampled at 33 places at equal shares of the length; the turn is the one of least squares (for points as complex
    numbers the phase of the sum of products; any textbook of shape analysis, from memory).
    """
    first, second = (_sampled(curve) for curve in (one, other))
    found: list[float] = []
    for laid in (second, second.conj(), second[::-1], second[::-1].conj())[: None if freely else 1]:
        turn = np.vdot(laid, first)
        laid = laid * (turn / abs(turn)) if abs(turn) > 0 else laid
        found.append(float(np.abs(laid - first).max()))
    return min(found)


def _sampled(curve: Curve) -> np.ndarray[tuple[int], np.dtype[np.complex128]]:
    """Sample points at equal shares of the length (to a hundredth of a step), about their own middle."""
    t = np.linspace(0.0, len(curve), 32 * len(curve) + 1)
    points = curve.points(t)
    run = np.concatenate([np.zeros(1), np.cumsum(np.abs(np.diff(points)))])
    found = curve.points(np.asarray(np.interp(run[-1] * _PLACES, run, t), dtype=np.float64))
    return found - found.mean()


def _is_straight(curve: Curve) -> bool:
    chord = curve.end - curve.start
    if abs(chord) < 1e-6:
        return False
    off = np.imag((curve.segments.ravel() - curve.start) * np.conj(chord)) / abs(chord)
    return float(np.abs(off).max()) < STRAIGHT * abs(chord)


# -- words -----------------------------------------------------------------------------------------------------------


def _names(row: Row) -> str:
    return "+".join(dict.fromkeys(name for name, _ in row))


def _owners(row: Row) -> str:
    return listed(list(dict.fromkeys(name for name, _ in row)))


def _whose(row: Row) -> str:
    """Name an edge with its owners: ``side seam of Back``, ``armhole of Front and Back``; whatever is mixed, listed."""
    edges = dict.fromkeys(edge for _, edge in row)
    if len(edges) == 1:
        return f"{next(iter(edges))} of {_owners(row)}"
    return listed([f"{edge} of {name}" for name, edge in row])


def _longer(mm: float, units: Units) -> str:
    return f"{units.plain(abs(mm))} {'longer' if mm > 0 else 'shorter'}"
