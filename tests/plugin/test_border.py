"""What crosses the border from a plug-in is sound, or refused in one line with plug-in, file, step and fault."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec import UNSET

from svgfit.app.run_plan import run_plan
from svgfit.geometry.curve import Curve
from svgfit.model.operation import Operation, Outcome, replace, swap
from svgfit.model.piece import Piece
from svgfit.model.plan import Plan
from svgfit.model.refusal import Refusal
from svgfit.model.run import SizeRun
from svgfit.plugin.registry import open_registry
from svgfit.plugin.sewing import slide_notch
from tests.fitting.sleeves import Shape, sleeve

from .border_plugins import NO_OUTCOME, changed, operation


@pytest.fixture
def piece() -> Piece:
    return sleeve(Shape())


def run_text(pieces: tuple[Piece, ...], folder: Path, name: str, text: str, step: str = "") -> SizeRun:
    (folder / f"{name.replace('-', '_')}.py").write_text(text, encoding="utf-8")
    return run_plan(pieces, (), Plan.from_steps(step or name), open_registry([str(folder)]))


@pytest.mark.parametrize("way", NO_OUTCOME)
def test_what_cannot_be_is_refused_by_name(way: str, piece: Piece, tmp_path: Path) -> None:
    body, why = NO_OUTCOME[way]
    with pytest.raises(Refusal) as refused:
        run_text((piece,), tmp_path, f"do-{way}", operation(f"do-{way}", body))
    line = refused.value.line()
    assert why in line
    assert f"--do 1: do-{way}: plug-in do-{way} (" in line
    assert f"do_{way.replace('-', '_')}.py" in line
    assert "\n" not in line


def test_what_the_drawing_had_already_is_no_fault_of_a_plug_in(piece: Piece, tmp_path: Path) -> None:
    """An outline drawn crossed, a notch drawn beside its edge: what leaves them so can go on."""
    hem = piece.edge("hem").curve
    bow = Curve.polyline([hem.start, hem.end - 200j, hem.start - 300j, hem.end])
    marks = tuple(replace(mark, at=mark.at + 30j) if mark.at is not None else mark for mark in piece.marks)
    edges = tuple(replace(edge, curve=bow) if edge.name == "hem" else edge for edge in piece.edges)
    crossed = replace(piece, edges=edges, marks=marks)
    body = changed("edges=tuple(replace(edge, allowance=20.0) for edge in piece.edges), marks=piece.marks[:-1]")
    assert run_text((crossed,), tmp_path, "wider", operation("wider", body)).after[0].edges[0].allowance == 20.0


def test_a_landmark_that_an_edge_left_behind_is_warned_of(piece: Piece, tmp_path: Path) -> None:
    body = changed("edges=tuple(replace(e, curve=e.curve.transform(Affine.shift(30j))) for e in piece.edges), marks=()")
    run = run_text((piece,), tmp_path, "drop", operation("drop", body))
    assert any(
        "plug-in drop (" in text and "its landmark cap top stood on the outline" in text for text in run.warnings
    )


# -- units -------------------------------------------------------------------------------------------------------------


def test_each_figure_got_keeps_its_own_unit(piece: Piece, tmp_path: Path) -> None:
    body = """
figures = (("buttons", 6, "number"), ("slant", 20.0, "deg"), ("cloth", 64516.0, "mm2"), ("part", 0.25, "share"))
known = (("underarm corner", 180.0), ("cap height", 1))
return Outcome(job.pieces, got=(*(Measurement(*each) for each in figures), *known))
"""
    row = run_text((piece,), tmp_path, "count", operation("count", body)).steps[0]
    assert row.got == {
        "buttons": 6,
        "slant": 20.0,
        "cloth": 64516.0,
        "part": 0.25,
        "underarm corner": 180.0,
        "cap height": 1.0,
    }
    assert row.got_units == {
        "buttons": "number",
        "slant": "deg",
        "cloth": "mm2",
        "part": "share",
        "underarm corner": "deg",
    }
    assert row.unit_of("cap height") == "mm"


def test_a_figure_without_a_unit_is_no_length_in_silence(piece: Piece, tmp_path: Path) -> None:
    body = 'return Outcome(job.pieces, got=(("buttons", 6), ("angle", 20.0)))'
    run = run_text((piece,), tmp_path, "count", operation("count", body))
    assert run.steps[0].got_units == {"buttons": "number", "angle": "number"}
    (first, second) = run.warnings
    assert "plug-in count (" in first
    assert "'buttons' says no unit" in first
    assert "'angle' says no unit" in second


def test_stock_operations_say_the_unit_of_all_that_they_got(piece: Piece) -> None:
    run = run_plan((piece,), (), Plan.from_steps("cap-raise amount='6 mm'"), open_registry())
    assert run.steps[0].got_units is UNSET
    assert not any("says no unit" in text for text in run.warnings)


# -- parameters --------------------------------------------------------------------------------------------------------

CHOICE = "Parameter('way', 'text', 'how', choices=('Left side', 'right'), default='right'),"


@pytest.mark.parametrize("given", ["left-side", "'LEFT SIDE'", "Left_side"])
def test_a_choice_is_handed_over_as_the_operation_names_it(given: str, piece: Piece, tmp_path: Path) -> None:
    text = operation("pick", "return Outcome(job.pieces, warnings=(job.values['way'],))", parameters=CHOICE)
    assert run_text((piece,), tmp_path, "pick", text, f"pick way={given}").warnings == ("Left side",)


def test_what_is_no_choice_is_refused_before_the_operation_runs(piece: Piece, tmp_path: Path) -> None:
    text = operation("pick", "raise AssertionError('it ran')", parameters=CHOICE)
    with pytest.raises(Refusal, match="'up' is none of what it may be; give Left side or right"):
        run_text((piece,), tmp_path, "pick", text, "pick way=up")


# -- pieces, marks -----------------------------------------------------------------------------------------------------


def test_any_stands_for_every_kind_of_piece(piece: Piece, tmp_path: Path) -> None:
    cuff = replace(piece, kind="cuff", name="Cuff")
    text = operation("count", "return Outcome(job.pieces, warnings=(piece.kind,))", kind="any")
    assert run_text((cuff,), tmp_path, "count", text).warnings == ("cuff",)
    run = run_plan((cuff,), (), Plan.from_steps("seam-allowance width='10 mm'"), open_registry())
    assert {edge.allowance for edge in run.after[0].edges} == {10.0}
    assert not Operation("x", "y", (), lambda job: Outcome(job.pieces), kinds=("sleeve",)).fits("cuff")


def test_swap_refuses_a_piece_that_is_not_there(piece: Piece) -> None:
    assert swap((piece,), replace(piece, kind="front"))[0].kind == "front"
    with pytest.raises(ValueError, match=r"there is no piece 'Other' of 'sleeve\.svg'; the pieces are: Sleeve"):
        swap((piece,), replace(piece, name="Other"))


def test_an_equal_notch_is_the_notch_and_another_is_none(piece: Piece) -> None:
    mark = piece.notches("cap")[0]
    same, _ = slide_notch(piece, replace(mark), 5.0)
    assert same.notches("cap")[0].at == slide_notch(piece, mark, 5.0)[0].notches("cap")[0].at != mark.at
    with pytest.raises(ValueError, match="given is none of the marks of Sleeve"):
        slide_notch(piece, replace(mark, curves=()), 5.0)
