"""The drawing's own ``<style>`` elements, matched against its tree.

Only what bears on shape, place and being seen is kept, so a sheet that only colours costs no matching. What is broken
is passed over as CSS says (https://www.w3.org/TR/css-syntax-3/#error-handling); nothing is ever fetched. tinycss2 reads
the sheets, cssselect2 matches; both are imported only for a drawing that has a sheet.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator
from importlib import import_module
from typing import Any

from msgspec import Struct

from svgfit.model.dialect import Element
from svgfit.model.refusal import Refusal
from svgfit.svg.styles import Declarations, Sheet, of_font
from svgfit.svg.transforms import read_transform
from svgfit.svg.tree import SVG

KEPT = frozenset(
    {
        *("display", "visibility", "transform", "transform-origin", "transform-box", "translate", "rotate", "scale"),
        *("x", "y", "width", "height", "cx", "cy", "r", "rx", "ry", "d"),
        *("font", "font-size", "line-height", "text-anchor"),
    }
)
"""Properties that are read from sheets."""
MOST_STEPS = 30_000_000
"""No sheet takes more steps of matching than this (a guard against files made to take for ever)."""
MOST_ELEMENTS = 300_000
"""No drawing with a sheet that needs matching has more elements than this (the matching holds them in memory)."""
MOST_LETTERS = 4_000_000
"""Sheets are not longer than this in all."""

_XHTML = "http://www.w3.org/1999/xhtml"
_TYPES = ("", "text/css")
_MEDIUM = re.compile(r"\s*(?:(?:only|not)\s+)?([a-z-]+)\s*", re.IGNORECASE)
_CONDITION = re.compile(r"\s*(?:and\s*)?\(\s*([a-z-]+)\s*(?::\s*([^()]*?)\s*)?\)\s*", re.IGNORECASE)
# What a screen that shows a pattern is like; no answer to anything that depends on its size.
_FEATURES = {
    "prefers-color-scheme": "light",
    "prefers-reduced-motion": "no-preference",
    "prefers-contrast": "no-preference",
    "forced-colors": "none",
    "hover": "hover",
    "pointer": "fine",
    "scripting": "none",
}


class _TooMuch(Exception):
    """Raised where the matching takes more steps than any drawing needs."""


class _Rule(Struct, frozen=True):
    prelude: Any
    declarations: Declarations


def read_sheet(file: str, root: Element, kept: Collection[str] = KEPT) -> Sheet | None:
    """Match the drawing's sheets against its elements, for the properties ``kept``; None where it has none.

    Raises Refusal where matching would take for ever. Warnings name what is not followed: sheets in other files, and
    conditions on a screen's size.
    """
    warnings: dict[str, None] = {}
    for node in root.itersiblings(preceding=True):
        if getattr(node, "target", None) == "xml-stylesheet":
            warnings[f"{file}: names a style sheet in another file, which is not read"] = None
    sheets = [element for element in root.iter("{*}style") if _is_read(element, root)]
    if not sheets:
        return Sheet({}, tuple(warnings)) if warnings else None
    text = [_content(element) for element in sheets]
    if sum(map(len, text)) > MOST_LETTERS:
        raise Refusal(file, "its style sheets are too long", "leave out what does not belong to the pattern")
    css = import_module("tinycss2")
    reader = _Reader(css, file, warnings, kept)
    for each in text:
        try:
            reader.read(css.parse_stylesheet(each, skip_comments=True, skip_whitespace=True), 0)
        except RecursionError:
            warnings[f"{file}: a style sheet nests too deep and is not read"] = None
    declarations = _match(file, root, reader) if reader.rules else {}
    return Sheet(declarations, tuple(warnings)) if declarations or warnings else None


def _is_read(element: Element, root: Element) -> bool:
    space = element.tag.rpartition("}")[0][1:]
    if space not in (SVG, _XHTML) and (space or root.tag.startswith("{")):
        return False
    if (element.get("type") or "").strip().lower() not in _TYPES:
        return False
    return _applies(element.get("media") or "") is True


def _content(element: Element) -> str:
    """Return a style element's text without what stands in comments."""
    return (element.text or "") + "".join(child.tail or "" for child in element)


