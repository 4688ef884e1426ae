"""A drawing as an SVG to print: what is to be seen of it, in page millimetres, with nothing that lies elsewhere.

Made of the drawing's own elements, so that strokes, dashes, arrowheads and letters are as they were drawn.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from importlib import import_module
from typing import Any, Protocol

from svgfit.model.dialect import Element
from svgfit.model.drawing import Canvas
from svgfit.svg import styles
from svgfit.svg.export.drawable import drawable
from svgfit.svg.export.sanitise import append_text
from svgfit.svg.font_size import font_size
from svgfit.svg.reader import Tree
from svgfit.svg.source import OUR_MARK
from svgfit.svg.tree import SVG, XLINK_HREF, local_name
from svgfit.svg.units import read_length

_GROUPS = frozenset({"g", "a", "svg", "switch"})
_UNSEEN = frozenset(
    {"defs", "symbol", "marker", "pattern", "linearGradient", "radialGradient", "clipPath", "mask", "style"}
)
"""What is drawn only where something else refers to it, and what says how."""
_PICTURES = frozenset({"image", "foreignObject", "video", "canvas", "iframe"})
_SIZE = frozenset({"width", "height", "viewBox", "preserveAspectRatio", "x", "y", "style", "overflow"})
_STANDS = ("x", "y", "transform")
_WHITE = "#FFFFFF"
_FILTER = r"(?<![-\w])filter\s*:[^;}]*"
_BASE = "{http://www.w3.org/XML/1998/namespace}base"
_ADDRESSES = ("#", "data:image/png", "data:image/jpeg")
"""How addresses begin that lie in the file itself."""
_PLACE = frozenset({"width", "height", "overflow", "position", "left", "top", "display", "visibility"})

_SEEN = {("display", "none"): "inline", ("visibility", "hidden"): "visible"}
"""What hides an element, and what it is then set to."""

_ASCENT, _DESCENT = 0.76, 0.22
"""Of letters, in font sizes."""

Box = tuple[float, float, float, float]


class Width(Protocol):
    """How wide a line of writing is, given its font size."""

    def __call__(self, text: str, size: float, *, bold: bool = False) -> float:
        """Measure in the unit of ``size``, rather more than less."""
        ...


etree: Any = import_module("lxml.etree")


def unhide(element: Element) -> None:
    """Set an element and what it lies in to be seen, in place; what style sheets say of it stays."""
    for each in (element, *element.iterancestors()):
        for (name, hidden), seen in _SEEN.items():
            if (each.get(name) or "").strip() == hidden:
                each.set(name, seen)
        declared = styles.declarations(each.get("style") or "")
        shown = {name: _SEEN.get((name, value.strip()), value) for name, value in declared.items()}
        if shown != declared:
            each.set("style", ";".join(f"{name}:{value}" for name, value in shown.items()))


def to_print(canvas: Canvas, tree: Tree, shown: Collection[Element], box: Box, width_of: Width) -> tuple[bytes, int]:
    """Write an SVG of the elements ``shown`` (owners of what was read), and count the pictures left out of it.

    ``box`` is what the SVG shows: left, top, width and height in page mm; it is so many mm large. ``width_of`` measures
    our own writing. The tree is left as it is. No address outside the file is left in the SVG.

    Raises Refusal for what shows far too much to be drawn.
    """
    root, pictures = _pruned(tree.root, set(shown))
    drawable(canvas.file, root)
    _grounds(root, width_of)
    wide, high = tree.frame.width or 100.0, tree.frame.height or 100.0
    style = styles.declarations(tree.root.get("style") or "")
    kept = ";".join(f"{name}:{text}" for name, text in style.items() if name not in _PLACE and name != "filter")
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


def _pruned(root: Element, shown: set[Element]) -> tuple[Element, int]:
    """Make a new tree of what is to be shown and what that refers to, and count the pictures left out of it.

    New, because nothing may be deleted by name from a parsed tree: where a DOCTYPE declares a default, libxml2 finds
    the declaration in place of an attribute, and lxml frees what is no attribute. Comments and instructions are gone.
    """
    space = str(root.tag).rpartition("}")[0]
    space = f"{space}}}" if space else ""
    above = {parent for each in shown for parent in each.iterancestors()}
    referred = set(_referred(root))
    made = etree.Element(root.tag, nsmap=root.nsmap)
    _take_attributes(root, made, without=_SIZE)
    made.text = root.text
    pictures = 0
    stack: list[tuple[Element, Element, bool]] = [(child, made, False) for child in reversed(root)]
    while stack:  # a stack, since drawings nest deeper than Python calls
        old, into, whole = stack.pop()
        if not isinstance(old.tag, str):
            append_text(into, old.tail)
            continue
        kind = local_name(old, space)
        opened = not whole and kind in _GROUPS and old in above and old not in shown
        if not (whole or opened or old in shown or kind in _UNSEEN):
            pictures += kind in _PICTURES or sum(local_name(each, space) == "image" for each in old.iter())
            if not (kind and any(each.get("id") in referred for each in old.iter("*"))):
                continue
            into = etree.SubElement(into, f"{space}defs")  # out of sight, for what shows it elsewhere
        new = etree.SubElement(into, old.tag)
        _take_attributes(old, new)
        if opened and into is made and old.get(OUR_MARK) is not None:
            new.set("style", f"{new.get('style') or ''};display:inline;visibility:visible")
        new.text, new.tail = old.text, old.tail
        if str(old.tag).endswith("style") and old.text:
            new.text = re.sub(_FILTER, "", old.text)
        stack.extend((child, new, not opened) for child in reversed(old))
    return made, pictures


def _take_attributes(old: Element, new: Element, without: Collection[str] = ()) -> None:
    """Copy attributes but those ``without``, addresses outside the file, of files and of networks, and filters.

    A filter (a blur, a shadow) would be worked out dot by dot, over square metres.
    """
    for name, value in old.attrib.items():
        if name in without or name in ("filter", _BASE):
            continue
        if name in ("href", XLINK_HREF) and not value.strip().startswith(_ADDRESSES):
            continue
        if name == "style" and "filter" in value:
            kept = styles.declarations(value).items()
            new.set(name, ";".join(f"{each}:{text}" for each, text in kept if each != "filter"))
            continue
        new.set(name, value)


def _grounds(root: Element, width_of: Width) -> None:
    """Turn the white copy beneath a text of ours into a white ground, so that a search finds the words once.

    Not the text's own outline, which typesetters draw letter by letter: each would gnaw at the one before. What a
    person wrote, on the adjusted pieces, gets none: no ground of ours hides a line that is cut or sewn along.
    """
    for layer in root:
        if not isinstance(layer.tag, str) or layer.get(OUR_MARK) is None:
            continue
        for halo in [each for each in layer.iter("{*}text") if each.getnext() is not None]:
            text = halo.getnext()
            if text.tag != halo.tag or text.text != halo.text or any(text.get(k) != halo.get(k) for k in _STANDS):
                continue
            white = styles.declarations(halo.get("style") or "")
            if white.get("fill", "").upper() == _WHITE == white.get("stroke", "").upper():
                if layer.get(OUR_MARK) != "adjusted":
                    ground = _ground(halo, white, width_of)
                    if ground is None:
                        continue
                    layer.insert(layer.index(halo), ground)
                layer.remove(halo)
        _once(layer)


def _ground(halo: Element, declared: Mapping[str, str], width_of: Width) -> Element | None:
    """Make a white rectangle round the words of a halo, as far from them as the halo reached.

    None where its numbers can't be read: other programs write our layers down in units of their own.
    """
    size = font_size(halo)
    try:
        reach = read_length(declared.get("stroke-width") or "1").user_units(0.0, size) / 2
        x, y = (read_length(halo.get(name) or "0").user_units(0.0, size) for name in ("x", "y"))
    except ValueError:
        return None
    width = width_of(halo.text or "", size, bold=declared.get("font-weight") == "bold")
    left = x - {"middle": width / 2, "end": width}.get(declared.get("text-anchor", "start"), 0.0)
    ground = etree.Element(str(halo.tag).removesuffix("text") + "rect")
    sides = (left - reach, y - _ASCENT * size - reach, width + 2 * reach, (_ASCENT + _DESCENT) * size + 2 * reach)
    for name, value in zip(("x", "y", "width", "height"), sides, strict=True):
        ground.set(name, f"{value:.3f}")
    if halo.get("transform"):
        ground.set("transform", halo.get("transform"))
    ground.set("style", f"fill:{_WHITE};fill-opacity:1;stroke:none;opacity:1")
    return ground


def _once(layer: Element) -> None:
    """Keep only the last of words that stand on themselves, as each size of a nest has them."""
    seen: set[tuple[object, ...]] = set()
    for text in reversed([each for each in layer if str(each.tag).endswith("}text")]):
        key = (text.text, _is_halo(text), *(text.get(name) for name in _STANDS))
        if key in seen:
            layer.remove(text)
        seen.add(key)


def _is_halo(text: Element) -> bool:
    style = styles.declarations(text.get("style") or "")
    return style.get("fill", "").upper() == _WHITE == style.get("stroke", "").upper()


def _referred(root: Element) -> Iterator[str]:
    """Iterate over the ids that a ``use``, a text path or a gradient names."""
    for element in root.iter("*"):
        for name in ("href", XLINK_HREF):
            if (element.get(name) or "").startswith("#"):
                yield element.get(name)[1:]
