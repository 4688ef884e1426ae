"""A copy of a drawing made fit for renderers and browsers; what no machine could draw is refused before it begins.

A few lines can show more than any machine can draw: a marker on whose line stand three markers, and so on. Renderers
and browsers begin and never come to an end. So the parts are counted here, each element worked out once.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from importlib import import_module

from svgfit.model.dialect import Element
from svgfit.model.refusal import Refusal
from svgfit.svg import styles
from svgfit.svg.export.embedded_pictures import scale_down
from svgfit.svg.export.fold_opacity import fold_opacity
from svgfit.svg.styles import Sheet
from svgfit.svg.stylesheet import read_sheet
from svgfit.svg.tree import XLINK_HREF

MOST_SHOWN = 300_000
"""No drawing is drawn that shows more parts than this."""
DEEPEST = 1000
"""No drawing is drawn whose elements lie in one another deeper than this: the parsers of renderers end at 1024."""
_A_LINK = 10
"""A marker, pattern, mask or clip counts as so many groups in one another."""
_MOST_WORK = 1_000_000
"""So many elements are looked at; one counts again where it inherits something else."""

_INHERITED = ("fill", "stroke", "marker-start", "marker-mid", "marker-end")
_OWN = ("clip-path", "mask")
_PROPERTIES = frozenset({*_INHERITED, *_OWN, "marker", "fill-opacity", "stroke-opacity", "opacity"})
_MARKED = frozenset({"path", "line", "polyline", "polygon"})
_PAINTED = _MARKED | {"rect", "circle", "ellipse", "text", "tspan", "textPath"}
_NOT_DRAWN = frozenset(
    {"defs", "symbol", "marker", "pattern", "mask", "clipPath", "linearGradient", "radialGradient", "style", "title"}
)
"""What is drawn only where something refers to it."""
_LINK = re.compile(r"""url\(\s*["']?#([^)"']+?)["']?\s*\)""")
_NUMBER = re.compile(r"\d+")

_Inherited = tuple[str, ...]
"""The ids that inherited properties name, "" for none, in the order of ``_INHERITED``."""
_Key = tuple[Element, _Inherited]
_Shown = tuple[_Key, int, int]
"""What is shown, how often, and for how many levels it counts."""
_NOTHING: _Inherited = ("",) * len(_INHERITED)


def drawable(file: str, root: Element) -> Element:
    """Check a copy of a drawing, and make it lighter in place where that changes nothing that is seen; give it back.

    Raises Refusal for what is nested too deep, shows far too many parts, or holds a picture of far too many dots.
    """
    check_depth(file, root)
    sheet = read_sheet(file, root, _PROPERTIES)
    if sheet is not None or any(_refers(element) for element in root.iter("*")):
        _Counter(file, root, sheet).check()
    fold_opacity(root, sheet)
    scale_down(file, root)
    return root


def check_depth(file: str, root: Element) -> None:
    """Raise Refusal for a tree nested too deep to be drawn; asked before anything looks upwards from each element."""
    depth = 0
    for event, _ in import_module("lxml.etree").iterwalk(root, events=("start", "end")):
        depth += 1 if event == "start" else -1
        if depth > DEEPEST:
            what = f"nests its groups more than {DEEPEST} deep, and can't be drawn so"
            raise Refusal(file, what, "ungroup what lies in them in your drawing program")


def _refers(element: Element) -> bool:
    return any(name in ("href", XLINK_HREF) or "url(" in value for name, value in element.attrib.items())


class _Counter:
    """Counter of what a tree shows: a walk over what each element shows, in the order in which counts are known."""

    def __init__(self, file: str, root: Element, sheet: Sheet | None) -> None:
        self._file, self._root, self._sheet = file, root, sheet
        self._ids: dict[str, Element] = {}
        for element in root.iter("*"):
            if name := element.get("id"):
                self._ids.setdefault(name, element)

    def check(self) -> None:
        """Raise Refusal at the innermost element that shows too much or lies too deep."""
        known: dict[_Key, tuple[int, int]] = {}
        key: _Key = (self._root, _NOTHING)
        begun = {key}
        stack: list[tuple[_Key, list[_Shown], Iterator[_Shown]]] = []

        def begin(key: _Key) -> None:
            shown = [*self._shown(*key)]
            stack.append((key, shown, iter(shown)))
            begun.add(key)
            if len(begun) > _MOST_WORK:
                raise self._refusal(key[0])

        begin(key)
        while stack:
            key, shown, waiting = stack[-1]
            unknown = next((each for each, _, _ in waiting if each not in begun), None)
            if unknown is not None:
                begin(unknown)
                continue
            stack.pop()
            parts = [(*known.get(each, (0, 0)), times, deep) for each, times, deep in shown]  # a circle shows nothing
            count = 1 + sum(found * times for found, _, times, _ in parts)
            depth = 1 + max((found + deep for _, found, _, deep in parts), default=0)
            if count > MOST_SHOWN or depth > DEEPEST:
                raise self._refusal(key[0])
            known[key] = count, depth

    def _refusal(self, element: Element) -> Refusal:
        named = next((each for each in (element, *element.iterancestors()) if each.get("id")), element)
        label = f"{_kind(named)} {(named.get('id') or '')[:60]!r}"
        what = (
            f"shows more than can be drawn: its markers, patterns, masks, clips and copies show one another ({label})"
        )
        return Refusal(self._file, what, "leave out what shows so much, or draw it as plain lines")

    def _shown(self, element: Element, above: _Inherited) -> Iterator[_Shown]:
        """Iterate over what an element shows: which, how often, and for how many levels it counts."""
        kind = _kind(element)
        here = self._inherited(element, above)
        for child in element.iterchildren("*"):
            if _kind(child) not in _NOT_DRAWN:
                yield (child, here), 1, 0
        href = element.get("href") or element.get(XLINK_HREF) or ""
        if href.strip().startswith("#") and (target := self._ids.get(href.strip()[1:])) is not None:
            yield ((target, here) if kind == "use" else self._by_itself(target)), 1, 0
        for name in _OWN:
            yield from self._link(self._named(element, name), 1)
        if kind in _PAINTED:
            ends = _corners(element) if here[3] and kind in _MARKED else 1
            for name, times in zip(here, (1, 1, 1, ends, 1), strict=True):
                yield from self._link(name, times)

    def _link(self, name: str, times: int) -> Iterator[_Shown]:
        target = self._ids.get(name) if name else None
        if target is not None:
            yield self._by_itself(target), times, _A_LINK

    def _by_itself(self, target: Element) -> _Key:
        """Give an element with what it inherits where it stands."""
        here = _NOTHING
        for above in reversed([*target.iterancestors()]):
            here = self._inherited(above, here)
        return target, here

    def _inherited(self, element: Element, above: _Inherited) -> _Inherited:
        whole = self._value(element, "marker")
        found: list[str] = []
        for name, before in zip(_INHERITED, above, strict=True):
            text = self._value(element, name)
            if text is None and name.startswith("marker"):
                text = whole
            found.append(before if text is None or text.strip() in styles.INHERITING else _linked(text))
        return tuple(found)

    def _named(self, element: Element, name: str) -> str:
        return _linked(self._value(element, name) or "")

    def _value(self, element: Element, name: str) -> str | None:
        return styles.value(element, name, self._sheet)


def _linked(text: str) -> str:
    found = _LINK.search(text)
    return found[1] if found else ""


def _kind(element: Element) -> str:
    return str(element.tag).rpartition("}")[2]


def _corners(element: Element) -> int:
    """Count the corners of a line that may have a marker each, rather more than less."""
    return max(len(_NUMBER.findall(element.get("d") or element.get("points") or "")) // 2, 1)
