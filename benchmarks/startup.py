"""How long svgfit takes to start, against bare Python, measured in one run on this machine.

    python benchmarks/startup.py [--runs 15] [--strict [--slack 1]]

Prints three ratios with their limits: ``--version`` and ``--help`` against ``python -c pass`` (6), ``adjust`` on the
demo's smock against ``python -c "import lxml.etree, numpy"`` (1.7). Each is the fastest of several runs, the commands
taking turns, so that what else the machine does falls on all alike. Compiled bytecode is kept in a folder of its own
and warmed first: that is how an installed program runs. With ``--strict`` a ratio over its limit (or over
``--slack`` times its limit, for machines that do other work meanwhile) is exit status 1.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[1]
STEP = "ease-spread amount='1/2 in'"
MAIN = "import sys; from svgfit.cli import main; sys.exit(main())"


def commands(out: str) -> dict[str, list[str]]:
    svgfit = [sys.executable, "-c", MAIN]
    drawing = str(ROOT / "demo_svgs" / "smock.svg")
    return {
        "python": [sys.executable, "-c", "pass"],
        "imports": [sys.executable, "-c", "import lxml.etree, numpy"],
        "--version": [*svgfit, "--version"],
        "--help": [*svgfit, "--help"],
        "adjust": [*svgfit, "adjust", drawing, "--do", STEP, "-o", out, "--force"],
    }


def fastest(every: dict[str, list[str]], runs: int, environment: dict[str, str]) -> dict[str, float]:
    best: dict[str, float] = {}
    for turn in range(runs + 1):
        for name, command in every.items():
            start = time.perf_counter()
            subprocess.run(command, check=True, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            spent = time.perf_counter() - start
            if turn:  # the first turn warms bytecode and disk
                best[name] = min(spent, best.get(name, spent))
    return best


def main() -> int:
    options = argparse.ArgumentParser(description="Start-up times of svgfit against bare Python.")
    options.add_argument("--runs", type=int, default=15)
    options.add_argument("--strict", action="store_true", help="exit status 1 where a ratio is over its limit")
    options.add_argument("--slack", type=float, default=1.0, help="how many times its limit a ratio may be")
    chosen = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONPYCACHEPREFIX": os.path.join(folder, "bytecode")}
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        best = fastest(commands(os.path.join(folder, "out.svg")), chosen.runs, environment)
    over = 0
    for name, base, limit in (("--version", "python", 6.0), ("--help", "python", 6.0), ("adjust", "imports", 1.7)):
        ratio = best[name] / best[base]
        over += ratio > limit * chosen.slack
        verdict = "over its limit" if ratio > limit else "within its limit"
        spent, whole = best[name] * 1000, best[base] * 1000
        print(f"svgfit {name:<9} {spent:6.1f} ms = {ratio:4.2f} x {base} ({whole:.1f} ms), {verdict} of {limit:g}")
    return 1 if over and chosen.strict else 0


if __name__ == "__main__":
    sys.exit(main())