class _Reader:
    """Collector of the rules that count, from parsed sheets, in order."""

    def __init__(self, css: Any, file: str, warnings: dict[str, None], kept: Collection[str]) -> None:
        self._css, self._file, self._warnings, self._kept = css, file, warnings, kept
        self.rules: list[_Rule] = []
        self.namespaces: dict[str | None, str] = {}

    def read(self, nodes: Iterable[Any], depth: int) -> None:
        """Read the rules of a sheet, or of a block in one."""
        for node in nodes:
            if node.type == "qualified-rule":
                declarations = self._declarations_of(node.content)
                if declarations is not None:
                    self.rules.append(_Rule(node.prelude, declarations))
            elif node.type == "at-rule":
                self._at_rule(node, depth)

    def _at_rule(self, node: Any, depth: int) -> None:
        name, prelude = node.lower_at_keyword, self._css.serialize(node.prelude)
        if name == "import" and "font" not in prelude.lower() and _applies(_behind_url(prelude)) is not False:
            self._warnings[f"{self._file}: its style sheet asks for another file, which is not read"] = None
        elif name == "namespace":
            self._namespace(node)
        elif node.content is None or depth > 20 or name not in ("media", "supports", "layer"):
            return
        else:
            applies = _applies(prelude) if name == "media" else not prelude.strip().lower().startswith("not")
            before = len(self.rules)
            self.read(self._css.parse_rule_list(node.content, skip_comments=True, skip_whitespace=True), depth + 1)
            if applies is None and len(self.rules) > before:
                query = " ".join(prelude.split())[:60]
                self._warnings[
                    f"{self._file}: its style sheet moves or hides things on some screens ({query}); that is left out"
                ] = None
            if applies is not True:
                del self.rules[before:]

    def _namespace(self, node: Any) -> None:
        parts = [part for part in node.prelude if part.type not in ("whitespace", "comment")]
        prefix = parts[0].value if len(parts) == 2 and parts[0].type == "ident" else None
        if parts and parts[-1].type in ("string", "url"):
            self.namespaces[prefix] = parts[-1].value

    def _declarations_of(self, content: Any) -> Declarations | None:
        normal: dict[str, str] = {}
        important: dict[str, str] = {}
        for each in self._css.parse_blocks_contents(content, skip_comments=True, skip_whitespace=True):
            if each.type != "declaration" or each.lower_name not in self._kept:
                continue
            value = self._css.serialize(each.value).strip()
            if _is_valid(each.lower_name, value):
                if each.lower_name == "font":
                    normal.pop("font-size", None)
                    normal.pop("line-height", None)
                (important if each.important else normal)[each.lower_name] = value
        return Declarations(normal, important) if normal or important else None


def _is_valid(name: str, value: str) -> bool:
    """Return whether a declaration counts at all; False only for what would hide an earlier one that does."""
    if not value:
        return False
    if name in ("display", "visibility"):
        return all(part.replace("-", "").isalpha() for part in value.split())
    if name == "font":
        return of_font(value)[0] is not None
    if name == "transform" and not re.search(r"calc|var|env|min|max|clamp", value, re.IGNORECASE):
        try:
            read_transform(value, lambda _text, _along: 0.0)
        except ValueError:
            return value.lower() in ("inherit", "initial", "unset", "revert")
    return True


def _behind_url(prelude: str) -> str:
    return re.sub(r"""^\s*(?:url\([^)]*\)|"[^"]*"|'[^']*')""", "", prelude)


def _applies(media: str) -> bool | None:
    """Return whether a list of media queries takes in a screen; None where that depends on the screen.

    >>> _applies("print"), _applies("screen, print"), _applies("screen and (min-width: 9cm)")
    (False, True, None)
    """
    answers = [_query(query) for query in media.split(",")]
    if True in answers:
        return True
    return None if None in answers else False


def _query(query: str) -> bool | None:
    medium = _MEDIUM.match(query)
    answers: list[bool | None] = [medium[1].lower() in ("all", "screen")] if medium else []
    at = medium.end() if medium else 0
    while query[at:].strip():
        found = _CONDITION.match(query, at)
        known = _FEATURES.get(found[1].lower()) if found else None
        answers.append((found[2] or "").lower() == known if found and known is not None else None)
        at = found.end() if found else len(query)
    whole = False if False in answers else None if None in answers else True
    negated = query.strip().lower().startswith("not")
    return whole if whole is None or not negated else not whole


