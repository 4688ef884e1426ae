"""Layers as plain SVG has them: every group with an id is a layer of that name."""

from typing import Any

from svgfit.plugin import Dialect, LayerFacts, hookimpl


def speaks(root: Any) -> bool:
    """Whether any group has an id. Asked last, so a program with a way of its own has had its say."""
    return any(element.get("id") for element in root.iter("{*}g"))


def layer(element: Any) -> LayerFacts | None:
    """The id is the name; nothing says that it is hidden or locked."""
    name = element.get("id")
    return LayerFacts(name) if name else None


@hookimpl
def svgfit_dialects() -> list[Dialect]:
    """Called once, on load."""
    return [Dialect("ids", 100, speaks, layer)]
