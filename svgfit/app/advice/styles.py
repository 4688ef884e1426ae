"""The style that a garment is looked at as: one of svgfit.rules.ease, or the convention's own."""

from __future__ import annotations

from svgfit.model.refusal import Refusal
from svgfit.pattern.convention import Convention
from svgfit.rules.ease import Style, find_style, styles_with

OWN_STYLE = "a style of your own stands as [ease.NAME] in svgfit.toml beside the drawing, or in --convention FILE"


def style_in(convention: Convention, name: str) -> Style:
    """Find the style of that name. Raise Refusal with the names there are, and where own ones come from."""
    try:
        return find_style(name, styles_with(convention.ease))
    except Refusal as refusal:
        if convention.ease:
            raise
        where, what, todo = refusal.parts
        raise Refusal(where, what, f"{todo}; {OWN_STYLE}") from None
