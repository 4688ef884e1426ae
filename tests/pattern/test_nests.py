"""Many pieces, many sizes: told apart by layers, by the lines' own names, by writing, and by where things lie."""

import itertools

import pytest

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import DrawnText, Layer, Shape, Text
from svgfit.model.length import both_ways_text
from svgfit.model.refusal import Refusal
from svgfit.pattern.assemble import assemble
from svgfit.pattern.convention import builtin_convention, parse_convention


def box(at, wide, high=20.0):
    return Curve.polyline([at, at + wide, at + complex(wide, high), at + 1j * high, at])


def tick(at, length=4.0):
    return Shape((Curve.polyline([at, at + length]),), (False,))


def shape(curve, name=None):
    return Shape((curve,), (curve.is_closed(),), id=name, name=name)


def layer(*path, shapes=(), texts=()):
    return Layer("a.svg", path[-1], tuple(path), None, False, False, tuple(shapes), tuple(texts), line=len(path[-1]))


def writing(words, at, size=5.0):
    return DrawnText(Text(words, at, 1 + 0j, size))


def assembled(*layers, toml="", **options):
    return assemble([("a.svg", layers)], parse_convention(toml) if toml else builtin_convention(), **options)


def told(found):
    return [(piece.name, piece.size) for piece in found.pieces]


SMALL, LARGE = shape(box(0j, 10)), shape(box(-1 - 1j, 12, 22))
GRAIN = layer("Front grain line", shapes=[tick(3 + 5j)])
NAMED = {
    "one layer a size": (
        layer("Front stitch line size 10", shapes=[SMALL]),
        layer("Front stitch line size 12", shapes=[LARGE]),
    ),
    "a layer for all of a size": (
        layer("Size 10"),
        layer("Size 10", "Front stitch line", shapes=[SMALL]),
        layer("Size 12"),
        layer("Size 12", "Front stitch line", shapes=[LARGE]),
    ),
    "one sublayer a size": (
        layer("Front stitch line"),
        layer("Front stitch line", "size 10", shapes=[SMALL]),
        layer("Front stitch line", "size 12", shapes=[LARGE]),
    ),
    "the piece above, the size between": (
        layer("Front"),
        layer("Front", "size 10", "stitch line", shapes=[SMALL]),
        layer("Front", "size 12", "stitch line", shapes=[LARGE]),
        layer("Back", "size 12", "stitch line", shapes=[shape(box(50j, 10))]),
    ),
    "ids on one layer": (
        layer(
            "Front stitch line",
            shapes=[shape(SMALL.curves[0], "size-10"), shape(LARGE.curves[0], "front_size_12")],
        ),
    ),
}


@pytest.mark.parametrize("manner", NAMED)
def test_the_same_nest_however_it_is_layered(manner):
    found = assembled(*NAMED[manner], GRAIN)
    fronts = [piece for piece in found.pieces if piece.name == "Front"]
    assert [(piece.size, piece.stitch[0].curves) for piece in fronts] == [("10", SMALL.curves), ("12", LARGE.curves)]
    assert [len(piece.grain) for piece in fronts] == [1, 1]  # drawn once for all sizes


def test_sizes_as_the_convention_names_them():
    toml = '[layers]\nsize = ["{piece} gr. {size}"]\n"stitch line" = ["{piece} seam"]\n'
    shapes = [shape(SMALL.curves[0], "Gr. 36"), shape(LARGE.curves[0], "Gr. 38")]
    assert told(assembled(layer("Front seam", shapes=shapes), toml=toml)) == [("Front", "36"), ("Front", "38")]


def test_notches_of_all_sizes_on_one_layer_go_to_the_line_they_stand_on():
    small, large, both = tick(9.6 + 5j, 0.6), tick(10.8 + 5j, 1), tick(9 + 12j, 4)
    found = assembled(*NAMED["one layer a size"], layer("Front notches", shapes=[small, large, both]))
    assert [len(piece.notches) for piece in found.pieces] == [2, 2]
    assert found.pieces[0].notches == (small, both)
    assert found.layers[2].size == "10, 12"


def test_pieces_on_one_layer_by_their_own_names():
    shapes = [shape(box(0j, 10), "Front"), shape(box(50 + 0j, 10), "Back_2"), shape(box(3 + 3j, 2), "path77")]
    found = assembled(layer("stitch line", shapes=shapes), layer("notches", shapes=[tick(52 + 1j), tick(61 + 3j)]))
    assert told(found) == [("Front", None), ("Back 2", None)]
    assert [len(piece.notches) for piece in found.pieces] == [0, 2]
    assert len(found.pieces[0].stitch) == 2  # the small square is Front's own
    assert [row.piece for row in found.layers] == ["Front, Back 2", "Back 2"]
    assert not found.warnings