# -- matching -------------------------------------------------------------------------------------------------------


def _match(file: str, root: Element, reader: _Reader) -> dict[Element, Declarations]:
    select = import_module("cssselect2")
    count = _Counter(MOST_STEPS)
    matcher = _matcher_class(select, count)()
    for rule in reader.rules:
        try:
            selectors = select.compile_selector_list(rule.prelude, namespaces=reader.namespaces)
        except Exception:  # noqa: BLE001  a selector that means nothing ends in many ways there
            continue  # CSS drops the whole rule
        for selector in selectors:
            if selector.pseudo_element is None:
                matcher.add_selector(selector, rule.declarations)
    elements = sum(1 for _ in root.iter("*"))
    if elements > MOST_ELEMENTS:
        raise Refusal(file, "its style sheet speaks of too many elements", "simplify it")
    declarations: dict[Element, Declarations] = {}
    joined: dict[tuple[int, ...], Declarations] = {}
    try:
        for node in _node_class(select, count).from_xml_root(root).iter_subtree():
            found = matcher.match(node)
            if found:
                key = tuple(order for _, order, _, _ in found)
                if key not in joined:
                    joined[key] = _joined([each[3] for each in found])
                declarations[node.etree_element] = joined[key]
    except _TooMuch:
        raise Refusal(file, "its style sheet takes too long to work out", "simplify it") from None
    return declarations


def _joined(declarations: list[Declarations]) -> Declarations:
    normal: dict[str, str] = {}
    important: dict[str, str] = {}
    for each in declarations:  # from the weakest to the strongest
        for into, given in ((normal, each.normal), (important, each.important)):
            for name, value in given.items():
                if name == "font":
                    into.pop("font-size", None)
                    into.pop("line-height", None)
                into[name] = value
    return Declarations(normal, important)


class _Counter:
    """Count of the steps that are left."""

    __slots__ = ("left",)

    def __init__(self, left: int) -> None:
        self.left = left

    def take(self, steps: int) -> None:
        """Take steps away; raises _TooMuch where none are left."""
        self.left -= steps
        if self.left < 0:
            raise _TooMuch


def _matcher_class(select: Any, count: _Counter) -> Callable[[], Any]:
    """Build cssselect2's matcher, its tests counted."""
    add = select.Matcher.add_relevant_selectors

    class Matcher(select.Matcher):
        def add_relevant_selectors(self, element: Any, selectors: Any, relevant_selectors: Any) -> None:
            if selectors:
                count.take(len(selectors))
                before = len(relevant_selectors)
                try:
                    add(element, selectors, relevant_selectors)
                except _TooMuch:
                    raise
                except Exception:  # noqa: BLE001  so does one that was compiled; then each by itself
                    del relevant_selectors[before:]
                    if len(selectors) > 1:
                        for each in selectors:
                            self.add_relevant_selectors(element, [each], relevant_selectors)

    return Matcher


def _node_class(select: Any, count: _Counter) -> Any:
    """Build cssselect2's element so that looking at ancestors and siblings holds no memory and is counted."""
    plain: Any = list  # of no type, as its elements are

    class Siblings(plain):
        def __getitem__(self, at: Any) -> Any:
            count.take(len(self) if isinstance(at, slice) else 1)
            return plain.__getitem__(self, at)

        def __iter__(self) -> Any:
            count.take(len(self))
            return plain.__iter__(self)

    def counted(at: Any, way: str) -> Iterator[Any]:
        while at is not None:
            count.take(1)
            yield at
            at = getattr(at, way)

    class Node(select.ElementWrapper):
        @property
        def ancestors(self) -> Any:
            return counted(self.parent, "parent")

        @property
        def previous_siblings(self) -> Any:
            return counted(self.previous, "previous")

        @property
        def etree_children(self) -> Any:
            kept = self.__dict__.get("kept_children")
            if kept is None:
                kept = self.__dict__["kept_children"] = Siblings(
                    each for each in self.etree_element if isinstance(each.tag, str)
                )
            return kept

        def iter_children(self) -> Any:
            child = None
            for k, each in enumerate(self.etree_children):
                count.take(1)
                child = type(self)(each, parent=self, index=k, previous=child, in_html_document=False)
                yield child

    return Node
