"""The typeface that comes with svgfit: whatever is typeset or drawn as a picture is written in it."""

from __future__ import annotations

from pathlib import Path

from msgspec import Struct

from svgfit.model.refusal import Refusal


class Typeface(Struct, frozen=True):
    """A family of letters and where it lies."""

    family: str
    folder: Path
    """Where the files are, with their licence, and no other letters."""
    files: tuple[Path, ...]
    """Regular and bold."""


def typeface() -> Typeface:
    """Find the typeface that is in the package. Raises Refusal where its files are not there."""
    folder = Path(__file__).resolve().parents[1] / "fonts"
    files = tuple(folder / name for name in ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf"))
    for file in files:
        if not file.is_file():
            raise Refusal(
                str(file), "is missing, so that nothing can be written in its letters", "install svgfit again"
            )
    return Typeface("DejaVu Sans", folder, files)
