"""Programs whose pixel has a known size, for drawings that state no real size themselves.

Only programs of which this is known: Adobe Illustrator and Inkscape, by the figures in svgfit/rules/scale.py. Whoever
else writes pixels may mean anything.
"""

from __future__ import annotations

import re

from msgspec import Struct

from svgfit.model.dialect import Element
from svgfit.rules.scale import (
    ILLUSTRATOR_PER_INCH,
    INKSCAPE_BEFORE_PER_INCH,
    INKSCAPE_PER_INCH,
    POINTS_PER_INCH,
)

_ILLUSTRATOR = "http://ns.adobe.com/AdobeIllustrator/"
_VERSIONS = (
    "{http://www.inkscape.org/namespaces/inkscape}version",
    "{http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd}version",
)
_NUMBERS = re.compile(r"\s*(\d{1,4})\.(\d{1,4})")
_MATRIX = re.compile(r"\s*matrix\(\s*([-+.\deE]+)[\s,]+([-+.\deE]+)[\s,][-+.\deE\s,]*\)\s*")
_ROUNDING = 1e-5
"""Relative difference of a stretch from a known one that is rounding in the file."""
_LOOKED_AT = 32
"""So many nodes on each side are searched for the generator's comment: it stands near the root's start tag."""


class Generator(Struct, frozen=True):
    """A program and the size of its pixel."""

    name: str
    per_inch: float
    """Its user units in an inch."""

    @property
    def reason(self) -> str:
        """For people: why this scale."""
        return f"{self.name}, which writes {self.per_inch:g} px an inch"


def generator_of(root: Element) -> Generator | None:
    """Find the program that wrote the drawing, where its pixel is known; None too where two named ones differ."""
    found = [each for each in (_illustrator(root), _inkscape(root) or _import(root)) if each is not None]
    return found[0] if len({each.per_inch for each in found}) == 1 else None


def _illustrator(root: Element) -> Generator | None:
    named = any(uri.startswith(_ILLUSTRATOR) for uri in root.nsmap.values())
    if named or any("Generator: Adobe Illustrator" in text for text in _comments(root)):
        return Generator("drawn with Adobe Illustrator", ILLUSTRATOR_PER_INCH)
    return None


def _inkscape(root: Element) -> Generator | None:
    text = next((value for name in _VERSIONS if (value := root.get(name))), None)
    version = _NUMBERS.match(text) if text else None
    if version is None:
        return None
    number = int(version[1]), int(version[2])
    per_inch = INKSCAPE_PER_INCH if number >= (0, 92) else INKSCAPE_BEFORE_PER_INCH
    return Generator(f"drawn with Inkscape {number[0]}.{number[1]}", per_inch)


def _import(root: Element) -> Generator | None:
    """Find out that Inkscape took this over from a PDF: its points, 72 an inch, are drawn larger by a known factor.

    So it writes a plain SVG of a PDF, which tells no version: the first group is stretched 96/72, or 90/72 before 0.92.
    """
    if not any("Created with Inkscape" in text for text in _comments(root)):
        return None
    group = next((child for child in root if isinstance(child.tag, str) and child.tag.endswith("}g")), None)
    found = _MATRIX.fullmatch(group.get("transform") or "") if group is not None else None
    if found is None:
        return None
    stretch = max(abs(float(found[1])), abs(float(found[2])))
    for per_inch in (INKSCAPE_PER_INCH, INKSCAPE_BEFORE_PER_INCH):
        if abs(stretch * POINTS_PER_INCH / per_inch - 1) < _ROUNDING:
            return Generator("a PDF taken over by Inkscape", per_inch)
    return None


def _comments(root: Element) -> list[str]:
    """Collect the comments before the root, behind it, and among its first children."""
    found: list[str] = []
    for nodes in (root.itersiblings(preceding=True), root.itersiblings(), root.iterchildren()):
        for _, node in zip(range(_LOOKED_AT), nodes, strict=False):
            if not isinstance(node.tag, str) and node.text:
                found.append(node.text)
    return found
