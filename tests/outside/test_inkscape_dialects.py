"""What we write into a drawing of each program, opened in a real editor: Inkscape, without a window.

Skipped where it is absent, unless SVGFIT_NEED_INKSCAPE is set.
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from lxml import etree

from tests.outside.test_inkscape import INKSCAPE, LABEL, LAYERS, NEEDED, SVG, inkscape

DIALECTS = sorted((Path(__file__).parents[1] / "dialects").glob("*.svg*"))
MM = 25.4 / 96
"""Millimetres in a px of Inkscape's (CSS Values and Units 3, section 6.2), which knows no other scale."""

pytestmark = pytest.mark.skipif(INKSCAPE is None and not NEEDED, reason="Inkscape is not installed")


def test_there_are_drawings_of_many_programs() -> None:
    assert len(DIALECTS) >= 10


@pytest.mark.slow_after(2)
@pytest.mark.parametrize("drawing", DIALECTS, ids=lambda path: path.stem)
def test_our_layers_and_the_adjusted_outline_are_there(drawing: Path, tmp_path: Path) -> None:
    from svgfit.cli import main

    source, out, report = tmp_path / drawing.name, tmp_path / f"out{drawing.suffix}", tmp_path / "out.json"
    shutil.copy(drawing, source)
    do = "cap-raise amount='1/4 in'"
    assert main(["adjust", str(source), "--do", do, "-o", str(out), "--report", str(report), "--quiet"]) == 0
    told = json.loads(report.read_text(encoding="utf-8"))
    measured = {row["name"]: row["after"] for row in told["pieces"][0]["measurements"]}

    tree = etree.parse(out)
    root = tree.getroot()
    (path,) = root.iterfind(f".//{SVG}path[@data-svgfit-piece][@data-svgfit-line='stitch']")
    path.set("style", "fill:none;stroke:none")  # Inkscape's boxes hold the stroke
    path.set("id", "the-outline")
    copy, again = tmp_path / "copy.svg", tmp_path / "again.svg"
    tree.write(copy)

    said = inkscape(f"--actions=select-all:layers;select-list;export-filename:{again};export-do", copy)
    layers = {line.split()[0] for line in said.splitlines() if " cloned: " in line}
    named = {group.get("id"): group.get(LABEL) for group in etree.parse(again).getroot().iter(f"{SVG}g")}
    assert [name for identity, name in named.items() if identity in layers and name in LAYERS] == LAYERS

    # Where the drawing says no real size, Inkscape's px is the drawing's own, and our scale makes it millimetres.
    scale = told["drawings"][0]
    stated = scale["scale_from"].startswith("width and height")
    mm = MM if stated else scale["mm_per_user_unit"]
    wide = float(inkscape("--query-id=the-outline", "--query-width", copy)) * mm
    high = float(inkscape("--query-id=the-outline", "--query-height", copy)) * mm
    assert wide == pytest.approx(measured["outline width"], abs=0.01)
    assert high == pytest.approx(measured["outline height"], abs=0.01)
