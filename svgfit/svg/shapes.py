"""Basic shapes and paths (https://www.w3.org/TR/SVG11/shapes.html) as chains of cubics in their own user units."""

from __future__ import annotations

import math
import re

from msgspec import Struct

from svgfit.geometry import arcs
from svgfit.model.dialect import Element
from svgfit.svg import styles
from svgfit.svg.font_size import font_size, line_height
from svgfit.svg.path_data import MOST_SEGMENTS, Broken, PathError, Pen, Subpath, read_path
from svgfit.svg.styles import Sheet
from svgfit.svg.units import read_length

SHAPES = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"})
_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
# Texts, not compiled here: few drawings need them, and re keeps them once they are.
_READABLE = r"(?:[ \t\r\n\f,]*+(?>[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?))*+[ \t\r\n\f,]*+"
_DATA = r"""(?i)path\(\s*(?:(?:nonzero|evenodd)\s*,\s*)?(?:"([^"]*)"|'([^']*)')\s*\)"""
_PROPERTIES = frozenset({"x", "y", "width", "height", "cx", "cy", "r", "rx", "ry"})
"""Attributes that CSS can give as well (https://www.w3.org/TR/SVG2/geometry.html)."""


class Frame(Struct, frozen=True):
    """The references for an element's own numbers."""

    width: float
    """Of the nearest viewport in user units, for percentages; 0 where it is not known."""
    height: float
    page: tuple[float, float] = (0.0, 0.0)
    """Width and height of the root's own viewport in CSS px, for ``vw`` and the like; (0, 0) where it has none."""
    sheet: Sheet | None = None
    """The drawing's style sheets."""

    def along(self, name: str) -> float:
        """Return what a percentage of the attribute refers to."""
        if name in ("x", "cx", "x1", "x2", "width", "rx", "dx"):
            return self.width
        if name in ("y", "cy", "y1", "y2", "height", "ry", "dy"):
            return self.height
        return math.hypot(self.width, self.height) / math.sqrt(2)

    def number(self, element: Element, name: str, default: float = 0.0) -> float:
        """Read a length in user units, by CSS or the attribute; raises Broken where it cannot be read."""
        for text in styles.declared(element, name, self.sheet) if name in _PROPERTIES else ():
            if text.lower() in styles.UNSET:
                return default
            try:
                return self.length(text, name, element)
            except Broken:
                if "(" in text:  # what CSS would work out and we cannot; anything else CSS itself passes over
                    raise
        given: str | None = element.get(name)
        if given is None or given.strip().lower() in styles.UNSET:
            return default
        return self.length(given, name, element)

    def length(self, text: str, name: str, element: Element) -> float:
        """Convert a length written in a property of that name to user units; raises Broken where it cannot be read."""
        try:
            found = self._in_units(text, self.along(name), element)
        except ValueError:
            raise Broken(f"its {name} cannot be read: {text[:30]!r}") from None
        if not math.isfinite(found):
            raise PathError(f"its {name} is no finite number: {text[:30]!r}")
        return found

    def _in_units(self, text: str, along: float, element: Element) -> float:
        length = read_length(text)
        if length.unit in ("", "px", "mm"):
            return length.user_units(along)
        if length.unit in ("lh", "rlh"):
            of = element if length.unit == "lh" else element.getroottree().getroot()
            return length.value * line_height(of, self.sheet, self.page)
        size = 0.0
        if length.unit == "rem":
            size = font_size(element.getroottree().getroot(), self.sheet, self.page)
        elif not length.absolute:
            size = font_size(element, self.sheet, self.page)
        return length.user_units(along, size, self.page)


