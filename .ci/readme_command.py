"""Prints one of the README's two set-up commands, as it stands there: ``demo`` or ``test``."""

from __future__ import annotations

import sys
from pathlib import Path

README = Path(__file__).resolve().parent.parent / "README.md"
SIGNS = {"demo": "svgfit demo", "test": "-m pytest"}


def command(which: str) -> str:
    text = README.read_text(encoding="utf-8")
    found = [line for line in text.splitlines() if line.startswith("python3 -m venv ") and SIGNS[which] in line]
    if len(found) != 1:
        raise SystemExit(f"README.md has {len(found)} lines that begin with python3 -m venv and hold {SIGNS[which]!r}")
    return found[0]


if __name__ == "__main__":
    print(command(sys.argv[1]))
