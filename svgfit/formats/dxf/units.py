"""The unit of a DXF: what it says of it, held against the size of its pieces. The DXF Reference is from memory."""

from __future__ import annotations

import math
from collections.abc import Mapping

from msgspec import Struct

from svgfit.formats.dxf.trade import MM_OF_UNITS
from svgfit.model.length import MM_PER_INCH
from svgfit.model.refusal import Refusal
from svgfit.rules.interchange import LARGEST_PIECE

_INSUNITS = {
    1: ("inches", MM_PER_INCH),
    2: ("feet", 304.8),
    4: ("millimetres", 1.0),
    5: ("centimetres", 10.0),
    6: ("metres", 1000.0),
    14: ("decimetres", 100.0),
}
"""``$INSUNITS`` (DXF Reference, header variables)."""
_HOW = "say it with --scale, how many of its units are an inch: --scale 25.4 for millimetres, --scale 1 for inches"


class FileUnit(Struct, frozen=True):
    """The millimetres of a file's unit, where that comes from, and what there is to mind."""

    mm: float
    source: str
    warnings: tuple[str, ...] = ()


def unit_of(where: str, header: Mapping[str, str], units: str | None, largest: float, scale: float | None) -> FileUnit:
    """Find the unit; ``units`` is what the text "Units: …" says, ``largest`` the longest side of a piece, in it.

    Raises Refusal where nothing says it, or where what is said can't be true.
    """
    found = _found(where, header, units, scale)
    length = largest * found.mm
    if largest and not LARGEST_PIECE[0] <= length <= LARGEST_PIECE[1]:
        what = f"in {found.source} the largest piece would be {_told(length)} long"
        raise Refusal(where, what, f"if that is not its unit, {_HOW}" if scale is None else "give another --scale")
    return found


def _told(length: float) -> str:
    return f"{length:.3g} mm" if length < 1000 else f"{length / 1000:.4g} m"


def _found(where: str, header: Mapping[str, str], units: str | None, scale: float | None) -> FileUnit:
    if scale is not None:
        if not (math.isfinite(scale) and scale > 0):
            raise Refusal("--scale", f"{scale!r} is no scale", _HOW)
        return FileUnit(MM_PER_INCH / scale, f"--scale {scale:g}")
    stated = _stated(header)
    if units is not None:
        word = units.upper().split()[0] if units.split() else ""
        mm = MM_OF_UNITS.get(word)
        if mm is None:
            raise Refusal(where, f"its text says Units: {units}, which is neither METRIC nor ENGLISH", _HOW)
        source = f"millimetres (its text says Units: {word})" if mm == 1 else f"inches (its text says Units: {word})"
        if stated and stated[1] != mm:
            what = f"it says Units: {word} in a text and {stated[0]} in its header; the text is believed"
            return FileUnit(mm, source, (what,))
        return FileUnit(mm, source)
    if stated:
        return FileUnit(stated[1], f"{stated[0]} (its header says so)")
    measurement = header.get("$MEASUREMENT", "")
    if measurement in ("0", "1"):
        name, mm = ("millimetres", 1.0) if measurement == "1" else ("inches", MM_PER_INCH)
        side = "metric" if measurement == "1" else "English"
        guess = f"it says only that it is {side}; {name} are a guess: {_HOW}"
        return FileUnit(mm, f"{name} (a guess)", (guess,))
    raise Refusal(where, "does not say its unit", _HOW)


def _stated(header: Mapping[str, str]) -> tuple[str, float] | None:
    number = header.get("$INSUNITS", "0")
    return _INSUNITS.get(int(number)) if number.isdecimal() else None
