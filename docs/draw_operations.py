"""Draws each operation before and after, for its page: what is drawn on the demo's smock, and what came of it.

Run from the project's root: ``python docs/draw_operations.py``. The lengths that came out are kept in the picture, as
draw_pictures.py keeps them, so that tests/test_docs.py can tell a picture that is no longer true.
"""

from __future__ import annotations

import json
import sys
import tempfile
from pathlib import Path
from typing import NamedTuple

from draw_pictures import FOLDER, ROOT, cropped, rendered, with_text
from operation_examples import DRAWN, Drawn

import svgfit

WIDE = 1000
"""Pixels across a picture."""


class Found(NamedTuple):
    """A step that was run."""

    drawing: str
    figures: dict[str, float]
    """Lengths that came out, mm, to a tenth, by piece and name."""


def run(drawn: Drawn) -> Found:
    """Do the step on the demo's smock, flawed as said."""
    text = (ROOT / "demo_svgs" / "smock.svg").read_text(encoding="utf-8")
    for old, new in drawn.flaw:
        assert text.count(old) == 1, f"the demo's smock has no {old!r} any more"
        text = text.replace(old, new)
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "smock.svg"
        path.write_text(text, encoding="utf-8")
        plugins = [ROOT / drawn.plugins] if drawn.plugins else []
        session = svgfit.open_drawings(path, convention=ROOT / "demo_svgs" / "svgfit.toml", plugins=plugins)
        done = session.run(svgfit.Plan.from_steps(drawn.step))
        (data,) = done.drawings.values()
    figures = {
        f"{row.name}: {each.name}": round(each.after, 1)
        for row in done.report.pieces
        if row.name in drawn.pieces
        for each in row.measurements
        if each.unit == "mm" and each.after is not None
    }
    return Found(data.decode(), figures)


def picture(drawn: Drawn) -> bytes:
    """Draw a step as a PNG with its figures in it."""
    found = run(drawn)
    return with_text(rendered(cropped(found.drawing, drawn.box), WIDE), json.dumps(found.figures))


def main() -> int:
    """Draw every operation's picture."""
    folder = FOLDER / "operations"
    folder.mkdir(exist_ok=True)
    for name, drawn in DRAWN.items():
        data = picture(drawn)
        (folder / f"{name}.png").write_bytes(data)
        print(f"{name}: {len(data) / 1000:.0f} kB")
    return 0


if __name__ == "__main__":
    sys.exit(main())
