"""Layers sorted into pieces, and our own adjusted layer read back."""

import math

import pytest

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.adjusted_attributes import attributes_of, format_attributes, format_point, parse_attributes
from svgfit.model.drawing import DrawnText, Layer, Shape, Text
from svgfit.model.piece import Edge, Landmark, Mark, Piece
from svgfit.model.refusal import Refusal
from svgfit.pattern.adjusted_layer import rebuild_piece
from svgfit.pattern.assemble import assemble
from svgfit.pattern.convention import builtin_convention, parse_convention

BOX = Curve.polyline([0j, 10 + 0j, 10 + 20j, 20j, 0j])


def shape(curve=BOX, name=None, **data):
    return Shape((curve,), (curve.is_closed(),), name=name, data=tuple(data.items()))


def layer(*path, shapes=None, texts=(), hidden=False, ours=None):
    drawn = (shape(),) if shapes is None else tuple(shapes)
    return Layer("a.svg", path[-1], tuple(path), None, hidden, False, drawn, tuple(texts), ours, 7)


def text(words):
    return DrawnText(Text(words, 1 + 2j, 1 + 0j, 5.0))


def assembled(*layers, toml="", **options):
    convention = parse_convention(toml) if toml else builtin_convention()
    return assemble([("a.svg", layers)], convention, **options)


def test_layers_of_one_role_and_piece_add_up():
    found = assembled(
        layer("Sleeve stitch line"),
        layer("sleeve_cut line", texts=[text("cut 2")]),
        layer("SLEEVE notches", shapes=[shape(), shape()]),
        layer("Sleeve notches 2"),
        layer("Sleeve grain line"),
        layer("Sleeve text", texts=[text("Sleeve")]),
        layer("Front stitch line"),
    )
    sleeve, front = found.pieces
    assert (sleeve.name, front.name) == ("Sleeve", "Front")
    assert (len(sleeve.stitch), len(sleeve.cut), len(sleeve.notches), len(sleeve.grain)) == (1, 1, 3, 1)
    assert [line.content for line in sleeve.texts] == ["cut 2", "Sleeve"]
    assert [(row.role, row.piece) for row in found.layers][2:4] == [("notches", "Sleeve")] * 2
    assert not found.warnings


def test_a_layer_without_a_piece_belongs_to_the_only_one():
    (piece,) = assembled(layer("Sleeve stitch line"), layer("notches"), layer("landmarks", shapes=[])).pieces
    assert len(piece.notches) == 1


def test_a_layer_without_a_piece_among_several_that_are_open_is_refused():
    line = shape(Curve.polyline([0j, 10 + 0j, 10 + 20j]))
    with pytest.raises(Refusal) as caught:
        assembled(
            layer("Sleeve stitch line", shapes=[line]), layer("Front stitch line", shapes=[line]), layer("notches")
        )
    said = caught.value.line()
    assert "line 7" in said
    assert '"notches"' in said
    assert "Sleeve, Front" in said
    assert '"Sleeve notches"' in said


def test_page_texts_among_several_pieces_only_warn():
    outside = DrawnText(Text("smock", -5 - 5j, 1 + 0j, 5.0))
    found = assembled(layer("A stitch line"), layer("B stitch line"), layer("text", texts=[outside]))
    assert "'smock' lies in no piece" in found.warnings[0]
    assert [piece.texts for piece in found.pieces] == [(), ()]


def test_unnamed_pieces_take_the_name_of_the_layer_above_or_the_file():
    nested = assembled(layer("Sleeve", "stitch line"), layer("Sleeve", "notches"), layer("Front", "stitch line"))
    assert [(piece.name, len(piece.notches)) for piece in nested.pieces] == [("Sleeve", 1), ("Front", 0)]
    mixed = assembled(layer("Sleeve stitch line"), layer("Front cut line"), layer("Sleeve", "notches"))
    assert [len(piece.notches) for piece in mixed.pieces] == [1, 0]
    assert assembled(layer("stitch line")).pieces[0].name == "a"
    ruled = assembled(layer("stitch line"), toml='[pieces.Sleeve]\nkind = "sleeve"\nfront = "left"\n')
    assert [(piece.name, piece.kind, piece.front) for piece in ruled.pieces] == [("Sleeve", "sleeve", "left")]


