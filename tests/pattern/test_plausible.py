"""Gates: what is beyond a bodice's or a sleeve's proportions is of kind "other", told why; whole pieces are known."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Shape as Drawn
from svgfit.model.piece import Edge
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import NoPiece
from svgfit.pattern.recognise.choose import recognise
from svgfit.pattern.recognise.whole import find_mirror_axis
from tests.fitting.sleeves import Shape, shapes, sleeve
from tests.plugins.stock import stock

from .bodices import Bodice, bodice, bodices
from .smocks import Part, around, outcomes, smock, traced, trousers, unfolded

bodice_flaw, sleeve_flaw = stock("recognisers/bodice").flaw_of, stock("recognisers/sleeve").flaw_of

UP = -1j
many = settings(max_examples=60, deadline=None)


@given(bodices)
@many
def test_bodices_of_many_shapes_pass(shape: Bodice) -> None:
    assert bodice_flaw(bodice(shape).edges, UP) is None


@given(shapes)
@many
def test_sleeves_of_many_shapes_pass(shape: Shape) -> None:
    assert sleeve_flaw(sleeve(shape).edges, UP) is None


@pytest.mark.parametrize("scale", [0.25, 0.5, 1.0])
def test_the_smock_passes_at_any_scale(scale: float) -> None:
    arm, front, back = smock()
    small = Affine.scale(scale, scale)

    def edges(part: Part, first: str) -> list[Edge]:
        """In svgfit's order and direction: armhole and cap first, front to back."""
        turned = {name: curve.transform(small).reverse() for name, curve in reversed([*part.edges.items()])}
        names = list(turned)
        at = names.index(first)
        return [Edge(name, turned[name]) for name in (*names[at:], *names[:at])]

    assert bodice_flaw(edges(front, "armhole"), UP) is None
    assert bodice_flaw(edges(back, "armhole"), UP) is None
    assert sleeve_flaw(edges(arm, "cap"), UP) is None


def stretched(edges: tuple[Edge, ...], name: str, curve: Curve) -> list[Edge]:
    return [replace(edge, curve=curve) if edge.name == name else edge for edge in edges]


def test_what_stands_against_a_bodice_is_said() -> None:
    own = bodice(Bodice()).edges
    hole = own[0].curve
    far = Curve.polyline([own[2].curve.start, own[2].curve.start + 900, own[2].curve.end])
    assert "neckline" in str(bodice_flaw(stretched(own, "neckline", far), UP))
    fly = Curve.polyline([hole.end, hole.end + 20 - 200j])
    assert "along the grain" in str(bodice_flaw(stretched(own, "shoulder", fly), UP))
    low = Curve.polyline([hole.start, complex(hole.end.real, hole.start.imag - 20)])
    assert "armhole" in str(bodice_flaw(stretched(own, "armhole", low), UP))


def test_what_stands_against_a_sleeve_is_said() -> None:
    own = sleeve(Shape()).edges
    short = Curve.polyline([own[1].curve.start, own[1].curve.start + 40j])
    assert "underarm seam" in str(sleeve_flaw(stretched(own, "underarm back", short), UP))
    narrow = Curve.polyline([own[2].curve.start, own[2].curve.start + 5])
    assert "hem" in str(sleeve_flaw(stretched(own, "hem", narrow), UP))


def six_cornered_trousers(name: str) -> Part:
    """A trouser front whose rise, crotch curve, inseam, hem, side seam and waist are six edges, as a bodice has."""
    half = trousers(name)
    crotch = half.edges["crotch"]
    rise = Curve(crotch.segments[1:])
    turned = rise.transform(Affine.turn(0.0))
    edges = {key: curve for key, curve in half.edges.items() if key not in ("crotch", "side seam")}
    side = half.edges["side seam"]
    edges = {
        "waist": half.edges["waist"],
        "side seam": Curve.polyline([side.start, side.end]),
        "hem": half.edges["hem"],
        "inseam": half.edges["inseam"],
        "crotch": Curve(crotch.segments[:1]),
        "rise": turned,
    }
    # The crotch curve meets the rise at a corner, as where a fly extension begins.
    curve = edges["crotch"].segments.copy()
    curve[0, 2] = curve[0, 3] - 40 + 5j
    edges["crotch"] = Curve(curve)
    return Part(name=name, kind="other", edges=edges, grain=half.grain)


