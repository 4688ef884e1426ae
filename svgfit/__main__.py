"""``python -m svgfit`` is the same as ``svgfit``."""

from __future__ import annotations

import sys

from svgfit.cli import main

if __name__ == "__main__":
    sys.exit(main())
