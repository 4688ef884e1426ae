"""Hidden elements made visible, for whoever writes their layer down as one that can be switched on."""

from __future__ import annotations

from svgfit.model.dialect import Element
from svgfit.svg import styles

_HIDING = {"display": "none", "visibility": "hidden"}


def unhide(element: Element) -> None:
    """Take from an element and what it lies in all that hides it, in place; what style sheets say of it stays."""
    for each in (element, *element.iterancestors()):
        for name, hidden in _HIDING.items():
            if (each.get(name) or "").strip() == hidden:
                del each.attrib[name]
        declared = styles.declarations(each.get("style") or "")
        kept = {name: value for name, value in declared.items() if value.strip() != _HIDING.get(name)}
        if len(kept) < len(declared):
            each.set("style", ";".join(f"{name}:{value}" for name, value in kept.items()))
