"""Layers as Boxy SVG writes them: groups with a title, else an id."""

from typing import Any

from svgfit.plugin import (
    Dialect,
    LayerFacts,
    hookimpl,
    naming,
)


def speaks(root: Any) -> bool:
    """Tell whether the program's namespace is declared."""
    return any("boxy-svg.com" in uri for uri in root.nsmap.values())


def layer(element: Any) -> LayerFacts | None:
    """Read a named group."""
    name = naming.given_name(element) if naming.is_group(element) else None
    return LayerFacts(name) if name else None


@hookimpl
def svgfit_dialects() -> list[Dialect]:
    """Supply the dialect; called once, on load."""
    return [
        Dialect(
            "boxy",
            20,
            speaks,
            layer,
            program="Boxy SVG",
            named_by="the group's `data-name`, else its title, else its id",
        )
    ]