def test_pieces_on_one_layer_by_the_writing_in_them():
    shapes = [shape(box(0j, 10), "path1"), shape(box(50 + 0j, 10), "path2"), shape(box(90 + 0j, 10), "path3")]
    texts = [
        writing("cut 2", 1 + 3j, 3),
        writing("Front", 1 + 8j),
        writing("Back size 12", 51 + 8j),
        writing("x", 1j - 9),
    ]
    found = assembled(layer("cut line", shapes=shapes), layer("text", texts=texts))
    assert told(found) == [("Front", None), ("Back", "12"), ("piece 1", None)]
    assert [line.content for line in found.pieces[0].texts] == ["cut 2", "Front"]
    assert "piece 1 (at x 90.0 mm (3 9/16 in), y 0.0 mm (0 in) of the page)" in both_ways_text(found.warnings[0])
    assert "'x' lies in no piece" in found.warnings[1]


def test_both_lines_of_pieces_that_no_layer_names():
    cuts = [shape(box(-1 - 1j, 12, 22), "Front"), shape(box(49 - 1j, 12, 22), "Back")]
    stitches = [shape(box(50 + 0j, 10)), shape(box(0j, 10))]
    found = assembled(layer("stitch line", shapes=stitches), layer("cut line", shapes=cuts))
    assert sorted((piece.name, piece.stitch == (stitches[piece.name == "Front"],)) for piece in found.pieces) == [
        ("Back", True),
        ("Front", True),
    ]


def test_a_group_of_named_lines_is_a_piece():
    shapes = [shape(box(0j, 10), "stitch line"), shape(tick(3 + 3j).curves[0], "grain-line")]
    other = [shape(box(50 + 0j, 10), "cut_line")]
    found = assembled(layer("Front", shapes=shapes), layer("Back", shapes=other))
    assert told(found) == [("Front", None), ("Back", None)]
    assert len(found.pieces[0].grain) == 1
    assert len(found.pieces[1].cut) == 1


def test_the_same_drawing_moved_gives_the_same_pieces():
    motion = Affine.turn(0.3).then(Affine.shift(400 + 70j))
    shapes = [shape(box(0j, 10).transform(motion), "Front"), shape(box(50 + 0j, 10).transform(motion), "Back")]
    marks = [Shape((tick(at).curves[0].transform(motion),), (False,)) for at in (3 + 3j, 9 + 1j, 55 + 19j)]
    found = assembled(layer("stitch line", shapes=shapes), layer("notches", shapes=marks))
    assert [len(piece.notches) for piece in found.pieces] == [2, 1]


def test_several_sizes_can_be_chosen():
    nest = (*NAMED["one layer a size"], layer("Front stitch line size 14", shapes=[shape(box(-2 - 2j, 14, 24))]))
    assert told(assembled(*nest, size="12")) == [("Front", "12")]
    assert told(assembled(*nest, size="14, 10")) == [("Front", "10"), ("Front", "14")]
    assert len(assembled(*nest, size="all").pieces) == 3
    with pytest.raises(Refusal, match=r"no size '16'.*10, 12, 14"):
        assembled(*nest, size="12,16")


def corner(at, wide, high=200.0):
    return shape(box(at, wide, high))


def test_a_layer_a_size_with_all_its_pieces_on_it():
    sizes = {"10": 100, "12": 110, "14": 120}
    layers = []
    for size, wide in sizes.items():
        cuts = [corner(complex(at, 0), wide) for at in (0, 300, 600)]
        ticks = [tick(complex(at + wide - 6, 50), 6) for at in (0, 300, 600)]
        layers += [layer(f"Size {size}", "cut line", shapes=cuts), layer(f"Size {size}", "notches", shapes=ticks)]
    texts = [writing(name, complex(at + 10, 40)) for name, at in (("Front", 0), ("Back", 300), ("Sleeve", 600))]
    grains = [shape(Curve.polyline([complex(at + 40, 60), complex(at + 40, 160)])) for at in (0, 300, 600)]
    fold = shape(Curve.polyline([20j, 180j]))
    found = assembled(
        *layers,
        layer("text", texts=texts),
        layer("grain line", shapes=grains),
        layer("fold line", shapes=[fold]),
    )
    names = ("Front", "Back", "Sleeve")
    assert sorted(told(found)) == sorted((name, size) for size in sizes for name in names)
    for piece in found.pieces:
        assert (len(piece.cut), len(piece.notches), len(piece.grain)) == (1, 1, 1)
        assert len(piece.fold) == (piece.name == "Front")
        wide = sizes[piece.size]
        right = piece.notches[0].curves[0].bounds()[2]
        assert right - 300 * names.index(piece.name) == wide
    assert not found.warnings


def test_outlines_that_nothing_names_are_numbered_as_one_piece_over_all_sizes():
    layers = [
        layer(f"Size {size}", "cut line", shapes=[corner(0j, wide), corner(300 + 0j, wide)])
        for size, wide in (("10", 100), ("12", 110))
    ]
    found = assembled(*layers, layer("text", texts=[writing("Front", 10 + 10j)]))
    assert sorted(told(found)) == [("Front", "10"), ("Front", "12"), ("piece 1", "10"), ("piece 1", "12")]
    (warning,) = found.warnings
    assert "nothing names piece 1 (" in warning
    assert "piece 2" not in warning


