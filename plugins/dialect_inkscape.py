"""Layers as Inkscape writes them: groups marked ``inkscape:groupmode="layer"``, named by ``inkscape:label``."""

from typing import Any

from svgfit.plugin import Dialect, LayerFacts, hookimpl

INKSCAPE = "{http://www.inkscape.org/namespaces/inkscape}"
SODIPODI = "{http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd}"


def speaks(root: Any) -> bool:
    """Whether any group is marked as a layer."""
    return any(element.get(INKSCAPE + "groupmode") == "layer" for element in root.iter("{*}g"))


def layer(element: Any) -> LayerFacts | None:
    """Name, and whether it is locked; hiding is plain CSS, which the reader looks at itself."""
    if element.get(INKSCAPE + "groupmode") != "layer":
        return None
    name = element.get(INKSCAPE + "label") or element.get("id") or ""
    return LayerFacts(name, locked=element.get(SODIPODI + "insensitive") == "true")


@hookimpl
def svgfit_dialects() -> list[Dialect]:
    """Called once, on load."""
    return [Dialect("inkscape", 10, speaks, layer)]