def read_shape(kind: str, element: Element, frame: Frame, accuracy: float, meets: float) -> list[Subpath]:
    """Read the subpaths of one shape element, as ``path_data.read_path`` gives them; [] where nothing is drawn.

    Raises Broken, with a reason for people and what is drawn nevertheless, for numbers that cannot be read; PathError
    for what is no drawing: numbers that are not finite, too many segments.
    """
    if kind == "path":
        return read_path(_path_data(element, frame), accuracy, meets)
    if kind == "rect":
        return _rect(element, frame, accuracy, meets)
    if kind in ("circle", "ellipse"):
        return _ellipse(kind, element, frame, accuracy)
    if kind == "line":
        start = complex(frame.number(element, "x1"), frame.number(element, "y1"))
        end = complex(frame.number(element, "x2"), frame.number(element, "y2"))
        return _polyline([start, end], closed=False, meets=meets)
    points, fault = _points(element.get("points") or "")
    drawn = _polyline(points, closed=kind == "polygon", meets=meets)
    if fault:
        raise Broken(fault, drawn)
    return drawn


def _path_data(element: Element, frame: Frame) -> str:
    for text in styles.declared(element, "d", frame.sheet):
        if text.lower() == "none":
            return ""
        if found := re.fullmatch(_DATA, text):
            return found[1] or found[2] or ""
    return element.get("d") or ""


def _rect(element: Element, frame: Frame, accuracy: float, meets: float) -> list[Subpath]:
    x, y = frame.number(element, "x"), frame.number(element, "y")
    width, height = frame.number(element, "width"), frame.number(element, "height")
    if width <= 0 or height <= 0:
        return []
    rx, ry = _corner(element, "rx", frame), _corner(element, "ry", frame)
    rx = ry if rx is None else rx
    ry = rx if ry is None else ry
    rx, ry = min(rx or 0.0, width / 2), min(ry or 0.0, height / 2)
    right, bottom = x + width, y + height
    if rx == 0 or ry == 0:
        corners = [complex(x, y), complex(right, y), complex(right, bottom), complex(x, bottom)]
        return _polyline(corners, closed=True, meets=0.0)
    pen = Pen(accuracy, meets)
    pen.move(complex(x + rx, y))
    for to, end in (
        (complex(right - rx, y), complex(right, y + ry)),
        (complex(right, bottom - ry), complex(right - rx, bottom)),
        (complex(x + rx, bottom), complex(x, bottom - ry)),
        (complex(x, y + ry), complex(x + rx, y)),
    ):
        pen.line(to)
        points = arcs.arc(pen.at, (rx, ry), 0.0, (False, True), end, accuracy)
        for one, two, then in zip(*[iter(points)] * 3, strict=True):
            pen.curve(one, two, then)
    pen.finish(closed=True)
    return pen.subpaths


def _corner(element: Element, name: str, frame: Frame) -> float | None:
    """Read a rounded corner's radius; None for "auto", which takes the other one's."""
    found = frame.number(element, name, -1.0)
    return found if found >= 0 else None


def _ellipse(kind: str, element: Element, frame: Frame, accuracy: float) -> list[Subpath]:
    centre = complex(frame.number(element, "cx"), frame.number(element, "cy"))
    if kind == "circle":
        rx = ry = frame.number(element, "r")
    else:
        across, down = _corner(element, "rx", frame), _corner(element, "ry", frame)
        rx, ry = (across if across is not None else down) or 0.0, (down if down is not None else across) or 0.0
    if rx <= 0 or ry <= 0:
        return []
    return [Subpath(arcs.full_ellipse(centre, rx, ry, accuracy), True)]


def _points(text: str) -> tuple[list[complex], str]:
    """Read the points before the first error, and name that; "" for none."""
    readable = re.match(_READABLE, text)
    end = readable.end() if readable else 0
    numbers = [float(number) for number in _NUMBER.findall(text, 0, end)]
    if len(numbers) > 2 * MOST_SEGMENTS:
        raise PathError(f"it has more than {MOST_SEGMENTS} segments")
    fault = ""
    if end < len(text):
        fault = f"its points cannot be read from character {end + 1} on ({text[end : end + 30]!r})"
    elif len(numbers) % 2:
        fault = f"its points have an odd count of numbers, the last one ({numbers[-1]:g}) alone"
    return [complex(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=False)], fault


def _polyline(points: list[complex], *, closed: bool, meets: float) -> list[Subpath]:
    if not points:
        return []
    pen = Pen(0.0, meets)
    pen.move(points[0])
    for to in points[1:]:
        pen.line(to)
    pen.finish(closed=closed)
    return pen.subpaths
