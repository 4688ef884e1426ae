"""A drawing as an SVG to print: what is to be seen of it, in page millimetres, with nothing that lies elsewhere.

Made of the drawing's own elements, so that strokes, dashes, arrowheads and letters are as they were drawn.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from importlib import import_module
from typing import Any

from svgfit.drawing import styles
from svgfit.drawing.reader import Tree
from svgfit.drawing.source import OUR_MARK
from svgfit.drawing.tree import SVG, XLINK_HREF, local_name
from svgfit.model.dialect import Element
from svgfit.model.drawing import Canvas

_GROUPS = frozenset({"g", "a", "svg", "switch"})
_UNSEEN = frozenset(
    {"defs", "symbol", "marker", "pattern", "linearGradient", "radialGradient", "clipPath", "mask", "filter", "style"}
)
"""What is drawn only where something else refers to it, and what says how."""
_PICTURES = frozenset({"image", "foreignObject", "video", "canvas", "iframe"})
_SIZE = frozenset({"width", "height", "viewBox", "preserveAspectRatio", "x", "y", "style", "overflow"})
_PLACE = frozenset({"width", "height", "overflow", "position", "left", "top", "display", "visibility"})

Box = tuple[float, float, float, float]

etree: Any = import_module("lxml.etree")


def to_print(canvas: Canvas, tree: Tree, shown: Collection[Element], box: Box) -> tuple[bytes, int]:
    """An SVG of the elements ``shown`` (owners of what was read), and how many pictures are left out of it.

    ``box`` is what the SVG shows: left, top, width and height in page mm; it is so many mm large. The tree is used up:
    what is not shown is taken out of it, but for what something else refers to. No address outside the file is left.
    """
    root = tree.root
    pictures = _prune(root, set(shown))
    _cut_off(root)
    wide, high = tree.frame.width or 100.0, tree.frame.height or 100.0
    style = styles.declarations(root.get("style") or "")
    for name in _SIZE:
        root.attrib.pop(name, None)
    kept = ";".join(f"{name}:{text}" for name, text in style.items() if name not in _PLACE)
    root.set("style", f"{kept};overflow:visible;display:inline" if kept else "overflow:visible;display:inline")
    for name, value in (("width", f"{wide:.9g}"), ("height", f"{high:.9g}"), ("overflow", "visible")):
        root.set(name, value)
    m = canvas.to_root.inverse()
    inside: str = etree.tostring(root, encoding="unicode", with_tail=False)
    left, top, width, height = box
    text = (
        f'<svg xmlns="{SVG}" width="{width:.6f}mm" height="{height:.6f}mm" '
        f'viewBox="{left:.6f} {top:.6f} {width:.6f} {height:.6f}">'
        f'<g transform="matrix({m.a:.12g} {m.b:.12g} {m.c:.12g} {m.d:.12g} {m.e:.12g} {m.f:.12g})">{inside}</g></svg>'
    )
    return text.encode(), pictures


def _prune(root: Element, shown: set[Element]) -> int:
    """Takes out everything that would be drawn and is not to be shown."""
    space = str(root.tag).rpartition("}")[0]
    space = f"{space}}}" if space else ""
    above = {parent for each in shown for parent in each.iterancestors()}
    referred = set(_referred(root))
    pictures = 0
    stack = [root]
    while stack:
        parent = stack.pop()
        for child in list(parent):
            kind = local_name(child, space)
            if child in shown or kind in _UNSEEN:
                continue
            if kind in _GROUPS and child in above:
                if child.get(OUR_MARK) is not None and parent is root:
                    child.set("style", f"{child.get('style') or ''};display:inline;visibility:visible")
                stack.append(child)
                continue
            pictures += kind in _PICTURES or sum(local_name(each, space) == "image" for each in child.iter())
            _take_out(parent, child, space, kind and any(each.get("id") in referred for each in child.iter("*")))
    return pictures


def _take_out(parent: Element, child: Element, space: str, needed: object) -> None:
    """Away with it, or out of sight where something else shows it."""
    if needed:
        unseen = etree.Element(f"{space}defs")
        parent.replace(child, unseen)
        unseen.append(child)
    else:
        parent.remove(child)


def _referred(root: Element) -> Iterator[str]:
    """Ids that a ``use``, a text path or a gradient names."""
    for element in root.iter("*"):
        for name in ("href", XLINK_HREF):
            if (element.get(name) or "").startswith("#"):
                yield element.get(name)[1:]


def _cut_off(root: Element) -> None:
    """Nothing outside the file is asked for: neither other files nor addresses."""
    for element in root.iter("*"):
        for name in ("href", XLINK_HREF):
            address = element.get(name)
            if address is not None and not address.strip().startswith(("#", "data:image/png", "data:image/jpeg")):
                del element.attrib[name]
        if "{http://www.w3.org/XML/1998/namespace}base" in element.attrib:
            del element.attrib["{http://www.w3.org/XML/1998/namespace}base"]
