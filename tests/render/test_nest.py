"""A nest on the page: one size carries the figures, one table tells all, every outline says its size."""

import re

from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Canvas
from svgfit.model.length import Units
from svgfit.model.piece import Edge, Landmark, Mark, Piece
from svgfit.model.report import MeasurementRow, PieceRow, StepRow
from svgfit.model.vocabulary import Unit
from svgfit.render.annotate.layers import draw_layers
from svgfit.render.annotate.nest import shared_steps, speaking
from svgfit.render.annotate.scene import Scene
from svgfit.render.text_metrics import ASCENT, DESCENT
from svgfit.svg.markup import serialise

SIZES = ("8", "10", "12", "14", "16")


def sleeve(size, scale):
    cap = Edge("cap", Curve.polyline([-150 + 0j, -120j, 150 + 0j]), 15.0, backwards=True)
    rest = [150 + 0j, 120 + 400j, -120 + 400j, -150 + 0j]
    names = ("underarm front", "hem", "underarm back")
    edges = (cap, *(Edge(n, Curve.polyline(rest[k : k + 2]), 15.0) for k, n in enumerate(names)))
    grown = Affine.scale(scale, scale)
    edges = tuple(replace(edge, curve=edge.curve.transform(grown)) for edge in edges)
    marks = (("cap top", -120j), ("underarm front", 150 + 0j), ("underarm back", -150 + 0j))
    points = tuple(Landmark(name, at * scale) for name, at in marks)
    return Piece("a.svg", "Sleeve", "sleeve", edges, Affine.shift(300 + 200j), size, landmarks=points)


def scene():
    pieces = tuple(sleeve(size, 1 + 0.05 * k) for k, size in enumerate(SIZES))
    rows = tuple(
        PieceRow("a.svg", "Sleeve", "sleeve", size, (MeasurementRow("cap height", "mm", 120.0 + k, 130.0 + k),))
        for k, size in enumerate(SIZES)
    )
    steps = tuple(
        StepRow("cap-raise", f"Sleeve ({size})", {"amount": "10 mm"}, {"cap height": 1.0}, ()) for size in SIZES
    )
    canvas = Canvas("a.svg", 1.0, "width and height in mm", Affine(), 1200.0, 900.0)
    nothing = tuple(None for _ in pieces)
    return Scene(canvas, pieces, pieces, nothing, rows=rows, steps=steps, units=Units(Unit.MM))


def names_on_lines(text):
    """The sizes written on lines, each with the middle of its letters in page mm."""
    style = r'style="[^"]*font-size:([\d.]+)px[^"]*text-anchor:middle[^"]*stroke:none"[^>]*'
    pattern = rf'<text x="([-\d.]+)" y="([-\d.]+)" {style}>(\d+)<'
    found = [(float(x), float(y), float(size), name) for x, y, size, name in re.findall(pattern, text)]
    return [(name, complex(x, y - size * (ASCENT - DESCENT) / 2)) for x, y, size, name in found]


def words(text):
    return re.findall(r">([^<>\n]+)</t", text)


def test_the_middle_size_carries_the_figures():
    assert [piece.size for piece in speaking(scene().after)] == ["12"]
    said = words(serialise(draw_layers(scene()).layers[2]))
    assert sum(text.startswith("bicep width") for text in said) <= 1
    assert "figures and working lines are those of size 12." in " ".join(said)
    assert "On each line stands its size" in " ".join(said)


def test_every_outline_says_its_size():
    """On every edge, on the line: so each can be followed all round in black and white."""
    found = names_on_lines(serialise(draw_layers(scene()).layers[2]))
    for piece in scene().after:
        outline = piece.outline().transform(piece.placement)
        own = [at for text, at in found if text == piece.size]
        assert len(own) >= 4
        assert all(outline.nearest(at)[1] < 0.5 for at in own)


def test_a_name_on_a_line_covers_no_other_and_no_notch():
    tick = Curve.polyline([90 - 58j, 96 - 66j])  # across the cap of the smallest size, halfway up
    notched = tuple(replace(piece, marks=(Mark("notch", curves=(tick,)),)) for piece in scene().after)
    found = names_on_lines(serialise(draw_layers(replace(scene(), before=notched, after=notched)).layers[2]))
    assert len(found) >= 20
    there = tick.transform(notched[0].placement)
    for n, (_, at) in enumerate(found):
        assert all(abs(at.real - other.real) > 2 or abs(at.imag - other.imag) > 2 for _, other in found[:n])
        assert there.nearest(at)[1] > 2


def test_stitch_lines_beside_cut_lines_have_their_names_in_brackets():
    """In a nest the stitch line of one size can lie on the cut line of another."""
    cut = tuple(piece.outline().transform(Affine.scale(1.1, 1.1)) for piece in scene().after)
    said = words(serialise(draw_layers(replace(scene(), cut_after=cut)).layers[2]))
    assert set(SIZES) <= set(said)
    assert {f"({size})" for size in SIZES} & set(said)


def test_one_table_tells_all_sizes():
    said = words(serialise(draw_layers(scene()).layers[2]))
    start = said.index("Sleeve, size")
    assert said[start + 1 : start + 6] == list(SIZES)
    assert said[start + 6 : start + 12] == ["cap height", "130.0 mm", "131.0 mm", "132.0 mm", "133.0 mm", "134.0 mm"]
    assert said[start + 12].strip() == "was"


def test_steps_that_ask_the_same_of_all_sizes_are_one():
    (step,) = shared_steps(scene().steps, scene().rows)
    assert (step.piece, step.got) == ("Sleeve (8, 10, 12, 14, 16)", {})
    other = replace(scene().steps[1], asked={"amount": "5 mm"})
    assert len(shared_steps((scene().steps[0], other), scene().rows)) == 2


def test_a_check_in_every_size_is_one_step_and_in_one_size_stays_two():
    check = StepRow("seam-check", None, {"a": "Sleeve/cap"}, {"difference": 1.0}, ())
    (step,) = shared_steps((check, check), scene().rows)
    assert (step.piece, step.got) == (None, {})
    alone = tuple(replace(row, size=None) for row in scene().rows[:1])
    assert shared_steps((check, check), alone) == (check, check)


def test_a_drawing_without_sizes_stays_as_it_was():
    one = replace(scene(), before=scene().before[:1], after=(replace(scene().after[0], size=None),))
    said = words(serialise(draw_layers(replace(one, cut_after=(None,), rows=(), steps=())).layers[2]))
    assert not [text for text in said if text.startswith("size ")]
