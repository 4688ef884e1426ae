"""Guards of operations and of what they stand on that nothing else reaches: each refuses in its own words."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from msgspec.structs import replace

from svgfit.fitting.bicep import lean_seam, stretch_cap
from svgfit.fitting.sewn import place_along
from svgfit.fitting.slash import Slash, cut
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Landmark, Piece
from svgfit.model.plan import Seam
from svgfit.model.refusal import Refusal
from tests.fitting.garments import SEAMS, bodice_of, notched
from tests.fitting.sleeves import Shape, sleeve
from tests.shapes.garments import garment

from .running import run_steps


def with_hem(piece: Piece, by: complex) -> Piece:
    """The hem elsewhere, the underarm seams drawn to it."""
    hem = piece.edge("hem").curve
    ends = {end: end + by for end in (hem.start, hem.end)}
    moved = [
        replace(edge, curve=Curve.polyline([ends.get(p, p) for p in (edge.curve.start, edge.curve.end)]))
        if edge.name != "cap"
        else edge
        for edge in piece.edges
    ]
    return replace(piece, edges=tuple(moved))


def with_top(piece: Piece, at: complex) -> Piece:
    marks = tuple(Landmark(one.name, at) if one.name == "cap top" else one for one in piece.landmarks)
    return replace(piece, landmarks=marks)


SLEEVE = sleeve(Shape())
SHORT = sleeve(Shape(length=100.0))


@pytest.mark.parametrize(
    ("piece", "step", "what"),
    [
        (with_hem(SLEEVE, 900 + 0j), "bicep-widen how=hem amount='1/2 in'", "the centre line misses the hem"),
        (sleeve(Shape(length=8.0)), "bicep-widen how=hem amount='1/2 in'", "too near to the bicep line to turn"),
        (SHORT, "bicep-widen how=hem width='415 mm'", "no turn about the hem makes the bicep wider than"),
        (SHORT, "bicep-widen how=hem width='395 mm'", "would have to turn by"),
        (with_top(SLEEVE, 3000 - 140j), "ease-spread amount='1/8 in'", "misses the cap edge"),
        (SLEEVE, "edge-blend edge=cap from='4 in' to='3 in'", "is no stretch of the edge"),
    ],
)
def test_operations_refuse_what_they_cannot_do(piece: Piece, step: str, what: str) -> None:
    with pytest.raises(Refusal) as refused:
        run_steps((piece,), step)
    assert what in refused.value.line()
    assert refused.value.todo


@pytest.mark.slow
def test_a_turned_corner_that_reaches_too_little_names_another_slash_that_brings_it() -> None:
    one = garment(3)
    length = one.lengths["cap"]
    for more in np.arange(4.0, 16.0, 0.5).tolist():
        try:
            run_steps(one.pieces, f"ease-spread cap-length='{length + more} mm'", seams=one.seams)
        except Refusal as refusal:
            line = refusal.line()
            break
    else:
        pytest.fail("everything is in reach")
    named = line.partition("give ")[2].partition(",")[0]
    run = run_steps(one.pieces, f"ease-spread cap-length='{length + more} mm' {named}", seams=one.seams)
    assert run.after[0].edge("cap").curve.length() == pytest.approx(length + more, abs=0.01)


def test_a_share_that_takes_the_shoulder_notch_over_another_is_refused() -> None:
    one = garment(0, ease=240.0, share_front=0.3)
    with pytest.raises(Refusal, match="beyond a notch"):
        run_steps(one.pieces, "notch-match share-back=0", seams=one.seams)


def test_two_armholes_are_not_told_apart_unasked() -> None:
    one = garment(0)
    others = [replace(piece, name=f"Other {piece.name}") for piece in one.pieces]
    seams: list[Seam] = []
    for seam in one.seams:
        a, b = (tuple((f"Other {name}", edge) for name, edge in side) for side in (seam.a, seam.b))
        seams.append(Seam(a, b))
    with pytest.raises(Refusal, match="there are several armholes: "):
        run_steps((*one.pieces, *others), "armhole-adjust lower='1/4 in'", seams=(*one.seams, *seams))


def test_an_armhole_that_ends_at_the_fold_has_no_side_seam() -> None:
    one = garment(0)
    front = one.pieces[1]
    edges = tuple(replace(edge, fold=edge.name == "side seam") for edge in front.edges)
    with pytest.raises(Refusal, match="has no side seam at its underarm end"):
        run_steps(
            (one.sleeve, replace(front, edges=edges), one.pieces[2]), "armhole-adjust lower='1/4 in'", seams=SEAMS
        )


def test_a_notch_at_a_corner_leaves_no_room_to_true_across_the_seam() -> None:
    front, back = (
        bodice_of(kind, Curve.polyline([0j, sign * 40 - 120j, sign * 45 - 200j]))
        for kind, sign in (("front", 1), ("back", -1))
    )
    with pytest.raises(Refusal, match="a notch or dart stands right at the corner of armhole and side seam"):
        run_steps((notched(front, "armhole", 0.2), back), "seam-blend edge=armhole seam='side seam'", seams=SEAMS)


def angled(*corners: complex) -> tuple[Piece, Piece]:
    """Front and back, their armholes straight lines from corner to corner."""
    lines = [
        Curve.polyline([0j, *(complex(sign * at.real, at.imag) for at in corners), sign * 45 - 200j])
        for sign in (1, -1)
    ]
    return bodice_of("front", lines[0]), bodice_of("back", lines[1])


@pytest.mark.parametrize("corner", [40 - 120j, 5 - 120j])
def test_a_corner_too_sharp_for_one_smooth_line_is_refused(corner: complex) -> None:
    with pytest.raises(Refusal, match=r"makes 3\d\d° as sewn: one smooth line there would move the corner"):
        run_steps(angled(corner), "seam-blend edge=armhole seam='side seam'", seams=SEAMS)


@pytest.mark.parametrize(
    ("pieces", "reach", "what"),
    [
        (angled(30 - 30j), "2 mm", "a bend more than three times as tight as the edges' own"),
        (
            angled(*(complex(3 + 4 * k + 3 * (-1) ** k, -6 * k) for k in range(1, 9))),
            "80 mm",
            "the line turns to and fro by",
        ),
    ],
)
def test_a_line_across_a_seam_that_bends_or_sways_says_so(pieces: tuple[Piece, ...], reach: str, what: str) -> None:
    run = run_steps(pieces, f"seam-blend edge=armhole seam='side seam' redraw='{reach}'", seams=SEAMS)
    assert any(what in text for text in run.warnings)


def test_an_armhole_that_comes_to_waver_says_so() -> None:
    one = garment(15)
    run = run_steps(one.pieces, "armhole-adjust lower='1 in'", seams=one.seams)
    assert any("changes the side it bends to more often than the old one" in text for text in run.warnings)


@pytest.mark.parametrize(
    ("act", "what"),
    [
        (lambda: cut(SLEEVE, Slash((-500j, 50j), moves=-140j, hinge=50j)), "off the seam"),
        (
            lambda: cut(SLEEVE, Slash((900 + 900j, 900 + 950j), moves=-140j, hinge=SLEEVE.edge("hem").curve.start)),
            "misses the outline",
        ),
        (lambda: cut(SLEEVE, Slash((-500j, 500j), moves=back_of_cap(), hinge=-170 + 0j)), "instead of once"),
        (lambda: place_along(SLEEVE, "cap", 1e5), "lies off that edge"),
        (lambda: stretch_cap(SLEEVE, 5.0, 200.0), "does not lie over and inside the"),
        (lambda: lean_seam(Curve.polyline([0j, 100 + 0j]), 5.0, None), "does not run down from the underarm point"),
    ],
)
def test_what_stands_below_refuses_too(act: Callable[[], object], what: str) -> None:
    with pytest.raises(Refusal) as refused:
        act()
    assert what in refused.value.line()


def back_of_cap() -> complex:
    return SLEEVE.edge("cap").from_front().point(3.0)
