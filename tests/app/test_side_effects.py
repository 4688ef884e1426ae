"""What no longer matches elsewhere after a step is told, with the amount, and nothing else is."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from msgspec.structs import replace

from svgfit.app.side_effects import also_changes, shape_distance
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.length import Units
from svgfit.model.piece import Dart, Edge, Piece
from svgfit.model.plan import Seam
from svgfit.model.report import AlsoRow
from svgfit.model.vocabulary import Unit
from svgfit.pattern.convention import builtin_convention
from svgfit.pattern.seam_map import seam_map
from tests.fitting.sleeves import Shape, cap_curve, shapes, sleeve
from tests.pattern.bodices import Bodice, bodice
from tests.pattern.drawings import motions
from tests.plugins.running import run_steps

SLEEVE, FRONT, BACK = sleeve(Shape()), bodice(Bodice("front")), bodice(Bodice("back"))
SMOCK = (SLEEVE, FRONT, BACK)


def seams_of(pieces: tuple[Piece, ...]) -> tuple[Seam, ...]:
    found = seam_map(pieces, builtin_convention())
    assert not found.warnings
    return found.seams


def changed(pieces: tuple[Piece, ...], **new: tuple[str, Curve]) -> tuple[Piece, ...]:
    """The pieces with one edge of some of them (by name, blanks as underscores) redrawn."""
    done: list[Piece] = []
    for piece in pieces:
        if piece.name.replace(" ", "_") in new:
            name, curve = new[piece.name.replace(" ", "_")]
            edges = tuple(replace(edge, curve=curve) if edge.name == name else edge for edge in piece.edges)
            piece = replace(piece, edges=edges)
        done.append(piece)
    return tuple(done)


def told(before: tuple[Piece, ...], after: tuple[Piece, ...]) -> tuple[AlsoRow, ...]:
    return also_changes(before, after, seams_of(before), Units())


def stretched(piece: Piece, edge: str, by: float) -> Curve:
    """The edge longer by so much: scaled about its start."""
    curve = piece.edge(edge).curve
    scale = 1 + by / curve.length()
    return curve.transform(Affine.shift(-curve.start).then(Affine.scale(scale)).then(Affine.shift(curve.start)))


def lining(piece: Piece, name: str, kind: str | None = None, motion: Affine | None = None) -> Piece:
    edges = piece.edges
    if motion is not None:
        edges = tuple(Edge(f"edge {k}", edge.curve.transform(motion)) for k, edge in enumerate(edges, 1))
    return replace(piece, name=name, kind=kind or piece.kind, edges=edges)


# -- seams -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("by", [12.7, -6.35])
def test_a_cap_that_grows_changes_its_ease(by: float) -> None:
    (row,) = told(SMOCK, changed(SMOCK, Sleeve=("cap", stretched(SLEEVE, "cap", by))))
    assert (row.piece, row.edge, row.against) == ("Front+Back", "Front/armhole+Back/armhole", "Sleeve/cap")
    assert row.amount == pytest.approx(by, abs=1e-6)
    how = "1/2 in more" if by > 0 else "1/4 in less"
    assert f"also change Front and Back, unless this is the ease you want: Sleeve's cap has {how} ease" in row.message


def test_an_armhole_that_grows_asks_for_another_cap() -> None:
    longer = changed(
        SMOCK,
        Front=("armhole", stretched(FRONT, "armhole", 6.35)),
        Back=("armhole", stretched(BACK, "armhole", 6.35)),
    )
    (row,) = told(SMOCK, longer)
    assert (row.piece, row.edge, row.against) == ("Sleeve", "Sleeve/cap", "Front/armhole+Back/armhole")
    assert row.amount == pytest.approx(-12.7, abs=1e-6)
    assert "its cap has 1/2 in less ease in the armhole of Front and Back" in row.message


def test_a_side_seam_of_one_piece_only() -> None:
    (row,) = told(SMOCK, changed(SMOCK, Front=("side seam", stretched(FRONT, "side seam", 12.7))))
    assert (row.piece, row.edge, row.against) == ("Back", "Back/side seam", "Front/side seam")
    assert row.amount == pytest.approx(-12.7, abs=1e-6)
    assert row.message == (
        "also change Back: its side seam was as long as the side seam of Front and is now 1/2 in shorter"
    )


def test_what_changes_alike_on_both_sides_is_not_told() -> None:
    both = changed(
        SMOCK,
        Front=("side seam", stretched(FRONT, "side seam", 12.7)),
        Back=("side seam", stretched(BACK, "side seam", 12.7)),
    )
    assert told(SMOCK, both) == ()
    assert told(SMOCK, SMOCK) == ()


@pytest.mark.parametrize(("by", "tells"), [(1.5, False), (1.7, True), (-1.7, True)])
def test_a_sixteenth_of_an_inch_still_matches(by: float, tells: bool) -> None:
    after = changed(SMOCK, Front=("shoulder", stretched(FRONT, "shoulder", by)))
    assert bool(told(SMOCK, after)) == tells


def test_small_steps_add_up() -> None:
    once = changed(SMOCK, Front=("shoulder", stretched(FRONT, "shoulder", 1.0)))
    twice = changed(SMOCK, Front=("shoulder", stretched(FRONT, "shoulder", 2.0)))
    assert told(SMOCK, once) == ()
    (row,) = also_changes(once, twice, seams_of(SMOCK), Units(Unit.MM))
    assert row.message.endswith("is now 2.0 mm shorter")


def test_what_differed_before_is_told_only_where_it_grows_worse() -> None:
    longer = changed(SMOCK, Front=("shoulder", stretched(FRONT, "shoulder", 10.0)))
    more = changed(SMOCK, Front=("shoulder", stretched(FRONT, "shoulder", 14.0)))
    (row,) = also_changes(longer, more, seams_of(SMOCK), Units(Unit.MM))
    assert "was 10.0 mm shorter than the shoulder of Front and is now 14.0 mm shorter" in row.message
    assert also_changes(more, longer, seams_of(SMOCK), Units(Unit.MM)) == ()
    assert also_changes(longer, SMOCK, seams_of(SMOCK), Units(Unit.MM)) == ()


def test_a_sleeves_own_underarm_seam() -> None:
    even = sleeve(Shape(front=170.0, back=170.0))
    after = changed((even,), Sleeve=("underarm front", stretched(even, "underarm front", 5.0)))
    (row,) = told((even,), after)
    assert (row.piece, row.edge, row.against) == ("Sleeve", "Sleeve/underarm back", "Sleeve/underarm front")
    assert "its underarm back was as long as its underarm front and is now 3/16 in shorter" in row.message


def test_a_dart_taken_in_counts() -> None:
    curve = FRONT.edge("side seam").curve
    first, last = curve.at_lengths([100.0, 112.7])
    dart = Dart("side seam", curve.point(first), curve.point(first) + 60, curve.point(last))
    after = (SLEEVE, replace(FRONT, darts=(dart,)), BACK)
    (row,) = told(SMOCK, after)
    assert row.amount == pytest.approx(12.7, abs=1e-6)


def test_a_yoke_and_a_cuff() -> None:
    length = FRONT.edge("shoulder").curve.length()
    box = [0j, 70j, length + 70j, length + 0j]
    names = ("armhole", "back seam", "neckline", "front seam")
    lines = [Curve.polyline([a, b]) for a, b in zip(box, [*box[1:], box[0]], strict=True)]
    yoke = Piece("a.svg", "Yoke", "yoke", tuple(Edge(*one) for one in zip(names, lines, strict=True)), Affine())
    hem = SLEEVE.edge("hem").curve.length()
    corners = [0j, hem + 0j, hem + 60j, 60j]
    sides = [Curve.polyline([a, b]) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]
    band = Piece("a.svg", "Cuff", "other", tuple(Edge(f"edge {k}", side) for k, side in enumerate(sides, 1)), Affine())
    pieces = (*SMOCK, yoke, band)
    (row,) = told(pieces, changed(pieces, Front=("shoulder", stretched(FRONT, "shoulder", 12.7))))
    assert (row.piece, row.edge, row.against) == ("Yoke", "Yoke/front seam", "Front/shoulder")
    (row,) = told(pieces, changed(pieces, Sleeve=("hem", stretched(SLEEVE, "hem", 12.7))))
    assert (row.piece, row.edge, row.against) == ("Cuff", "Cuff/edge 1", "Sleeve/hem")
    assert row.message == "also change Cuff: its edge 1 was as long as Sleeve's hem and is now 1/2 in shorter"


# -- copies ----------------------------------------------------------------------------------------------------------


def test_a_lining_is_changed_too() -> None:
    pieces = (*SMOCK, lining(SLEEVE, "Sleeve lining"))
    after = changed(pieces, Sleeve=("cap", stretched(SLEEVE, "cap", 12.7)))
    ease, row = told(pieces, after)
    assert ease.piece == "Front+Back"
    assert (row.piece, row.edge, row.against) == ("Sleeve lining", "Sleeve lining/cap", "Sleeve/cap")
    assert row.amount == pytest.approx(-12.7, abs=1e-6)
    assert row.message == "also change Sleeve lining: its cap was as long as Sleeve's and is now 1/2 in shorter"
    both = changed(after, Sleeve_lining=("cap", stretched(SLEEVE, "cap", 12.7)))
    assert [one.piece for one in told(pieces, both)] == ["Front+Back"]


def test_a_lining_cut_with_less_ease_is_told_of_the_change() -> None:
    short = changed((SLEEVE,), Sleeve=("cap", stretched(SLEEVE, "cap", -12.7)))[0]
    pieces = (SLEEVE, replace(short, name="Sleeve lining"))
    (row,) = told(pieces, changed(pieces, Sleeve=("cap", stretched(SLEEVE, "cap", 6.35))))
    assert "its cap was 1/2 in shorter than Sleeve's and is now 3/4 in shorter" in row.message


def test_a_lining_is_changed_too_where_only_the_shape_is_another() -> None:
    pieces = (SLEEVE, lining(SLEEVE, "Sleeve lining"))
    flipped = cap_curve(Shape(front=170.0, back=178.0, unlike=1.05))
    scale = SLEEVE.edge("cap").curve.length() / flipped.length()
    bent = flipped.transform(Affine.scale(scale))
    (row,) = told(pieces, changed(pieces, Sleeve=("cap", bent)))
    assert "no longer does, by up to" in row.message
    assert abs(row.amount) < 1.6


@given(motions)
@settings(max_examples=30, deadline=None)
def test_a_facing_with_an_edge_of_the_same_shape(motion: Affine) -> None:
    """Of no known kind, drawn elsewhere on the page, turned and mirrored; named or not."""
    for name in ("Front facing", "Piece 7"):
        facing = lining(FRONT, name, "other", motion)
        pieces = (*SMOCK, facing)
        after = changed(pieces, Front=("armhole", stretched(FRONT, "armhole", 6.35)))
        rows = [row for row in told(pieces, after) if row.piece == name]
        assert [row.edge for row in rows] == [f"{name}/edge 1"]
        assert rows[0].amount == pytest.approx(-6.35, abs=1e-6)
        assert "its edge 1 was as long as Front's armhole and is now 1/4 in shorter" in rows[0].message


def test_a_facings_straight_edge_where_only_one_is_as_long() -> None:
    facing = lining(FRONT, "Front facing", "other", Affine.turn(1.0))
    pieces = (*SMOCK, facing)
    after = changed(pieces, Front=("shoulder", stretched(FRONT, "shoulder", 12.7)))
    assert {row.piece for row in told(pieces, after)} == {"Back", "Front facing"}
    unknown = (*SMOCK, replace(facing, name="Piece 7"))
    assert {
        row.piece for row in told(unknown, changed(unknown, Front=("shoulder", stretched(FRONT, "shoulder", 12.7))))
    } == {"Back"}


def test_like_edges_of_front_and_back_are_chance() -> None:
    back = replace(bodice(Bodice("back")), name="Back")
    after = changed((FRONT, back), Front=("armhole", stretched(FRONT, "armhole", 6.35)))
    assert not [row for row in told((FRONT, back), after) if row.piece == "Back"]


def test_a_second_sleeve_of_the_same_shape() -> None:
    twin = replace(lining(SLEEVE, "Right sleeve", None), placement=Affine.scale(-1, 1))
    pieces = (replace(SLEEVE, name="Left sleeve"), twin)
    after = changed(pieces, Left_sleeve=("cap", stretched(SLEEVE, "cap", 6.35)))
    (row,) = also_changes(pieces, after, (), Units())
    assert (row.piece, row.edge) == ("Right sleeve", "Right sleeve/cap")


@given(shapes, motions)
@settings(max_examples=40, deadline=None)
def test_shapes_are_held_together_turned_mirrored_and_backwards(shape: Shape, motion: Affine) -> None:
    curve = cap_curve(shape)
    for other in (curve.transform(motion), curve.reverse().transform(motion)):
        assert shape_distance(curve, other) < 0.01
    if not motion.mirrors:
        assert shape_distance(curve, curve.transform(motion), freely=False) < 0.01
    bulged = Curve(curve.segments + np.array([0, 5, 5, 0]) * 1j)
    assert shape_distance(curve, bulged.transform(motion)) > 1.0


# -- in a run --------------------------------------------------------------------------------------------------------


def test_every_step_tells_what_it_left_unmatched() -> None:
    pieces = (*SMOCK, lining(SLEEVE, "Sleeve lining"))
    raise_it = "cap-raise piece=Sleeve amount='1/2 in'"
    line = "cap-raise piece='Sleeve lining' amount='1/2 in'"
    run = run_steps(pieces, raise_it, line, seams=seams_of(pieces))
    first, second = run.steps
    assert [row.piece for row in first.also] == ["Front+Back", "Sleeve lining"]
    gained = {one.name: one.value for one in run.measured_after["Sleeve"]}["cap ease"]
    gained -= {one.name: one.value for one in run.measured_before["Sleeve"]}["cap ease"]
    assert first.also[0].amount == pytest.approx(gained, abs=1e-6)
    assert first.also[1].amount == pytest.approx(-gained, abs=1e-6)
    assert second.also == ()
    assert math.isfinite(gained)
    assert gained > 1
