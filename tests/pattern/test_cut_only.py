"""Cut lines alone, as programs draw them: corners pointed, cut off, rounded; a stitch line proved by its own parallel.

The cut lines are drawn by ``smocks.around`` and by shapely's buffer, not by svgfit.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import polygonize, unary_union

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.length import both_ways_text
from svgfit.model.piece import Edge
from svgfit.pattern.corners import find_sides
from svgfit.pattern.cut_only import cut_sides, unproved
from svgfit.pattern.recognise.whole import find_mirror_axis

from .smocks import HEM, SEAM, Part, around, neck, outcomes, points_of, smock

FORMS = [
    ("rounded", 0.0),
    ("bevelled", 0.0),
    ("eased", 8.0),
    ("clipped", 5.0),
    ("mitred", 0.0),
    ("eased", 3.0),
    ("eased", 15.0),
    ("clipped", 2.0),
    ("clipped", 12.0),
]


@pytest.mark.slow_after(3)
@pytest.mark.parametrize(("join", "reach"), FORMS)
def test_whatever_the_corners_the_seam_is_right(join: str, reach: float, tmp_path: Path) -> None:
    """A quarter of a millimetre over every edge, caps within a twentieth; nothing is told."""
    for steps in (0, -3):
        drawn = [around(part, join, reach=reach) for part in smock(steps)]
        found = outcomes(tmp_path, drawn, 0.25, lines="cut")
        assert [(one.kind, one.off, one.told) for one in found] == [(part.kind, {}, ()) for part in smock(steps)]
    (arm,) = outcomes(tmp_path, [around(smock()[0], join, reach=reach)], 0.05, lines="cut")
    assert "cap" not in arm.off


def offset_by_shapely(part: Part, wide: float, join: str, chords: int) -> Part:
    """The piece with a cut line as shapely's buffer draws it: one width all round, its own way to turn corners."""
    points = np.concatenate([points_of(curve, 0.5)[:-1] for curve in part.edges.values()])
    shape = Polygon([(point.real, point.imag) for point in points.tolist()])
    ring = shape.buffer(wide, join_style=join, quad_segs=chords, mitre_limit=5).exterior  # type: ignore[arg-type]
    return replace(part, cut=Curve.polyline([complex(x, y) for x, y in ring.coords]))


@pytest.mark.slow_after(2)
@pytest.mark.parametrize("wide", [SEAM, 10.0])
@pytest.mark.parametrize(("join", "chords"), [("round", 8), ("bevel", 8), ("mitre", 8), ("round", 4), ("round", 12)])
def test_as_another_library_offsets_it(join: str, chords: int, wide: float, tmp_path: Path) -> None:
    """Arcs of exactly the allowance's radius, in few chords or many."""
    arm = offset_by_shapely(smock()[0], wide, join, chords)
    assert arm.cut is not None
    sides = cut_sides(arm.cut, (), {"all": wide}, 4)
    assert len(sides) == 4
    (one,) = outcomes(tmp_path, [arm], 0.4, lines="cut", allowances=f'"seam allowance" = "{wide} mm"')
    assert (one.kind, one.off) == ("sleeve", {})


@pytest.mark.slow_after(3)
@pytest.mark.parametrize(("width", "depth"), [(84, 14), (60, 20), (90, 10), (84, 20), (70, 26), (50, 16), (75, 18)])
def test_a_seam_tighter_than_its_allowance_is_told(width: float, depth: float, tmp_path: Path) -> None:
    """Its cut line has a cusp or a loop at the tight place, and does not show the seam there: told, or right."""
    for join in ("mitred", "bevelled", "rounded"):
        (one,) = outcomes(tmp_path, [around(neck(width, depth), join)], 0.5, lines="cut")
        assert not one.silent, (join, one)


def allowances(seam: float) -> str:
    return f'"seam allowance" = {{ all = "{seam} mm", hem = "1 in" }}'


