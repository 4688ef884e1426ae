"""Layers as plain SVG has them: every group with a name is a layer: a label, ``data-name``, title, or decoded id."""

from typing import Any

from svgfit.plugin import (
    Dialect,
    LayerFacts,
    hookimpl,
    naming,
)

LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"


def speaks(root: Any) -> bool:
    """Tell whether any group has a name. Asked last, so a program with a way of its own has had its say."""
    return any(element.get("id") or layer(element) for element in root.iter("{*}g"))


def layer(element: Any) -> LayerFacts | None:
    """Read the id as the layer's name; nothing says that it is hidden or locked."""
    name = (element.get(LABEL) or naming.given_name(element)) if naming.is_group(element) else None
    return LayerFacts(name) if name else None


@hookimpl
def svgfit_dialects() -> list[Dialect]:
    """Supply the dialect; called once, on load."""
    return [
        Dialect(
            "ids",
            100,
            speaks,
            layer,
            program="any other program",
            named_by=(
                "the group's label, else `data-name`, its title or its id, with `_x20_` and the like read as the "
                "characters they stand for"
            ),
        )
    ]
