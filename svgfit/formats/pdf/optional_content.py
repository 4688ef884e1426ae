"""A PDF's layers: optional-content groups, their tree and which are switched off (ISO 32000-1, 8.11)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import pikepdf
from msgspec import Struct

from svgfit.formats.pdf.streams import damage_told, elements, get, key_of, name_of, text_of

Key = tuple[int, int]
"""The object number of a group."""
_DEEPEST = 12


class PdfLayer(Struct, frozen=True):
    """A group as a person sees it in a program that shows PDFs."""

    path: tuple[str, ...]
    """Names from the outermost group or heading down to its own."""
    hidden: bool = False
    """Switched off in the file."""


class Layers(Struct, frozen=True):
    """The groups of a file, in the order in which they are listed for people."""

    known: Mapping[Key, PdfLayer]

    def of(self, content: Any) -> Key | None:
        """Tell which group a marked content or form belongs to: it, or the first of a membership's; None for none."""
        if name_of(get(content, "/Type")) == "/OCMD":
            groups = get(content, "/OCGs")
            inner = elements(groups) or [groups]
            return next((key for each in inner if (key := key_of(each)) is not None and key in self.known), None)
        key = key_of(content)
        return key if key in self.known else None


def read_layers(document: pikepdf.Pdf) -> Layers:
    """Read the optional-content tree; empty where a file has none."""
    with damage_told():
        properties = get(document.Root, "/OCProperties")
    default = get(properties, "/D")
    groups = {key: each for each in elements(get(properties, "/OCGs")) if (key := key_of(each)) is not None}
    base_off = name_of(get(default, "/BaseState")) == "/OFF"
    off, on = (_keys(get(default, name)) for name in ("/OFF", "/ON"))
    paths: dict[Key, tuple[str, ...]] = {}
    for key, path in _tree(get(default, "/Order"), (), groups, 0):
        paths.setdefault(key, path)
    for key, each in groups.items():
        paths.setdefault(key, (text_of(get(each, "/Name")),))
    named: dict[Key, PdfLayer] = {}
    for key, path in paths.items():
        hidden = key in off or (base_off and key not in on)
        above = [other for other, its in paths.items() if path[: len(its)] == its and len(its) < len(path)]
        named[key] = PdfLayer(path, hidden or any(other in off for other in above))
    return Layers(named)


def _keys(holder: Any) -> frozenset[Key]:
    return frozenset(key for each in elements(holder) if (key := key_of(each)) is not None)


def _tree(
    order: Any, above: tuple[str, ...], groups: Mapping[Key, Any], depth: int
) -> Iterator[tuple[Key, tuple[str, ...]]]:
    """Yield groups with their paths: an array behind a group holds what is under it, a text heads its array."""
    if depth > _DEEPEST:
        return
    last = above
    for at, each in enumerate(elements(order)):
        if isinstance(each, pikepdf.Array):
            headed = isinstance(next(iter(elements(each)), None), pikepdf.String)
            yield from _tree(each, above if headed else last, groups, depth + 1)
        elif isinstance(each, pikepdf.String):
            heading = (*above, text_of(each))
            if at == 0 and depth:  # the heading of all that follows in this array
                above = heading
            last = heading
        elif (key := key_of(each)) in groups and key is not None:
            last = (*above, text_of(get(each, "/Name")))
            yield key, last
