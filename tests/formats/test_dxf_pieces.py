"""Patterns in DXF by the interchange standard, written by ezdxf from the demo's pieces, are read as those pieces."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import svgfit
from tests.cli.conftest import DEMOS
from tests.formats.dxf_files import INCH, TradeFile

LENGTHS = ("cap length", "armhole length", "side seam", "shoulder", "underarm seam front")


@pytest.fixture(scope="module")
def smock():
    return svgfit.open_drawings(DEMOS / "smock.svg")


@pytest.fixture(scope="module")
def nest():
    return svgfit.open_drawings(DEMOS / "smock-sizes.svg")


def reread(tmp_path, data: bytes, **options):
    path = tmp_path / "pattern.dxf"
    path.write_bytes(data)
    return svgfit.open_drawings(path, **options)


def figures(session) -> dict[tuple[str, str | None, str], float]:
    return {
        (row.name.casefold(), row.size, figure.name): figure.before
        for row in session.measurements()
        for figure in row.measurements
        if figure.name in LENGTHS
    }


def farthest(truth, found) -> float:
    """How far outlines lie apart, once laid corner on corner, and whether both have the same pieces."""
    others = {(piece.name.casefold(), piece.size): piece for piece in found.pieces}
    assert len(others) == len(truth.pieces)
    most = 0.0
    for piece in truth.pieces:
        other = others[piece.name.casefold(), piece.size]
        one, two = (each.outline().transform(each.placement) for each in (piece, other))
        shift = complex(*two.bounds()[:2]) - complex(*one.bounds()[:2])
        points = one.points(np.linspace(0, len(one), 400)) + shift
        most = max(most, *(away for _, away in two.nearest_each(points)))
    return most


def notch_places(session) -> dict[tuple[str, str | None], list[tuple[str, str, float]]]:
    """Each notch's kind, edge and distance along it from its front end."""
    found = {}
    for piece in session.pieces:
        marks = [mark for mark in piece.marks if "notch" in mark.kind]
        places = []
        for mark in marks:
            curve = piece.edge(mark.edge).from_front()
            t, away = curve.nearest(mark.at)
            assert away < 0.01
            places.append((mark.kind, mark.edge, curve.length_between(0, t)))
        found[piece.name.casefold(), piece.size] = sorted(places)
    return found


def same_notches(truth, found, within: float) -> None:
    there = notch_places(found)
    for key, places in notch_places(truth).items():
        assert [place[:2] for place in there[key]] == [place[:2] for place in places]
        assert [place[2] for place in there[key]] == pytest.approx([place[2] for place in places], abs=within)


@pytest.mark.parametrize(
    ("file", "chord", "within"),
    [
        (TradeFile(), 1.5, 0.002),
        (TradeFile(mm=INCH, units="ENGLISH"), 1.5, 0.002),
        (TradeFile(), 10, 0.02),
        (TradeFile(mm=INCH, units="ENGLISH", decimals=3), 6, 0.05),
    ],
    ids=["mm", "inches", "chords of 10 mm", "thousandths of an inch"],
)
def test_lengths_notches_and_names(smock, tmp_path, file, chord, within):
    for piece in smock.pieces:
        file.piece(piece, chord)
    found = reread(tmp_path, file.data())
    assert {piece.name for piece in found.pieces} == {"FRONT", "BACK", "SLEEVE"}
    assert [piece.kind for piece in found.pieces] == [piece.kind for piece in smock.pieces]
    assert figures(found) == pytest.approx(figures(smock), abs=within)
    same_notches(smock, found, 0.05)
    assert found.warnings == ()


def test_every_size_of_a_nest(nest, tmp_path):
    file = TradeFile()
    for piece in nest.pieces:
        file.piece(piece, 3)
    found = reread(tmp_path, file.data())
    assert len(found.pieces) == 15
    assert figures(found) == pytest.approx(figures(nest), abs=0.002)
    same_notches(nest, found, 0.05)


@pytest.mark.parametrize("chord", [2, 8])
def test_sew_lines_without_turn_points(smock, tmp_path, chord):
    """Curves are found by how little a line turns from chord to chord; where that makes a difference it is told."""
    file = TradeFile()
    for piece in smock.pieces:
        file.piece(piece, chord, marked=False)
    found = reread(tmp_path, file.data())
    assert figures(found) == pytest.approx(figures(smock), abs=0.01)
    told = [text for text in found.warnings if "turn or curve points" in text]
    assert len(told) == (chord == 8)


