"""A stock operation among fifty plug-ins of other people, fifteen of them broken, against the same without them.

    python benchmarks/plugins.py [--runs 15] [--strict [--slack 1]]

Timed is ``svgfit adjust`` with one cap-raise on the demo's smock, dry, once with a folder of fifty plug-ins
(operations, measurers, recognisers) and once without, the two taking turns; the fastest of several runs counts.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
LIMIT = 1.5
STEP = ("--do", "cap-raise piece=Sleeve amount='1/4 in'", "--dry-run", "--quiet")
OPERATION = """
from svgfit.plugin import Operation, Outcome, hookimpl

@hookimpl
def svgfit_operations():
    return [Operation({name!r}, "Does nothing.", (), lambda job: Outcome(job.pieces), kinds=("any",))]
"""
MEASURER = """
from svgfit.plugin import Measurement, Measurer, hookimpl

@hookimpl
def svgfit_measurers():
    return [Measurer({name!r}, ("any",), lambda piece: [Measurement({name!r}, {value}, "number")])]
"""
RECOGNISER = """
from svgfit.plugin import Recogniser, hookimpl

@hookimpl
def svgfit_recognisers():
    return [Recogniser({name!r}, ("cuff",), lambda drawn: 0.0, lambda drawn: None)]
"""


def fill(folder: Path) -> None:
    """Write fifty plug-ins, every third or so broken."""
    for number in range(32):
        text = OPERATION.format(name=f"own-{number}") if number % 3 else "raise RuntimeError('broken')"
        (folder / f"own_{number}.py").write_text(text, encoding="utf-8")
    for number in range(12):
        value = "float('nan')" if number % 4 == 0 else "1.0"
        text = MEASURER.format(name=f"measure {number}", value=value)
        (folder / f"measure_{number}.py").write_text(text, encoding="utf-8")
    for number in range(6):
        text = RECOGNISER.format(name=f"recognise {number}") if number else "raise RuntimeError('broken')"
        (folder / f"recognise_{number}.py").write_text(text, encoding="utf-8")


def timed(*more: str) -> float:
    drawing = str(ROOT / "demo_svgs" / "smock.svg")
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    start = time.perf_counter()
    command = [sys.executable, "-m", "svgfit", "adjust", drawing, *STEP, *more]
    subprocess.run(command, check=True, env=environment, capture_output=True)
    return time.perf_counter() - start


def main() -> int:
    options = argparse.ArgumentParser(description="A stock operation among fifty plug-ins against without them.")
    options.add_argument("--runs", type=int, default=15)
    options.add_argument("--strict", action="store_true", help="exit status 1 where the ratio is over its limit")
    options.add_argument("--slack", type=float, default=1.0, help="how many times its limit the ratio may be")
    chosen = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        fill(Path(folder))
        timed(), timed("--plugins", folder)  # the first turn warms bytecode and disk
        turns = [(timed("--plugins", folder), timed()) for _ in range(chosen.runs)]
    among, alone = (min(times) for times in zip(*turns, strict=True))
    print(
        f"plug-ins: a cap-raise among fifty plug-ins of others in {among * 1000:.0f} ms = {among / alone:.2f} x"
        f" without them ({alone * 1000:.0f} ms); limit {LIMIT:g}"
    )
    return int(chosen.strict and among > LIMIT * chosen.slack * alone)


if __name__ == "__main__":
    sys.exit(main())
