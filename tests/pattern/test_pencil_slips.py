"""What pencils and programs leave at corners and ends: hooks, overrun, gaps, chamfers, chords; arrows; letters.

The pieces are the demo's in nine sizes, with the cut lines of the script that draws them, which are not svgfit's own.
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from svgfit import open_drawings
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve

from .smocks import HEAD, Part, convention, outcomes, points_of, smock

PLACE = Affine.shift(400 + 700j)
SLEEVE, FRONT, BACK = smock()
LINES = ("stitch", "cut")


def sides(line: Curve) -> list[Curve]:
    """The stretches of a closed line between its corners."""
    turns = [
        abs(np.angle(line.tangent(float(k)) / line.tangent(float(k or len(line)), before=True))) > 0.3
        for k in range(len(line))
    ]
    corners = [k for k, turned in enumerate(turns) if turned]
    assert corners[0] == 0
    return [line.subcurve(a, b) for a, b in itertools.pairwise([*corners, len(line)])]


def stub(side: Curve, by: float) -> Curve:
    """What is drawn too far of a side."""
    return Curve.polyline([side.end, side.end + by * side.tangent(float(len(side)), before=True)])


def hooked(line: Curve) -> list[Curve]:
    """At each corner the pencil runs 4 mm on and back again."""
    parts = [(side, stub(side, 4.0), stub(side, 4.0).reverse()) for side in sides(line)]
    return [Curve.chain([each for part in parts for each in part])]


def with_strays(line: Curve) -> list[Curve]:
    """A closed line, and at each corner 4 mm that run on, drawn by themselves."""
    return [line, *(stub(side, 4.0) for side in sides(line))]


def chamfered(line: Curve) -> list[Curve]:
    """Each corner cut off 4 mm before it."""
    cut = [side.subcurve(side.at_length(4.0), side.at_length(side.length() - 4.0)) for side in sides(line)]
    joined = [[one, Curve.polyline([one.end, other.start])] for one, other in zip(cut, [*cut[1:], cut[0]], strict=True)]
    return [Curve.chain([each for pair in joined for each in pair])]


def gaping(line: Curve) -> list[Curve]:
    """Each side by itself, 0.2 mm short at both ends: gaps of up to 0.4 mm."""
    return [side.subcurve(side.at_length(0.2), side.at_length(side.length() - 0.2)) for side in sides(line)]


def in_chords(line: Curve) -> list[Curve]:
    points = [complex(point) for side in sides(line) for point in points_of(side, 15.0)[:-1]]
    return [Curve.polyline([*points, points[0]])]


def overrun(by: float, line: Curve) -> list[Curve]:
    """Each side by itself, drawn beyond both its corners."""
    return [
        Curve.chain([stub(side.reverse(), by).reverse(), side, stub(side, by)]) if by else side for side in sides(line)
    ]


def opened(folder, part: Part, layers: dict[str, list[str]]):
    """Read one part, a layer for each role with what is drawn there."""
    (folder / "svgfit.toml").write_text(convention([part]))
    body = "".join(
        f'<g inkscape:groupmode="layer" inkscape:label="{part.name} {role}">{"".join(own)}</g>'
        for role, own in layers.items()
    )
    path = folder / "drawn.svg"
    path.write_text(f'{HEAD}width="1000mm" height="1500mm" viewBox="0 0 1000 1500">{body}</svg>')
    session = open_drawings(path, unit="mm")
    (piece,) = session.pieces
    return piece, session.warnings


def drawn(curve: Curve, paint: str = 'fill="none" stroke="black"') -> str:
    moved = curve.transform(PLACE)
    steps = " ".join("C " + " ".join(f"{p.real:.5f},{p.imag:.5f}" for p in one[1:]) for one in moved.segments)
    end = " Z" if curve.is_closed() else ""
    return f'<path {paint} d="M {moved.start.real:.5f},{moved.start.imag:.5f} {steps}{end}"/>'


def layers_of(part: Part, role: str, lines: list[Curve], grain: list[str] | None = None) -> dict[str, list[str]]:
    found = {f"{role} line": [drawn(each) for each in lines], "notches": [drawn(each) for each in part.notches]}
    assert part.grain is not None
    found["grain line"] = [drawn(part.grain)] if grain is None else grain
    return {**found, "fold line": [drawn(part.fold)]} if part.fold is not None else found


def line_of(part: Part, role: str) -> Curve:
    assert part.cut is not None
    return part.stitch() if role == "stitch" else part.cut


def off(piece, part: Part) -> dict[str, float]:
    found = {"fold" if edge.name == "centre" else str(edge.name): edge.curve.length() for edge in piece.edges}
    return {name: abs(found.get(name, np.inf) - length) for name, length in part.lengths().items()}


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("steps", range(-4, 5))
def test_the_cap_from_a_cut_line_alone_in_nine_sizes(tmp_path, steps):
    """Within 0.011 mm; nothing is told."""
    (found,) = outcomes(tmp_path, [smock(steps)[0]], 0.011, lines="cut")
    assert (found.kind, found.told) == ("sleeve", ())
    assert "cap" not in found.off


SLIPS = {
    "hooks of 4 mm": (hooked, 0.011, ("cut",), "crosses itself"),
    "strays of 4 mm": (with_strays, 0.011, LINES, "marks on the layer of its"),
    "chamfers of 4 mm": (chamfered, 0.011, ("cut",), ""),
    "gaps of 0.4 mm": (gaping, 0.4, LINES, ""),
    "chords of 15 mm": (in_chords, 0.5, LINES, "it is drawn in straight lines of up to"),
}


@pytest.mark.parametrize(("slip", "role"), [(name, role) for name, slip in SLIPS.items() for role in slip[2]])
def test_the_cap_in_spite_of(tmp_path, slip, role):
    draw, within, _, told = SLIPS[slip]
    piece, warnings = opened(tmp_path, SLEEVE, layers_of(SLEEVE, role, draw(line_of(SLEEVE, role))))
    assert piece.kind == "sleeve"
    assert off(piece, SLEEVE)["cap"] < within
    assert any(told in warning for warning in warnings) if told else warnings == ()


@pytest.mark.parametrize("role", LINES)
@pytest.mark.parametrize("by", [1.0, 4.0, 8.0])
@pytest.mark.parametrize("part", smock(), ids=lambda part: part.name)
def test_sides_that_are_drawn_beyond_their_corners(tmp_path, part, by, role):
    """They are cut off where they cross, and that is told."""
    plain, _ = opened(tmp_path, part, layers_of(part, role, [line_of(part, role)]))
    piece, warnings = opened(tmp_path, part, layers_of(part, role, overrun(by, line_of(part, role))))
    assert piece.kind == part.kind
    assert max(off(piece, part).values()) < max(off(plain, part).values()) + 0.03
    corners = len(sides(line_of(part, role)))
    assert any(f"lines run on beyond {corners} corners, by up to {by:.1f} mm" in warning for warning in warnings)


@pytest.mark.parametrize("role", LINES)
def test_a_side_that_is_drawn_beyond_one_that_ends_on_it(tmp_path, role):
    own = sides(line_of(SLEEVE, role))
    long = Curve.chain([own[0], stub(own[0], 5.0)])
    piece, warnings = opened(tmp_path, SLEEVE, layers_of(SLEEVE, role, [long, *own[1:]]))
    assert off(piece, SLEEVE)["cap"] < 0.02
    assert warnings == ()
    both = [Curve.chain([own[2], stub(own[2], 3.0)]), Curve.chain([stub(own[3].reverse(), 3.0).reverse(), own[3]])]
    piece, warnings = opened(tmp_path, SLEEVE, layers_of(SLEEVE, role, [long, own[1], *both]))
    assert off(piece, SLEEVE)["cap"] < 0.02
    assert any("lines run on beyond 2 corners, by up to 5.0 mm" in warning for warning in warnings)


def arrows() -> dict[str, list[str]]:
    """Forms in which a grain line is drawn."""
    assert SLEEVE.grain is not None
    foot, tip = SLEEVE.grain.start, SLEEVE.grain.end
    way = (tip - foot) / abs(tip - foot)
    barbs = [tip + 12 * way * np.exp(1j * turn) for turn in (2.7, -2.7)]
    other = [foot - 12 * way * np.exp(1j * turn) for turn in (2.7, -2.7)]
    side = 1.5j * way
    filled = 'fill="black" stroke="none"'
    shaft = [foot + side, tip - 10 * way + side, tip - 10 * way + 3 * side, tip]
    shaft += [tip - 10 * way - 3 * side, tip - 10 * way - side, foot - side]
    return {
        "a plain line": [drawn(SLEEVE.grain)],
        "a line and a head of its own": [drawn(SLEEVE.grain), drawn(Curve.polyline([barbs[0], tip, barbs[1]]))],
        "line and head in one path": [drawn(Curve.polyline([foot, tip, barbs[0], tip, barbs[1]]))],
        "filled heads at both ends": [
            drawn(SLEEVE.grain),
            drawn(Curve.polyline([tip, *barbs, tip]), filled),
            drawn(Curve.polyline([foot, *other, foot]), filled),
        ],
        "an arrow's outline, filled": [drawn(Curve.polyline([*shaft, shaft[0]]), filled)],
    }


@pytest.mark.parametrize("role", LINES)
@pytest.mark.parametrize("form", arrows())
def test_the_grain_line_in_five_forms(tmp_path, form, role):
    piece, warnings = opened(tmp_path, SLEEVE, layers_of(SLEEVE, role, [line_of(SLEEVE, role)], arrows()[form]))
    assert piece.kind == "sleeve"
    assert off(piece, SLEEVE)["cap"] < 0.011
    up = piece.placement.apply_vector(-1j)
    assert SLEEVE.grain is not None
    along = SLEEVE.grain.end - SLEEVE.grain.start
    assert abs((up / along).imag / abs(up / along)) < 0.005
    assert warnings == ()


def letters(at: complex) -> list[Curve]:
    """An L, an O with its hole and an I, as outlines."""
    shapes = [
        [0, 0 - 12j, 2 - 12j, 2 - 2j, 8 - 2j, 8],
        [12, 12 - 12j, 20 - 12j, 20],
        [14 - 2j, 14 - 10j, 18 - 10j, 18 - 2j],
        [24, 24 - 12j, 26 - 12j, 26],
    ]
    return [Curve.polyline([at + point for point in [*own, own[0]]]) for own in shapes]


@pytest.mark.parametrize("beside", [False, True])
@pytest.mark.parametrize("role", LINES)
def test_letters_that_were_made_outlines(tmp_path, role, beside):
    """On the line's own layer, or on one for text, amid the piece and on its edge."""
    layers = layers_of(SLEEVE, role, [line_of(SLEEVE, role)])
    words = [drawn(each, 'fill="black" stroke="none"') for at in (40 + 150j, 420j) for each in letters(at)]
    layers = {**layers, "text": words} if beside else {**layers, f"{role} line": [*layers[f"{role} line"], *words]}
    piece, warnings = opened(tmp_path, SLEEVE, layers)
    assert off(piece, SLEEVE)["cap"] < 0.011
    assert len([mark for mark in piece.marks if "notch" in mark.kind]) == len(SLEEVE.notches)
    assert any("more closed line(s) on its layer left out" in warning for warning in warnings) is not beside


def test_corners_of_a_stitch_line_that_were_cut_off_are_told(tmp_path):
    """The cap is 8 mm short then."""
    piece, warnings = opened(tmp_path, SLEEVE, layers_of(SLEEVE, "stitch", chamfered(line_of(SLEEVE, "stitch"))))
    assert off(piece, SLEEVE)["cap"] == pytest.approx(8, abs=0.05)
    assert sum("are a straight line across the corner; its length" in warning for warning in warnings) == 4


def test_a_stitch_line_that_would_cross_itself_is_not_made_in_silence(tmp_path):
    """A size down, the demo's back has a neck too tight for its allowance."""
    back = smock(-1)[2]
    piece, warnings = opened(tmp_path, back, layers_of(back, "cut", [line_of(back, "cut")]))
    assert piece.kind == "other"
    assert any("would cross itself in the " in warning for warning in warnings)
