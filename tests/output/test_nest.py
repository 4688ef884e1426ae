"""A nest on the page: one size carries the figures, one table tells all, every outline says its size."""

import re

from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Canvas
from svgfit.model.piece import Edge, Landmark, Piece
from svgfit.model.report import MeasurementRow, PieceRow, StepRow
from svgfit.output.layers import draw_layers
from svgfit.output.nest import shared_steps, speaking
from svgfit.output.scene import Scene

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
    return Scene(canvas, pieces, pieces, nothing, rows=rows, steps=steps, unit="mm")


def words(text):
    return re.findall(r">([^<>\n]+)</t", text)


def test_the_middle_size_carries_the_figures():
    assert [piece.size for piece in speaking(scene().after)] == ["12"]
    said = words(draw_layers(scene()).layers[2])
    assert sum(text.startswith("bicep width") for text in said) <= 1
    assert "Sleeve: the figures and working lines are those of size 12." in " ".join(said)


def test_every_outline_says_its_size():
    said = words(draw_layers(scene()).layers[2])
    assert {text for text in said if re.fullmatch(r"size \d+", text)} == {f"size {size}" for size in SIZES}


def test_one_table_tells_all_sizes():
    said = words(draw_layers(scene()).layers[2])
    start = said.index("Sleeve, size")
    assert said[start + 1 : start + 6] == list(SIZES)
    assert said[start + 6 : start + 12] == ["cap height", "130.0 mm", "131.0 mm", "132.0 mm", "133.0 mm", "134.0 mm"]
    assert said[start + 12].strip() == "was"


def test_steps_that_ask_the_same_of_all_sizes_are_one():
    (step,) = shared_steps(scene().steps, scene().rows)
    assert (step.piece, step.got) == ("Sleeve (8, 10, 12, 14, 16)", {})
    other = replace(scene().steps[1], asked={"amount": "5 mm"})
    assert len(shared_steps((scene().steps[0], other), scene().rows)) == 2


def test_a_drawing_without_sizes_stays_as_it_was():
    one = replace(scene(), before=scene().before[:1], after=(replace(scene().after[0], size=None),))
    said = words(draw_layers(replace(one, cut_after=(None,), rows=(), steps=())).layers[2])
    assert not [text for text in said if text.startswith("size ")]
