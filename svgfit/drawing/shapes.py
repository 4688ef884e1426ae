"""Basic shapes and paths (https://www.w3.org/TR/SVG11/shapes.html) as chains of cubics in their own user units."""

from __future__ import annotations

import math
import re

from msgspec import Struct

from svgfit.drawing import arcs, styles
from svgfit.drawing.pathdata import MOST_SEGMENTS, PathError, Pen, Subpath, read_path
from svgfit.drawing.units import read_length
from svgfit.model.dialect import Element

SHAPES = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"})
_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")


class Frame(Struct, frozen=True):
    """What an element's own numbers are measured by."""

    width: float
    """Of the nearest viewport in user units, for percentages; 0 where it is not known."""
    height: float

    def along(self, name: str) -> float:
        """What a percentage of the attribute refers to."""
        if name in ("x", "cx", "x1", "x2", "width", "rx", "dx"):
            return self.width
        if name in ("y", "cy", "y1", "y2", "height", "ry", "dy"):
            return self.height
        return math.hypot(self.width, self.height) / math.sqrt(2)

    def number(self, element: Element, name: str, default: float | None = 0.0) -> float:
        """An attribute's length in user units; raises PathError where it cannot be read or is missing."""
        text: str | None = element.get(name)
        if text is None and name in ("x", "y", "width", "height", "cx", "cy", "r", "rx", "ry"):
            text = styles.value(element, name)
        if text is None:
            if default is None:
                raise PathError(f"it has no {name}")
            return default
        return self.length(text, name)

    def length(self, text: str, name: str) -> float:
        """A length written in an attribute of that name, in user units; raises PathError where it cannot be read."""
        try:
            found = read_length(text).user_units(self.along(name))
        except ValueError:
            raise PathError(f"its {name} cannot be read: {text[:30]!r}") from None
        if not math.isfinite(found):
            raise PathError(f"its {name} is no finite number: {text[:30]!r}")
        return found


def read_shape(kind: str, element: Element, frame: Frame, accuracy: float, meets: float) -> list[Subpath]:
    """The subpaths of one shape element, as ``pathdata.read_path`` gives them; [] where nothing is drawn.

    Raises PathError, with a reason for people, for numbers that cannot be read.
    """
    if kind == "path":
        return read_path(element.get("d") or "", accuracy, meets)
    if kind == "rect":
        return _rect(element, frame, accuracy, meets)
    if kind in ("circle", "ellipse"):
        return _ellipse(kind, element, frame, accuracy)
    if kind == "line":
        start = complex(frame.number(element, "x1"), frame.number(element, "y1"))
        end = complex(frame.number(element, "x2"), frame.number(element, "y2"))
        return _polyline([start, end], closed=False, meets=meets)
    return _polyline(_points(element.get("points") or ""), closed=kind == "polygon", meets=meets)


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
    """A rounded corner's radius; None for "auto", which takes the other one's."""
    if (styles.value(element, name) or "auto") == "auto":
        return None
    found = frame.number(element, name)
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


def _points(text: str) -> list[complex]:
    numbers = [float(number) for number in _NUMBER.findall(text)]
    if _NUMBER.sub("", text).strip(" \t\r\n\f,"):
        raise PathError(f"its points cannot be read: {text[:30]!r}")
    if len(numbers) % 2:
        raise PathError("its points have an odd count of numbers")
    if len(numbers) > 2 * MOST_SEGMENTS:
        raise PathError(f"it has more than {MOST_SEGMENTS} segments")
    return [complex(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]


def _polyline(points: list[complex], *, closed: bool, meets: float) -> list[Subpath]:
    if not points:
        return []
    pen = Pen(0.0, meets)
    pen.move(points[0])
    for to in points[1:]:
        pen.line(to)
    pen.finish(closed=closed)
    return pen.subpaths
