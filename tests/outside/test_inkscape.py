"""Our output opened in a real editor: Inkscape, without a window (https://inkscape.org/doc/inkscape-man.html).

Skipped where it is absent, unless SVGFIT_NEED_INKSCAPE is set.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from pathlib import Path

import pytest
from lxml import etree

DEMOS = Path(__file__).parents[2] / "demo_svgs"
INKSCAPE = shutil.which("inkscape")
NEEDED = bool(os.environ.get("SVGFIT_NEED_INKSCAPE"))
SVG = "{http://www.w3.org/2000/svg}"
LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"
LAYERS = ["working lines", "adjusted", "measurements"]
PX = 25.4 / 96
"""Millimetres in Inkscape's px (CSS Values and Units 3, section 6.2)."""

pytestmark = pytest.mark.skipif(INKSCAPE is None and not NEEDED, reason="Inkscape is not installed")


def inkscape(*arguments: str | Path) -> str:
    assert INKSCAPE is not None, "SVGFIT_NEED_INKSCAPE is set, and Inkscape is not installed"
    done = subprocess.run([INKSCAPE, *map(str, arguments)], capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="module", params=["smock.svg", "smock-sleeve-cut-line.svg"])
def adjusted(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, float]]:
    """A demo's sleeve raised; the file, and what we say its sleeve measures now. It lies unturned in both."""
    from svgfit.cli import main

    folder = tmp_path_factory.mktemp("inkscape")
    for name in (request.param, "svgfit.toml"):
        shutil.copy(DEMOS / name, folder / name)
    out, report = folder / "out.svg", folder / "out.json"
    do = "cap-raise piece=Sleeve amount='1/4 in'"
    assert main(["adjust", str(folder / request.param), "--do", do, "-o", str(out), "--report", str(report)]) == 0
    pieces = json.loads(report.read_text(encoding="utf-8"))["pieces"]
    rows = next(piece for piece in pieces if piece["kind"] == "sleeve")["measurements"]
    return out, {row["name"]: row["after"] for row in rows}


@pytest.mark.slow
def test_the_three_layers_are_layers_there_and_bear_their_names(
    adjusted: tuple[Path, dict[str, float]], tmp_path: Path
) -> None:
    """What it takes for layers, and the labels with which it saves them."""
    file, _ = adjusted
    again = tmp_path / "again.svg"
    said = inkscape(f"--actions=select-all:layers;select-list;export-filename:{again};export-do", file)
    layers = {line.split()[0] for line in said.splitlines() if " cloned: " in line}
    named = {group.get("id"): group.get(LABEL) for group in etree.parse(again).getroot().iter(f"{SVG}g")}
    ours = [named[identity] for identity in named if identity in layers and named[identity] in LAYERS]
    assert ours == LAYERS
    boxes = inkscape("--query-all", file)
    assert {group.get("id") for group in etree.parse(file).getroot().iter(f"{SVG}g") if group.get(LABEL) in LAYERS} <= {
        line.split(",")[0] for line in boxes.splitlines()
    }


@pytest.mark.parametrize("line", ["stitch", "cut"])
def test_the_adjusted_outline_is_as_wide_and_high_as_ours_says(
    adjusted: tuple[Path, dict[str, float]], tmp_path: Path, line: str
) -> None:
    """On a copy with stroke:none, since Inkscape's boxes hold the stroke; within 0.01 mm."""
    file, measured = adjusted
    tree = etree.parse(file)
    (path,) = tree.getroot().iterfind(f".//{SVG}path[@data-svgfit-piece='Sleeve'][@data-svgfit-line='{line}']")
    path.set("style", "fill:none;stroke:none")
    path.set("id", "the-outline")
    copy = tmp_path / "copy.svg"
    tree.write(copy)
    # One call for each: asked for both at once, it prints them in an order of its own.
    wide = float(inkscape("--query-id=the-outline", "--query-width", copy)) * PX
    high = float(inkscape("--query-id=the-outline", "--query-height", copy)) * PX
    if line == "stitch":
        assert wide == pytest.approx(measured["outline width"], abs=0.01)
        assert high == pytest.approx(measured["outline height"], abs=0.01)
    else:  # the cut line lies an inch below the hem and 5/8 in above the cap top, whose parallel is fitted
        assert high == pytest.approx(measured["outline height"] + 25.4 + 15.875, abs=0.06)
        assert wide > measured["outline width"] + 15.875
