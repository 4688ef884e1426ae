"""The whole way on drawings turned and mirrored: the same figures, the same curves moved, texts that can be read."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import numpy as np
import pytest
from lxml import etree

from svgfit.cli import main
from svgfit.geometry.affine import Affine

DEMO = Path(__file__).parents[1] / "demo_svgs" / "smock.svg"
LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"
SVG = "{http://www.w3.org/2000/svg}"
STEPS = ["--do", "cap-raise amount='3/8 in'", "--do", "ease-spread amount='1/4 in'"]
REDRAWN = ["--do", "cap-redraw amount='3/8 in'", "--do", "cap-redraw amount='-1/8 in' within=whole"]


def drawing(motion: Affine) -> bytes:
    """The smock's sleeve alone, every layer of it moved (one user unit is 1 mm)."""
    root = etree.fromstring(DEMO.read_bytes())
    for layer in root.findall(f"{SVG}g"):
        if (layer.get(LABEL) or "").startswith("Sleeve"):
            numbers = " ".join(repr(getattr(motion, part)) for part in "abcdef")
            layer.set("transform", f"matrix({numbers})")
        else:
            root.remove(layer)
    return etree.tostring(root)


def adjusted(folder: Path, motion: Affine, steps: list[str]) -> tuple[dict, np.ndarray, etree._Element]:
    """Report, stitch line's points in page mm, and the drawing that was written."""
    folder.mkdir()
    (folder / "in.svg").write_bytes(drawing(motion))
    # The convention says nothing of front and back: the notches tell.
    report = folder / "report.json"
    status = main(
        ["adjust", str(folder / "in.svg"), *steps, "-o", str(folder / "out.svg"), "--report", str(report), "--quiet"]
    )
    assert status == 0
    root = etree.fromstring((folder / "out.svg").read_bytes())
    (line,) = root.iterfind(f".//{SVG}path[@data-svgfit-line='stitch']")
    layer = next(each for each in line.iterancestors() if each.get("data-svgfit-layer"))
    numbers = [float(text) for text in re.findall(r"-?\d+\.?\d*(?:e-?\d+)?", layer.get("transform"))]
    to_root = Affine(*numbers)
    values = [float(text) for text in re.findall(r"-?\d+\.?\d*(?:e-?\d+)?", line.get("d"))]
    points = np.array(values[::2]) + 1j * np.array(values[1::2])
    return json.loads(report.read_text()), to_root.apply(points), root


MOTIONS = [
    Affine.turn(math.radians(37), 900 + 300j),
    Affine.turn(math.radians(180), 900 + 350j),
    Affine(-1, 0, 0, 1, 1800, 0),
    Affine(-1, 0, 0, 1, 1800, 0).then(Affine.turn(math.radians(-110), 900 + 350j)),
]


@pytest.mark.slow_after(3)
@pytest.mark.parametrize("steps", [STEPS, REDRAWN], ids=["slashed", "redrawn"])
@pytest.mark.parametrize("motion", MOTIONS, ids=["turned", "upside down", "mirrored", "mirrored and turned"])
def test_turning_and_mirroring_change_nothing(motion: Affine, steps: list[str], tmp_path: Path) -> None:
    plain, curve, _ = adjusted(tmp_path / "plain", Affine(), steps)
    turned, moved, root = adjusted(tmp_path / "turned", motion, steps)
    assert len(turned["pieces"]) == 1
    for before, after in zip(plain["pieces"][0]["measurements"], turned["pieces"][0]["measurements"], strict=True):
        assert before["name"] == after["name"]
        for side in ("before", "after"):
            assert after[side] == pytest.approx(before[side], abs=1e-6)
    assert abs(motion.apply(curve) - moved).max() < 1e-6
    for text in root.iter(f"{SVG}text"):
        layer = next((each for each in text.iterancestors() if each.get("data-svgfit-layer")), None)
        if layer is None:
            continue
        shown = whole_transform(text)
        assert shown.determinant > 0, "a text is mirrored"
        way = shown.apply_vector(1 + 0j)
        assert way.real > -1e-9, f"a text reads from right to left: {text.text}"


def whole_transform(element: etree._Element) -> Affine:
    from svgfit.svg.transforms import read_transform

    motion = Affine()
    for each in [element, *element.iterancestors()]:
        if each.get("transform"):
            motion = motion.then(read_transform(each.get("transform")))
    return motion
