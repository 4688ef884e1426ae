"""Layers whose name tells only a size, or nothing: outlines, notches, grain, fold and text are told by their shape."""

import pytest

from svgfit import Refusal, open_drawings
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import DrawnText, Text
from svgfit.pattern.shape_roles import is_test_square

from . import nests

SIZES = ("10", "12", "14")
ALLOWANCE = '[pieces."*"]\n"seam allowance" = { all = "10 mm" }\n'
STITCH = '[layers]\n"stitch line" = ["Size {size}"]\n'
SQUARE = nests.path(Curve.polyline([20 + 20j, 70 + 20j, 70 + 70j, 20 + 70j, 20 + 20j]))
POCKET = nests.path(Curve.polyline([260 + 400j, 380 + 400j, 380 + 520j, 260 + 520j, 260 + 400j]))
DONE = {"Sleeve": ("notch", 3), "Front": ("notch", 1), "Back": ("notch", 2)}


def sized(pieces, *, loose=False):
    """A layer a size with outlines and notches; one for all sizes with grain, fold, names, a pocket, a test square."""
    layers = []
    for size in dict.fromkeys(one.size for one in pieces):
        own = [one for one in pieces if one.size == size]
        lines = [part for one in own for part in (nests.loose(one.outline) if loose else [nests.path(one.outline)])]
        layers.append(nests.layer(f"Size {size}", [*nests.marks(own, "notch", "shoulder notch"), *lines]))
    return [*layers, nests.layer("All sizes", common(pieces))]


def common(pieces):
    folds = [
        nests.text("cut 1 on fold", nests.PLACES[name] + (-120 if name == "Back" else 20) + 170j, 6)
        for name in ("Front", "Back")
    ]
    square = [SQUARE, nests.text("test square 50 mm", 22 + 78j, 5)]
    lines = [*nests.shared(pieces, "grain line"), *nests.shared(pieces, "fold line"), POCKET]
    return [*lines, *nests.names(pieces), *folds, *square]


def opened(tmp_path, layers, convention):
    (tmp_path / "a.svg").write_text(nests.sheet(*layers))
    (tmp_path / "svgfit.toml").write_text(convention)
    return open_drawings(tmp_path / "a.svg", unit="mm")


def counts(piece):
    kinds = [str(mark.kind) for mark in piece.marks]
    return {kind: kinds.count(kind) for kind in dict.fromkeys(kinds)}


def right(session, pieces):
    found = {(piece.name, piece.size): piece for piece in session.pieces}
    assert set(found) == {(one.name, one.size) for one in pieces}
    for one in pieces:
        piece = found[one.name, one.size]
        edge = "cap" if one.name == "Sleeve" else "armhole"
        assert piece.edge(edge).curve.length() == pytest.approx(one.seam, abs=0.005)
        kind, many = DONE[one.name]
        assert counts(piece)[kind] == many
        assert counts(piece)["grain line"] == 1
        assert counts(piece).get("fold line", 0) == (one.name != "Sleeve")
        assert counts(piece).get("detail", 0) == (one.name == "Front")


@pytest.mark.parametrize("loose", [False, pytest.param(True, marks=pytest.mark.slow)])
def test_a_layer_a_size_with_everything_on_it(tmp_path, loose):
    pieces = nests.nest(SIZES)
    session = opened(tmp_path, sized(pieces, loose=loose), STITCH)
    right(session, pieces)
    assert any("is told by shape, not by name" in warning for warning in session.warnings)


def test_whether_a_single_outline_is_cut_or_stitch_line_is_asked(tmp_path):
    layers = sized(nests.nest(SIZES))
    with pytest.raises(Refusal, match=r'layer "Size 10".*can\'t be told.*"cut line" = \["Size \{size\}"\]'):
        opened(tmp_path, layers, "")


def test_with_an_allowance_stated_it_is_the_cut_line_and_that_is_told(tmp_path):
    session = opened(tmp_path, sized(nests.nest(SIZES)), ALLOWANCE)
    assert {piece.drawn for piece in session.pieces} == {("cut",)}
    assert any("are taken to be cut lines" in warning for warning in session.warnings)


def test_an_outline_beside_another_is_its_stitch_line(tmp_path):
    layers = []
    for size, wide in (("10", 300.0), ("12", 306.0)):
        inner = Curve.polyline([200 + 200j, 200 + wide + 200j, 200 + wide + 600j, 200 + 600j, 200 + 200j])
        outer = Curve.polyline([185 + 185j, 215 + wide + 185j, 215 + wide + 630j, 185 + 630j, 185 + 185j])
        layers.append(nests.layer(f"Size {size}", [nests.path(inner), nests.path(outer)]))
    session = opened(tmp_path, [*layers, nests.layer("x", nests.text("Panel", 250 + 300j))], "")
    assert [(piece.name, piece.size, piece.drawn) for piece in session.pieces] == [
        ("Panel", "10", ("stitch", "cut")),
        ("Panel", "12", ("stitch", "cut")),
    ]


