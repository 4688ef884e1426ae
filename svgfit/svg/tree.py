"""The drawing as an lxml tree, only ever read."""

from __future__ import annotations

from importlib import import_module
from typing import Any

from svgfit.model.dialect import Element
from svgfit.model.refusal import Refusal
from svgfit.svg.id_names import unescaped
from svgfit.svg.source import Source

SVG = "http://www.w3.org/2000/svg"
XLINK_HREF = "{http://www.w3.org/1999/xlink}href"
INKSCAPE_LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"
_LABELS = (
    "{http://www.serif.com/}id",
    "{http://vectornator.io}layerName",
    "{http://taptrix.com/inkpad/svg_extensions}layerName",
)


_LONGEST = 100
"""Messages tell so many letters of a name."""

etree: Any = import_module("lxml.etree")  # this way because lxml has no types; elements are Any here


def parse(source: Source) -> Element:
    """Parse to the root element; refuses what is no SVG. Nothing is fetched, no DTD is loaded, nothing is mended."""
    parser = etree.XMLParser(
        encoding="utf-8",
        huge_tree=True,
        resolve_entities="internal",
        no_network=True,
        load_dtd=False,
        recover=False,
    )
    try:
        root: Element = etree.fromstring(source.utf8, parser)
    except etree.XMLSyntaxError as fault:
        reason = str(fault.msg or "not well-formed").split(", line ")[0]
        raise Refusal(
            f"{source.file}: line {fault.lineno or 1}",
            f"the SVG is broken here ({reason})",
            "open it in your drawing program and save it again",
        ) from None
    space, _, name = str(root.tag).rpartition("}")
    if name != "svg" or space not in ("", "{" + SVG):
        what = f"it begins with <{name[:60]}>" if name != "svg" else f"its <svg> is of another kind, {space[1:][:80]!r}"
        raise Refusal(source.file, f"is not an SVG drawing ({what})", "export or save it as SVG")
    if space and b"<!ENTITY" in source.utf8:
        _named(root, space + "}")
    return root


def _named(root: Element, space: str) -> None:
    """Give elements that came out of entities the namespace in scope where they stand; libxml2 gives them none."""
    for element in root.iter("{}*"):
        if element.nsmap.get(None) == space[1:-1]:
            element.tag = space + element.tag


def parse_layer(text: str) -> Element:
    """Parse a layer of ours that is about to be written; raises ValueError where it is not well-formed."""
    try:
        return etree.fromstring(text, etree.XMLParser(huge_tree=True, resolve_entities=False, no_network=True))
    except etree.XMLSyntaxError as fault:
        raise ValueError(f"a layer of ours is not well-formed: {fault}") from None


def local_name(element: Element, space: str) -> str:
    """Return the name of an SVG element; "" for any other node. ``space`` is the root's "{namespace}" or ""."""
    tag = element.tag
    if not isinstance(tag, str) or not tag.startswith(space):
        return ""
    name = tag[len(space) :]
    return "" if name.startswith("{") else name


def title(element: Element, space: str) -> str | None:
    """Return the text of the element's own <title>."""
    if not len(element):
        return None
    found = element.find(f"{space}title")
    if found is None:
        return None
    return " ".join("".join(found.itertext()).split()) or None


def visible_name(element: Element, space: str) -> str | None:
    """Return the name a person sees: the program's own, ``data-name``, title, or the id unescaped."""
    for key in (INKSCAPE_LABEL, *_LABELS, "data-name"):
        found = element.get(key)
        if found:
            return found
    return title(element, space) or unescaped(element.get("id") or "") or None


def place(file: str, element: Element) -> str:
    """Say where an element stands, for messages."""
    name = element.tag.rpartition("}")[2] if isinstance(element.tag, str) else "node"
    label = element.get("id") or element.get(INKSCAPE_LABEL)
    line = f"{file}: line {element.sourceline}" if element.sourceline else file
    return f"{line}: {name[:_LONGEST]} {label[:_LONGEST]!r}" if label else f"{line}: {name[:_LONGEST]}"
