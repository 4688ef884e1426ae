"""One step in a session that is already open, against importing lxml and numpy in a new process.

    python benchmarks/session.py [--runs 15] [--strict [--slack 1]]

The demo's smock is opened once as a library does it. Timed is ``session.run(plan)`` with one cap-raise, down to the
bytes of the adjusted drawing, so with its layers drawn; the fastest of several runs, each from the pieces as opened.
The limit is half of what ``python -c "import lxml.etree, numpy"`` takes in the same run of this script.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command line does

import svgfit  # noqa: E402

LIMIT = 0.5
STEP = "cap-raise piece=Sleeve amount='1/4 in'"


def imported() -> float:
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", "import lxml.etree, numpy"], check=True)
    return time.perf_counter() - start


def main() -> int:
    options = argparse.ArgumentParser(description="One step in an open session against importing lxml and numpy.")
    options.add_argument("--runs", type=int, default=15)
    options.add_argument("--strict", action="store_true", help="exit status 1 where the ratio is over its limit")
    options.add_argument("--slack", type=float, default=1.0, help="how many times its limit the ratio may be")
    chosen = options.parse_args()
    session = svgfit.open_drawings(ROOT / "demo_svgs" / "smock.svg")
    plan = svgfit.Plan.from_steps(STEP)

    def stepped() -> float:
        start = time.perf_counter()
        (drawing,) = session.run(plan).drawings.values()
        spent = time.perf_counter() - start
        assert b'data-svgfit-layer="adjusted"' in drawing
        return spent

    stepped(), imported()  # the first turn imports the operation, and warms bytecode and disk
    turns = [(stepped(), imported()) for _ in range(chosen.runs)]
    step, bare = (min(times) for times in zip(*turns, strict=True))
    print(
        f"session: an open one runs a cap-raise and draws its layers in {step * 1000:.1f} ms ="
        f" {step / bare:.2f} x importing lxml and numpy ({bare * 1000:.1f} ms); limit {LIMIT:g}"
    )
    return int(chosen.strict and step > LIMIT * chosen.slack * bare)


if __name__ == "__main__":
    sys.exit(main())