@pytest.mark.parametrize(
    ("width", "depth", "seam", "join"),
    [
        (60, 20, 6.0, "bevelled"),
        (90, 26, 6.0, "bevelled"),
        (75, 26, 10.0, "rounded"),
        (75, 26, 10.0, "bevelled"),
    ],
)
def test_what_turns_a_corner_takes_nothing_off_a_tight_neck(
    width: float, depth: float, seam: float, join: str, tmp_path: Path
) -> None:
    """The neckline bends more gently than its allowance is wide, so that its whole parallel is drawn: right, untold."""
    drawn = around(neck(width, depth), join, seam=seam, spacing=0.5)
    (one,) = outcomes(tmp_path, [drawn], 0.06, lines="cut", allowances=allowances(seam))
    assert (one.kind, one.off, one.told) == ("back", {}, ())


def trimmed(part: Part) -> Part:
    """The piece with its cut line's loops cut off, as a program does that keeps what is enclosed."""
    assert part.cut is not None
    nodes = [complex(point) for point in part.cut.segments[:, 0]]
    line = LineString([(point.real, point.imag) for point in [*nodes, nodes[0]]])
    faces = [face for face in polygonize(unary_union(line)) if around_it(nodes, face.representative_point())]
    ring = max(getattr(unary_union(faces), "geoms", [unary_union(faces)]), key=lambda face: face.area).exterior
    points = [complex(x, y) for x, y in ring.coords]
    return replace(part, cut=Curve.polyline(points if ring.is_ccw else points[::-1]))


def around_it(nodes: list[complex], point: Point) -> int:
    """How many times a closed polyline runs round a point."""
    from_there = np.array(nodes) - complex(point.x, point.y)
    return round(float(np.angle(np.roll(from_there, -1) / from_there).sum()) / (2 * np.pi))


def blunted(part: Part, back: float, chords: int) -> Part:
    """The piece with its cut line's hollow corners cut off so many mm on both sides, straight or in a curve."""
    assert part.cut is not None
    line, count = part.cut, len(part.cut)
    at = np.arange(count)
    nodes = at.astype(np.float64)
    turns = np.angle(line.tangents(nodes) / np.roll(line.tangents(nodes + 1, before=True), 1))
    hollow = [k for k in at.tolist() if turns[k] < -0.35]
    run = [line.length_between(0.0, float(k)) for k in hollow]
    points: list[complex] = []
    for k in at.tolist():
        if k in hollow:
            first, last = line.at_lengths([run[hollow.index(k)] - back, run[hollow.index(k)] + back])
            a, b, tip = line.point(first), line.point(last), line.point(float(k))
            share = np.linspace(0, 1, chords + 1)
            points += (
                (1 - share) ** 2 * a + 2 * share * (1 - share) * (tip if chords > 1 else (a + b) / 2) + share**2 * b
            ).tolist()
        elif all(abs(line.length_between(0.0, float(k)) - one) > back for one in run):
            points.append(line.point(float(k)))
    return replace(part, cut=Curve.polyline([*points, points[0]]))


@pytest.mark.slow_after(3)
@pytest.mark.parametrize(
    ("width", "depth", "seam", "join", "chords"),
    [
        (84, 14, 6.0, "eased", 0),
        (75, 12, 6.0, "clipped", 1),
        (60, 14, 6.0, "rounded", 1),
        (75, 12, 10.0, "mitred", 8),
        (50, 10, 16.0, "mitred", 8),
        (84, 14, 6.0, "bevelled", 0),
        (75, 18, 10.0, "eased", 0),
    ],
)
def test_a_cusp_that_was_cut_off_is_told(
    width: float, depth: float, seam: float, join: str, chords: int, tmp_path: Path
) -> None:
    """Trimmed, bevelled or rounded at the cusp, a single size and no nest: what is off by 0.3 mm is told."""
    drawn = trimmed(around(neck(width, depth), join, reach=5.0, seam=seam, spacing=0.5))
    drawn = blunted(drawn, 2.0, chords) if chords else drawn
    (one,) = outcomes(tmp_path, [drawn], 0.3, lines="cut", allowances=allowances(seam))
    assert not one.silent, one


def square_with_notch(turn: float) -> Curve:
    """A big square whose upper side dips to a point in its middle, by an angle."""
    dip = 100 * np.tan(turn / 2)
    return Curve.polyline([0j, 100 + 1j * dip, 200 + 0j, 200 + 200j, 200j, 0j])


