"""Hidden elements made visible, for whoever writes their layer down as one that can be switched on."""

from __future__ import annotations

from svgfit.model.dialect import Element
from svgfit.svg import styles

_SEEN = {("display", "none"): "inline", ("visibility", "hidden"): "visible"}
"""What hides an element, and what it is then set to."""


def unhide(element: Element) -> None:
    """Set an element and what it lies in to be seen, in place; what style sheets say of it stays."""
    for each in (element, *element.iterancestors()):
        for (name, hidden), seen in _SEEN.items():
            if (each.get(name) or "").strip() == hidden:
                each.set(name, seen)
        declared = styles.declarations(each.get("style") or "")
        shown = {name: _SEEN.get((name, value.strip()), value) for name, value in declared.items()}
        if shown != declared:
            each.set("style", ";".join(f"{name}:{value}" for name, value in shown.items()))