@pytest.mark.parametrize("name", ["Trouser front", "Front", "Piece 3", "Back"])
@pytest.mark.parametrize("made", [trousers, six_cornered_trousers], ids=["five", "six"])
def test_trousers_are_no_bodice(name: str, made: object, tmp_path: Path) -> None:
    """Whatever they are called; a name that promises a bodice has the reason told."""
    (one,) = outcomes(tmp_path, [made(name)], 0.5)  # type: ignore[operator]
    assert one.kind == "other"
    if name in ("Front", "Back"):
        assert any("kind: other; it looks like a front or back, but" in text for text in one.told)


@pytest.mark.parametrize("grain", [True, False])
@pytest.mark.parametrize("names", [("Front", "Back"), ("Piece 1", "Piece 2")])
@pytest.mark.parametrize("steps", [-3, 0, 3])
def test_a_whole_piece_is_known_by_its_symmetry(
    steps: float, names: tuple[str, str], grain: bool, tmp_path: Path
) -> None:
    """Its edges are named and measured; what it is no half of is told."""
    halves = smock(steps)[1:]
    parts = [
        replace(unfolded(part), name=name, grain=part.grain if grain else None)
        for part, name in zip(halves, names, strict=True)
    ]
    for one in outcomes(tmp_path, parts, 1e-3):
        assert (one.kind, one.off) == ("other", {})
        assert any("drawn whole" in text for text in one.told)


def test_a_whole_piece_is_known_by_its_cut_line_and_by_a_tracing(tmp_path: Path) -> None:
    whole = [unfolded(part) for part in smock()[1:]]
    cut = outcomes(tmp_path, [around(part, "mitred") for part in whole], 0.1, lines="cut")
    assert [(one.off, bool(one.told)) for one in cut] == [({}, True)] * 2
    rough = outcomes(tmp_path, [traced(part, 5.0, 0.1) for part in whole], 1.0, truth=whole)
    assert [(one.off, bool(one.told)) for one in rough] == [({}, True)] * 2


def test_a_v_neck_is_one_neckline(tmp_path: Path) -> None:
    whole = unfolded(smock()[1])
    neck = whole.edges["neckline"]
    low = neck.point(len(neck) / 2) + 120j
    pointed = {**whole.edges, "neckline": Curve.polyline([neck.start, low, neck.end])}
    (one,) = outcomes(tmp_path, [replace(whole, edges=pointed)], 1e-3)
    assert (one.kind, one.off) == ("other", {})
    assert any("drawn whole" in text and "can't be told" not in text for text in one.told)


def test_no_half_is_symmetric() -> None:
    assert [find_mirror_axis(part.stitch()) for part in smock()[1:]] == [None, None]
    axis = find_mirror_axis(unfolded(smock()[1]).stitch())
    assert axis is not None
    assert abs(axis.along.real) < 5e-3


def test_a_person_who_says_the_kind_is_believed_and_told(tmp_path: Path) -> None:
    """A strap 8 mm wide is beyond what is plausible; svgfit.toml may say that it is a front all the same."""
    front = smock()[1]
    shoulder, neckline = front.edges["shoulder"], front.edges["neckline"]
    point = shoulder.point(shoulder.at_length(shoulder.length() - 8))
    curve = Curve(np.array([[neckline.start, neckline.start + 90, point - 30 + 70j, point]]))
    edges = {**front.edges, "shoulder": Curve.polyline([point, shoulder.end]), "neckline": curve}
    part = replace(front, edges=edges)
    (one,) = outcomes(tmp_path, [part], 0.01)
    assert one.kind == "other"
    assert any("shoulder would be" in text for text in one.told)
    said = outcomes(tmp_path, [part], 0.01, kinds=True)
    assert [(one.kind, one.off) for one in said] == [("front", {})]
    assert any("as svgfit.toml says, though" in text for text in said[0].told)


def test_a_tangle_of_lines_is_no_piece_and_takes_no_other_with_it() -> None:
    chance = np.random.default_rng(5)
    points = (chance.uniform(0, 900, 900) + 1j * chance.uniform(0, 900, 900)).tolist()
    tangle = Curve.polyline([*points, points[0]])
    drawn = DrawnPiece(file="drawn.svg", name="Sleeve", stitch=(Drawn((tangle,), (True,)),))
    with pytest.raises(NoPiece, match=r"its outline has 8\d\d corners, as no piece has"):
        recognise(drawn, ())
