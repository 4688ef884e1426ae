"""Small drawings with known answers, not kept in the project: layers, flags, outline and scale as their list says.

    python .ci/run_cases.py FOLDER

FOLDER holds ``dialects/`` with EXPECTED.json, and ``reports/``, in each of which the shape ``t`` is 50 mm wide. Exit
status 1 where anything differs.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

from svgfit.model.refusal import Refusal
from svgfit.plugin.registry import open_registry
from svgfit.svg import read_drawing

WIDE = 50.0
ROUNDING = 0.01
"""Of the numbers in the reports' files, mm."""


def dialect_faults(path: Path, expected: dict, dialects: tuple) -> list[str]:
    """What differs from the list."""
    drawing = read_drawing(str(path), dialects=dialects)
    faults: list[str] = []
    found = [(layer.name, not layer.hidden, layer.locked) for layer in drawing.layers]
    wanted = [(layer["name"], layer["visible"], layer["locked"]) for layer in expected["layers"]]
    if found != wanted:
        faults.append(f"layers {found}, not {wanted}")
    units = 25.4 / drawing.canvas.mm_per_user_unit
    if abs(units / expected["user_units_per_inch"] - 1) > 1e-4:
        faults.append(f"{units:g} user units an inch, not {expected['user_units_per_inch']:g}")
    outline = next((layer for layer in drawing.layers if layer.name == "Sleeve stitch line"), None)
    if outline is None or not outline.shapes:
        return [*faults, "no stitch line"]
    (curve,) = (curve for shape in outline.shapes for curve in shape.curves)
    away = abs(curve.length() - expected["outline_perimeter_mm"])
    if away > expected["tolerance_mm"]:
        faults.append(f"outline {curve.length():.6f} mm, not {expected['outline_perimeter_mm']:.6f}")
    return faults


def report_faults(path: Path, dialects: tuple) -> list[str]:
    """Whether the shape ``t`` is as wide as it should be."""
    drawing = read_drawing(str(path), dialects=dialects)
    shapes = [shape for layer in drawing.layers for shape in layer.shapes if shape.id == "t"]
    if len(shapes) != 1:
        return [f"{len(shapes)} shapes named t"]
    left, _, right, _ = shapes[0].curves[0].bounds()
    return [] if abs(right - left - WIDE) <= ROUNDING else [f"{right - left:.6f} mm wide, not {WIDE:g}"]


def main(folder: str) -> int:
    dialects = open_registry().dialects()
    expected = json.loads((Path(folder) / "dialects" / "EXPECTED.json").read_text(encoding="utf-8"))["files"]
    jobs = [(Path(folder) / "dialects" / name, told) for name, told in expected.items()]
    jobs += [(path, None) for path in sorted((Path(folder) / "reports").glob("*.svg*"))]
    wrong = 0
    for path, told in jobs:
        try:
            faults = dialect_faults(path, told, dialects) if told else report_faults(path, dialects)
        except Refusal as refusal:
            faults = [refusal.line()]
        wrong += bool(faults)
        for fault in faults:
            print(f"{path.name}: {fault}")
    print(f"cases: {len(jobs)} drawings, {wrong} not as expected")
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
