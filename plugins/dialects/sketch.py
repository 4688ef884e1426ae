"""Layers as Sketch writes them: groups inside page and artboard, named by title or id (hyphens for spaces)."""

from typing import Any

from svgfit.plugin import (
    Dialect,
    LayerFacts,
    hookimpl,
    naming,
)

TYPE = "{http://www.bohemiancoding.com/sketch/ns}type"


def speaks(root: Any) -> bool:
    """Tell whether the namespace, the description or the comment before or in the root says so."""
    if any("bohemiancoding.com/sketch" in uri for uri in root.nsmap.values()):
        return True
    notes = [*root.itersiblings(preceding=True), *(child for child in root if not isinstance(child.tag, str))]
    said = [node.text or "" for node in (*notes, *root.iterchildren("{*}desc"))]
    return any("Generator: Sketch" in text or "with Sketch" in text for text in said)


def layer(element: Any) -> LayerFacts | None:
    """Read a named group that is neither page nor artboard."""
    own = element.get("id") or ""
    if not naming.is_group(element) or element.get(TYPE) in ("MSPage", "MSArtboardGroup"):
        return None
    if own.startswith(("Page-", "Artboard")) or own == "Page" or _wraps(element):
        return None
    name = naming.title_of(element) or naming.unescaped(own).replace("-", " ")
    return LayerFacts(name) if name else None


def _wraps(element: Any) -> bool:
    """Recognise the outermost group: it resets the style, and no group that a person made does."""
    reset = element.get("fill-rule") == "evenodd" and element.get("stroke") == "none" == element.get("fill")
    return reset and element.getparent().getparent() is None


@hookimpl
def svgfit_dialects() -> list[Dialect]:
    """Supply the dialect; called once, on load."""
    return [
        Dialect(
            "sketch",
            25,
            speaks,
            layer,
            program="Sketch",
            named_by="the group's title, else its id with hyphens read as spaces",
            left_out="page and artboard are no layers",
        )
    ]
