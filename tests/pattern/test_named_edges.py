"""Edges of a panel, a cuff or a facing, named by landmarks, by number or from landmark to landmark."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Piece
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import Refusal
from svgfit.pattern.convention import parse_convention
from svgfit.pattern.recognise.choose import recognise
from svgfit.plugin.registry import open_registry

from .drawings import PLAIN, STILL, Manner, as_shape, manners, motions, written

CORNERS = (0j, 120 + 10j, 110 + 200j, 5 + 190j)
"""A side panel: its armhole above, front seam to the right, hem below, back seam to the left."""
LOOP = Curve.polyline([*CORNERS, 0j])
LENGTHS = dict(
    zip(("armhole", "front seam", "hem", "back seam"), [abs(s[3] - s[0]) for s in LOOP.segments], strict=True)
)
BESIDE = {"edge armhole": 60 - 4j, "edge front seam": 118 + 100j, "edge back seam": -5 + 100j}
some = settings(max_examples=30, deadline=None)


def panel(
    motion: Affine = STILL, manner: Manner = PLAIN, marks: dict[str, complex] | None = None, said: str = ""
) -> DrawnPiece:
    rule = parse_convention(f"[pieces.'Side panel'.edges]\n{said}").rule("side panel")
    assert rule is not None
    landmarks = tuple((name, motion.apply(at)) for name, at in (marks or {}).items())
    shape = as_shape(written(LOOP, manner), motion)
    return DrawnPiece("page.svg", "Side panel", stitch=(shape,), landmarks=landmarks, edge_names=rule.edges)


def known(drawn: DrawnPiece) -> Piece:
    return recognise(drawn, open_registry().recognisers())


def numbers(drawn: DrawnPiece) -> dict[str, str]:
    """Which number each side has, as ``inspect`` shows it."""
    plain = known(DrawnPiece("page.svg", "Side panel", "12", stitch=drawn.stitch))
    lengths = {edge.name: edge.curve.length() for edge in plain.edges}
    return {name: min(lengths, key=lambda one: abs(lengths[one] - length)) for name, length in LENGTHS.items()}


@given(motions, manners, st.booleans())
@some
def test_named_by_landmarks_or_by_number(motion: Affine, manner: Manner, marked: bool) -> None:
    if marked:
        piece = known(panel(motion, manner, BESIDE))
    else:
        number = numbers(panel(motion, manner))
        said = "\n".join(f'"{name}" = "{number[name]}"' for name in ("armhole", "front seam", "back seam"))
        piece = known(panel(motion, manner, said=said))
    assert piece.kind == "other"
    for name in ("armhole", "front seam", "back seam"):
        assert piece.edge(name).curve.length() == pytest.approx(LENGTHS[name], abs=1e-6)
    # The armhole begins at the front seam, the seams at the armhole.
    there = piece.placement.inverse()
    for name, start in (("armhole", CORNERS[1]), ("front seam", CORNERS[1]), ("back seam", CORNERS[0])):
        assert abs(piece.edge(name).from_front().start - there.apply(motion.apply(start))) < 1e-6
    assert len(piece.edges) == 4
    assert [edge.name for edge in piece.edges if edge.name.startswith("edge ")] == [
        numbers(panel(motion, manner))["hem"]
    ]


@given(motions, manners)
@some
def test_an_edge_may_begin_and_end_at_landmarks_between_corners(motion: Affine, manner: Manner) -> None:
    """The armhole parted at the underarm point."""
    underarm = CORNERS[0] + 0.4 * (CORNERS[1] - CORNERS[0])
    marks = {"underarm": underarm, "right": CORNERS[1], "left": CORNERS[0]}
    said = '"armhole front" = ["underarm", "right"]\n"armhole back" = ["underarm", "left"]'
    piece = known(panel(motion, manner, marks, said))
    for name, share, end in (("armhole front", 0.6, CORNERS[1]), ("armhole back", 0.4, CORNERS[0])):
        curve = piece.edge(name).from_front().transform(piece.placement)
        assert curve.length() == pytest.approx(share * LENGTHS["armhole"], abs=1e-6)
        assert abs(curve.start - motion.apply(underarm)) < 1e-6
        assert abs(curve.end - motion.apply(end)) < 1e-6
    assert len(piece.edges) == 5


def test_several_edges_in_a_row_are_one() -> None:
    number = numbers(panel())
    piece = known(panel(said=f'round = ["{number["back seam"]}", "{number["armhole"]}"]'))
    assert piece.edge("round").curve.length() == pytest.approx(LENGTHS["armhole"] + LENGTHS["back seam"], abs=1e-6)
    assert len(piece.edges) == 3


@pytest.mark.parametrize(
    ("marks", "said", "words"),
    [
        ({}, 'armhole = "edge 9"', "it has 4 edges"),
        ({}, 'armhole = "top"', "there is no landmark 'top'"),
        ({"top": 0j}, 'armhole = ["top"]', "between two landmarks"),
        ({"top": 0j, "low": 0.01j}, 'armhole = ["top", "low"]', "on one place"),
        ({}, 'armhole = "edge 1"\nhem = "edge 1"', "named both 'armhole' and 'hem'"),
        ({}, 'armhole = ["edge 1", "edge 3"]', "two stretches apart"),
        ({"edge hem": 500j}, "", "lies 3"),
    ],
)
def test_names_for_what_is_not_there(marks: dict[str, complex], said: str, words: str) -> None:
    with pytest.raises(Refusal) as caught:
        known(panel(marks=marks, said=said))
    line = caught.value.line()
    assert words in line
    assert "Side panel" in line
    assert "\n" not in line


def test_the_convention_refuses_what_makes_no_sense() -> None:
    for text, words in (
        ('[pieces.A]\nkind = "front"\nedges = { armhole = "edge 1" }', "have their names already"),
        ("[pieces.A]\nedges = { armhole = [] }", "names no edge"),
        ("[pieces.A]\nedges = { armhole = 2 }", ""),
    ):
        with pytest.raises(Refusal) as caught:
            parse_convention(text)
        assert words in caught.value.line()
        assert "line" in caught.value.line()


def test_allowances_go_by_the_names() -> None:
    from msgspec.structs import replace

    drawn = replace(panel(marks=BESIDE), allowances={"all": 10.0, "armhole": 6.0})
    piece = known(drawn)
    assert piece.edge("armhole").allowance == 6.0
    assert piece.edge("front seam").allowance == 10.0