def test_a_cusp_is_no_corner_of_the_piece() -> None:
    """A point into the piece lies within an edge; one outwards is a corner."""
    hollow = cut_sides(square_with_notch(0.8), (), {"all": 10.0}, 4)
    assert len(hollow) == 4
    assert all(abs(side.start - (100 + 1j * 100 * np.tan(0.4))) > 1 for side in hollow)
    pointed = cut_sides(square_with_notch(-0.8), (), {"all": 10.0}, 4)
    assert len(pointed) == 5


def stitched(part: Part) -> list[Edge]:
    """The true stitch line with its allowances."""
    wide = {"hem": HEM, "fold": 0.0}
    return [Edge(name, line, wide.get(name, SEAM), fold=name == "fold") for name, line in part.edges.items()]


def test_the_true_stitch_line_is_proved() -> None:
    for part in smock():
        assert part.cut is not None
        assert unproved(stitched(part), part.cut) == []


@pytest.mark.parametrize("by", [1.0, 3.0, -1.0])
def test_a_stitch_line_that_is_off_is_told_with_its_place(by: float) -> None:
    """An edge shifted by a millimetre is not proved: the edge is named, and a place on it."""
    front = smock()[1]
    edges = stitched(front)
    k = next(k for k, edge in enumerate(edges) if edge.name == "neckline")
    moved = edges[k].curve.transform(Affine.shift(complex(by, 0)))
    edges[k] = replace(edges[k], curve=Curve.chain([moved, Curve.polyline([moved.end, edges[k].curve.end])]))
    assert front.cut is not None
    notes = unproved(edges, front.cut)
    assert notes
    assert all(note.startswith("neckline: ") for note in notes)


def test_an_edge_that_runs_far_beyond_its_cut_line_is_told() -> None:
    """A shoulder 32 mm too long."""
    back = smock()[2]
    assert back.cut is not None
    edges = stitched(back)
    k = next(k for k, edge in enumerate(edges) if edge.name == "shoulder")
    line = edges[k].curve
    longer = Curve.polyline([line.start - 32 * line.tangent(0.0), line.end])
    edges[k] = replace(edges[k], curve=longer)
    assert any(note.startswith("shoulder: its last") for note in unproved(edges, back.cut))


def test_a_cut_line_that_crosses_itself_is_told(tmp_path: Path) -> None:
    (one,) = outcomes(tmp_path, [around(neck(90, 10), "mitred")], 0.5, lines="cut")
    assert any("cut line: it crosses itself at x" in text for text in one.told)
    assert find_mirror_axis(neck(90, 10).stitch()) is None


def test_a_piece_that_cannot_be_inset_keeps_no_other_from_being_read(tmp_path: Path) -> None:
    """Its cut line is measured and told to be that."""
    arm, front, _ = smock()
    blunt = around(neck(84, 14), "eased", reach=40.0)
    found = outcomes(tmp_path, [around(arm, "mitred"), around(front, "mitred"), blunt], 0.25, lines="cut")
    assert [(one.kind, one.off) for one in found[:2]] == [("sleeve", {}), ("front", {})]
    assert not found[2].silent


def test_without_an_allowance_a_cut_line_is_the_stitch_line() -> None:
    """No cusp and no corner of an allowance is looked for: a corner into the piece is one of its corners."""
    shape = Curve.polyline([0j, 200 + 0j, 200 + 90j, 196 + 90j, 196 + 150j, 200j, 0j])
    sides = cut_sides(shape, (), {"all": 0.0}, 4)
    assert [side.length() for side in sides] == pytest.approx([side.length() for side in find_sides(shape)])
    assert len(sides) == 6


def test_a_line_longer_than_any_piece_s_is_not_proved_and_says_so() -> None:
    side = 3_000_000.0
    square = Curve.polyline([0j, side + 0j, side + side * 1j, side * 1j, 0j])
    (note,) = unproved([Edge("cap", Curve.polyline([0j, side + 0j]), allowance=10.0)], square)
    assert both_ways_text(note).startswith("cut line: it is 12000000.0 mm (472440 15/16 in) long, as no piece is")
