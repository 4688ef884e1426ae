"""The whole way on the demo's pieces, turned and mirrored on the page: the same figures, the same curves moved."""

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

DEMO = Path(__file__).parents[2] / "demo_svgs" / "smock.svg"
SVG = "{http://www.w3.org/2000/svg}"
LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"
STEPS = (
    "armhole-adjust lower='3/8 in'",
    "armhole-adjust scoop='1/8 in'",
    "bicep-widen amount='1/2 in'",
    "bicep-widen amount='1/4 in' how=cap-length",
    "bicep-widen amount='1/4 in' how=underarm taper='6 in'",
    "bicep-widen amount='1/4 in' how=hem",
    "notch-match share-back=0.55",
    "side-seam amount='1/2 in' with-sleeve=yes",
    "side-seam waist='-1 in' hem='1 in' waist-at='7 in'",
    "sleeve-width elbow='1/2 in' hem='-1/2 in' elbow-at='8 in'",
    "underarm-lift amount='1/4 in'",
    "elbow-dart forward='1/2 in' elbow-at='9 in'",
    "seam-allowance piece=Sleeve edge=hem width='3/4 in'",
    "shoulder-forward amount='1/4 in' neck='1/16 in'",
    "shoulder-slope amount='-1/4 in'",
    "shoulder-slope amount='1/8 in' armhole=redrawn",
    "shoulder-width amount='1/8 in'",
    "shoulder-pad amount='1/4 in' out='1/8 in'",
    "sleeve-pitch amount='1/4 in'",
)
NUMBER = r"-?\d+\.?\d*(?:e-?\d+)?"


def adjusted(folder: Path, motion: Affine) -> tuple[dict, dict[tuple[str, str], np.ndarray]]:
    """The report, and every adjusted outline's points in page mm by piece and line."""
    folder.mkdir()
    root = etree.fromstring(DEMO.read_bytes())
    for layer in root.findall(f"{SVG}g"):
        if layer.get(LABEL) != "test square":
            layer.set("transform", f"matrix({' '.join(repr(getattr(motion, part)) for part in 'abcdef')})")
    (folder / "in.svg").write_bytes(etree.tostring(root))
    report = folder / "report.json"
    steps = [word for step in STEPS for word in ("--do", step)]
    out = folder / "out.svg"
    status = main(["adjust", str(folder / "in.svg"), *steps, "-o", str(out), "--report", str(report), "--quiet"])
    assert status == 0
    found: dict[tuple[str, str], np.ndarray] = {}
    for path in etree.fromstring(out.read_bytes()).iterfind(f".//{SVG}path[@data-svgfit-line]"):
        layer = next(each for each in path.iterancestors() if each.get("data-svgfit-layer"))
        to_root = Affine(*map(float, re.findall(NUMBER, layer.get("transform"))))
        values = [float(text) for text in re.findall(NUMBER, path.get("d"))]
        points = np.array(values[::2]) + 1j * np.array(values[1::2])
        found[path.get("data-svgfit-piece"), path.get("data-svgfit-line")] = to_root.apply(points)
    return json.loads(report.read_text()), found


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict, dict[tuple[str, str], np.ndarray]]:
    return adjusted(tmp_path_factory.mktemp("turned") / "plain", Affine())


@pytest.mark.slow_after(1)
@pytest.mark.parametrize(
    "motion",
    [
        Affine.turn(math.radians(37), 900 + 300j),
        Affine(-1, 0, 0, 1, 1800, 0).then(Affine.turn(math.radians(-110), 900 + 350j)),
    ],
    ids=["turned", "mirrored and turned"],
)
def test_turning_and_mirroring_change_nothing(
    motion: Affine, plain: tuple[dict, dict[tuple[str, str], np.ndarray]], tmp_path: Path
) -> None:
    report, curves = plain
    turned, moved = adjusted(tmp_path / "turned", motion)
    for before, after in zip(report["steps"], turned["steps"], strict=True):
        assert after["got"] == {name: pytest.approx(value, abs=1e-6) for name, value in before["got"].items()}
    assert {line for _, line in curves} == {"stitch", "cut"}
    assert len(curves) == 6
    for key, points in curves.items():
        if key[1] == "stitch":
            assert abs(motion.apply(points) - moved[key]).max() < 1e-6
