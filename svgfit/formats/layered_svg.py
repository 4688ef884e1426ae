"""A layered SVG in millimetres, as readers hand it on: written once, from records.

Page millimetres throughout: origin at the page's top left, x right, y down. Layers are groups as Inkscape writes them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

_ESCAPES = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;"})
_SPACES = 'xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"'


class SubPath(Struct, frozen=True):
    """A stretch drawn without lifting the pen."""

    start: complex
    """In mm of the page."""
    segments: tuple[tuple[complex, ...], ...]
    """Each ``(end,)`` for a straight line, or ``(control, control, end)`` for a cubic."""
    closed: bool = False
    """Whether it ends where it begins, with a corner there."""

    @property
    def end(self) -> complex:
        """Where the pen is lifted; its start where nothing is drawn or it is closed."""
        return self.start if self.closed or not self.segments else self.segments[-1][-1]


class LineStyle(Struct, frozen=True):
    """How a line looks."""

    stroke: str | None = "#000000"
    """``#rrggbb``; None: no line is drawn along it."""
    width: float = 0.25
    """mm."""
    dash: tuple[float, ...] = ()
    """Lengths in mm of dashes and gaps, in turn; () for a solid line."""
    offset: float = 0.0
    """Where in the dashes it begins, mm."""
    fill: str | None = None
    """``#rrggbb``; None: not filled."""


class PathItem(Struct, frozen=True):
    """A drawn line: one element of the drawing."""

    subpaths: tuple[SubPath, ...]
    """What it is made of."""
    style: LineStyle = LineStyle()
    """How it looks."""
    name: str = ""
    """What a person is to see as its name; "" for none."""


class TextItem(Struct, frozen=True):
    """One line of writing, its baseline beginning at ``at``."""

    content: str
    """The writing."""
    at: complex
    """Where its baseline begins, mm of the page."""
    direction: complex = 1 + 0j
    """Unit vector along which it reads."""
    size: float = 4.0
    """Font size, mm."""
    fill: str = "#000000"
    """``#rrggbb``."""
    anchor: str = "start"
    """SVG's text-anchor: start, middle or end."""


class SvgLayer(Struct, frozen=True):
    """A layer: what lies on it, then its sublayers."""

    name: str
    """As a person is to see it."""
    items: tuple[PathItem | TextItem, ...] = ()
    """What lies on it, the lowest first."""
    layers: tuple[SvgLayer, ...] = ()
    """Its sublayers, above its items, the lowest first."""
    hidden: bool = False
    """Whether it is not shown."""


def layered_svg(width: float, height: float, layers: Sequence[SvgLayer]) -> bytes:
    """Write the drawing as UTF-8: a page of ``width`` by ``height`` mm whose user unit is 1 mm."""
    wide, high = spell(width), spell(height)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg {_SPACES} version="1.1" width="{wide}mm" height="{high}mm" viewBox="0 0 {wide} {high}">',
    ]
    count = iter(range(1, 1 << 62))
    for layer in layers:
        lines += _layer(layer, count)
    lines.append("</svg>\n")
    return "\n".join(lines).encode("utf-8", errors="replace")


def spell(number: float) -> str:
    """Write a length in mm to 1e-5 mm.

    >>> spell(12.50), spell(-0.000001), spell(3)
    ('12.5', '0', '3')
    """
    text = f"{number:.5f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def path_data(subpaths: Iterable[SubPath]) -> str:
    """Write subpaths as SVG path data, absolute.

    >>> path_data([SubPath(0j, ((1 + 2j,),), closed=True)])
    'M0,0 L1,2 Z'
    """
    parts: list[str] = []
    for each in subpaths:
        parts.append("M" + _point(each.start))
        for segment in each.segments:
            parts.append(("L" if len(segment) == 1 else "C") + " ".join(map(_point, segment)))
        if each.closed:
            parts.append("Z")
    return " ".join(parts)


def quoted(text: str) -> str:
    """Write a text as the value of an attribute, with its quotes; what XML can't hold becomes a blank."""
    return f'"{_plain(text)}"'


def _plain(text: str) -> str:
    kept = "".join(letter if letter >= " " and letter not in "\ufffe\uffff" else " " for letter in text)
    return "".join("\ufffd" if "\ud800" <= letter <= "\udfff" else letter for letter in kept).translate(_ESCAPES)


def _point(point: complex) -> str:
    return f"{spell(point.real)},{spell(point.imag)}"


def _layer(layer: SvgLayer, count: Iterator[int]) -> Iterator[str]:
    hidden = ' style="display:none"' if layer.hidden else ""
    label = quoted(layer.name)
    yield f'<g id="layer{next(count)}" inkscape:groupmode="layer" inkscape:label={label}{hidden}>'
    for item in layer.items:
        yield _path(item) if isinstance(item, PathItem) else _text(item)
    for each in layer.layers:
        yield from _layer(each, count)
    yield "</g>"


def _path(item: PathItem) -> str:
    style = item.style
    stroke = f'stroke="{style.stroke}" stroke-width="{spell(style.width)}"' if style.stroke else 'stroke="none"'
    if style.stroke and style.dash:
        stroke += f' stroke-dasharray="{" ".join(map(spell, style.dash))}"'
        stroke += f' stroke-dashoffset="{spell(style.offset)}"' if style.offset else ""
    label = f" inkscape:label={quoted(item.name)}" if item.name else ""
    return f'<path{label} fill="{style.fill or "none"}" {stroke} d="{path_data(item.subpaths)}"/>'


def _text(item: TextItem) -> str:
    way, at = item.direction, item.at
    place = f'x="{spell(at.real)}" y="{spell(at.imag)}"'
    if abs(way - 1) > 1e-6:
        turn = " ".join(f"{part:.7g}" for part in (way.real, way.imag, -way.imag, way.real))
        place = f'transform="matrix({turn} {spell(at.real)} {spell(at.imag)})" x="0" y="0"'
    anchor = f' text-anchor="{item.anchor}"' if item.anchor != "start" else ""
    face = f'font-family="sans-serif" font-size="{spell(item.size)}"{anchor} fill="{item.fill}"'
    return f'<text xml:space="preserve" {place} {face}>{_plain(item.content)}</text>'