def test_sizes_side_by_side_keep_their_own_marks():
    shapes = [corner(0j, 100), corner(300 + 0j, 110)]
    texts = [writing("Front size 10", 10 + 10j), writing("Front size 12", 310 + 10j)]
    grains = [shape(Curve.polyline([complex(at + 40, 60), complex(at + 40, 160)])) for at in (0, 300)]
    found = assembled(layer("cut line", shapes=shapes), layer("text", texts=texts), layer("grain line", shapes=grains))
    assert told(found) == [("Front", "10"), ("Front", "12")]
    assert [[curve.start.real for curve in piece.grain] for piece in found.pieces] == [[40], [340]]


def loose(at, wide, high=200.0, *, gap=0.0):
    """A box as separate lines, two of them the other way round, each side in two; ``gap`` mm open at one corner."""
    points = [at, at + wide / 2, at + wide, at + complex(wide, high), at + 1j * high, at + 1j * gap]
    parts = [Curve.polyline([a, b]) for a, b in itertools.pairwise(points)]
    return [shape(part.reverse() if k % 2 else part) for k, part in enumerate(parts)]


@pytest.mark.parametrize("gap", [0.0, 0.4, 5.0])
def test_pieces_on_one_layer_in_loose_lines(gap):
    parts = [loose(complex(at, 0), wide, gap=gap) for at, wide in ((0, 100), (300, 110), (600, 90))]
    mixed = [parts[k][m] for m in range(5) for k in range(3)]
    names = ("Front", "Back", "Sleeve")
    texts = [writing(name, complex(300 * k + 10, 40)) for k, name in enumerate(names)]
    ticks = [tick(complex(300 * k - 1, 50)) for k in range(3)]
    found = assembled(layer("stitch line", shapes=mixed), layer("notches", shapes=ticks), layer("text", texts=texts))
    assert sorted(told(found)) == [("Back", None), ("Front", None), ("Sleeve", None)]
    for piece in found.pieces:
        assert set(piece.stitch) == set(parts[names.index(piece.name)])
        assert len(piece.notches) == 1


def test_all_outlines_in_one_path_are_several_pieces():
    curves = tuple(box(complex(300 * k, 0), 100, 200) for k in range(2))
    found = assembled(
        layer("stitch line", shapes=[Shape(curves, (True, True))]),
        layer("text", texts=[writing("Front", 10 + 10j), writing("Back", 310 + 10j)]),
    )
    assert told(found) == [("Front", None), ("Back", None)]
    assert [piece.stitch[0].curves for piece in found.pieces] == [curves[:1], curves[1:]]


def test_a_tick_that_crosses_its_neighbours_is_of_the_size_it_ends_on():
    sizes = {"10": 100, "12": 103, "14": 106}
    lines = [layer(f"Front stitch line size {size}", shapes=[corner(0j, wide)]) for size, wide in sizes.items()]
    inwards = [tick(complex(wide - 6, 20 + 10 * k), 6) for k, wide in enumerate(sizes.values())]
    found = assembled(*lines, layer("Front notches", shapes=inwards))
    assert [piece.notches for piece in found.pieces] == [(mark,) for mark in inwards]
    every = tick(90 + 60j, 30)
    found = assembled(*lines, layer("Front notches", shapes=[*inwards, every]))
    assert [piece.notches for piece in found.pieces] == [(mark, every) for mark in inwards]


def test_where_lines_of_sizes_cross_a_tick_is_of_the_one_it_is_square_to():
    upright = shape(box(0j, 100, 200))
    slanted = shape(Curve.polyline([-20j, 90 - 20j, 110 + 220j, 220j, -20j]))  # crosses the upright side at 100 + 100i
    square = 1j * (20 + 240j) / abs(20 + 240j)
    ticks = [
        shape(Curve.polyline([100 + 100j, 94 + 100j])),
        shape(Curve.polyline([100 + 100j, 100 + 100j + 6 * square])),
    ]
    sizes = [layer("Front stitch line size 10", shapes=[upright]), layer("Front stitch line size 12", shapes=[slanted])]
    found = assembled(*sizes, layer("Front notches", shapes=ticks))
    assert [piece.notches for piece in found.pieces] == [(ticks[0],), (ticks[1],)]


def test_outlines_side_by_side_on_the_layer_of_one_piece_are_told():
    shapes = [corner(0j, 100), corner(300 + 0j, 60, 90.0)]
    found = assembled(
        layer("Front stitch line", shapes=shapes), layer("Back stitch line", shapes=[corner(600 + 0j, 100)])
    )
    (warning,) = found.warnings
    assert 'layer "Front stitch line" holds 2 outlines side by side' in warning
    alone = assembled(layer("Front stitch line", shapes=[shapes[0], shape(box(300j, 20))]))
    assert not alone.warnings
