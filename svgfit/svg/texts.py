"""``text`` and its ``tspan`` lines (https://www.w3.org/TR/SVG11/text.html) as lines of writing."""

from __future__ import annotations

import re
from typing import Any

from msgspec import Struct

from svgfit.model.dialect import Element
from svgfit.svg import styles
from svgfit.svg.font_size import font_size
from svgfit.svg.shapes import Frame

_FIRST = re.compile(r"[^\s,]+")
_ROLE = "{http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd}role"


class Line(Struct, frozen=True):
    """One line in the text element's own user units."""

    content: str
    at: complex
    size: float
    anchor: str
    element: Element
    """The element that starts the line."""


class _Run:
    """A line that is being collected."""

    __slots__ = ("at", "element", "parts")

    def __init__(self, element: Element, at: complex) -> None:
        self.element, self.at = element, at
        self.parts: list[str] = []


def read_text(element: Element, frame: Frame) -> list[Line]:
    """Read the lines of a text element, a new one wherever a tspan is placed anew; empty lines are left out.

    Raises Broken for numbers that cannot be read.
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
            sheet = frame.sheet
            if not isinstance(at.tag, str) or styles.is_off(at, sheet) or styles.visibility(at, sheet) is False:
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
            anchor = styles.inherited(run.element, "text-anchor", frame.sheet)
            anchor = anchor if anchor in ("middle", "end") else "start"
            size = font_size(run.element, frame.sheet, frame.page)
            lines.append(Line(content, run.at, size, anchor, run.element))
    return lines


def _starts_line(element: Element) -> bool:
    if element.tag.rpartition("}")[2] not in ("tspan", "textPath"):
        return False
    return element.get(_ROLE) == "line" or element.get("x") is not None or element.get("y") is not None


def _placed(element: Element, frame: Frame, before: complex) -> complex:
    """Find where an element's writing starts; by default where the line before started."""
    x = _length(element, "x", frame, before.real) + _length(element, "dx", frame, 0.0)
    y = _length(element, "y", frame, before.imag) + _length(element, "dy", frame, 0.0)
    return complex(x, y)


def _length(element: Element, name: str, frame: Frame, default: float) -> float:
    """Read the first of a list of lengths."""
    found = _FIRST.search(element.get(name) or "")
    if not found:
        return default
    return frame.length(found[0], name, element)
