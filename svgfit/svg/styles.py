"""An element's style: style sheets and the ``style`` attribute, before the presentation attribute.

The order is that of https://www.w3.org/TR/css-cascade-4/#cascade-sort: what is ``!important``, in the ``style``
attribute before the sheets; then the ``style`` attribute; then the sheets; then the attribute of the same name, which
counts as a rule of no specificity (https://www.w3.org/TR/SVG2/styling.html#PresentationAttributes).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache

from msgspec import Struct

from svgfit.model.dialect import Element

# Texts, not compiled here: few drawings need them, and re keeps them once they are.
_COMMENT = r"(?s)/\*.*?(?:\*/|$)"
_PART = r"""(?:[^;"'(]++|"[^"]*+"|'[^']*+'|\([^()]*+\)|["'(])++"""
_SHORTHAND = (
    r"(?i)(?:^|\s)((?:xx?-)?small|medium|(?:xx?-)?large|smaller|larger|[+]?(?:\d+\.?\d*|\.\d+)(?:%|[a-z]+))"
    r"(?:\s*/\s*(\S+))?(?=\s)"
)
INHERITING = frozenset({"inherit", "unset", "revert", "revert-layer"})
"""Values by which a property that is inherited takes what holds for the parent."""
UNSET = INHERITING | {"initial", "auto"}
"""Values by which a property that is not inherited is as if it were not there."""


class Declarations(Struct, frozen=True):
    """Declarations by property, the strongest of each."""

    normal: Mapping[str, str]
    important: Mapping[str, str]


class Sheet(Struct, frozen=True):
    """A drawing's style sheets, as far as they bear on shape, place and being seen."""

    declarations: Mapping[Element, Declarations]
    """Only of elements that some rule speaks of."""
    warnings: tuple[str, ...] = ()


_NONE = Declarations({}, {})


def may_have_sheet(utf8: bytes) -> bool:
    """Return whether a drawing's text may hold style sheets: a quick look, to skip the search for them."""
    return any(mark in utf8 for mark in (b"<style", b":style", b"<?xml-stylesheet"))


def declarations(style: str) -> dict[str, str]:
    """Parse the declarations of a ``style`` attribute; the last of a name counts, but ``!important`` before it.

    >>> declarations("fill:none; stroke-width: 0.5px;;display:none !important")
    {'fill': 'none', 'stroke-width': '0.5px', 'display': 'none'}
    """
    found = _read(style)
    return {**found.normal, **found.important}


@lru_cache(maxsize=4096)
def _read(style: str) -> Declarations:
    normal: dict[str, str] = {}
    important: dict[str, str] = {}
    if "/*" in style:
        style = re.sub(_COMMENT, " ", style)
    plain = not any(mark in style for mark in "\"'(")
    for part in style.split(";") if plain else re.findall(_PART, style):
        name, colon, value = part.partition(":")
        if not colon:
            continue
        value, bang, _ = value.partition("!")
        (important if bang else normal)[name.strip().lower()] = value.strip()
    return Declarations(normal, important)


def declared(element: Element, name: str, sheet: Sheet | None = None) -> list[str]:
    """List the values that CSS gives a property of the element itself, the strongest first."""
    style: str | None = element.get("style")
    sheets = sheet.declarations.get(element, _NONE) if sheet is not None else _NONE
    own = _NONE
    if style and (name if name != "font-size" else "font") in style.lower():
        own = _read(style)
    elif sheets is _NONE:
        return []
    found: list[str] = []
    for declarations in (own.important, sheets.important, own.normal, sheets.normal):
        if (value := declarations.get(name)) is not None:
            found.append(value)
        elif name in ("font-size", "line-height") and (font := declarations.get("font")) is not None:
            in_it = of_font(font)[0 if name == "font-size" else 1]
            if in_it is not None:
                found.append(in_it)
    return found


def of_font(text: str) -> tuple[str | None, str | None]:
    """Read font size and line height out of a ``font`` shorthand.

    >>> of_font("italic bold 12px/1.5 Arial")
    ('12px', '1.5')
    """
    found = re.search(_SHORTHAND, text)
    return (found[1], found[2] or "normal") if found else (None, None)


def value(element: Element, name: str, sheet: Sheet | None = None) -> str | None:
    """Return the element's own value of a property, not looking at its ancestors."""
    found = declared(element, name, sheet)
    if found:
        return found[0]
    given: str | None = element.get(name)
    return given.strip() if given is not None else None


def inherited(element: Element, name: str, sheet: Sheet | None = None) -> str | None:
    """Return the value of an inherited property: the element's own or its nearest ancestor's."""
    at: Element | None = element
    while at is not None:
        found = value(at, name, sheet)
        if found is not None and found.lower() not in INHERITING:
            return found
        at = at.getparent()
    return None


def display(element: Element, sheet: Sheet | None = None) -> str:
    """Return the element's ``display`` in lower case; "" where it says nothing."""
    return (value(element, "display", sheet) or "").lower()


def is_off(element: Element, sheet: Sheet | None = None) -> bool:
    """Return whether ``display`` leaves the element and all within out of the picture."""
    return display(element, sheet) == "none"


def visibility(element: Element, sheet: Sheet | None = None) -> bool | None:
    """Return the element's own ``visibility``; None where it says nothing."""
    found = (value(element, "visibility", sheet) or "").lower()
    if found in ("hidden", "collapse"):
        return False
    return True if found in ("visible", "initial") else None


def merged(attributes: Mapping[str, str], style: str | None) -> dict[str, str]:
    """Merge attributes with the declarations of ``style``, which go before them."""
    return {**attributes, **declarations(style)} if style else dict(attributes)
