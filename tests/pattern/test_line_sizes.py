"""Sizes on one layer, told apart only by dash, colour or width: told by convention or key, else refused with a list."""

import pytest

from svgfit import Refusal, open_drawings
from svgfit.pattern.line_sizes import key_of, sample
from svgfit.svg import read_drawing

from . import nests

LOOKS = {"dash": nests.dashed, "colour": nests.coloured, "width": nests.weighted}
SIZED = nests.nest(names=("Sleeve",))


def flat(path, look, *, key=(), pieces=SIZED, loose=False, sizes=nests.SIZES):
    """All sizes on one layer, notches and grain on theirs, the key on one that is none of the pattern's."""
    lines = []
    for one in pieces:
        style = look(sizes.index(one.size))
        lines += nests.loose(one.outline, len(lines), style) if loose else [nests.path(one.outline, style)]
    ticks = nests.marks(pieces, "notch", "shoulder notch")
    whose = "" if len({one.name for one in pieces}) > 1 else "Sleeve "
    layers = [
        nests.layer(f"{whose}stitch line", lines),
        nests.layer("notches", ticks),
        nests.layer("grain line", nests.shared(pieces, "grain line")),
        nests.layer("text", nests.names(pieces)),
        nests.layer("Key", key) if key else "",
    ]
    path.write_text(nests.sheet(*layers))
    return str(path)


def lengths(session):
    return {
        (piece.name, piece.size): piece.edge("cap" if piece.name == "Sleeve" else "armhole").curve.length()
        for piece in session.pieces
    }


def true_lengths(pieces=SIZED):
    return {(one.name, one.size): pytest.approx(one.seam, abs=0.005) for one in pieces}


def convention(tmp_path, by, look_sizes):
    samples = ", ".join(f'{size} = "{text}"' for size, text in look_sizes)
    path = tmp_path / "svgfit.toml"
    path.write_text(f'sizes = {{ by = "{by}", samples = {{ {samples} }} }}\n')
    return path


@pytest.mark.parametrize("by", LOOKS)
def test_ten_sizes_on_one_layer_are_refused_with_a_list(tmp_path, by):
    with pytest.raises(Refusal) as caught:
        _ = open_drawings(flat(tmp_path / "a.svg", LOOKS[by]), unit="mm").pieces
    message = str(caught.value)
    assert "10 outlines of like size" in message
    for k in range(10):
        assert {"dash": nests.DASHES[k].replace(",", " ") or "solid", "colour": nests.COLOURS[k]}.get(by, "") in message
    for one in SIZED:
        left, _, right, _ = one.outline.bounds()
        assert f"{right - left:.1f} mm" in message
    assert f'by = "{by}"' in message


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("by", LOOKS)
def test_what_the_refusal_says_to_write_works(tmp_path, by):
    drawing = flat(tmp_path / "a.svg", LOOKS[by])
    with pytest.raises(Refusal) as caught:
        _ = open_drawings(drawing).pieces
    line = str(caught.value).partition("and so on: ")[2]
    for k in range(10, 0, -1):
        line = line.replace(f'"size {k}"', f'"{nests.SIZES[k - 1]}"')
    (tmp_path / "svgfit.toml").write_text(line + "\n")
    assert lengths(open_drawings(drawing)) == true_lengths()


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("by", LOOKS)
@pytest.mark.parametrize("behind", [False, True])
def test_the_key_beside_the_drawing_tells_the_sizes(tmp_path, by, behind):
    session = open_drawings(flat(tmp_path / "a.svg", LOOKS[by], key=nests.key(LOOKS[by], behind=behind)))
    assert lengths(session) == true_lengths()
    for piece in session.pieces:
        assert len([mark for mark in piece.marks if "notch" in mark.kind]) == 4
        assert len([mark for mark in piece.marks if mark.kind == "grain line"]) == 1


def test_a_key_that_lacks_a_line_is_no_proof(tmp_path):
    key = nests.key(nests.dashed)[:-2]
    with pytest.raises(Refusal, match="10 outlines of like size"):
        _ = open_drawings(flat(tmp_path / "a.svg", nests.dashed, key=key)).pieces


