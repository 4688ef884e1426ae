"""A copy of a drawing that can do nothing but be looked at.

Kept is what is known to draw (a list, not its opposite: what nobody thought of is left out). Out go scripts, event
handlers, animations, embedded pages, other programs' private data, and everything that would be fetched from elsewhere;
and filters, which no pattern needs, and by which a few letters can keep a machine busy for hours.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable
from contextlib import suppress
from importlib import import_module
from typing import Any

from svgfit.model.dialect import Element
from svgfit.svg.source import OUR_MARK

SVG, XLINK, XML = (
    "http://www.w3.org/2000/svg",
    "http://www.w3.org/1999/xlink",
    "http://www.w3.org/XML/1998/namespace",
)
_HREF = f"{{{XLINK}}}href"

_DRAWS = frozenset({
    "svg", "g", "a", "defs", "symbol", "use", "switch", "path", "rect", "circle", "ellipse", "line", "polyline",
    "polygon", "text", "tspan", "textPath", "image", "title", "desc", "style", "clipPath", "mask", "pattern", "marker",
    "linearGradient", "radialGradient", "stop",
})  # fmt: skip
_WRITING = frozenset({"text", "tspan", "textPath", "title", "desc"})
_PICTURES = re.compile(r"data:image/(?:png|jpe?g|gif|webp)[;,]", re.IGNORECASE)
_DOUBTFUL = re.compile(r"url|image|src|fade|filter|script|[\\@]", re.IGNORECASE)
_FETCHING = frozenset({"url", "src", "image", "image-set", "-webkit-image-set", "cross-fade", "-webkit-cross-fade"})
_RULES_WITHIN = frozenset({"media", "supports"})
_DEEPEST = 4
"""Rules within rules within rules go no deeper."""


def cleaned(
    root: Element,
    keep: Callable[[Element], bool] = lambda _: True,
    *,
    without: Collection[str] = (),
    left_out: Collection[Element] = (),
) -> Element:
    """Make a new tree from ``root`` (never changed) with only what draws, of its children those that ``keep`` says.

    The new root has no attributes ``without``. What is ``left_out`` goes wherever it stands. Elements are
    SVG's whatever namespace ``root`` had them in; comments, instructions and DOCTYPE are gone.
    """
    etree = import_module("lxml.etree")  # this way because lxml has no types
    space = root.tag.rpartition("}")[0]
    space = space + "}" if space else ""
    made = etree.Element(f"{{{SVG}}}svg", nsmap={None: SVG, "xlink": XLINK})
    _take_attributes("svg", root, made, without)
    # A stack, since drawings nest deeper than Python calls.
    stack: list[tuple[Element, Element, bool]] = [
        (child, made, False) for child in reversed(root) if isinstance(child.tag, str) and keep(child)
    ]
    while stack:
        old, into, written = stack.pop()
        name = _name(old, space)
        if name in _DRAWS and old not in left_out:
            new = etree.SubElement(into, f"{{{SVG}}}{'g' if name == 'a' else name}")
            _take_attributes(name, old, new)
            if name == "style":
                new.text = clean_sheet("".join(old.itertext()))
            else:
                writing = name in _WRITING
                new.text = old.text if writing else None
                stack.extend((child, new, writing) for child in reversed(old))
            new.tail = old.tail if written else None
        elif written:  # only what stands in an element goes, not what follows it
            append_text(into, old.tail)
    return made


def serialised(tree: Element) -> str:
    """Write a tree as text, without a declaration before it."""
    return str(import_module("lxml.etree").tostring(tree, encoding="unicode"))


def clean_sheet(text: str) -> str:
    """Write a style sheet without imports, fonts, filters and whatever fetches anything."""
    import tinycss2  # here because most drawings have no style sheet

    kept: list[str] = []
    for rule in tinycss2.parse_stylesheet(text, skip_comments=True, skip_whitespace=True):
        with suppress(RecursionError):  # a rule nested so deep is not read either
            kept.append(_rules([rule], 0))
    return "".join(kept)


def _rules(rules: Iterable[Any], depth: int) -> str:
    import tinycss2

    kept: list[str] = []
    for rule in rules:
        if rule.type not in ("qualified-rule", "at-rule") or rule.content is None or _fetches(rule.prelude):
            continue
        head = str(tinycss2.serialize(rule.prelude))
        if rule.type == "qualified-rule":
            declared = tinycss2.parse_declaration_list(rule.content, skip_comments=True, skip_whitespace=True)
            kept.append(f"{head}{{{_declarations(declared)}}}")
        elif rule.lower_at_keyword in _RULES_WITHIN and depth < _DEEPEST:
            within = tinycss2.parse_rule_list(rule.content, skip_comments=True, skip_whitespace=True)
            kept.append(f"@{rule.lower_at_keyword}{head}{{{_rules(within, depth + 1)}}}")
    return "".join(kept)


def _declarations(declared: Iterable[Any]) -> str:
    return ";".join(
        str(one.serialize())
        for one in declared
        if one.type == "declaration" and one.lower_name != "filter" and not _fetches(one.value)
    )


def _name(element: Element, space: str) -> str:
    """Give the name of an element of SVG's own; "" for any other node."""
    tag = element.tag
    if not isinstance(tag, str) or not tag.startswith(space):
        return ""
    return tag[len(space) :]


def _take_attributes(name: str, old: Element, new: Element, without: Collection[str] = ()) -> None:
    for key, value in old.attrib.items():
        if key in without:
            continue
        if key in ("href", _HREF):
            if value.strip().startswith("#") or (name == "image" and _PICTURES.match(value.strip())):
                new.set(_HREF, value.strip())
        elif key in (OUR_MARK, f"{{{XML}}}space") or (key[:1] != "{" and not key.startswith(("data-", "xmlns"))):
            kept = _clean_value(key, value)
            if kept is not None:
                new.set(key, kept)


def _clean_value(key: str, value: str) -> str | None:
    """Clean a value, a ``style`` of declarations that fetch; None where the attribute goes."""
    if key[:2].lower() == "on" or key == "filter":
        return None
    if not _DOUBTFUL.search(value):
        return value
    import tinycss2

    if key != "style":
        return None if _fetches(tinycss2.parse_component_value_list(value)) else value
    declared = tinycss2.parse_declaration_list(value, skip_comments=True, skip_whitespace=True)
    return _declarations(declared)


def _fetches(tokens: Iterable[Any]) -> bool:
    """Tell whether CSS tokens name anything but a part of the same drawing."""
    stack = list(tokens)
    while stack:
        token = stack.pop()
        if token.type == "url" and not token.value.strip().startswith("#"):
            return True
        if token.type == "at-keyword":
            return True
        if token.type == "function":
            if token.lower_name in _FETCHING and not _within(token.arguments):
                return True
            stack.extend(token.arguments)
        elif token.type in ("() block", "[] block", "{} block"):
            stack.extend(token.content)
    return False


def _within(arguments: Iterable[Any]) -> bool:
    """Tell whether every text among a function's arguments begins with "#"."""
    texts = [token.value for token in arguments if token.type == "string"]
    return bool(texts) and all(text.strip().startswith("#") for text in texts)


def append_text(into: Element, text: str | None) -> None:
    """Append text behind the last child, or as the first text where there is none."""
    if not text:
        return
    if len(into):
        into[-1].tail = (into[-1].tail or "") + text
    else:
        into.text = (into.text or "") + text
