"""Layers as Inkscape writes them: groups marked ``inkscape:groupmode="layer"``, named by ``inkscape:label``."""

from typing import Any

from svgfit.plugin import (
    Dialect,
    LayerFacts,
    hookimpl,
    naming,
)

INKSCAPE = "{http://www.inkscape.org/namespaces/inkscape}"
INSENSITIVE = (
    "{http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd}insensitive",
    "{http://inkscape.sourceforge.net/DTD/sodipodi-0.dtd}insensitive",  # before 0.45
)


def speaks(root: Any) -> bool:
    """Tell whether any group is marked as a layer."""
    return any(element.get(INKSCAPE + "groupmode") == "layer" for element in root.iter("{*}g"))


def layer(element: Any) -> LayerFacts | None:
    """Read a layer's name and whether it is locked; hiding is plain CSS, which the reader looks at itself."""
    if element.get(INKSCAPE + "groupmode") != "layer":
        return None
    name = element.get(INKSCAPE + "label") or naming.given_name(element) or ""
    return LayerFacts(name, locked=any(element.get(key) in ("true", "1") for key in INSENSITIVE))


@hookimpl
def svgfit_dialects() -> list[Dialect]:
    """Supply the dialect; called once, on load."""
    return [
        Dialect(
            "inkscape",
            10,
            speaks,
            layer,
            program="Inkscape",
            named_by="the layer's name (`inkscape:label`) of groups that are layers there",
            locked_by="`sodipodi:insensitive`, also as it was written before 0.45",
            left_out="plain groups are no layers",
        )
    ]
