"""A drawn line without what is no line: segments that go nowhere, hooks, handles of no length. Page mm."""

from __future__ import annotations

import numpy as np

from svgfit.geometry.bezier import Complex, from_line
from svgfit.geometry.curve import Curve
from svgfit.rules.drawing_habits import SPECK

STUMP = 0.01
"""A handle shorter than this (mm) says nothing of the direction."""


def without_specks(curve: Curve, speck: float = 1e-4) -> Curve | None:
    """Drop segments that go nowhere (control points within ``speck`` mm); None if nothing is left."""
    size = np.abs(curve.segments - curve.segments[:, :1]).max(axis=1)
    kept = curve.segments[size > speck]
    if not len(kept):
        return None
    return Curve.chain([Curve(kept)]) if len(kept) < len(curve) else curve


def without_slips(curve: Curve, closed: bool, speck: float = SPECK) -> Curve:
    """Drop short segments (or runs of them) that turn off a line of far longer segments, and come back.

    Its neighbours then meet in the middle of what is left out. A speck that goes smoothly on (a node that a program
    added) stays, as does a line that is drawn of nothing but such short segments.
    """
    segments = curve.segments
    n = len(segments)
    size = np.abs(segments - segments[:, :1]).max(axis=1)
    small = size <= speck
    if not small.any() or n < 3:
        return curve
    ks = [int(k) for k in np.flatnonzero(small)]
    runs: list[tuple[int, int]] = []
    for k in ks:
        if runs and runs[-1][1] == k - 1:
            runs[-1] = (runs[-1][0], k)
        else:
            runs.append((k, k))
    if closed and len(runs) > 1 and runs[0][0] == 0 and runs[-1][1] == n - 1:
        runs[0] = (runs.pop()[0] - n, runs[0][1])
    dropped: set[int] = set()
    moves: list[tuple[int, int, complex]] = []
    for a, b in runs:
        before, after = a - 1, b + 1
        if not closed and (before < 0 or after >= n):
            continue
        before, after = before % n, after % n
        if before == after or not _is_slip(segments, a, b, before, after, speck, size):
            continue
        dropped |= {k % n for k in range(a, b + 1)}
        moves.append((before, after, complex(segments[before, 3] + segments[after, 0]) / 2))
    if not dropped:
        return curve
    mended = segments.copy()
    for before, after, at in moves:
        mended[before] = _end_at(mended[before], at)
        mended[after] = _end_at(mended[after][::-1], at)[::-1]
    kept = Curve(mended[[k for k in range(n) if k not in dropped]])
    return Curve.chain([kept])


def _is_slip(segments: Complex, a: int, b: int, before: int, after: int, speck: float, size: np.ndarray) -> bool:
    n = len(segments)
    run = [segments[k % n] for k in range(a, b + 1)]
    extent = max(abs(complex(point - run[0][0])) for cubic in run for point in cubic)
    if extent > 1.5 * speck or min(size[before], size[after]) < 5 * extent:
        return False
    chain = Curve(np.array([segments[before], *run, segments[after]]))
    nodes = np.arange(1, len(chain), dtype=np.float64)
    turn = np.abs(np.angle(chain.tangents(nodes) / chain.tangents(nodes, before=True)))
    return bool(turn.max() > 0.1)


def _end_at(cubic: Complex, at: complex) -> Complex:
    """Move a cubic's end a hair: a straight one stays straight, a bent one keeps its end's direction."""
    if Curve(cubic[None, :]).is_straight(1e-6):
        return from_line(complex(cubic[0]), at)
    moved = cubic.copy()
    moved[2] += at - moved[3]
    moved[3] = at
    return moved


def with_plain_handles(curve: Curve, stump: float = STUMP) -> Curve:
    """Turn handles shorter than ``stump`` mm to where the curve really goes: rounding turned them anywhere."""
    segments = curve.segments
    size = np.abs(segments - segments[:, :1]).max(axis=1)
    mended = segments
    for end, handle, other in ((0, 1, 2), (3, 2, 1)):
        reach = mended[:, handle] - mended[:, end]
        length = np.abs(reach)
        aim = mended[:, other] - mended[:, end]
        far = np.abs(aim)
        odd = (length > 0) & (length <= stump) & (size > 50 * stump)
        if not odd.any():
            continue
        # The other handle may have no length either: then the line goes to its other end.
        whole = mended[:, 3 - end] - mended[:, end]
        aim = np.where(far > stump, aim, whole)
        unit = aim / np.maximum(np.abs(aim), 1e-300)
        odd &= np.abs(reach - length * unit) > 0.05 * length
        if odd.any():
            mended = mended.copy()
            mended[odd, handle] = mended[odd, end] + (length * unit)[odd]
    return curve if mended is segments else Curve(mended)


def close_exactly(curve: Curve) -> Curve:
    """End exactly on the start: a last line added, or the last point moved by rounding only."""
    if curve.start == curve.end:
        return curve
    if abs(curve.end - curve.start) > 1e-4:
        return Curve.chain([curve, Curve.polyline([curve.end, curve.start])])
    segments = curve.segments.copy()
    segments[-1, 3] = segments[0, 0]
    return Curve(segments)


def clean_line(curve: Curve, closed: bool) -> Curve | None:
    """Clean a drawn line to what was meant; a closed one ends exactly on its start. None where nothing is drawn."""
    line = without_specks(curve)
    if line is None:
        return None
    if closed:
        line = close_exactly(line)
    line = without_slips(with_plain_handles(line), closed)
    return close_exactly(line) if closed else line


def moved_ends(curve: Curve, start: complex, end: complex) -> Curve:
    """Put the curve's ends a little away; what they carry with them fades out along the curve.

    Over its last segment, or forty times the move where that is longer: a straight line stays straight, and no node
    gets a corner (a fortieth is 1.4°).
    """
    there = _moved_end(curve, end)
    return _moved_end(there.reverse(), start).reverse()


def _moved_end(curve: Curve, to: complex) -> Curve:
    by = to - curve.end
    if by == 0:
        return curve
    segments = curve.segments
    steps = np.abs(np.diff(segments, axis=1))
    each = steps.sum(axis=1)
    after = np.concatenate([np.cumsum(each[::-1])[::-1], np.zeros(1)])[1:]
    left = np.zeros(segments.shape)
    left[:, :3] = np.cumsum(steps[:, ::-1], axis=1)[:, ::-1]
    left += after[:, None]
    reach = max(40 * abs(by), float(each[-1]))
    reach = min(reach, float(each.sum()))
    share = np.clip(1 - left / max(reach, 1e-300), 0, 1)
    moved = segments + by * share
    moved[-1, 3] = to
    return Curve(moved)
