"""Layers as Visio writes them: a table on the page; each shape names its layers by number, the first counts."""

from typing import Any

from svgfit.plugin import Dialect, LayerFacts, hookimpl

SPACE = "http://schemas.microsoft.com/visio/2003/SVGExtensions/"
V = "{" + SPACE + "}"


def speaks(root: Any) -> bool:
    """Tell whether the namespace is declared and a table is there."""
    return SPACE in root.nsmap.values() and next(root.iter(V + "layer"), None) is not None


def layer(element: Any) -> LayerFacts | None:
    """Find the table's row for the shape. A title is the shape's own name, not the layer's."""
    number = (element.get(V + "layerMember") or "").split(";")[0].strip()
    if not number:
        return None
    for page in element.iterancestors():
        for row in page.iterchildren(V + "layer"):
            if row.get(V + "index") == number and row.get(V + "name"):
                key = f"{page.get('id') or page.get(V + 'mID')} {number}"
                return LayerFacts(row.get(V + "name"), locked=row.get(V + "lock") in ("true", "1"), shared=key)
    return None


@hookimpl
def svgfit_dialects() -> list[Dialect]:
    """Supply the dialect; called once, on load."""
    return [
        Dialect(
            "visio",
            20,
            speaks,
            layer,
            program="Visio",
            named_by="the row of the page's table of layers that the shape names; of several the first",
            locked_by="`v:lock` in that row",
            left_out="a shape's own title is not its layer's",
        )
    ]
