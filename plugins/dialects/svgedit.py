"""Layers as SVG-edit writes them: groups of ``class="layer"``, named by their title."""

from typing import Any

from svgfit.plugin import (
    Dialect,
    LayerFacts,
    hookimpl,
    naming,
)


def speaks(root: Any) -> bool:
    """Tell whether a child of the root is marked as a layer."""
    return any(_marked(element) for element in root.iterchildren("{*}g"))


def layer(element: Any) -> LayerFacts | None:
    """Read a marked group; hiding is plain CSS."""
    name = naming.given_name(element) if _marked(element) else None
    return LayerFacts(name) if name else None


def _marked(element: Any) -> bool:
    return "layer" in (element.get("class") or "").split()


@hookimpl
def svgfit_dialects() -> list[Dialect]:
    """Supply the dialect; called once, on load."""
    return [
        Dialect(
            "svgedit",
            40,
            speaks,
            layer,
            program="SVG-edit",
            named_by="the title of a group of class `layer`",
            left_out="other groups are no layers",
        )
    ]
