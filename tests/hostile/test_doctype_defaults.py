"""Attributes that a DOCTYPE declares by default: there when asked for, but nothing that could be deleted by name."""

import subprocess
import sys

import pytest

from tests.hostile.running import ROOT

SPACES = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
DRAWN = '<g id="Panel_stitch_line" filter="none"><path d="M10 90L10 40L50 10L90 40L90 90Z" stroke="#000"/></g>'
NAMES = (
    "viewBox",
    "width",
    "preserveAspectRatio",
    "x",
    "style",
    "filter",
    "href",
    "xlink:href",
    "xml:base",
    "overflow",
)
PRINTS = """
import sys
from svgfit.render.text_metrics import text_width
from svgfit.svg import parse_file, read_parsed
from svgfit.svg.export.print_svg import to_print
from svgfit.svg.export.sanitise import cleaned, serialised

for _ in range(40):
    drawing, tree = read_parsed(parse_file(sys.argv[1]), scale=96, dialects=())
    shown = [each.item.owner for placed in tree.placed for each in placed]
    text, _ = to_print(drawing.canvas, tree, shown, (0, 0, 100, 100), text_width)
    assert b"M10 90" in text
    assert "M10 90" in serialised(cleaned(tree.root, without=("x", "y")))
"""


@pytest.mark.parametrize("name", NAMES)
def test_a_default_of_the_doctype_does_no_harm(tmp_path, name):
    """Printed from the parsed tree itself, so that no copy stands between: a fault shows as a signal, not always."""
    path = tmp_path / "d.svg"
    declared = "".join(f"<!ATTLIST {tag} {name} CDATA '0 0 100 100'>" for tag in ("svg", "g", "path"))
    path.write_text(f'<!DOCTYPE svg [{declared}]><svg {SPACES} width="100mm" height="100mm">{DRAWN}</svg>')
    done = subprocess.run(
        [sys.executable, "-c", PRINTS, str(path)], capture_output=True, text=True, cwd=ROOT, timeout=60, check=False
    )
    assert done.returncode == 0 or "Refusal" in done.stderr, done.stderr
