"""Layers as CorelDRAW writes them: groups that hold ``metadata`` with an id ``CorelCorpID…``; names in ``_x0020_``."""

from typing import Any

from svgfit.plugin import (
    Dialect,
    LayerFacts,
    hookimpl,
    naming,
)


def speaks(root: Any) -> bool:
    """Tell whether a group carries the program's mark."""
    return any(_marked(found.getparent()) for found in root.iter("{*}metadata"))


def layer(element: Any) -> LayerFacts | None:
    """Read a marked group; nothing says that it is hidden or locked."""
    name = naming.given_name(element) if _marked(element) else None
    return LayerFacts(name) if name else None


def _marked(element: Any) -> bool:
    return any((found.get("id") or "").startswith("CorelCorpID") for found in element.iterchildren("{*}metadata"))


@hookimpl
def svgfit_dialects() -> list[Dialect]:
    """Supply the dialect; called once, on load."""
    return [
        Dialect(
            "coreldraw",
            20,
            speaks,
            layer,
            program="CorelDRAW",
            named_by="the id of a group that carries the program's mark (`CorelCorpID…`), `_x0020_` read as a space",
            left_out="groups without that mark are no layers",
        )
    ]
