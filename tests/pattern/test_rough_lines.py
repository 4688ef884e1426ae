"""Traced outlines and polylines: corners where the line turns over some millimetres, lengths right or told.

A length may be off by what its two ends are off (four or five standard deviations of the jitter) and half a millimetre;
more is told. Wrong in silence is nothing.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace

from svgfit.geometry.curve import Curve
from svgfit.model.length import both_ways_text
from svgfit.pattern.corners import find_jogs, find_sides
from svgfit.pattern.rough_lines import chords_of, evenly, fillets, in_a_row, length_notes, roughness

from .smocks import Part, outcomes, points_of, smock, traced

TRACINGS = [
    (1.0, 0.1),
    (2.0, 0.1),
    (5.0, 0.2),
    (1.0, 0.05),
    (2.0, 0.02),
    (1.0, 0.2),
    (5.0, 0.1),
    (10.0, 0.1),
    (1.0, 0.4),
]


@pytest.mark.slow_after(3)
@pytest.mark.parametrize("smooth", [False, True], ids=["straight", "curved"])
@pytest.mark.parametrize(("spacing", "jitter"), TRACINGS)
def test_a_tracing_is_known_and_what_its_jitter_adds_is_told(
    spacing: float, jitter: float, smooth: bool, tmp_path: Path
) -> None:
    """Nodes 0.1 mm off and 1 mm apart make a cap 4 to 5 mm too long."""
    drawn = [traced(part, spacing, jitter, seed=7, smooth=smooth) for part in smock()]
    found = outcomes(tmp_path, drawn, 0.5 + 4 * jitter, truth=smock())
    assert [one.kind for one in found] == [part.kind for part in smock()]
    assert not [one for one in found if one.silent]
    if jitter / spacing >= 0.05:
        assert all(any("jagged" in text for text in one.told) for one in found)


def test_what_jitter_adds_is_told_in_figures(tmp_path: Path) -> None:
    """The figure that is told is what the drawn line is longer than the one that was traced, to a fifth."""
    sleeve = smock()[0]
    drawn = traced(sleeve, 1.0, 0.1, seed=11)
    loop = Curve.chain(drawn.edges.values())
    (note,) = length_notes([("cap", drawn.edges["cap"])], loop)
    longer = drawn.lengths()["cap"] - sleeve.lengths()["cap"]
    told = float(both_ways_text(note).split("longer for it, by ")[1].split(" mm")[0])
    assert told == pytest.approx(longer, rel=0.2)


@pytest.mark.slow_after(3)
@pytest.mark.parametrize("jitter", [0.0, 0.1])
@pytest.mark.parametrize("chord", [25.0, 30.0, 15.0, 10.0, 20.0])
def test_long_chords_are_no_corners(chord: float, jitter: float, tmp_path: Path) -> None:
    """Edges as drawn, whatever the chords; how much shorter than the curve is told."""
    for steps in (-3, 0, 3):
        drawn = [traced(part, chord, jitter, seed=5) for part in smock(steps)]
        found = outcomes(tmp_path, drawn, 1e-3)
        assert [(one.kind, one.off) for one in found] == [(part.kind, {}) for part in smock(steps)]
        against = outcomes(tmp_path, drawn, 0.5 + 5 * jitter, truth=smock(steps))
        assert not [one for one in against if one.silent]


def test_what_chords_lack_is_told_in_figures() -> None:
    cap = smock()[0].edges["cap"]
    drawn = Curve.polyline([complex(point) for point in points_of(cap, 30)])
    (note,) = length_notes([("cap", drawn)], drawn)
    told = float(both_ways_text(note).split("longer, by ")[1].split(" mm")[0])
    assert told == pytest.approx(cap.length() - drawn.length(), rel=0.3)


def test_lines_drawn_with_care_have_nothing_told(tmp_path: Path) -> None:
    """Neither the smock's own curves nor chords so short that nothing is lost."""
    assert [(one.off, one.told) for one in outcomes(tmp_path, smock(), 1e-3)] == [({}, ())] * 3
    fine = [traced(part, 3.0, 0.0) for part in smock()]
    assert [(one.off, one.told) for one in outcomes(tmp_path, fine, 0.1, truth=smock())] == [({}, ())] * 3