def test_a_key_that_has_a_line_twice_is_no_proof(tmp_path):
    key = [*nests.key(nests.dashed), nests.path(nests.Curve.polyline([20 + 110j, 45 + 110j]), nests.dashed(3))]
    key.append(nests.text("Size 40", 48 + 111.7j, 5))
    with pytest.raises(Refusal, match="10 outlines of like size"):
        _ = open_drawings(flat(tmp_path / "a.svg", nests.dashed, key=key)).pieces


@pytest.mark.slow
def test_three_pieces_in_ten_sizes_in_loose_dashed_lines(tmp_path):
    every = nests.nest()
    drawing = flat(tmp_path / "a.svg", nests.dashed, pieces=every, loose=True, key=nests.key(nests.dashed))
    session = open_drawings(drawing)
    assert lengths(session) == true_lengths(every)
    assert not [warning for warning in session.warnings if "nothing names" in warning]


@pytest.mark.slow
def test_the_convention_wins_over_the_key(tmp_path):
    other = [(f"A{k}", nests.DASHES[k].replace(",", " ") or "solid") for k in range(10)]
    convention(tmp_path, "dash", other)
    session = open_drawings(flat(tmp_path / "a.svg", nests.dashed, key=nests.key(nests.dashed)))
    assert [piece.size for piece in session.pieces] == [f"A{k}" for k in range(10)]


def test_two_lines_of_one_piece_on_one_layer_are_refused(tmp_path):
    outline = SIZED[0].outline
    grown = SIZED[2].outline
    path = tmp_path / "a.svg"
    path.write_text(nests.sheet(nests.layer("Sleeve stitch line", [nests.path(outline), nests.path(grown)])))
    with pytest.raises(Refusal, match=r"2 outlines of like size.*solid.*solid.*on a layer of its own"):
        _ = open_drawings(str(path)).pieces


def test_small_closed_lines_are_left_out_as_ever(tmp_path):
    pocket = nests.Curve.polyline([660 + 400j, 740 + 400j, 740 + 480j, 660 + 480j, 660 + 400j])
    path = tmp_path / "a.svg"
    lines = [nests.path(SIZED[0].outline), nests.path(pocket)]
    path.write_text(nests.sheet(nests.layer("Sleeve stitch line", lines)))
    (piece,) = open_drawings(str(path)).pieces
    assert "1 more closed line(s) on its layer left out" in piece.guessed


@pytest.mark.parametrize(
    ("written", "what"),
    [
        ('sizes = { by = "pattern" }', "must say what tells sizes apart"),
        ("sizes = { samples = {} }", "must say what tells sizes apart"),
        ('sizes = { by = "dash", samples = { 10 = "long" } }', "is no sample of a line"),
        ('sizes = { by = "width", samples = { 10 = "1 2" } }', "is no sample of a line"),
        ('sizes = { by = "dash", samples = { 10 = "3 1", 12 = "3, 1" } }', "has the same sample as 10"),
        ('sizes = { by = "dash", order = ["10"] }', "there is no key 'order' here"),
    ],
)
def test_a_convention_that_says_no_line_is_refused(tmp_path, written, what):
    (tmp_path / "svgfit.toml").write_text(written)
    with pytest.raises(Refusal, match=what):
        open_drawings(flat(tmp_path / "a.svg", nests.dashed))


def test_samples_are_read_where_they_stand(tmp_path):
    drawing = read_drawing(flat(tmp_path / "a.svg", nests.dashed, key=nests.key(nests.dashed)), dialects=())
    found = [(size, sample(line.style, "dash")) for size, line in key_of(drawing.layers)]
    assert found == [(size, nests.DASHES[k].replace(",", " ") or "solid") for k, size in enumerate(nests.SIZES)]


