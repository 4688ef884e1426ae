"""Layers as the workshop's own tracing script writes them: ``<g tracer:sheet="Sleeve stitch" tracer:laid-by="yes">``.

The script follows a paper pattern on a light table. What was laid by is hidden; its frame round the table is no part of
the drawing.
"""

from __future__ import annotations

from typing import Any

from svgfit.plugin import Dialect, LayerFacts, hookimpl, naming

TRACER = "urn:workshop:tracer"


def speaks(root: Any) -> bool:
    """Tell whether the script wrote the drawing: its namespace is declared."""
    return TRACER in root.nsmap.values()


def layer(element: Any) -> LayerFacts | None:
    """Read a sheet's name, and whether it was laid by; None for a group that is no sheet."""
    name = element.get(f"{{{TRACER}}}sheet") if naming.is_group(element) else None
    return LayerFacts(name, hidden=element.get(f"{{{TRACER}}}laid-by") == "yes") if name else None


def extra(element: Any) -> bool:
    """Tell whether a shape is the frame that the script draws round the light table."""
    return element.get(f"{{{TRACER}}}frame") == "yes"


@hookimpl
def svgfit_dialects() -> list[Dialect]:
    """Called once, when svgfit loads this file."""
    return [
        Dialect(
            "tracer",
            15,
            speaks,
            layer,
            extra,
            program="the workshop's tracing script",
            named_by="the group's `tracer:sheet`",
            hidden_by='`tracer:laid-by="yes"`',
            left_out="the frame of the light table",
        )
    ]
