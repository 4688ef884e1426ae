"""Shown strings put together to the lines of text that a person reads."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

from msgspec.structs import replace

from svgfit.formats.layered_svg import TextItem
from svgfit.formats.pdf.records import Writing

_TOUCH = 0.2
"""Strings nearer than this, in their font's size, are one word."""
_BLANK = 0.9
"""… and than this, are words of one line."""


def join_writings(writings: Sequence[Writing]) -> list[Writing]:
    """Join strings that go on where the one before ended, as programs write that place letters one by one."""
    found: list[Writing] = []
    for each in writings:
        gap = _gap(found[-1], each) if found else None
        if gap is None:
            found.append(each)
            continue
        blank = " " if gap > _TOUCH and not found[-1].content.endswith(" ") and not each.content.startswith(" ") else ""
        found[-1] = replace(found[-1], content=found[-1].content + blank + each.content, end=each.end)
    return found


def _gap(one: Writing, other: Writing) -> float | None:
    """Measure the gap between two strings of one line, in their font's size; None where they are not one line."""
    size = abs(one.up)
    if not size or one.layer != other.layer or abs(one.up - other.up) > 0.02 * size:
        return None
    along = (other.at - one.end) / (one.up * 1j)  # y is down here or up: one of the two signs is right
    gap = along.real if _reads(one) > 0 else -along.real
    return gap if abs(along.imag) < 0.1 and -0.3 < gap < _BLANK else None


def _reads(one: Writing) -> float:
    """Tell on which side of its upward direction a writing reads on: above nothing for up turned by +90°."""
    way = one.end - one.at
    return (way / (one.up * 1j)).real if way else -1.0


def to_text(writing: Writing) -> TextItem:
    """Make it a line of text of the drawing, in the same frame (y down)."""
    way = writing.end - writing.at
    direction = way / abs(way) if abs(way) > 1e-9 else writing.up * 1j / (abs(writing.up) or 1.0)
    content = unicodedata.normalize("NFC", writing.content).strip()
    return TextItem(content, writing.at, direction, abs(writing.up), writing.fill)
