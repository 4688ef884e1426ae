"""What an element's style says: the ``style`` attribute before the presentation attribute of the same name.

Style sheets are not read yet: they would come in here, and nowhere else.
"""

from __future__ import annotations

from collections.abc import Mapping

from svgfit.model.dialect import Element


def declarations(style: str) -> dict[str, str]:
    """The declarations of a ``style`` attribute; the last of a name counts, but ``!important`` before it.

    >>> declarations("fill:none; stroke-width: 0.5px;;display:none !important")
    {'fill': 'none', 'stroke-width': '0.5px', 'display': 'none'}
    """
    found: dict[str, str] = {}
    important: set[str] = set()
    for part in style.split(";"):
        name, colon, value = part.partition(":")
        if not colon:
            continue
        name = name.strip().lower()
        value, bang, _ = value.partition("!")
        if bang:
            important.add(name)
        elif name in important:
            continue
        found[name] = value.strip()
    return found


def value(element: Element, name: str) -> str | None:
    """The element's own value of a property, not looking at its ancestors."""
    style: str | None = element.get("style")
    if style and name in style.lower():
        found = declarations(style).get(name)
        if found is not None:
            return found
    given: str | None = element.get(name)
    return given.strip() if given is not None else None


def inherited(element: Element, name: str) -> str | None:
    """The value of a property that is inherited: the element's own or its nearest ancestor's."""
    at: Element | None = element
    while at is not None:
        found = value(at, name)
        if found is not None and found != "inherit":
            return found
        at = at.getparent()
    return None


def is_off(element: Element) -> bool:
    """Whether ``display`` leaves the element and all within out of the picture."""
    return value(element, "display") == "none"


def visibility(element: Element) -> bool | None:
    """What the element itself says of its visibility; None where it says nothing."""
    found = value(element, "visibility")
    if found in (None, "inherit"):
        return None
    return found not in ("hidden", "collapse")


def merged(attributes: Mapping[str, str], style: str | None) -> dict[str, str]:
    """Attributes with the declarations of ``style`` put over them."""
    return {**attributes, **declarations(style)} if style else dict(attributes)