def test_two_sizes_on_a_layer_are_no_cut_and_stitch_line(tmp_path):
    small, large = (one.outline for one in nests.nest(("10", "16"), names=("Sleeve",)))
    layers = [nests.layer("Size 10", [nests.path(small), nests.path(large)])]
    with pytest.raises(Refusal, match="2 outlines of like size"):
        opened(tmp_path, layers, ALLOWANCE)


@pytest.mark.slow
@pytest.mark.parametrize("look", [nests.dashed, nests.coloured])
def test_everything_on_one_layer_with_a_key(tmp_path, look):
    pieces = nests.nest(SIZES)
    lines = [nests.path(one.outline, look(SIZES.index(one.size))) for one in pieces]
    ticks = nests.marks(pieces, "notch", "shoulder notch")
    key = nests.key(look, SIZES)
    page = nests.layer("page", [*lines, *ticks, *common(pieces)])
    moved = f'<g transform="translate(1350 0)">{"".join(key)}</g>'
    right(opened(tmp_path, [page, nests.layer("Key", moved)], '[layers]\n"stitch line" = ["page"]\n'), pieces)


def test_a_group_named_for_its_piece(tmp_path):
    (one,) = nests.nest(("10",), names=("Sleeve",))
    parts = [nests.path(one.outline), *nests.marks([one], "notch", "shoulder notch", "grain line")]
    for stated in ('[layers]\n"stitch line" = ["Sleeve"]\n',):
        (piece,) = opened(tmp_path, [nests.layer("Sleeve", parts)], stated).pieces
        assert (piece.name, piece.kind) == ("Sleeve", "sleeve")
        assert piece.edge("cap").curve.length() == pytest.approx(one.seam, abs=0.005)
    with pytest.raises(Refusal, match=r'"stitch line" = \["Sleeve"\]'):
        opened(tmp_path, [nests.layer("Sleeve", parts)], "")


def test_of_several_straight_lines_none_is_the_grain_unless_one_says_so(tmp_path):
    (one,) = nests.nest(("10",), names=("Sleeve",))
    across = nests.path(Curve.polyline([620 + 500j, 780 + 500j]))
    upright = nests.path(Curve.polyline([700 + 300j, 700 + 450j]))
    parts = [nests.path(one.outline), *nests.marks([one], "notch", "shoulder notch"), across, upright]
    (piece,) = opened(tmp_path, [nests.layer("Size 10", parts)], STITCH).pieces
    assert "grain line" not in counts(piece)
    said = [*parts, nests.text("grain", 690 + 370j, 6)]
    (piece,) = opened(tmp_path, [nests.layer("Size 10", said)], STITCH).pieces
    assert counts(piece)["grain line"] == 1
    headed = nests.path(Curve.polyline([695 + 310j, 700 + 300j, 700 + 450j]))
    (piece,) = opened(tmp_path, [nests.layer("Size 10", [*parts[:-1], headed])], STITCH).pieces
    assert counts(piece)["grain line"] == 1


def test_a_line_along_an_edge_is_no_fold_where_nothing_says_so(tmp_path):
    pieces = nests.nest(("10",), names=("Front",))
    lines = [nests.path(pieces[0].outline), *nests.marks(pieces, "notch", "grain line", "fold line")]
    (piece,) = opened(tmp_path, [nests.layer("Size 10", [*lines, *nests.names(pieces)])], STITCH).pieces
    assert "fold line" not in counts(piece)


def test_where_names_say_it_other_layers_play_no_part(tmp_path):
    (one,) = nests.nest(("10",), names=("Sleeve",))
    sketch = nests.marks([one], "notch", "grain line")
    layers = [nests.layer("Sleeve stitch line", nests.path(one.outline)), nests.layer("sketch", sketch)]
    session = opened(tmp_path, layers, "")
    assert not session.pieces[0].marks
    assert not [warning for warning in session.warnings if "by shape" in warning]


def test_the_same_sheet_turned_and_moved(tmp_path):
    pieces = nests.nest(("10", "12"), names=("Sleeve",))
    motion = Affine.turn(0.4).then(Affine.shift(300 - 100j))
    layers = []
    for one in pieces:
        curves = [one.outline, *one.drawn("notch", "shoulder notch"), *one.drawn("grain line")]
        layers.append(nests.layer(f"Size {one.size}", [nests.path(curve.transform(motion)) for curve in curves]))
    session = opened(tmp_path, layers, STITCH + '[pieces.Sleeve]\nkind = "sleeve"\n')
    for piece, one in zip(session.pieces, pieces, strict=True):
        assert piece.edge("cap").curve.length() == pytest.approx(one.seam, abs=0.005)
        assert counts(piece) == {"notch": 3, "shoulder notch": 1, "grain line": 1}


