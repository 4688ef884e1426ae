"""Letters as a real editor draws them, against our table of widths."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from svgfit.render.text_metrics import letters, text_width
from svgfit.svg.markup import serialise

WORDS = (
    "cap length back 9 9/16 in",
    "was 5 1/2 in",
    "bicep width 348.0 mm",
    "All figures are measured on the drawing, on the stitch line, not on a body.",
    "WWWW mmmm 1234567890",
)


@pytest.mark.skipif(shutil.which("inkscape") is None, reason="Inkscape is not installed")
@pytest.mark.parametrize("bold", [False, True])
def test_boxes_are_wide_enough_for_what_an_editor_draws(tmp_path: Path, bold: bool) -> None:
    lines = [
        serialise(letters(words, complex(10, 10 * n + 10), 5, bold=bold, halo=False)).replace(
            "<text", f'<text id="t{n}"'
        )
        for n, words in enumerate(WORDS)
    ]
    file = tmp_path / "words.svg"
    file.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="100mm" viewBox="0 0 400 100">'
        f"{''.join(lines)}</svg>"
    )
    asked = subprocess.run(["inkscape", "--query-all", str(file)], capture_output=True, text=True, check=True).stdout
    found = {line.split(",")[0]: float(line.split(",")[3]) for line in asked.splitlines() if line.startswith("t")}
    for n, words in enumerate(WORDS):
        drawn = found[f"t{n}"] * 25.4 / 96
        ours = text_width(words, 5, bold=bold)
        assert 0.6 * ours < drawn <= 1.02 * ours, words
