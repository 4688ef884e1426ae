"""The pages of a PDF: their boxes, and how a page's user space lies on paper (ISO 32000-1, 7.7.3 and 8.3.2)."""

from __future__ import annotations

from typing import Any

import pikepdf
from msgspec import Struct

from svgfit.formats.pdf.interpreter import Interpreter
from svgfit.formats.pdf.limits import MOST_PAGES, Unreadable
from svgfit.formats.pdf.records import Content, Line, Writing, extent, flattened, meet, overlap
from svgfit.formats.pdf.streams import damage_told, elements, get, name_of, numbers_of, to_number, unpack
from svgfit.geometry.affine import Affine
from svgfit.geometry.box import Box

MM_PER_POINT = 25.4 / 72
_LETTER = (0.0, 0.0, 612.0, 792.0)
_DEEPEST = 64
_UNSEEN = 2 | 32
"""Flags of an annotation that is hidden, or not shown on a screen (ISO 32000-1, table 165)."""


class Page(Struct, frozen=True):
    """A page as it lies before a person: turned as the file says, in mm from its top left corner, y down."""

    number: int
    """From 1."""
    width: float
    height: float
    content: Content
    motion: Affine
    """From the page's user space to its mm."""
    annotations: int = 0
    """How many notes and drawings lie on it that a viewer put there; they are not read."""

    @property
    def box(self) -> Box:
        """Its edges, in its own mm."""
        return 0.0, 0.0, self.width, self.height

    def marks(self) -> list[Line | Writing]:
        """List the lines and writings that are seen on it, whole where they reach out of it, in its mm."""
        return [mark for mark in self._all_marks() if self._shows(mark)]

    def hidden_lines(self) -> int:
        """Count the lines that are drawn off it or behind a clip, so that nothing of them is seen."""
        return sum(isinstance(mark, Line) and not self._shows(mark) for mark in self._all_marks())

    def _all_marks(self) -> list[Line | Writing]:
        return flattened(self.content, self.motion, None, self.box)

    def _shows(self, mark: Line | Writing) -> bool:
        return overlap(extent(mark), meet(mark.clip, self.box))


def read_pages(document: pikepdf.Pdf, interpreter: Interpreter) -> tuple[Page, ...]:
    """Walk through all pages. Raises Unreadable for what is damaged or too much."""
    with damage_told():
        if len(document.pages) > MOST_PAGES:
            raise Unreadable(f"has more than {MOST_PAGES} pages", "leave out those that are no pattern")
        pages = [page.obj for page in document.pages]
    return tuple(_page(number, page, interpreter) for number, page in enumerate(pages, 1))


def _page(number: int, page: Any, interpreter: Interpreter) -> Page:
    media = _box(inherited(page, "/MediaBox")) or _LETTER
    crop = _box(inherited(page, "/CropBox"))
    box = meet(media, crop) if crop is not None and overlap(media, crop) else media
    unit = to_number(get(page, "/UserUnit")) or 1.0
    turned = int(to_number(inherited(page, "/Rotate")) or 0) % 360
    size = MM_PER_POINT * (unit if 0 < unit < 1e4 else 1.0)
    wide, high = (box[2] - box[0]) * size, (box[3] - box[1]) * size
    contents = get(page, "/Contents")
    streams = elements(contents) if isinstance(contents, pikepdf.Array) else [contents]
    data = b"\n".join(unpack(each) for each in streams if isinstance(each, pikepdf.Stream))
    content = interpreter.page(data, inherited(page, "/Resources"))
    if turned in (90, 270):
        wide, high = high, wide
    return Page(number, wide, high, content, _motion(box, turned, size), _annotations(page))


def _annotations(page: Any) -> int:
    """Count what a viewer shows on a page besides its content (12.5): links and fields to fill in are no drawing."""
    shown = (each for each in elements(get(page, "/Annots")) if not int(to_number(get(each, "/F")) or 0) & _UNSEEN)
    kinds = [name_of(get(each, "/Subtype")) for each in shown]
    return sum(kind not in ("", "/Link", "/Widget", "/Popup") for kind in kinds)


def _motion(box: Box, turned: int, size: float) -> Affine:
    """Return the motion from user space (y up) to mm from the top left of the page as it is turned (clockwise)."""
    left, low, right, top = box
    if turned == 90:
        return Affine(0, size, size, 0, -low * size, -left * size)
    if turned == 180:
        return Affine(-size, 0, 0, size, right * size, -low * size)
    if turned == 270:
        return Affine(0, -size, -size, 0, top * size, right * size)
    return Affine(size, 0, 0, -size, -left * size, top * size)


def _box(holder: Any) -> Box | None:
    """Read a box with an area; None for what is none."""
    corners = numbers_of(holder, 4)
    if corners is None:
        return None
    left, right = sorted(corners[::2])
    low, top = sorted(corners[1::2])
    return (left, low, right, top) if left < right and low < top else None


def inherited(page: Any, key: str) -> Any:
    """Look up what a page may have from the nodes above it."""
    for _ in range(_DEEPEST):
        found = get(page, key)
        if found is not None:
            return found
        page = get(page, "/Parent")
        if page is None:
            return None
    return None
