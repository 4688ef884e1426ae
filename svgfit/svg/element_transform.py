"""An element's own motion: ``transform`` as attribute and in CSS, its origin, and the single CSS properties.

https://www.w3.org/TR/css-transforms-1/ for ``transform``, ``transform-origin`` and ``transform-box``;
https://www.w3.org/TR/css-transforms-2/#individual-transforms for ``translate``, ``rotate`` and ``scale``.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TypeVar

from svgfit.geometry.affine import Affine
from svgfit.geometry.box import Box
from svgfit.model.dialect import Element
from svgfit.svg import styles
from svgfit.svg.path_data import Broken, PathError
from svgfit.svg.shapes import Frame
from svgfit.svg.transforms import IDENTITY, NotFiniteError, angle, read_transform
from svgfit.svg.units import read_length

Read = TypeVar("Read", Affine, complex)

_SIDES = {"left": "0%", "top": "0%", "center": "50%", "right": "100%", "bottom": "100%"}
_CONTENT_BOXES = frozenset({"fill-box", "content-box", "stroke-box", "border-box"})
_WORDS = ("transform", "translate", "rotate", "scale")


def is_moved(element: Element, frame: Frame) -> bool:
    """Return whether the element may be moved at all: a quick look, for most are not."""
    if element.get("transform"):
        return True
    style: str | None = element.get("style")
    if style:
        low = style.lower()
        if any(word in low for word in _WORDS):
            return True
    return frame.sheet is not None and element in frame.sheet.declarations


def read_motion(element: Element, frame: Frame, content_box: Callable[[], Box], warn: Callable[[str], None]) -> Affine:
    """Read the element's own motion, in its parent's user units.

    ``content_box`` gives the box of what the element draws, and is asked only where the motion depends on it; ``warn``
    takes what cannot be read and is passed over, as browsers do. Raises PathError for numbers that are not finite.
    """
    return _Reader(element, frame, content_box, warn).whole()


class _Reader:
    """Reader of one element's motion."""

    def __init__(
        self, element: Element, frame: Frame, content_box: Callable[[], Box], warn: Callable[[str], None]
    ) -> None:
        self._element, self._frame, self._content_box, self._warn = element, frame, content_box, warn
        self._box: Box | None = None

    def whole(self) -> Affine:
        """Compose all of it: first ``transform``, then scale, rotate and translate, about the origin."""
        found = self._strongest("transform", self._transform, IDENTITY, attribute=True)
        for name, read in (("scale", self._scale), ("rotate", self._rotate), ("translate", self._translate)):
            found = found.then(self._strongest(name, read, IDENTITY))
        if found == IDENTITY:
            return IDENTITY
        origin = self._strongest("transform-origin", self._origin, 0j, attribute=True)
        return Affine.shift(-origin).then(found).then(Affine.shift(origin)) if origin else found

    def _strongest(self, name: str, read: Callable[[str], Read], default: Read, *, attribute: bool = False) -> Read:
        """Read the strongest value that can be read."""
        texts = styles.declared(self._element, name, self._frame.sheet)
        given = self._element.get(name) if attribute else None
        for text in (*texts, given) if given else texts:
            if not text.strip() or text.lower() in styles.UNSET or text == "none":
                return default
            try:
                return read(text)
            except NotFiniteError:
                raise PathError(f"its {name} has no finite numbers: {text[:40]!r}") from None
            except ValueError as fault:
                if isinstance(fault, PathError) and not isinstance(fault, Broken):
                    raise
                self._warn(f"its {name} cannot be read and is left out: {text[:40]!r}")
        return default

    def _transform(self, text: str) -> Affine:
        return read_transform(text, self._length)

    def _translate(self, text: str) -> Affine:
        parts = text.split()
        if len(parts) > 3:
            raise ValueError(text)
        x, y = self._length(parts[0], "x"), self._length(parts[1], "y") if len(parts) > 1 else 0.0
        return Affine.shift(complex(x, y))

    def _rotate(self, text: str) -> Affine:
        parts = text.lower().split()
        axis = " ".join(parts[:-1])
        if axis not in ("", "z", "0 0 1"):
            raise ValueError(text)
        return read_transform(f"rotate({angle(parts[-1])!r})")

    def _scale(self, text: str) -> Affine:
        return read_transform(f"scale({','.join(text.split()[:2])})")

    def _length(self, text: str, along: str) -> float:
        if not text.endswith("%"):
            try:
                found = self._frame.length(text, "width", self._element)
            except Broken:
                raise
            except PathError:  # it would name a width that nobody wrote
                raise NotFiniteError(text) from None
        else:
            left, top, right, bottom = self._reference()
            found = read_length(text).value / 100 * (right - left if along == "x" else bottom - top)
        if not math.isfinite(found):
            raise NotFiniteError(text)
        return found

    def _origin(self, text: str) -> complex:
        x, y = _two(text.lower().replace(",", " ").split())
        at = complex(self._length(x, "x"), self._length(y, "y"))
        left, top = self._reference()[:2] if self._is_content_box() else (0.0, 0.0)
        return at + complex(left, top)

    def _is_content_box(self) -> bool:
        kind = styles.value(self._element, "transform-box", self._frame.sheet)
        return kind is not None and kind.lower() in _CONTENT_BOXES

    def _reference(self) -> Box:
        """Return the box that percentages are of; a view-box lies at 0, whatever the viewBox begins with."""
        if self._box is None:
            self._box = (
                self._content_box() if self._is_content_box() else (0.0, 0.0, self._frame.width, self._frame.height)
            )
        return self._box


def _two(parts: list[str]) -> tuple[str, str]:
    """Split a ``transform-origin`` into across and down, keywords as percentages; a depth is dropped."""
    if not 1 <= len(parts) <= 3:
        raise ValueError(" ".join(parts))
    x, y = (*parts[:2], "center")[:2]
    if x in ("top", "bottom") or y in ("left", "right"):
        x, y = y, x
    if x in ("top", "bottom") or y in ("left", "right"):
        raise ValueError(" ".join(parts))
    return _SIDES.get(x, x), _SIDES.get(y, y)
