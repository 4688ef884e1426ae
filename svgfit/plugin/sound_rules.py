"""Whether the rules of the trade that a plug-in gives can be used; raises Unusable with what is wrong."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, get_args

from msgspec.structs import asdict, replace

from svgfit.model.wording import name_key
from svgfit.plugin.guard import Unusable
from svgfit.plugin.sound_pieces import number, text, what_is
from svgfit.rules.allowances import AllowanceRule
from svgfit.rules.ease import STYLES, EaseRule, KindRow, SeamEaseRule
from svgfit.rules.matching import MatchingRule
from svgfit.rules.notches import HOW_MANY, NotchRule

TradeRule = AllowanceRule | SeamEaseRule | MatchingRule | NotchRule
"""A rule that is no ease by style."""
_WIDEST = 300.0
"""A seam allowance or an ease of a seam above this, mm, is a slip of the pen."""


def sound_rules(found: Any) -> tuple[tuple[EaseRule, ...], tuple[TradeRule, ...]]:
    """Return what ``svgfit_rules`` gave back: ease by style, and the other rules; numbers made floats."""
    kinds = (EaseRule, *get_args(TradeRule))
    names = ", ".join(kind.__name__ for kind in kinds)
    given: Any = (found,) if isinstance(found, kinds) else found
    if isinstance(given, str) or not hasattr(given, "__iter__"):
        raise Unusable(f"svgfit_rules gives back {what_is(given)}, not a list of {names} records")
    items: list[Any] = list(given)
    if not items:
        raise Unusable("svgfit_rules gives back nothing")
    for item in items:
        if not isinstance(item, kinds):
            raise Unusable(f"svgfit_rules gives back a list with {what_is(item)} in it, not only {names} records")
    known = {name_key(style.name) for style in STYLES}
    ease = tuple(_ease_rule(item, known) for item in items if isinstance(item, EaseRule))
    others = tuple(_CHECKS[type(item)](item) for item in items if not isinstance(item, EaseRule))
    said = [name_key(rule.name) for rule in others]
    if twice := [rule.name for rule in others if said.count(name_key(rule.name)) > 1]:
        raise Unusable(f"svgfit_rules gives the rule {twice[0]!r} twice")
    return ease, others


def _ease_rule(found: EaseRule, known: set[str]) -> EaseRule:
    who = f"ease of {text(found.name, 'the name of a style')!r}"
    ranges = {name: _range(value, f"{who}: {name}") for name, value in asdict(found).items() if name != "name"}
    if all(value is None for value in ranges.values()):
        raise Unusable(f"{who} says nothing")
    if found.cap is None and name_key(found.name) not in known:
        raise Unusable(f"{who}: a style of one's own needs cap, the cap ease")
    rule = replace(found, **ranges)
    if rule.share is not None and not -1 < rule.share[0] <= rule.share[1] < 1:
        raise Unusable(f"{who}: share is a part of the armhole, such as (0.03, 0.05)")
    return rule


def _range(value: Any, what: str) -> tuple[float, float] | None:
    if value is None:
        return None
    if isinstance(value, str) or not hasattr(value, "__len__") or len(value) != 2:
        raise Unusable(f"{what} is {value!r}, not least and most")
    least, most = (number(each, what) for each in value)
    if least > most:
        raise Unusable(f"{what} begins with the larger")
    return least, most


def _allowance_rule(found: AllowanceRule) -> AllowanceRule:
    edge = name_key(text(found.edge, "the edge of a seam allowance"))
    width = number(found.width, f"the seam allowance of {edge!r}")
    if not 0 <= width <= _WIDEST:
        raise Unusable(f"the seam allowance of {edge!r} is {width:g} mm, not 0 to {_WIDEST:g} mm")
    return replace(found, edge=edge, width=width)


def _seam_ease_rule(found: SeamEaseRule) -> SeamEaseRule:
    eased, onto = _row(found.eased, "eased"), _row(found.onto, "onto")
    if set(eased) & set(onto):
        raise Unusable("an edge is eased on itself")
    rule = replace(found, eased=eased, onto=onto)
    least, most = (number(value, f"the {rule.name}") for value in (found.least, found.most))
    if not 0 <= least <= most <= _WIDEST:
        raise Unusable(f"the {rule.name} is {least:g} to {most:g} mm, not least and most from 0 to {_WIDEST:g} mm")
    return replace(rule, least=least, most=most)


def _row(found: Any, what: str) -> KindRow:
    example = f'{what} is a tuple of (kind of piece, edge), such as (("back", "shoulder"),)'
    if isinstance(found, str) or not hasattr(found, "__iter__"):
        raise Unusable(f"{example}, not {what_is(found)}")
    row: list[tuple[str, str]] = []
    for pair in found:
        if isinstance(pair, str) or not hasattr(pair, "__len__") or len(pair) != 2:
            raise Unusable(f"{example}, and holds {pair!r}")
        row.append((text(pair[0], f"a kind of piece in {what}"), text(pair[1], f"an edge in {what}")))
    if not row:
        raise Unusable(f"{example}, and is empty")
    return tuple(row)


def _matching_rule(found: MatchingRule) -> MatchingRule:
    careful = number(found.careful, "how far seams may differ in careful work")
    workable = number(found.workable, "how far seams may differ at most")
    if not 0 <= careful <= workable <= _WIDEST:
        raise Unusable(
            f"seams may differ by {careful:g} mm in careful work and {workable:g} mm at most: the first is the "
            f"smaller, both 0 to {_WIDEST:g} mm"
        )
    return replace(found, careful=careful, workable=workable)


def _notch_rule(found: NotchRule) -> NotchRule:
    most = len(HOW_MANY) - 1
    for value, side in ((found.front, "front"), (found.back, "back")):
        if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= most:  # pyright: ignore[reportUnnecessaryIsInstance]
            raise Unusable(f"the notches on the {side} are {value!r}, not a whole number from 1 to {most}")
    if found.front == found.back:
        raise Unusable(f"front and back both have {found.front} notches: they can't be told apart by them")
    return found


_CHECKS: dict[type, Callable[[Any], TradeRule]] = {
    AllowanceRule: _allowance_rule,
    SeamEaseRule: _seam_ease_rule,
    MatchingRule: _matching_rule,
    NotchRule: _notch_rule,
}
