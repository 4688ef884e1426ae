"""Layers as Affinity writes them: groups, named by ``serif:id`` where the id could not hold the name."""

from typing import Any

from svgfit.plugin import (
    Dialect,
    LayerFacts,
    hookimpl,
    naming,
)

SPACE = "http://www.serif.com/"


def speaks(root: Any) -> bool:
    """Tell whether the program's namespace is declared."""
    return SPACE in root.nsmap.values()


def layer(element: Any) -> LayerFacts | None:
    """Read a group with a name; nothing says that it is hidden or locked."""
    name = (element.get("{" + SPACE + "}id") or naming.given_name(element)) if naming.is_group(element) else None
    return LayerFacts(name) if name else None


@hookimpl
def svgfit_dialects() -> list[Dialect]:
    """Supply the dialect; called once, on load."""
    return [
        Dialect(
            "affinity",
            20,
            speaks,
            layer,
            program="Affinity (Designer, Publisher)",
            named_by="the name as typed (`serif:id`), else `data-name`, the group's title or its id",
        )
    ]