def test_where_only_one_size_has_notches_the_others_have_their_front_where_it_has(tmp_path):
    pieces = SIZED[::3]
    lines = [nests.path(one.outline, nests.dashed(nests.SIZES.index(one.size))) for one in pieces]
    ticks = nests.layer("Sleeve notches", nests.marks(pieces[1:2], "notch", "shoulder notch"))
    grain = nests.layer("Sleeve grain line", nests.shared(pieces, "grain line"))
    key = nests.layer("Key", nests.key(nests.dashed))
    (tmp_path / "a.svg").write_text(nests.sheet(nests.layer("Sleeve stitch line", lines), ticks, grain, key))
    session = open_drawings(tmp_path / "a.svg")
    assert lengths(session) == true_lengths(pieces)
    assert [piece.kind for piece in session.pieces] == ["sleeve"] * len(pieces)
    assert [f"front and back: as in size {pieces[1].size}" in piece.unsure for piece in session.pieces] == [
        True,
        False,
        True,
        True,
    ]
    assert any(f"its notches stand on the lines of size {pieces[1].size}; size" in one for one in session.warnings)
    session = open_drawings(tmp_path / "a.svg", size=pieces[0].size)
    assert lengths(session) == true_lengths(pieces[:1])


@pytest.mark.parametrize("widths", [(400, 420, 440), (440, 400, 420)])
@pytest.mark.parametrize("bent", [False, True])
def test_sizes_that_share_edges_drawn_for_each_of_them_are_refused_with_a_list(tmp_path, widths, bent):
    """In open lines: centre, top and hem lie on one another, wholly or in part; only the side is each size's own."""
    lines = []
    for k, wide in enumerate(widths):
        corners = [20 + 20j, 320 + 20j, 320 + 620j, 20 + 620j]
        side = [320 + 20j, complex(wide, 320), 320 + 620j]
        if not bent:
            corners = [20 + 20j, wide + 20j, wide + 620j, 20 + 620j]
            side = corners[1:3]
        edges = [corners[:2], side, corners[2:], [corners[3], corners[0]]]
        lines += [nests.path(nests.Curve.polyline(edge), nests.dashed(k)) for edge in edges]
    path = tmp_path / "a.svg"
    path.write_text(nests.sheet(nests.layer("Panel stitch line", lines)))
    with pytest.raises(Refusal) as caught:
        _ = open_drawings(str(path), unit="mm").pieces
    message = str(caught.value)
    assert "3 outlines of like size" in message
    assert all(f"{wide - 20:.1f} mm wide" in message for wide in widths)
    assert 'sizes = { by = "dash"' in message


@pytest.mark.parametrize("order", [(0, 1, 2), (2, 0, 1)])
def test_sizes_that_share_edges_drawn_for_one_of_them_are_refused_with_a_list(tmp_path, order):
    """Fold and hem are drawn with the largest size only; the others' lines end on them."""
    lines = []
    for k in order:
        high, wide = 60 - 30 * k, 400 + 20 * k
        own = [[20 + 1j * high, wide - 60 + 1j * high], [wide - 60 + 1j * high, wide + 200j, wide + 620j]]
        own += [[wide + 620j, 20 + 620j], [20 + 620j, 20 + 1j * high]] if k == 2 else []
        lines += [nests.path(nests.Curve.polyline(edge), nests.dashed(k)) for edge in own]
    path = tmp_path / "a.svg"
    path.write_text(nests.sheet(nests.layer("Panel stitch line", lines)))
    with pytest.raises(Refusal) as caught:
        _ = open_drawings(str(path), unit="mm").pieces
    message = str(caught.value)
    assert "3 outlines of like size" in message
    assert 'sizes = { by = "dash"' in message


def test_a_line_across_a_piece_in_another_dash_is_no_size(tmp_path):
    """Where to lengthen it: told as left out, as ever."""
    outline = nests.Curve.polyline([20 + 20j, 320 + 20j, 320 + 620j, 20 + 620j, 20 + 20j])
    across = nests.Curve.polyline([20 + 320j, 320 + 320j])
    path = tmp_path / "a.svg"
    drawn = [nests.path(outline, nests.dashed(0)), nests.path(across, nests.dashed(1))]
    path.write_text(nests.sheet(nests.layer("Panel stitch line", drawn)))
    (piece,) = open_drawings(str(path), unit="mm").pieces
    assert any("1 stray line(s)" in note for note in piece.unsure)
