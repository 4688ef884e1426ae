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