@pytest.mark.parametrize("named", ["{}", "EU {}"])
def test_layers_called_only_by_their_size(tmp_path, named):
    pieces = nests.nest(SIZES)
    layers = [part.replace('label="Size ', 'label="' + named.format("")) for part in sized(pieces)]
    session = opened(tmp_path, layers, ALLOWANCE)
    prefix = named.format("")
    assert {(piece.name, piece.size) for piece in session.pieces} == {(one.name, prefix + one.size) for one in pieces}
    with pytest.raises(Refusal) as caught:
        opened(tmp_path, layers, "")
    line = '"stitch line" = ' + str(caught.value).partition('or "stitch line" = ')[2].partition(";")[0]
    session = opened(tmp_path, layers, f"[layers]\n{line}\n")
    assert {(piece.name, piece.size) for piece in session.pieces} == {(one.name, prefix + one.size) for one in pieces}
    assert {piece.drawn for piece in session.pieces} == {("stitch",)}


def test_numbers_that_the_convention_calls_lines_are_no_sizes(tmp_path):
    (one,) = nests.nest(("10",), names=("Front",))
    outer = Curve.polyline([190 + 60j, 480 + 60j, 480 + 680j, 190 + 680j, 190 + 60j])
    lines = {"1": [nests.path(outer)], "14": [nests.path(one.outline)], "7": nests.marks([one], "grain line")}
    convention = (
        '[layers]\n"cut line" = ["1"]\n"stitch line" = ["14"]\n"grain line" = ["7"]\n[pieces.a]\nkind = "front"\n'
    )
    (piece,) = opened(tmp_path, [nests.layer(name, own) for name, own in lines.items()], convention).pieces
    assert (piece.kind, piece.size, piece.drawn) == ("front", None, ("stitch", "cut"))


@pytest.mark.parametrize("sizes_above", [True, False])
def test_a_group_a_piece_in_each_size(tmp_path, sizes_above):
    pieces = nests.nest(SIZES)
    layers = []
    for one in pieces:
        inside = [nests.path(one.outline), *nests.marks([one], "notch", "shoulder notch", "grain line")]
        outer, inner = (f"Size {one.size}", one.name) if sizes_above else (one.name, f"Size {one.size}")
        layers.append(nests.layer(outer, nests.layer(inner, inside)))
    session = opened(tmp_path, layers, ALLOWANCE)
    assert {(piece.name, piece.size) for piece in session.pieces} == {(one.name, one.size) for one in pieces}
    for piece in session.pieces:
        kind, many = DONE[piece.name]
        assert counts(piece)[kind] == many
        assert counts(piece)["grain line"] == 1
    with pytest.raises(Refusal) as caught:
        opened(tmp_path, layers, "")
    line = '"stitch line" = ' + str(caught.value).partition('or "stitch line" = ')[2].partition(";")[0]
    session = opened(tmp_path, layers, f"[layers]\n{line}\n")
    assert {(piece.name, piece.size) for piece in session.pieces} == {(one.name, one.size) for one in pieces}
    assert {piece.drawn for piece in session.pieces} == {("stitch",)}


@pytest.mark.parametrize(
    ("words", "checks"),
    [
        ("Test square 50 mm", True),
        ("Carre temoin", True),
        ("寸法確認", True),
        ("2 pouces", True),
        ("5 センチ", True),
        ("5 x 8 cm", True),
        ("this box should measure 2 in", True),
        ("should be 1.5 in", True),  # the drawing came at 4/3 of its size
        ("check: 10 cm / 4 in", True),
        ("Cuff, seam allowance 1 cm", False),
        ("5/8 in", False),
        ("square neckline", False),
        ("Quadrattuch", False),
        ("cut 2", False),
    ],
)
def test_a_rectangle_is_for_checking_where_writing_says_so_or_states_its_side(words, checks):
    loop = Curve.polyline([0j, 50 + 0j, 50 + 80j, 80j, 0j])
    written = DrawnText(Text(words, 5 + 20j, 1 + 0j, 4.0), None, None)
    assert is_test_square(loop, [written]) is checks


def test_a_closed_line_on_a_layer_that_says_nothing_is_told_and_changes_nothing_else(tmp_path):
    pieces = nests.nest(SIZES)
    cuff = nests.path(Curve.polyline([20 + 2600j, 220 + 2600j, 220 + 2680j, 20 + 2680j, 20 + 2600j]))
    more = nests.layer("More", [cuff, nests.text("Cuff, seam allowance 1 cm", 40 + 2640j, 6)])
    session = opened(tmp_path, [*sized(pieces), more], STITCH)
    right(session, pieces)
    assert any('closed lines on "More" are left out' in warning for warning in session.warnings)
