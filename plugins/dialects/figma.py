"""Layers as Figma writes them: groups whose id is the name, ``_2`` added to a duplicate, inside a clipped frame."""

from typing import Any

from svgfit.plugin import (
    Dialect,
    LayerFacts,
    hookimpl,
    naming,
)


def speaks(root: Any) -> bool:
    """Tell by the root, as there is no mark of the program: ``fill="none"``, no id, and a size without units."""
    size = (root.get("width") or "").replace(".", "", 1)
    return root.get("fill") == "none" and not root.get("id") and size.isdigit() and bool(root.get("viewBox"))


def layer(element: Any) -> LayerFacts | None:
    """Read a group with an id that is not the frame."""
    name = element.get("id")
    if not name or not naming.is_group(element) or _frame(element):
        return None
    bare, under, count = name.rpartition("_")
    if under and bare and count.isdigit():
        root = element.getroottree().getroot()
        if root.xpath("boolean(//*[@id = $bare])", bare=bare):
            name = bare
    return LayerFacts(name)


def extra(element: Any) -> bool:
    """Recognise the frame's ground: a filled rectangle without id, stroke or corner, as wide and high as the page."""
    if element.tag.rpartition("}")[2] != "rect" or element.get("id") or element.get("stroke") or element.get("x"):
        return False
    root = element.getroottree().getroot()
    return all(element.get(name) == root.get(name) for name in ("width", "height"))


def _frame(element: Any) -> bool:
    """Recognise the frame: a clipped group that holds all there is: no other group or shape lies beside it."""
    if not (element.get("clip-path") or "").startswith("url(#clip") or element.getparent().getparent() is not None:
        return False
    beside = (each for each in element.getparent() if isinstance(each.tag, str) and each is not element)
    return all(each.tag.rpartition("}")[2] in ("defs", "title", "desc") for each in beside)


@hookimpl
def svgfit_dialects() -> list[Dialect]:
    """Supply the dialect; called once, on load."""
    return [
        Dialect(
            "figma",
            50,
            speaks,
            layer,
            extra,
            program="Figma",
            named_by=(
                "the id of the group, which is the name as typed; the `_2` that a second one of that name gets is "
                "taken off"
            ),
            left_out="the frame, and its ground: a filled rectangle of the page's size",
        )
    ]
