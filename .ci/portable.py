"""What must hold on every system: the README's test command, the slow tests, style, types, floors.

    python .ci/portable.py [STEP ...]

Steps are ``tests``, ``slow`` and ``lint``; without any, all are done in this order. ``tests`` is the README's command,
which makes ``.venv`` in the project's folder; the others use it.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from readme_command import command

ROOT = Path(__file__).resolve().parent.parent
ELSEWHERE = Path(tempfile.gettempdir())
WINDOWS = os.name == "nt"
BIN = ROOT / ".venv" / ("Scripts" if WINDOWS else "bin")
PYTHON = str(BIN / "python")
SLOW = "slow"
"""The tests that ``pytest`` alone leaves out."""
COVERAGE = {"PYTEST_ADDOPTS": "--cov --cov-append --cov-report="}


def run(words: list[str], folder: Path = ROOT, **environment: str) -> None:
    print("+", *words, flush=True)
    done = subprocess.run(words, cwd=folder, env={**os.environ, **environment}, check=False)
    if done.returncode:
        sys.exit(done.returncode)


def tests() -> None:
    """The README's command as printed; on Windows its Windows line, with the Python that runs this."""
    line = command("test", windows=WINDOWS)
    (ROOT / ".coverage").unlink(missing_ok=True)
    if WINDOWS:
        run(["powershell", "-NoProfile", "-Command", line.replace("py ", f"& '{sys.executable}' ", 1)], **COVERAGE)
    else:
        run(["bash", "-euo", "pipefail", "-c", line], **COVERAGE)


def slow() -> None:
    """Report how much of svgfit the quick tests ran, then run the rest untraced: some of them hold a time."""
    run([PYTHON, "-m", "coverage", "report"])
    run([PYTHON, "-m", "pytest", "-q", "-m", SLOW])


def lint() -> None:
    """Style and types; that every public type is known is asked from another folder, as of an installed package."""
    path = f"{BIN}{os.pathsep}{os.environ['PATH']}"
    run([PYTHON, "-m", "pip", "install", "-q", "-e", ".[lint]"])
    run([PYTHON, "-m", "ruff", "check", "."])
    run([PYTHON, "-m", "ruff", "format", "--check", "."])
    run([PYTHON, "-m", "pyright", "--pythonpath", PYTHON])
    run([PYTHON, "-m", "pyright", "--verifytypes", "svgfit", "--ignoreexternal"], folder=ELSEWHERE, PATH=path)
    run([str(BIN / "lint-imports")])
    run([PYTHON, ".ci/check_house.py"])


STEPS = {"tests": tests, "slow": slow, "lint": lint}


if __name__ == "__main__":
    if unknown := set(sys.argv[1:]) - set(STEPS):
        raise SystemExit(f"there is no step {', '.join(unknown)}; there are {', '.join(STEPS)}")
    for name in sys.argv[1:] or STEPS:
        print(f"\n== {name}", flush=True)
        STEPS[name]()