def test_no_role_at_all_is_refused_with_names_and_patterns():
    with pytest.raises(Refusal) as caught:
        assembled(layer("Layer 1"), layer("Sketch"))
    said = caught.value.line()
    for words in ('"Layer 1", "Sketch"', "{piece} stitch line*", "{piece} cut line*"):
        assert words in said
    with pytest.raises(Refusal, match="no layers"):
        assembled()


def test_hidden_layers_are_read_only_if_named():
    found = assembled(
        layer("Sleeve stitch line", hidden=True),
        layer("Sleeve notches"),
        layer("Sleeve notches", "tryout", hidden=True),
        layer("Sleeve details", hidden=True),
        layer("Sleeve details", "flower", hidden=True),
    )
    (piece,) = found.pieces
    assert (len(piece.stitch), len(piece.notches), len(piece.details)) == (1, 1, 2)
    assert found.layers[2].role is None


def test_landmarks_are_box_centres_with_plain_names():
    box = Curve.polyline([1 + 1j, 3 + 1j, 3 + 5j, 1 + 1j])
    marks = [shape(box, "Cap_top"), shape(box, "underarm-front-2"), shape(box)]
    found = assembled(layer("Sleeve stitch line"), layer("Sleeve landmarks", shapes=marks))
    assert found.pieces[0].landmarks == (("cap top", 2 + 3j), ("underarm front", 2 + 3j))
    assert "without a name" in found.warnings[0]


def test_sizes_of_a_nest():
    toml = '[layers]\n"stitch line" = ["{piece} size {size} stitch"]\n'
    layers = [layer("Front size 10 stitch"), layer("Front size 12 stitch"), layer("Front notches")]
    found = assembled(*layers, toml=toml)
    assert [(piece.name, piece.size, len(piece.notches)) for piece in found.pieces] == [
        ("Front", "10", 1),
        ("Front", "12", 1),
    ]
    assert [piece.size for piece in assembled(*layers, toml=toml, size="12").pieces] == ["12"]
    with pytest.raises(Refusal, match="10, 12"):
        assembled(*layers, toml=toml, size="14")
    with pytest.raises(Refusal, match="--size"):
        assembled(layer("Front stitch line"), size="14")


def test_a_piece_without_outline_is_left_out_with_a_warning():
    found = assembled(layer("Sleeve stitch line"), layer("Cuff notches"))
    assert [piece.name for piece in found.pieces] == ["Sleeve"]
    assert "Cuff" in found.warnings[0]


# -- our own layer -----------------------------------------------------------------------------------------------------

HOME = Affine.mirror(0j, 1j).then(Affine.turn(0.3)).then(Affine.shift(123.25 + 77j))


def sleeve():
    cap = Curve([[-50 + 0j, -30 + 0j, -30 - 60j, 0 - 60j], [0 - 60j, 30 - 60j, 30 + 0j, 50 + 0j]])
    edges = (
        Edge("cap", cap, 15.875, backwards=True),
        Edge("underarm front", Curve.polyline([50 + 0j, 45 + 100j]), 15.875),
        Edge("hem", Curve.polyline([45 + 100j, -45 + 100j]), None),
        Edge("underarm; back", Curve.polyline([-45 + 100j, -50 + 0j]), 0.0, fold=True),
    )
    landmarks = (
        Landmark("underarm back", -50 + 0j),
        Landmark("underarm front", 50 + 0j),
        Landmark("cap top", -60j, True),
    )
    return Piece("a.svg", "Sleeve", "sleeve", edges, HOME, None, (), landmarks, ("stitch", "cut"))


