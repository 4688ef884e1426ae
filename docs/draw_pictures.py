"""Draws the documentation's pictures from what ``svgfit demo`` and the plan for its five sizes write.

Run from the project's root: ``python docs/draw_pictures.py``. The figures that a picture shows are kept in it (a PNG
text chunk, ``svgfit``), in mm to a tenth, so that tests/test_docs.py can tell a picture that is no longer true.
"""

from __future__ import annotations

import contextlib
import io
import json
import re
import struct
import sys
import tempfile
import zlib
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / "docs" / "pictures"
PICTURES = {
    "smock-fitted.png": ("smock-fitted", None, 1600),
    "smock-fitted-cap.png": ("smock-fitted", (674.0, 25.0, 432.0, 216.0), 1500),
    "smock-sizes-cap.png": ("sizes-fitted", (765.0, 45.0, 490.0, 245.0), 1500),
}
"""Name: the drawing, the part of its page shown (x, y, width, height in mm; None: all), the width in pixels."""
KEY = b"svgfit"


def drawings() -> dict[str, tuple[str, dict[str, Any]]]:
    """What the demo writes, and what the plan for its five sizes does: drawings and reports by name."""
    from svgfit.cli import main as svgfit

    with tempfile.TemporaryDirectory() as name, contextlib.redirect_stdout(io.StringIO()):
        folder = Path(name)
        nest, plan = str(folder / "smock-sizes.svg"), str(folder / "smock-sizes.plan.toml")
        out, report = str(folder / "sizes-fitted.svg"), str(folder / "sizes-fitted.json")
        for command in (["demo", name], ["adjust", nest, "--plan", plan, "-o", out, "--report", report]):
            if svgfit(command) != 0:
                raise SystemExit(f"svgfit {command[0]} failed; run it by itself and see why")
        return {
            stem: (
                (folder / f"{stem}.svg").read_text(encoding="utf-8"),
                json.loads((folder / f"{stem}.json").read_text(encoding="utf-8")),
            )
            for stem in ("smock-fitted", "sizes-fitted")
        }


def figures(report: dict[str, Any]) -> dict[str, float]:
    """What a picture shows: the adjusted sleeve's lengths in mm, to a tenth; of a nest those of size 12."""
    (sleeve,) = (row for row in report["pieces"] if row["kind"] == "sleeve" and row["size"] in (None, "12"))
    return {row["name"]: round(row["after"], 1) for row in sleeve["measurements"] if row["unit"] == "mm"}


def cropped(drawing: str, box: tuple[float, float, float, float] | None) -> str:
    """The drawing (whose user unit is 1 mm) showing only a part of its page."""
    if box is None:
        return drawing
    x, y, width, height = box
    wanted = {"width": f"{width}mm", "height": f"{height}mm", "viewBox": f"{x} {y} {width} {height}"}
    for name, value in wanted.items():
        drawing = re.sub(rf'\b{name}="[^"]*"', f'{name}="{value}"', drawing, count=1)
    return drawing


def with_text(png: bytes, text: str) -> bytes:
    """The picture with a text chunk put in after its header (PNG specification, third edition, section 11.3.3.2)."""
    body = b"tEXt" + KEY + b"\0" + text.encode("latin-1")
    chunk = struct.pack(">I", len(body) - 4) + body + struct.pack(">I", zlib.crc32(body))
    return png[:33] + chunk + png[33:]


def text_of(png: bytes) -> str:
    """The text that with_text put in; "" where there is none."""
    found = re.search(rb"(.{4})tEXt" + KEY + rb"\0", png, re.DOTALL)
    if not found:
        return ""
    size = struct.unpack(">I", found[1])[0] - len(KEY) - 1
    return png[found.end() : found.end() + size].decode("latin-1")


def rendered(drawing: str, width: int) -> bytes:
    """A drawing as a PNG of so many pixels across, in svgfit's own typeface."""
    import resvg_py

    from svgfit.render.typeface import typeface

    face = typeface()
    picture = resvg_py.svg_to_bytes(
        svg_string=drawing,
        width=width,
        dpi=96,
        background="white",
        skip_system_fonts=True,
        font_files=[str(file) for file in face.files],
        font_family=face.family,
        sans_serif_family=face.family,
    )
    return bytes(picture)


def main() -> int:
    """Draws every picture."""
    found = drawings()
    FOLDER.mkdir(exist_ok=True)
    for name, (stem, box, width) in PICTURES.items():
        drawing, report = found[stem]
        data = with_text(rendered(cropped(drawing, box), width), json.dumps(figures(report)))
        (FOLDER / name).write_bytes(data)
        print(f"{name}: {len(data) / 1000:.0f} kB")
    return 0


if __name__ == "__main__":
    sys.exit(main())
