"""Lines that sizes share: a hem drawn once for all of them, or only in the largest size."""

import pytest

from svgfit import Refusal, open_drawings
from svgfit.geometry.curve import Curve

from . import nests

SIZES = ("10", "12", "14")


def parts(one):
    """The sleeve's cap and sides, without its hem: on the page, where sizes' hems lie on one line."""
    return [one.on_page(one.piece.edge(name).curve) for name in ("cap", "underarm back", "underarm front")]


def hem(one, beyond=0.0):
    curve = one.on_page(one.piece.edge("hem").curve)
    return Curve.polyline([curve.start - beyond, curve.end + beyond])


def opened(tmp_path, *layers, convention=""):
    (tmp_path / "a.svg").write_text(nests.sheet(*layers))
    (tmp_path / "svgfit.toml").write_text(convention)
    return open_drawings(tmp_path / "a.svg", unit="mm")


def right(session, pieces):
    assert [piece.size for piece in session.pieces] == [one.size for one in pieces]
    for piece, one in zip(session.pieces, pieces, strict=True):
        for name in ("cap", "hem", "underarm back", "underarm front"):
            assert piece.edge(name).curve.length() == pytest.approx(one.piece.edge(name).curve.length(), abs=0.01)
        assert not piece.gaps
        assert not [note for note in piece.guessed if "stray" in note]


def marked(pieces):
    return [
        *(
            nests.layer(f"Sleeve notches size {one.size}", nests.marks([one], "notch", "shoulder notch"))
            for one in pieces
        ),
        nests.layer("Sleeve grain line", nests.shared(pieces, "grain line")),
    ]


@pytest.mark.parametrize("beyond", [0.0, 30.0])
def test_a_hem_drawn_once_for_all_sizes(tmp_path, beyond):
    pieces = nests.nest(SIZES, names=("Sleeve",))
    lines = [
        nests.layer(f"Sleeve stitch line size {one.size}", [nests.path(part) for part in parts(one)]) for one in pieces
    ]
    shared = nests.layer("Sleeve stitch line", nests.path(hem(pieces[-1], beyond)))
    session = opened(tmp_path, *lines, shared, *marked(pieces))
    right(session, pieces)
    assert not [warning for warning in session.warnings if "is taken from" in warning]


@pytest.mark.parametrize("closed", [True, False])
@pytest.mark.parametrize("chained", [True, False])
def test_a_hem_only_in_the_largest_size(tmp_path, closed, chained):
    pieces = nests.nest(SIZES, names=("Sleeve",))
    layers = []
    for one in pieces[:-1]:
        cap, back, front = parts(one)
        drawn = [Curve.chain([front, cap, back])] if chained else [cap, back, front]
        layers.append(nests.layer(f"Sleeve stitch line size {one.size}", [nests.path(part) for part in drawn]))
    last = pieces[-1]
    whole = [nests.path(last.outline)] if closed else [nests.path(part) for part in (*parts(last), hem(last))]
    layers.append(nests.layer(f"Sleeve stitch line size {last.size}", whole))
    session = opened(tmp_path, *layers, *marked(pieces))
    right(session, pieces)
    told = [warning for warning in session.warnings if "is taken from size 14" in warning]
    assert len(told) == 2


def test_lines_that_end_on_no_other_size_are_refused(tmp_path):
    pieces = nests.nest(SIZES, names=("Sleeve",))
    layers = [
        nests.layer(f"Sleeve stitch line size {one.size}", [nests.path(part) for part in parts(one)]) for one in pieces
    ]
    session = opened(tmp_path, *layers, *marked(pieces))
    with pytest.raises(Refusal, match=r"open|gap"):
        session.check_closed()


