"""SVG that is about to be written: elements as small records, from which the text is made once.

Values become ASCII text only here. What is digested (svgfit.svg.svgfit_layers) is the record, not the text.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from msgspec import Struct

from svgfit.geometry.bezier import even_lines
from svgfit.geometry.curve import Curve

EXACT = 9
"""Decimals (of a mm) for what is read back: control points return within 1e-9 mm."""
ROUGH = 3
"""Decimals for what is only looked at."""


class Chain(Struct, frozen=True):
    """One subpath: where it starts, and for each step the end of a line, or both handles and the end of a cubic."""

    start: complex
    steps: tuple[tuple[complex, ...], ...]
    closed: bool = False


class PathData(Struct, frozen=True):
    """The ``d`` of a path, written with so many decimals."""

    chains: tuple[Chain, ...]
    places: int

    @property
    def text(self) -> str:
        """Write the path data: absolute ``M … C … L … Z``."""
        parts: list[str] = []
        values: list[float] = []
        for chain in self.chains:
            parts.append("M#,#")
            values += (chain.start.real, chain.start.imag)
            for step in chain.steps:
                parts.append("L#,#" if len(step) == 1 else "C#,# #,# #,#")
                for point in step:
                    values += (point.real, point.imag)
            if chain.closed:
                parts.append("Z")
        return filled("".join(parts), values, self.places)


Attributes = Iterable[tuple[str, str | PathData | None]]


class Node(Struct, frozen=True):
    """One element: its name and attributes as written (with prefixes), and the elements and texts within it."""

    tag: str
    attributes: tuple[tuple[str, str | PathData], ...] = ()
    children: tuple[Node | str, ...] = ()
    """Texts unescaped. Nothing at all is written ``<tag/>``, an empty text ``<tag></tag>``."""

    def get(self, name: str) -> str | None:
        """Get the value of an attribute as text; None where the element does not have it."""
        found = next((value for key, value in self.attributes if key == name), None)
        return found.text if isinstance(found, PathData) else found


def element(tag: str, attributes: Attributes, *children: Node | str) -> Node:
    """Make an element; attributes whose value is None are left out."""
    return Node(tag, tuple((key, value) for key, value in attributes if value is not None), children)


def serialise(nodes: Node | Iterable[Node]) -> str:
    """Write elements as text: ASCII, characters beyond it as references."""
    return _written(nodes) if isinstance(nodes, Node) else "".join(map(_written, nodes))


def _written(node: Node) -> str:
    said = [f' {key}="{escape(value) if isinstance(value, str) else value.text}"' for key, value in node.attributes]
    start = f"<{node.tag}{''.join(said)}"
    if not node.children:
        return f"{start}/>"
    within = [_escape_content(child) if isinstance(child, str) else _written(child) for child in node.children]
    return f"{start}>{''.join(within)}</{node.tag}>"


# -- numbers and paths -------------------------------------------------------------------------------------------------


def number(value: float, places: int = EXACT) -> str:
    """Write a number without an exponent and without trailing zeros.

    >>> number(-0.0000000001), number(12.50), number(-3.14159, 2)
    ('0', '12.5', '-3.14')
    """
    text = f"{value:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def filled(form: str, values: Iterable[float], places: int) -> str:
    """Write numbers in the places of the ``#`` of a form, each as ``number`` writes it; 1 decimal at least.

    >>> filled("M#,#L#,#", (10.5, -0.0004, 100.0, 0.07), 3)
    'M10.5,0L100,0.07'
    """
    zeros = "0" * places
    text = form.replace("#", f"%.{places}f{_END}") % tuple(values)
    text = text.replace(f"-0.{zeros}{_END}", "0").replace(f".{zeros}{_END}", "")
    for count in range(places - 1, 0, -1):
        text = text.replace(zeros[:count] + _END, "")
    return text.replace(_END, "")


_END = "\0"
"""Behind each number, as long as its zeros stand: no more can be at its end than it has decimals."""


def path_data(curves: Curve | Iterable[Curve], places: int = EXACT, *, close: bool = True) -> PathData:
    """Write curves as path data, a line only for a cubic that is one cut in thirds, so that it reads back the same.

    With ``close``, a curve whose ends meet is closed.
    """
    every = (curves,) if isinstance(curves, Curve) else curves
    return PathData(tuple(_chain(curve, close=close) for curve in every), places)


def _chain(curve: Curve, *, close: bool) -> Chain:
    cubics = curve.segments
    straight, rows = even_lines(cubics).tolist(), cubics.tolist()
    start = rows[0][0]
    closed = close and len(rows) > 1 and curve.is_closed()
    if closed:
        rows[-1][3] = start
    steps = tuple((row[3],) if line else (row[1], row[2], row[3]) for row, line in zip(rows, straight, strict=True))
    return Chain(start, steps, closed)


def line_data(*lines: Iterable[complex], close: bool = False) -> PathData:
    """Write polylines to look at; with ``close``, each back to its first point."""
    chains: list[Chain] = []
    for points in lines:
        start, *others = points
        chains.append(Chain(start, tuple((at,) for at in others), close))
    return PathData(tuple(chains), ROUGH)


# -- texts -------------------------------------------------------------------------------------------------------------


def escape(text: str) -> str:
    r"""Escape an attribute's value (in double quotes): ASCII, and only characters that XML 1.0 allows.

    >>> escape('a<b & "c" é\x00')
    'a&lt;b &amp; &quot;c&quot; &#233;&#65533;'
    """
    return text if _PLAIN.fullmatch(text) else _escaped(legal_value(text))


def _escape_content(text: str) -> str:
    return text if _PLAIN.fullmatch(text) else _escaped(legal_content(text))


def _escaped(text: str) -> str:
    for sign, name in (("&", "&amp;"), ("<", "&lt;"), (">", "&gt;"), ('"', "&quot;")):
        text = text.replace(sign, name)
    return text.encode("ascii", "xmlcharrefreplace").decode("ascii")


def legal_value(text: str) -> str:
    """Give an attribute's value as it will be read: white space as spaces, what XML 1.0 rules out as U+FFFD."""
    return text if text.isprintable() else text.translate(_IN_VALUE)


def legal_content(text: str) -> str:
    """Give an element's text as it will be read: what XML 1.0 rules out as U+FFFD, line ends as they are."""
    return text if text.isprintable() else text.translate(_IN_CONTENT)


def on_one_line(text: str) -> str:
    r"""Put spaces for tabs and line ends.

    >>> on_one_line("front\nof the house")
    'front of the house'
    """
    return text if text.isprintable() else text.translate(_SPACES)


_PLAIN = re.compile(r"[ !#$%'-;=?-~]*")
# Controls, lone surrogates and noncharacters that XML 1.0 rules out (https://www.w3.org/TR/xml/#charsets).
_FORBIDDEN: Mapping[int, int] = dict.fromkeys((*range(0x20), *range(0xD800, 0xE000), 0xFFFE, 0xFFFF), 0xFFFD)
_SPACES: Mapping[int, int] = dict.fromkeys((0x9, 0xA, 0xD), 0x20)
_IN_VALUE = {**_FORBIDDEN, **_SPACES}
_IN_CONTENT = {**_FORBIDDEN, 0x9: 0x9, 0xA: 0xA, 0xD: 0x20}
