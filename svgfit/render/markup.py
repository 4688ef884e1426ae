"""SVG as text: numbers, path data, elements. Pure functions from values to ASCII strings."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from svgfit.geometry.curve import Curve

EXACT = 9
"""Decimals (of a mm) for what is read back: control points return within 1e-9 mm."""
ROUGH = 3
"""Decimals for what is only looked at."""

Attributes = Iterable[tuple[str, str | None]]


def number(value: float, places: int = EXACT) -> str:
    """Without an exponent and without trailing zeros.

    >>> number(-0.0000000001), number(12.50), number(-3.14159, 2)
    ('0', '12.5', '-3.14')
    """
    text = f"{value:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def point(at: complex, places: int = EXACT) -> str:
    """``x,y``."""
    return f"{number(at.real, places)},{number(at.imag, places)}"


def path_data(curve: Curve, places: int = EXACT, *, close: bool = True) -> str:
    """Absolute ``M … C … L … Z``; ``L`` only for a cubic that is a line cut in thirds, so that it reads back the same.

    With ``close``, a curve whose ends meet gets a ``Z``.
    """
    cubics = curve.segments
    third = (cubics[:, 3] - cubics[:, 0]) / 3
    off = np.abs(cubics[:, 1] - cubics[:, 0] - third) + np.abs(cubics[:, 3] - third - cubics[:, 2])
    straight = (off < 1e-9).tolist()
    rows = cubics.tolist()
    start = rows[0][0]
    closed = close and len(rows) > 1 and curve.is_closed()
    if closed:
        rows[-1][3] = start
    out = [f"M{point(start, places)}"]
    for (_, first, second, end), line in zip(rows, straight, strict=True):
        if line:
            out.append(f"L{point(end, places)}")
        else:
            out.append(f"C{point(first, places)} {point(second, places)} {point(end, places)}")
    if closed:
        out.append("Z")
    return "".join(out)


def line_data(points: Iterable[complex], *, close: bool = False) -> str:
    """A polyline to look at."""
    return "M" + "L".join(point(at, ROUGH) for at in points) + ("Z" if close else "")


def escape(text: str) -> str:
    r"""For element content and for attributes in double quotes: ASCII, and only characters that XML 1.0 allows.

    >>> escape('a<b & "c" é\x00')
    'a&lt;b &amp; &quot;c&quot; &#233;&#65533;'
    """
    text = text.translate(_FORBIDDEN)
    for sign, name in (("&", "&amp;"), ("<", "&lt;"), (">", "&gt;"), ('"', "&quot;")):
        text = text.replace(sign, name)
    return text.encode("ascii", "xmlcharrefreplace").decode("ascii")


# Controls, lone surrogates and noncharacters that XML 1.0 rules out (https://www.w3.org/TR/xml/#charsets); white space
# that an attribute would lose becomes a space.
_FORBIDDEN = {
    **dict.fromkeys((*range(0x20), *range(0xD800, 0xE000), 0xFFFE, 0xFFFF), 0xFFFD),
    **dict.fromkeys((0x9, 0xA, 0xD), 0x20),
}


def element(name: str, attributes: Attributes, body: str | None = None) -> str:
    """One element; attributes whose value is None are left out; ``body`` is markup already."""
    written = "".join(f' {key}="{escape(value)}"' for key, value in attributes if value is not None)
    return f"<{name}{written}/>" if body is None else f"<{name}{written}>{body}</{name}>"
