"""The style that a garment is looked at as: one of svgfit.rules.ease, the convention's own, or a plug-in's."""

from __future__ import annotations

from msgspec.structs import asdict

from svgfit.model.refusal import Refusal
from svgfit.model.wording import name_key
from svgfit.pattern.convention import Convention
from svgfit.plugin.registry import Registry
from svgfit.rules.ease import STYLES, EaseRule, Style, find_style, styles_with

OWN_STYLE = "a style of your own stands as [ease.NAME] in svgfit.toml beside the drawing, or in --convention FILE"


def style_in(convention: Convention, name: str, registry: Registry) -> Style:
    """Find the style of that name. Raise Refusal with the names there are, and where own ones come from.

    Where a plug-in says something else of its ease than svgfit or the convention, the registry is warned.
    """
    own = registry.ease_rules()
    try:
        found = find_style(name, styles_of(convention, registry))
    except Refusal as refusal:
        if convention.ease or own:
            raise
        where, what, todo = refusal.parts
        raise Refusal(where, what, f"{todo}; {OWN_STYLE}") from None
    for who, rule in own:
        if name_key(rule.name) == name_key(found.name):
            for told in _told(who, rule, convention):
                registry.warn(told)
    return found


def styles_of(convention: Convention, registry: Registry) -> tuple[Style, ...]:
    """Merge what plug-ins say of ease into the known styles, and over that what the convention says."""
    return styles_with((*(rule for _, rule in registry.ease_rules()), *convention.ease))


def _told(who: str, rule: EaseRule, convention: Convention) -> list[str]:
    """Name both sides of each figure of a style that a plug-in has otherwise: the convention's holds over it."""
    nothing = EaseRule(rule.name)
    said = asdict(next((one for one in convention.ease if name_key(one.name) == name_key(rule.name)), nothing))
    stock = any(name_key(one.name) == name_key(rule.name) for one in STYLES)
    figures = {key: value for key, value in asdict(rule).items() if key != "name" and value is not None}
    against = [key for key, value in figures.items() if said.get(key) not in (None, value)]
    used = [key for key in figures if key not in against]
    where = convention.where
    texts = [f"style {rule.name}: {', '.join(against)} by {who} and by {where}, which holds"] if against else []
    return texts + ([f"style {rule.name}: {', '.join(used)} as {who} says"] if stock and used else [])
