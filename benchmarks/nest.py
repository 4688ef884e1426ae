"""One run over a nest of ten sizes of three pieces, as a multiple of the run over one size of it.

    python benchmarks/nest.py [--runs N] [--strict [--slack 1]]

The nest is the demo smock in steps of 3 per cent. Wall time of whole ``svgfit adjust`` processes, the least of N runs
each, the two taking turns. With --strict exit status 1 where the ratio is over 3 (or over --slack times that).
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "docs"), str(ROOT)]

from draw_demos import path_data  # noqa: E402
from smock_shapes import smock  # noqa: E402

from svgfit.geometry.affine import Affine  # noqa: E402

LIMIT = 3.0
STEPS = ('cap-raise amount="3/8 in"', 'ease-spread amount="1/8 in"')
CONVENTION = """[pieces.Sleeve]
"seam allowance" = { all = "5/8 in", hem = "1 in" }
[pieces.Front]
"seam allowance" = { all = "5/8 in", hem = "1 in" }
[pieces.Back]
"seam allowance" = { all = "5/8 in", hem = "1 in" }
"""


def nest(sizes: int) -> str:
    """The drawing: one layer a size, in it a sublayer for each line."""
    places = dict(
        zip(
            ("Sleeve", "Front", "Back"),
            (Affine.shift(1200 + 300j), Affine.shift(40 + 300j), Affine.scale(-1, 1).then(Affine.shift(870 + 300j))),
            strict=True,
        )
    )
    layers: list[str] = []
    for k in range(sizes):
        inside: list[str] = []
        for pattern in smock():
            motion = Affine.scale(1 + 0.03 * k, 1 + 0.03 * k).then(places[pattern.name])
            lines = {"stitch line": (pattern.stitch,), "notches": pattern.notches, "grain line": (pattern.grain,)}
            if pattern.fold:
                lines["fold line"] = (pattern.fold,)
            for name, curves in lines.items():
                paths = "".join(f'<path d="{path_data(curve.transform(motion))}"/>' for curve in curves)
                inside.append(f'<g inkscape:groupmode="layer" inkscape:label="{pattern.name} {name}">{paths}</g>')
        label = f'inkscape:label="size {8 + 2 * k}"'
        layers.append(f'<g inkscape:groupmode="layer" {label}>{"".join(inside)}</g>')
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
        'width="2000mm" height="1400mm" viewBox="0 0 2000 1400" fill="none" stroke="#000">' + "".join(layers) + "</svg>"
    )


def timed(folder: Path, name: str) -> float:
    """Seconds of one run."""
    dos = [word for step in STEPS for word in ("--do", step)]
    command = [sys.executable, "-m", "svgfit", "adjust", name, *dos, "-o", "out.svg", "--force", "--quiet"]
    environment = {"PYTHONPATH": str(ROOT), "PYTHONPYCACHEPREFIX": str(folder / "bytecode")}
    start = time.perf_counter()
    done = subprocess.run(command, cwd=folder, env=environment, check=False, capture_output=True)
    spent = time.perf_counter() - start
    if done.returncode not in (0, 1):
        raise SystemExit(done.stderr.decode())
    return spent


def main() -> int:
    options = argparse.ArgumentParser()
    options.add_argument("--runs", type=int, default=3)
    options.add_argument("--strict", action="store_true")
    options.add_argument("--slack", type=float, default=1.0, help="how many times its limit the ratio may be")
    wish = options.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "svgfit.toml").write_text(CONVENTION)
        for count in (1, 10):
            (folder / f"nest{count}.svg").write_text(nest(count))
        timed(folder, "nest1.svg")  # warms bytecode and disk
        turns = [(timed(folder, "nest1.svg"), timed(folder, "nest10.svg")) for _ in range(wish.runs)]
        one, ten = (min(times) for times in zip(*turns, strict=True))
    print(f"nest: 10 sizes of 3 pieces take {ten / one:.2f} x one size ({one * 1000:.0f} ms); limit {LIMIT:g}")
    return int(wish.strict and ten > LIMIT * wish.slack * one)


if __name__ == "__main__":
    sys.exit(main())
