"""Drawn lines as curves in page millimetres: turned over (y down), joined end to end, their curves found again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.formats.dxf.entities import Line
from svgfit.formats.dxf.looks import Look
from svgfit.formats.dxf.smoothing import Flags, smoothed, straight
from svgfit.geometry.bezier import Complex
from svgfit.geometry.curve import Curve

_MEETS = 0.005
"""Ends nearer than this, mm, are one point; the two are written alike, so that no rounding lies between them."""
_CELL = 0.05
"""A mark within this of a node, mm, marks it: files with three decimals of an inch lie 0.013 mm off."""


class Smooth(Struct, frozen=True, eq=False):
    """A line as a curve, whether it is closed, and by how much (mm) a guess made it longer than its chords."""

    curve: Curve
    closed: bool
    guessed: float = 0.0
    look: Look = Look()


class NodeMarks:
    """Turn points and curve points, to ask of nodes which they are."""

    def __init__(self, turns: Sequence[complex], curves: Sequence[complex]) -> None:
        self._turns, self._curves = _cells(turns), _cells(curves)

    def corners(self, nodes: Complex) -> Flags | None:
        """Say which nodes are no curve points; None where none of them, or hardly any, is marked at all."""
        curved = np.array([_near(node, self._curves) for node in nodes.tolist()])
        turning = np.array([_near(node, self._turns) for node in nodes.tolist()])
        if 2 * np.count_nonzero(curved | turning) < len(nodes):
            return None
        return ~curved | turning

    def astray(self, lines: Sequence[Line]) -> int:
        """Count the marks that lie on no node of these lines: in a sound file there are none."""
        nodes = _cells(node for line in lines for node in line.nodes.tolist())
        marks = (point for cells in (self._turns, self._curves) for points in cells.values() for point in points)
        return sum(not _near(point, nodes) for point in marks)


Cells = dict[tuple[int, int], list[complex]]


def _cells(points: Iterable[complex]) -> Cells:
    found: Cells = {}
    for point in points:
        found.setdefault((round(point.real / _CELL), round(point.imag / _CELL)), []).append(point)
    return found


def _near(point: complex, cells: Cells) -> bool:
    x, y = round(point.real / _CELL), round(point.imag / _CELL)
    return any(
        abs(other - point) <= _CELL
        for column in (x - 1, x, x + 1)
        for row in (y - 1, y, y + 1)
        for other in cells.get((column, row), ())
    )


def smooth_lines(lines: Sequence[Line], marks: NodeMarks) -> list[Smooth]:
    """Join lines that were drawn one after another, and find their curves again; mm, y down."""
    return [made for line in _joined(lines) if (made := _smooth(line, marks)) is not None]


def _smooth(line: Line, marks: NodeMarks) -> Smooth | None:
    if not line.vertices:
        return Smooth(Curve(line.cubics), line.closed, look=line.look)
    nodes = _without_repeats(line.nodes, line.closed)
    closed = line.closed and len(nodes) > 2
    if len(nodes) < 2:
        return None
    corners = marks.corners(nodes)
    curve = Curve(smoothed(nodes, closed, corners))
    if corners is not None:
        return Smooth(curve, closed, look=line.look)
    chords = float(np.abs(np.diff(np.append(nodes, nodes[0]) if closed else nodes)).sum())
    return Smooth(curve, closed, curve.length(1e-3) - chords, line.look)


def _without_repeats(nodes: Complex, closed: bool) -> Complex:
    kept = nodes[np.append(True, np.abs(np.diff(nodes)) > 1e-6)]
    return kept[:-1] if closed and len(kept) > 1 and abs(kept[-1] - kept[0]) <= 1e-6 else kept


def _joined(lines: Sequence[Line]) -> Iterator[Line]:
    """Join open polylines and lines where one begins or ends where the one before it ended; both ways round."""
    first: Line | None = None
    nodes: list[complex] = []
    for line in lines:
        joint = _joint(nodes, line) if first is not None and _drawn_alike(first, line) else None
        if first is not None and joint is not None:
            turned, more = joint
            if turned:
                nodes.reverse()
            nodes += more
            if _is_ring(nodes):
                yield _one_line(first, nodes)
                first = None
            continue
        if first is not None:
            yield _one_line(first, nodes)
        first = line if line.vertices and not line.closed else None
        nodes = line.nodes.tolist()
        if first is None:
            yield line
    if first is not None:
        yield _one_line(first, nodes)


def _drawn_alike(one: Line, other: Line) -> bool:
    return other.vertices and not other.closed and (one.layer, one.look) == (other.layer, other.look)


def _joint(nodes: Sequence[complex], line: Line) -> tuple[bool, list[complex]] | None:
    """Say how a line goes on: whether what is there is turned round first, and the nodes that are added."""
    more: list[complex] = line.nodes.tolist()
    for turned in (False, True):
        end = nodes[0] if turned else nodes[-1]
        for added in (more, more[::-1]):
            if abs(end - added[0]) <= _MEETS:
                return turned, added[1:]
    return None


def _is_ring(nodes: Sequence[complex]) -> bool:
    return abs(nodes[-1] - nodes[0]) <= _MEETS and len(nodes) > 3


def _one_line(first: Line, nodes: Sequence[complex]) -> Line:
    """Make one line of the nodes of several, drawn as the first of them; it alone stays as it is."""
    if len(nodes) == len(first.cubics) + 1:
        return first
    ring = _is_ring(nodes)
    return replace(first, cubics=straight(np.array(nodes[:-1] if ring else nodes), ring), closed=ring)