def test_cut_lines_alone(smock, tmp_path):
    file = TradeFile()
    for piece in smock.pieces:
        file.piece(piece, 1.5, stitch=False)
    convention = tmp_path / "allowances.toml"
    allowance = '"seam allowance" = { all = "5/8 in", hem = "1 in" }'
    convention.write_text("\n".join(f"[pieces.{piece.name}]\n{allowance}" for piece in smock.pieces))
    found = reread(tmp_path, file.data(), convention=convention)
    assert figures(found) == pytest.approx(figures(smock), abs=0.03)
    same_notches(smock, found, 0.1)
    sew_line, neck = found.warnings
    assert "sew line (layer 14)" in sew_line
    # The back's neckline is right, but bends there as where a CAD program cut a cusp off: nobody could tell.
    assert "as where a cusp was cut off or rounded" in neck


def test_notches_on_the_sew_line_alone(smock, tmp_path):
    file = TradeFile()
    for piece in smock.pieces:
        file.piece(piece, 1.5, cut=False)
    found = reread(tmp_path, file.data())
    assert figures(found) == pytest.approx(figures(smock), abs=0.002)
    same_notches(smock, found, 0.05)


# -- there and back ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize("name", ["smock.svg", pytest.param("smock-sizes.svg", marks=pytest.mark.slow)])
def test_a_drawing_comes_back_as_it_was(svgfit, tmp_path, name, unit):
    import svgfit as library

    out = tmp_path / "out.dxf"
    assert svgfit("convert", DEMOS / name, "-o", out, "--unit", unit).status == 0
    truth, found = library.open_drawings(DEMOS / name), library.open_drawings(out)
    assert farthest(truth, found) < 0.005
    same_notches(truth, found, 0.005)
    assert found.warnings == ()
    again = tmp_path / "again.dxf"
    assert svgfit("convert", out, "-o", again, "--unit", unit).status == 0
    kinds = [sorted(mark.kind for mark in piece.marks) for piece in found.pieces]
    assert [sorted(mark.kind for mark in piece.marks) for piece in library.open_drawings(again).pieces] == kinds


def test_what_is_written_is_sound_by_another_reader(svgfit, smock, tmp_path):
    import ezdxf
    from ezdxf.math import Vec2

    out = tmp_path / "out.dxf"
    assert svgfit("convert", DEMOS / "smock.svg", "-o", out, "--unit", "in").status == 0
    document = ezdxf.readfile(out)
    assert document.dxfversion == "AC1009"
    assert not document.audit().errors
    inserts = document.modelspace().query("INSERT")
    assert sorted(insert.dxf.name for insert in inserts) == ["BACK", "FRONT", "SLEEVE"]
    assert "Units: ENGLISH" in [text.dxf.text for text in document.modelspace().query("TEXT")]
    block = document.blocks["SLEEVE"]
    layers = {entity.dxf.layer for entity in block}
    assert {"1", "2", "3", "4", "7", "14"} <= layers
    (sew,) = (line for line in block.query("POLYLINE") if line.dxf.layer == "14")
    assert sew.is_closed
    corners = [Vec2(vertex.dxf.location) for vertex in sew.vertices]
    chords = sum(corners[k - 1].distance(corner) for k, corner in enumerate(corners)) * INCH
    (sleeve,) = (piece for piece in smock.pieces if piece.name == "Sleeve")
    assert chords == pytest.approx(sleeve.outline().length(), abs=0.05)
    assert len([point for point in block.query("POINT") if point.dxf.layer == "4"]) == 4


def test_adjusted_pieces_are_written_as_adjusted(svgfit, tmp_path):
    import svgfit as library

    drawing, out = tmp_path / "fitted.svg", tmp_path / "fitted.dxf"
    assert svgfit("adjust", DEMOS / "smock.svg", "--do", "cap-raise amount=1/4in", "-o", drawing).status == 0
    assert svgfit("convert", drawing, "--from", "adjusted", "-o", out).status == 0
    truth, found = library.open_drawings(drawing, from_adjusted=True), library.open_drawings(out)
    assert figures(found) == pytest.approx(figures(truth), abs=0.002)
    assert figures(found) != pytest.approx(figures(library.open_drawings(drawing)), abs=0.5)
    same_notches(truth, found, 0.01)


def test_letters_of_any_language(svgfit, tmp_path):
    drawing = (DEMOS / "smock.svg").read_text(encoding="utf-8").replace("Sleeve", "Ärmel 袖")
    path = tmp_path / "smock no. 2.svg"
    path.write_text(drawing, encoding="utf-8")
    assert svgfit("convert", path, "-o", tmp_path / "out.dxf").status == 0
    assert b"Style Name: smock no. 2\r\n" in (tmp_path / "out.dxf").read_bytes()
    import svgfit as library

    assert "Ärmel 袖" in {piece.name for piece in library.open_drawings(tmp_path / "out.dxf").pieces}


