"""Prints one of the README's two set-up commands, as it stands there: ``demo`` or ``test``."""

from __future__ import annotations

import sys
from pathlib import Path

README = Path(__file__).resolve().parent.parent / "README.md"
SIGNS = {"demo": "svgfit demo", "test": "-m pytest"}


def command(which: str, *, windows: bool = False) -> str:
    text = README.read_text(encoding="utf-8")
    start = "py -m venv " if windows else "python3 -m venv "
    found = [line for line in text.splitlines() if line.startswith(start) and SIGNS[which] in line]
    if len(found) != 1:
        raise SystemExit(f"README.md has {len(found)} lines that begin with {start}and hold {SIGNS[which]!r}")
    return found[0]


if __name__ == "__main__":
    print(command(sys.argv[1]))
