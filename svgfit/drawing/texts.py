"""``text`` and its ``tspan`` lines (https://www.w3.org/TR/SVG11/text.html) as lines of writing."""

from __future__ import annotations

import re
from typing import Any

from msgspec import Struct

from svgfit.drawing import styles
from svgfit.drawing.pathdata import PathError
from svgfit.drawing.shapes import Frame
from svgfit.drawing.units import read_length
from svgfit.model.dialect import Element

# CSS 2.1, section 15.7 gives the keywords; the sizes are those that browsers use (common practice).
_KEYWORDS = {
    "xx-small": 9.0,
    "x-small": 10.0,
    "small": 13.0,
    "medium": 16.0,
    "large": 18.0,
    "x-large": 24.0,
    "xx-large": 32.0,
}
_FIRST = re.compile(r"[^\s,]+")
_ROLE = "{http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd}role"
_DEEPEST = 64


class Line(Struct, frozen=True):
    """One line in the text element's own user units."""

    content: str
    at: complex
    size: float
    anchor: str
    element: Element
    """The element that starts the line."""


class _Run:
    """A line that is being gathered."""

    __slots__ = ("at", "element", "parts")

    def __init__(self, element: Element, at: complex) -> None:
        self.element, self.at = element, at
        self.parts: list[str] = []


def read_text(element: Element, frame: Frame) -> list[Line]:
    """The lines of a text element, a new one wherever a tspan is placed anew; lines without writing are left out.

    Raises PathError for numbers that cannot be read.
    """
    runs = [_Run(element, _placed(element, frame, 0j))]
    # Events in document order, without recursion: an element to enter, or text to add.
    stack: list[Any] = [element]
    while stack:
        at = stack.pop()
        if isinstance(at, str):
            runs[-1].parts.append(at)
            continue
        if at is not element:
            if not isinstance(at.tag, str) or styles.is_off(at) or styles.visibility(at) is False:
                continue
            if _starts_line(at):
                runs.append(_Run(at, _placed(at, frame, runs[-1].at)))
        following: list[Any] = [at.text] if at.text else []
        for child in at:
            if isinstance(child.tag, str) and child.tag.rpartition("}")[2] in ("tspan", "a", "textPath", "tref"):
                following.append(child)
            if child.tail:
                following.append(child.tail)
        stack.extend(reversed(following))
    lines: list[Line] = []
    for run in runs:
        content = " ".join("".join(run.parts).split())
        if content:
            anchor = styles.inherited(run.element, "text-anchor")
            anchor = anchor if anchor in ("middle", "end") else "start"
            lines.append(Line(content, run.at, font_size(run.element), anchor, run.element))
    return lines


def font_size(element: Element) -> float:
    """The font size in user units that holds for an element; relative sizes are followed up to what they refer to."""
    factor = 1.0
    at: Element | None = element
    for _ in range(_DEEPEST):
        if at is None:
            break
        text = styles.value(at, "font-size")
        at = at.getparent()
        if text is None or text == "inherit":
            continue
        if text.lower() in _KEYWORDS:
            return factor * _KEYWORDS[text.lower()]
        if text.lower() in ("smaller", "larger"):
            factor *= 1.2 if text.lower() == "larger" else 1 / 1.2
            continue
        try:
            length = read_length(text)
            if length.absolute:
                return factor * length.user_units(0.0)
            if length.unit == "rem":
                return factor * length.user_units(0.0, 16.0)
            factor *= length.user_units(1.0, 1.0)
        except ValueError:
            raise PathError(f"its font-size cannot be read: {text[:30]!r}") from None
    return factor * _KEYWORDS["medium"]


def _starts_line(element: Element) -> bool:
    if element.tag.rpartition("}")[2] not in ("tspan", "textPath"):
        return False
    return element.get(_ROLE) == "line" or element.get("x") is not None or element.get("y") is not None


def _placed(element: Element, frame: Frame, before: complex) -> complex:
    """Where an element's writing starts; what it does not say is where the line before started."""
    x = _length(element, "x", frame, before.real) + _length(element, "dx", frame, 0.0)
    y = _length(element, "y", frame, before.imag) + _length(element, "dy", frame, 0.0)
    return complex(x, y)


def _length(element: Element, name: str, frame: Frame, default: float) -> float:
    """The first of a list of lengths."""
    found = _FIRST.search(element.get(name) or "")
    if not found:
        return default
    try:
        return read_length(found[0]).user_units(frame.along(name), font_size(element))
    except ValueError:
        raise PathError(f"its {name} cannot be read: {found[0][:30]!r}") from None