# -- layers whose numbers mean something else -------------------------------------------------------------------------


def stated(tmp_path, layers: str) -> Path:
    convention = tmp_path / "numbers.toml"
    convention.write_text(f"[layers]\n{layers}\n")
    return convention


OTHER_NUMBERS = {"1": "14", "14": "1", "4": "30", "7": "0031", "6": "8", "8": "6"}


def renumbered(file: TradeFile) -> bytes:
    """The file with other numbers for its layers."""
    for layout in (file.space, *file.document.blocks):
        for entity in layout:
            entity.dxf.layer = OTHER_NUMBERS.get(entity.dxf.layer, entity.dxf.layer)
            for vertex in getattr(entity, "vertices", ()):
                vertex.dxf.layer = entity.dxf.layer
    return file.data()


def test_a_convention_says_what_the_numbers_of_layers_mean(smock, tmp_path):
    file = TradeFile()
    for piece in smock.pieces:
        file.piece(piece, 1.5)
    layers = '"cut line" = ["14"]\n"stitch line" = "1"\nnotches = ["30"]\n"grain line" = ["31"]\n"fold line" = ["8"]'
    found = reread(tmp_path, renumbered(file), convention=stated(tmp_path, layers))
    assert [piece.kind for piece in found.pieces] == [piece.kind for piece in smock.pieces]
    assert figures(found) == pytest.approx(figures(smock), abs=0.002)
    same_notches(smock, found, 0.05)
    kinds = [sorted(mark.kind for mark in piece.marks) for piece in found.pieces]
    wanted = [sorted(mark.kind for mark in piece.marks) for piece in smock.pieces]
    assert [[kind for kind in own if kind in ("grain line", "fold line")] for own in kinds] == [
        [kind for kind in own if kind in ("grain line", "fold line")] for own in wanted
    ]
    assert found.warnings == ()


def test_a_layer_whose_role_another_has_is_left_out_and_that_is_told(smock, tmp_path):
    file = TradeFile()
    for piece in smock.pieces:
        file.piece(piece, 1.5)
    allowances = '\n[pieces."*"]\n"seam allowance" = { all = "5/8 in" }'
    found = reread(tmp_path, file.data(), convention=stated(tmp_path, f'"cut line" = ["14"]{allowances}'))
    assert {piece.drawn for piece in found.pieces} == {("cut",)}
    told = "layer 1 is left out: by svgfit.toml the cut line is on layer 14"
    assert len([text for text in found.warnings if told in text]) == len(smock.pieces)


def test_layers_that_are_left_out_by_number(smock, tmp_path):
    file = TradeFile()
    front, back = (piece for piece in smock.pieces if piece.kind in ("front", "back"))
    for piece in (front, back):
        file.piece(piece, 1.5)
    layers = 'ignore = ["7", "1"]\n"stitch line" = ["14"]'
    found = reread(tmp_path, file.data(), convention=stated(tmp_path, layers))
    assert [(piece.kind, piece.drawn) for piece in found.pieces] == [("front", ("stitch",)), ("back", ("stitch",))]
    assert not any(mark.kind == "grain line" for piece in found.pieces for mark in piece.marks)
    armholes = [piece.edge("armhole").curve.length() for piece in found.pieces]
    assert armholes == pytest.approx([piece.edge("armhole").curve.length() for piece in (front, back)], abs=0.002)


def test_numbers_of_a_drawing_without_blocks_are_names_of_layers(smock, tmp_path):
    file = TradeFile()
    (front,) = (piece for piece in smock.pieces if piece.kind == "front")
    file.piece(front, 1.5)
    (insert,) = file.space.query("INSERT")
    insert.explode()
    file.document.blocks.delete_block("FRONT", safe=False)
    layers = '"cut line" = ["1"]\n"stitch line" = ["14"]\nnotches = ["4"]\n"grain line" = ["7"]'
    layers += '\n[pieces.pattern]\nkind = "front"'
    found = reread(tmp_path, file.data(), convention=stated(tmp_path, layers), scale=25.4)
    (piece,) = found.pieces
    assert (piece.kind, piece.drawn) == ("front", ("stitch", "cut"))
    assert piece.edge("armhole").curve.length() == pytest.approx(front.edge("armhole").curve.length(), abs=0.02)
    assert any("points are left out" in text for text in found.warnings)
