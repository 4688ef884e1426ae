"""A large nest on many pages: time, memory and size of the PDF.

    python benchmarks/handout.py [--runs N] [--strict] [--slack X]

The nest is the demo smock in ten sizes, its lines as some programs write them: a cubic every millimetre or so, over
3 MB, on 40 pages. Compared are a whole ``svgfit handout`` with ``python -c "import lxml.etree, numpy"`` in the
same run, the size of the PDF with that of the SVG, and the most memory that was used with a fixed limit. With --strict
exit status 1 where one is over its limit.
"""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "benchmarks"), str(ROOT)]

import numpy as np  # noqa: E402
from nest import CONVENTION, nest  # noqa: E402

from svgfit.geometry.curve import Curve  # noqa: E402
from svgfit.svg.cubics import cubics_of  # noqa: E402
from svgfit.svg.path_data import read_path  # noqa: E402

LIMITS = {"time": 25.0, "MB": 300.0, "PDF / SVG": 2.0, "s": 5.0}
STEP = 1.2
"""Length of the cubics along every line, mm."""


def dense(svg: str) -> str:
    """Every path as a chain of short cubics."""
    return re.sub(r' d="([^"]+)"', lambda found: f' d="{_points(found[1])}"', svg)


def _points(data: str) -> str:
    parts = []
    for subpath in read_path(data, 1e-3, 0.0):
        curve = Curve(cubics_of(subpath.points))
        count = max(2, int(curve.length() / STEP))
        points = curve.points(np.linspace(0, len(curve), 3 * count + 1))
        texts = [f"{at.real:.5f},{at.imag:.5f}" for at in points]
        cubics = (f"C{' '.join(texts[k : k + 3])}" for k in range(1, 3 * count, 3))
        parts.append(f"M{texts[0]}{''.join(cubics)}{'Z' * subpath.closed}")
    return "".join(parts)


def measured(command: list[str], folder: Path) -> tuple[float, float]:
    """Wall time in s and the most memory in MB of one process."""
    start = time.perf_counter()
    pid = os.posix_spawn(
        command[0],
        command,
        {**os.environ, "PYTHONPATH": str(ROOT)},
        file_actions=[
            (os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0),
            (os.POSIX_SPAWN_OPEN, 2, str(folder / "err"), os.O_WRONLY | os.O_CREAT, 0o600),
        ],
    )
    _, status, usage = os.wait4(pid, 0)
    if status:
        raise SystemExit((folder / "err").read_text())
    return time.perf_counter() - start, usage.ru_maxrss / 1024


def main() -> int:
    options = argparse.ArgumentParser()
    options.add_argument("--runs", type=int, default=3)
    options.add_argument("--strict", action="store_true")
    options.add_argument("--slack", type=float, default=1.0, help="times may be so many times their limits")
    wish = options.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "svgfit.toml").write_text(CONVENTION)
        drawing, out = folder / "nest.svg", folder / "nest.pdf"
        drawing.write_text(dense(nest(10)))
        command = [
            sys.executable,
            "-m",
            "svgfit",
            "handout",
            str(drawing),
            "-o",
            str(out),
            "--force",
            "--margin",
            "36 mm",
        ]
        runs = [measured(command, folder) for _ in range(wish.runs)]
        bare = min(measured([sys.executable, "-c", "import lxml.etree, numpy"], folder)[0] for _ in range(wish.runs))
        pages = subprocess.run(
            command, capture_output=True, text=True, check=True, env={"PYTHONPATH": str(ROOT)}
        ).stdout
        size, made = drawing.stat().st_size, out.stat().st_size
    seconds, memory = min(run[0] for run in runs), max(run[1] for run in runs)
    print(pages.splitlines()[0].rpartition("nest.svg: ")[2])
    found = {"time": seconds / bare, "MB": memory, "PDF / SVG": made / size, "s": seconds}
    print(
        f"handout: {size / 1e6:.2f} MB of SVG: {seconds:.2f} s ({seconds / bare:.0f} x importing lxml and numpy), "
        f"{memory:.0f} MB of memory, PDF {made / 1e6:.2f} MB ({made / size:.2f} x the SVG)"
    )
    over = [key for key, limit in LIMITS.items() if found[key] > limit * (wish.slack if key in ("time", "s") else 1.0)]
    return int(wish.strict and bool(over))


if __name__ == "__main__":
    sys.exit(main())