def our_layer(piece, outline=None):
    said = {"piece": piece.name, "line": "stitch", **dict(format_attributes(attributes_of(piece)))}
    drawn = outline or piece.outline().transform(piece.placement)
    notch = Curve.polyline([0j, 5 + 0j]).transform(HOME)
    at = {"piece": piece.name, "role": "notch", "edge": "cap", "at": format_point(HOME.apply(1 + 2j))}
    grain = Curve.polyline([-40j, 40j]).transform(HOME)
    shapes = [
        shape(drawn, **said),
        shape(drawn, piece=piece.name, line="cut"),
        shape(notch, **at),
        shape(grain, piece=piece.name, role="grain-line"),
        shape(),
    ]
    return layer("adjusted", shapes=shapes, ours="adjusted")


def test_what_is_carried_reads_back_exactly():
    attributes = attributes_of(sleeve())
    assert parse_attributes(dict(format_attributes(attributes))) == attributes
    assert [mark.node for mark in attributes.landmarks] == [0, 2, 1]
    damaged = dict(format_attributes(attributes)) | {"edges": "cap@0:x"}
    assert parse_attributes(damaged) is None


def test_a_piece_is_rebuilt_as_it_was():
    piece = sleeve()
    found = assembled(layer("Sleeve stitch line"), our_layer(piece), from_adjusted=True)
    (drawn,) = found.pieces
    assert dict(drawn.allowances)["cap"] == 15.875
    again = rebuild_piece(drawn)
    assert again is not None
    assert [edge.name for edge in again.edges] == [edge.name for edge in piece.edges]
    for old, new in zip(piece.edges, again.edges, strict=True):
        assert abs(old.curve.segments - new.curve.segments).max() < 1e-9
        assert (old.allowance, old.fold, old.backwards) == (new.allowance, new.fold, new.backwards)
    assert (again.kind, again.placement, again.drawn) == ("sleeve", HOME, ("stitch", "cut"))
    assert abs(again.landmark("cap top") + 60j) < 1e-9
    assert {mark.kind for mark in again.marks} == {"notch", "grain line"}
    (notch,) = again.notches("cap")
    assert abs(notch.at - (1 + 2j)) < 1e-9
    assert again.outline().end == again.outline().start


def test_ours_is_not_read_unless_asked_for():
    (drawn,) = assembled(layer("Sleeve stitch line"), our_layer(sleeve())).pieces
    assert drawn.attributes is None
    assert rebuild_piece(drawn) is None


def test_what_is_not_adjusted_is_taken_as_drawn():
    found = assembled(layer("Front stitch line"), our_layer(sleeve()), from_adjusted=True)
    assert [piece.name for piece in found.pieces] == ["Sleeve", "Front"]
    assert not found.warnings
    untouched = assembled(layer("Front stitch line"), from_adjusted=True)
    assert [piece.name for piece in untouched.pieces] == ["Front"]
    assert "no adjusted layer" in untouched.warnings[0]


def test_a_moved_node_takes_its_landmark_along_and_the_cap_top_follows_the_cap():
    piece = sleeve()
    segments = piece.outline().segments.copy()
    segments[0, 2:] -= 5j
    segments[1, :2] -= 5j
    segments[1, 3] += 2
    segments[2, 0] += 2
    (drawn,) = assembled(our_layer(piece, Curve(segments).transform(HOME)), from_adjusted=True).pieces
    again = rebuild_piece(drawn)
    assert abs(again.landmark("underarm front") - 52) < 1e-9
    assert abs(again.landmark("cap top").imag + 65) < 1e-6


def test_an_outline_with_other_nodes_is_not_rebuilt():
    piece = sleeve()
    outline = piece.outline().transform(HOME)
    more = Curve.chain(outline.split(0.5))
    for changed in (more, outline.reverse()):
        (drawn,) = assembled(our_layer(piece, changed), from_adjusted=True).pieces
        assert rebuild_piece(drawn) is None
        points = dict(drawn.landmarks)
        assert math.isclose(abs(points["underarm front"] - HOME.apply(50 + 0j)), 0, abs_tol=1e-9)


def test_a_mark_names_its_kind_in_words():
    (drawn,) = assembled(our_layer(sleeve()), from_adjusted=True).pieces
    assert [(mark.kind, mark.edge) for mark in drawn.marks] == [("notch", "cap")]
    assert isinstance(drawn.marks[0], Mark)