@pytest.mark.parametrize("jitter", [0.05, 0.1, 0.3])
def test_how_rough_a_line_is_is_measured(jitter: float) -> None:
    """Within a quarter of what it was made with; an even line has none."""
    front = smock()[1]
    found = roughness(traced(front, 2.0, jitter, seed=3).stitch(), closed=True)
    assert found.jitter == pytest.approx(jitter, rel=0.25)
    assert found.spacing == pytest.approx(2.0, rel=0.1)
    assert roughness(traced(front, 2.0, 0.0).stitch(), closed=True).jitter < 1e-3


def rounded_square(radius: float, steps: int) -> Curve:
    """A square of 200 mm, its corners rounded, the arcs in so many chords."""
    points: list[complex] = []
    for k in range(4):
        turn = 1j**k
        arc = np.exp(1j * np.linspace(-np.pi / 2, 0, steps + 1))
        points += [complex((100 - radius) * (1 - 1j) * turn + radius * way * turn) for way in arc]
    return Curve.polyline([*points, points[0]])


@pytest.mark.parametrize(("radius", "corners"), [(0.5, 4), (1.5, 4), (2.5, 4), (12.0, 0), (40.0, 0)])
def test_a_corner_rounded_by_very_little_is_a_corner(radius: float, corners: int) -> None:
    loop = rounded_square(radius, 6)
    assert len(fillets(loop)) == corners
    assert len(find_sides(loop)) == max(1, corners)


def test_a_corner_amid_chords_stays_one() -> None:
    """A blunt corner turns far more than the chords beside it."""
    arc = [200 * complex(np.exp(1j * angle)) for angle in np.linspace(0, 1.2, 10)]
    out = arc[-1] + 60 * complex(np.exp(1j * (1.2 + np.pi / 2 + 0.6)))
    loop = Curve.polyline([*arc, out, -150 + 300j, -150 + 0j, arc[0]])
    chords = chords_of(loop, closed=True)
    assert [in_a_row(chords, k) for k in range(2, 8)] == [True] * 6
    assert not in_a_row(chords, 9)
    assert min(abs(side.start - arc[-1]) for side in find_sides(loop)) < 1e-9


def test_no_step_is_looked_for_on_a_rough_line() -> None:
    back = traced(smock()[2], 1.0, 0.2, seed=2)
    assert find_jogs(back.stitch()) == []
    assert len(find_sides(back.stitch())) == 6


def test_rough_corners_lie_where_they_were_drawn() -> None:
    """Within the jitter and the nodes' distance."""
    for part in (smock()[0], smock()[1]):
        rough = traced(part, 2.0, 0.1, seed=9)
        meant = [curve.start for curve in part.edges.values()]
        found = [side.start for side in find_sides(rough.stitch())]
        assert len(found) == len(meant)
        assert max(min(abs(at - corner) for at in found) for corner in meant) < 2.5


def test_the_cut_line_alone_is_told_of_too(tmp_path: Path) -> None:
    front = smock()[1]
    assert front.cut is not None
    jagged = traced(Part(name="", kind="", edges={"cut": front.cut}), 1.0, 0.1).stitch()
    (one,) = outcomes(tmp_path, [replace(front, cut=jagged)], 1.0, lines="cut")
    assert any("jagged" in text for text in one.told)


@pytest.mark.parametrize("side", [100.0, 10_000_000.0])
def test_kilometres_of_line_are_looked_at_in_fewer_steps(side):
    square = Curve.polyline([0j, side + 0j, side + side * 1j, side * 1j, 0j])
    t, points = evenly(square)
    assert len(t) == len(points) <= 100_001
    assert np.abs(np.diff(points))[1:-1].max() == pytest.approx(max(0.5, 4 * side / 100_000), rel=1e-2)
