"""A person's own operation gets as good a page as a stock one: its words, its sentences, its parts as they moved."""

from __future__ import annotations

from pathlib import Path

import pytest

from svgfit.app.session import open_drawings
from svgfit.app.teaching import teaching_pdf
from svgfit.model.length import Units
from svgfit.model.plan import Plan
from tests.render.pdf.reading import opened

ROOT = Path(__file__).parents[3]
SMOCK, EXAMPLES = ROOT / "demo_svgs" / "smock.svg", ROOT / "docs" / "examples" / "plugins"
A4 = (210.0, 297.0)


def page_of(plugins, step: str) -> str:
    run = open_drawings(SMOCK, plugins=[plugins]).run(Plan.from_steps(step))
    return " ".join(" ".join(page.get_text() for page in opened(teaching_pdf(run, A4, Units()))).split())


@pytest.mark.slow_after(1)
@pytest.mark.parametrize(
    ("amount", "title", "asked", "way"),
    [
        ("1 in", "Lengthen the sleeve", "lengthen the sleeve by 1 in", "down until the cut opens by 1 in"),
        ("-1/2 in", "Shorten the sleeve", "shorten the sleeve by 1/2 in", "over the other part, until it overlaps by"),
    ],
)
def test_the_words_beside_the_operation_stand_on_the_sheet(amount, title, asked, way):
    told = page_of(EXAMPLES, f"longer piece=Sleeve amount='{amount}' below='3 in'")
    assert f"{title} (Sleeve)" in told
    assert f"{asked}, cutting 3 in below the bicep line" in told
    assert way in told
    assert "Draw the line: level, 3 in below the bicep line." in told
    assert "Cut along the line from edge to edge. Shaded: the part that moves." in told


def test_without_words_and_parts_the_piece_is_shown_before_and_after(tmp_path):
    text = (EXAMPLES / "longer.py").read_text(encoding="utf-8")
    bare = text.replace("        moved=parted.moved,\n", "")
    start, end = bare.index("            instructions="), bare.index("        )\n    ]")
    (tmp_path / "longer.py").write_text(bare[:start] + bare[end:], encoding="utf-8")
    told = page_of(tmp_path, "longer piece=Sleeve amount='1 in' below='3 in'")
    assert "Longer (Sleeve)" in told
    assert "amount 1 in, below 3 in" in told
    assert "As it was." in told
    assert "Cut along the line" not in told


CHALK = """
from svgfit.plugin import Annotation, Curve, LineKind, Operation, Outcome, hookimpl, replace, swap

def run(job):
    piece = job.piece
    cap = piece.edge("cap").curve
    edges = tuple(replace(edge, allowance=20.0) for edge in piece.edges) if {wider} else piece.edges
    notes = (Annotation("chalk", piece.title, cap, label="tack here"),)
    return Outcome(swap(job.pieces, replace(piece, edges=edges)) if {wider} else job.pieces, annotations=notes)

@hookimpl
def svgfit_operations():
    return [Operation("chalk-it", "Chalks the cap.", (), run, kinds=("sleeve",))]

@hookimpl
def svgfit_line_kinds():
    return [LineKind("chalk", "chalk: tack along here", "#CC79A7", 0.6, (5.0, 1.0, 1.0, 1.0, 1.0, 1.0), layer="notes")]
"""


@pytest.mark.parametrize("wider", [True, False], ids=["beside another change", "alone"])
def test_its_own_kind_of_line_is_in_the_pictures_and_in_the_legend(tmp_path, wider):
    (tmp_path / "chalk_it.py").write_text(CHALK.format(wider=wider), encoding="utf-8")
    told = page_of(tmp_path, "chalk-it")
    assert "tack here" in told
    assert "chalk: tack along here" in told
    (tmp_path / "chalk_it.py").write_text(
        CHALK.format(wider=True).replace("annotations=notes", "annotations=()"), encoding="utf-8"
    )
    assert "chalk: tack along here" not in page_of(tmp_path, "chalk-it")