def test_sizes_by_dash_that_share_the_largest_ones_hem(tmp_path):
    pieces = nests.nest(SIZES, names=("Sleeve",))
    drawn = [
        nests.path(part, nests.dashed(k))
        for k, one in enumerate(pieces)
        for part in (*parts(one), *([hem(one)] if one is pieces[-1] else []))
    ]
    notches = nests.layer("Sleeve notches", nests.marks(pieces, "notch", "shoulder notch"))
    grain = nests.layer("Sleeve grain line", nests.shared(pieces, "grain line"))
    layers = [nests.layer("Sleeve stitch line", drawn), notches, grain]
    with pytest.raises(Refusal, match=r"3 outlines of like size.*by = \"dash\""):
        opened(tmp_path, *layers)
    right(opened(tmp_path, *layers, nests.layer("Key", nests.key(nests.dashed, SIZES))), pieces)
    samples = 'sizes = { by = "dash", samples = { 10 = "solid", 12 = "1 1", 14 = "3 1.5" } }'
    right(opened(tmp_path, *layers, convention=samples), pieces)


def test_sizes_drawn_alike_that_share_a_hem_on_one_layer_are_refused(tmp_path):
    pieces = nests.nest(SIZES, names=("Sleeve",))
    drawn = [nests.path(part) for one in pieces for part in parts(one)]
    layer = nests.layer("Sleeve stitch line", [*drawn, nests.path(hem(pieces[-1]))])
    with pytest.raises(Refusal, match="outlines of like size"):
        opened(tmp_path, layer)


def test_a_tick_that_ends_on_an_outline_divides_nothing(tmp_path):
    (one,) = nests.nest(("10",), names=("Sleeve",))
    lines = [nests.path(part) for part in (*parts(one), hem(one))]
    at = hem(one).point(0.5)
    tick = nests.path(Curve.polyline([at, at - 8j]))
    session = opened(tmp_path, nests.layer("Sleeve stitch line", [*lines, tick]), *marked([one]))
    assert session.pieces[0].edge("hem").curve.length() == pytest.approx(hem(one).length(), abs=1e-6)


def test_layers_of_sizes_with_all_pieces_whose_hem_only_the_largest_has(tmp_path):
    every = nests.nest(SIZES, names=("Sleeve", "Back"))
    layers = []
    for one in every:
        shared = one.name == "Sleeve" and one.size != SIZES[-1]
        lines = [nests.path(part) for part in (parts(one) if shared else [one.outline])]
        ticks = nests.marks([one], "notch", "shoulder notch")
        inside = nests.layer("cut line", lines) + nests.layer("notches", ticks)
        layers.append(nests.layer(f"Size {one.size}", inside))
    texts = nests.layer("text", nests.names(every))
    grain = nests.layer("grain line", nests.shared(every, "grain line"))
    session = opened(tmp_path, *layers, texts, grain)
    assert sorted((piece.name, piece.size) for piece in session.pieces) == sorted((one.name, one.size) for one in every)
    for one in every:
        (raw,) = [piece for piece in session.read.raw_pieces if (piece.name, piece.size) == (one.name, one.size)]
        assert len(raw.notches) == len(one.drawn("notch", "shoulder notch"))
        assert len(raw.grain) == 1
    assert not [piece for piece in session.pieces if piece.gaps]


def test_a_size_that_lacks_a_piece_is_told(tmp_path):
    every = [one for one in nests.nest(SIZES, names=("Sleeve", "Back")) if (one.name, one.size) != ("Back", "12")]
    layers = [nests.layer(f"{one.name} stitch line size {one.size}", nests.path(one.outline)) for one in every]
    session = opened(tmp_path, *layers, *marked([one for one in every if one.name == "Sleeve"]))
    assert any("Back is not there in size 12" in warning for warning in session.warnings)


def test_sizes_of_a_band_that_differ_in_one_edge_alone_are_not_parts_of_one_another(tmp_path):
    drawn = [
        nests.path(Curve.polyline([100 + 100j, end, end + 40j, 100 + 140j, 100 + 100j]), nests.dashed(k))
        for k, end in enumerate((700 + 100j, 760 + 100j, 820 + 100j))
    ]
    with pytest.raises(Refusal, match="3 outlines of like size"):
        opened(tmp_path, nests.layer("Waistband cut line", drawn))
