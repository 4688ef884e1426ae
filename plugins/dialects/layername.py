"""Layers as Vectornator and Inkpad write them: groups with ``layerName`` in the program's namespace."""

from typing import Any

from svgfit.plugin import (
    Dialect,
    LayerFacts,
    hookimpl,
    naming,
)

SPACES = ("http://vectornator.io", "http://taptrix.com/inkpad/svg_extensions")


def speaks(root: Any) -> bool:
    """Tell whether one of the namespaces is declared."""
    return any(space in SPACES for space in root.nsmap.values())


def layer(element: Any) -> LayerFacts | None:
    """Read a named group; single shapes carry the attribute too and are no layers."""
    name = None
    if naming.is_group(element):
        name = next((found for space in SPACES if (found := element.get("{" + space + "}layerName"))), None)
    return LayerFacts(name) if name else None


@hookimpl
def svgfit_dialects() -> list[Dialect]:
    """Supply the dialect; called once, on load."""
    return [
        Dialect(
            "layername",
            20,
            speaks,
            layer,
            program="Vectornator, Inkpad",
            named_by="`layerName` on a group",
            left_out="single shapes that carry the same attribute are no layers",
        )
    ]
