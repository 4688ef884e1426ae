"""Advice for people (plain text) and for other programs (JSON). Lengths in JSON are mm, unrounded."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NamedTuple

from msgspec.structs import replace

from svgfit.model.advice import CANT, CHOSEN, DO, OPEN, PASS, UNKNOWN, Advice, Cost, Finding, Goal, Way, title_of
from svgfit.model.length import Units, sixteenths
from svgfit.model.plan import Step
from svgfit.model.vocabulary import Figure, MeasureUnit, Unit

_INDENT, _INNER = "   ", "       "
_WITH_THEM = "With the recommended ways taken, the rest is:"


def advice_text(advice: Advice, width: int | None = None, *, units: Units = Units(), verbose: bool = False) -> str:
    """Write advice for a person, in their unit and otherwise as ``units`` say, wrapped to ``width`` columns (else 100).

    One recommended way first, the others in a line each; ``verbose``: every reason, and each way with all it brings.
    """
    columns = min(max(width or 100, 40), 110)
    units = replace(units, unit=Unit(advice.unit))
    size = f", size {advice.size}" if advice.size else ""
    lines = [f"{advice.person}: {advice.sleeve}{size}, as {advice.style}"]
    page = _Page(units, columns, verbose)
    for number, (finding, after_choice) in enumerate(_in_order(advice.findings), 1):
        if after_choice == 1:
            lines += ["", _WITH_THEM]
        lines += [""] if verbose else []
        lines += _finding_lines(finding, number, page, later=after_choice > 0)
    if advice.goals or advice.unmet:
        lines += ["", "run as one plan, these steps give" if advice.steps else "as it is, the pattern gives"]
        lines += [f"{_INDENT}{_goal(goal, units)}" for goal in (*advice.goals, *advice.unmet)]
    elif not advice.open and not advice.failed and not any(_by_hand(finding) for finding in advice.findings):
        lines += ["", "nothing to change"]
    return "\n".join(lines)


class _Page(NamedTuple):
    """How advice is written."""

    units: Units
    columns: int
    verbose: bool

    def wrap(self, text: str, indent: str = _INDENT) -> list[str]:
        return wrapped(text, self.columns, indent)


def _in_order(findings: Sequence[Finding], after_choice: int = 0) -> Iterator[tuple[Finding, int]]:
    """List findings, and after an open choice those that follow its recommended way, which are counted."""
    for finding in findings:
        yield finding, after_choice
        after_choice += bool(after_choice)
    last = findings[-1] if findings else None
    if last is not None and last.status == OPEN and last.recommended is not None:
        yield from _in_order(last.recommended.then, after_choice or 1)


def _by_hand(finding: Finding) -> bool:
    return finding.taken is not None and bool(finding.taken.by_hand)


def _finding_lines(finding: Finding, number: int, page: _Page, *, later: bool) -> list[str]:
    figures = _figures(finding, page.units)
    head = f"{number}. {title_of(finding.topic)}: {_verdict(finding, page)}"
    if page.verbose:
        lines = [head, *([f"{_INDENT}{figures}"] if figures else [])]
        for text in finding.says:
            lines += page.wrap(text)
        return [*lines, *_ways(finding, page)]
    off = _off(finding, page.units)
    head = f"{head}; {off}" if off else head
    head = f"{head} ({_plain_figures(finding, page.units)})" if figures else head
    if finding.status in (PASS, UNKNOWN):
        says = finding.minds or (finding.says[:1] if finding.status == UNKNOWN else ())
        return _hanging(f"{head}. {' '.join(says)}" if says else head, page)
    lines = _hanging(head, page) + (page.wrap(" ".join(finding.minds)) if finding.minds else [])
    return [*lines, *_briefly(finding, page, later=later)]


def _hanging(text: str, page: _Page) -> list[str]:
    first, *rest = wrapped(text, page.columns)
    return [first, *(page.wrap(" ".join(rest)) if rest else [])]


def _verdict(finding: Finding, page: _Page) -> str:
    if finding.status in (DO, CHOSEN) and finding.taken:
        return f"{finding.taken.name}{' (as picked)' if finding.status == CHOSEN else ''}"
    words = {OPEN: "choose one of the ways below" if page.verbose else OPEN, CANT: "can't be had"}
    return words.get(finding.status, finding.status)


# -- briefly ---------------------------------------------------------------------------------------------------------


def _briefly(finding: Finding, page: _Page, *, later: bool) -> list[str]:
    """Write the way that is taken, or the recommended one and the others in a line each.

    ``later``: of what only follows another choice, how it is done by hand and the other ways' costs are left out.
    """
    if finding.taken is not None and finding.status in (DO, CHOSEN):
        return [*page.wrap(_does(finding.taken, page.units)), *(() if later else _hand(finding.taken, page))]
    best = finding.recommended
    lines: list[str] = []
    if best is not None:
        text = f'recommended: "{best.name}", since {best.because}. {_does(best, page.units)}'
        lines += page.wrap(text) + ([] if later else _hand(best, page))
        for warning in best.warnings:
            lines += page.wrap(f"warning: {warning}")
    elif any(not way.reason for way in finding.ways):
        lines += page.wrap(
            "None of these ways is a good one: another way above, another size or another pattern is nearer."
        )
    others = [way for way in finding.ways if best is None or way.name != best.name]
    possible = [way for way in others if not way.reason]
    if later and possible:
        lines += page.wrap(f"or {', '.join(_quoted(way) for way in possible)}")
    else:
        lines += [_one_line(way, page) for way in possible]
    cant = [way for way in others if way.reason]
    if cant and finding.status == CANT:
        for way in cant:
            lines += page.wrap(f"{_quoted(way)} can't be done here: {way.reason}")
    elif cant and not later:
        lines += page.wrap(f"not possible here: {', '.join(map(_quoted, cant))}; --verbose says why")
    return lines


def _quoted(way: Way) -> str:
    return f'"{way.name}"'


def _does(way: Way, units: Units) -> str:
    parts = [way.does]
    if way.costs:
        parts.append(f"Cost: {cost_text(way.costs, units)}.")
    if way.gives_up:
        parts.append(gives_up_text(way.gives_up))
    return " ".join(parts)


def _hand(way: Way, page: _Page) -> list[str]:
    return [line for text in way.by_hand for line in _listed(text, page)]


def _listed(text: str, page: _Page) -> list[str]:
    first, *rest = wrapped(text, page.columns, _INDENT + "  ")
    return [f"{_INDENT}- {first.strip()}", *rest]


def _one_line(way: Way, page: _Page) -> str:
    """Write a way in one line: what it gives up and costs, else what is done, as much as there is room for."""
    start = f'{_INDENT}or "{way.name}": '
    parts = [f"gives up the {' and the '.join(way.gives_up)}"] if way.gives_up else []
    parts += [cost_text((cost,), page.units) for cost in way.costs]
    parts += [f"{len(way.warnings)} warning{'s' if len(way.warnings) > 1 else ''}"] if way.warnings else []
    parts = parts or [way.does.split(". ")[0].removesuffix(".")]
    while len(parts) > 1 and len(start) + len("; ".join(parts)) > page.columns - 2:
        parts = [*parts[:-2], "…"] if parts[-1] == "…" else [*parts[:-1], "…"]
    text = textwrap.shorten(f"{start.strip()} {'; '.join(parts)}", page.columns - len(_INDENT), placeholder=" …")
    return f"{_INDENT}{text}"


def _figures(finding: Finding, units: Units) -> str:
    """Write pattern, body, ease wanted and difference in one line."""
    found, off = _measured(finding, units), _off(finding, units)
    return "; ".join((*found, off)) if off else "; ".join(found)


def _plain_figures(finding: Finding, units: Units) -> str:
    return "; ".join(_measured(finding, units))


def _measured(finding: Finding, units: Units) -> list[str]:
    if finding.topic == "pitch":
        shares = () if finding.wanted is None else [f"{100 * share:.0f}" for share in finding.wanted]
        wanted = " to ".join(dict.fromkeys(shares))
        return (
            []
            if finding.pattern is None or not 0.0 <= finding.pattern <= 1.0
            else [f"back {100 * finding.pattern:.0f} %; wanted {wanted} %"]
        )
    subject, other = ("ease", "armhole") if finding.topic == Figure.CAP_EASE else ("pattern", "body")
    parts = [
        f"{name} {units.length(value)}"
        for name, value in ((subject, finding.pattern), (other, finding.body))
        if value is not None
    ]
    if finding.wanted is not None and finding.body is not None:
        more = finding.body if other == "body" else 0.0
        parts.append(f"wanted {_range((finding.wanted[0] + more, finding.wanted[1] + more), units)}")
    return parts


def _off(finding: Finding, units: Units) -> str:
    """Say how much the pattern has too much or too little; "" where it has neither."""
    if not finding.difference or finding.topic == "pitch":
        return ""
    amount = units.length(abs(finding.difference))
    return f"{amount} too {'much' if finding.difference > 0 else 'little'}"


def _range(wanted: tuple[float, float], units: Units) -> str:
    low, high = wanted
    if high - low < 0.01:
        return units.plain(low)
    first = sixteenths(low) if units.unit == Unit.IN else units.length(low).rsplit(" ", 1)[0]
    return f"{first} to {units.plain(high)}"


# -- wholly ----------------------------------------------------------------------------------------------------------


def _ways(finding: Finding, page: _Page) -> list[str]:
    lines: list[str] = []
    if finding.taken is not None and finding.status in (DO, CHOSEN):
        lines += page.wrap(finding.taken.does) + _hand(finding.taken, page)
        lines += _cost_lines(finding.taken, page, _INDENT)
        others = [f'"{title_of(finding.topic)}: {way.name}"' for way in finding.ways if way.name != finding.taken.name]
        lines += page.wrap(f"Other ways, with --choose: {', '.join(others)}") if others else []
        return lines
    for way in finding.ways:
        lines.append(f'{_INDENT}- --choose "{title_of(finding.topic)}: {way.name}"')
        if way.because:
            lines += page.wrap(f"recommended, since {way.because}", _INNER)
        lines += page.wrap(way.does, _INNER)
        for text in way.by_hand:
            lines += page.wrap(text, _INNER)
        if way.reason:
            lines += page.wrap(f"can't be done here: {way.reason}", _INNER)
            continue
        lines += _cost_lines(way, page, _INNER)
        for then in way.then if not way.because else ():
            text = _then(then, page.units)
            lines += page.wrap(text, _INNER) if text else []
    return lines


def _cost_lines(way: Way, page: _Page, indent: str) -> list[str]:
    lines: list[str] = []
    if way.costs:
        lines += page.wrap(f"cost: {cost_text(way.costs, page.units)}", indent)
    if way.gives_up:
        lines += page.wrap(gives_up_text(way.gives_up), indent)
    for text in way.warnings:
        lines += page.wrap(f"warning: {text}", indent)
    return lines


def _then(finding: Finding, units: Units) -> str:
    """Say what follows a way, in one line; "" where nothing does."""
    if finding.taken is not None and finding.status in (DO, CHOSEN):
        costs = f" ({cost_text(finding.taken.costs, units)})" if finding.taken.costs else ""
        return f"then {title_of(finding.topic)}: {finding.taken.does}{costs}"
    if finding.status == OPEN:
        off = finding.difference or 0.0
        amount = units.plain(abs(off))
        return f"then {title_of(finding.topic)} wants a choice: {amount} too {'much' if off > 0 else 'little'}"
    return f"then {title_of(finding.topic)} can't be had: {finding.says[-1]}" if finding.status == CANT else ""


def _goal(goal: Goal, units: Units) -> str:
    def speak(value: float) -> str:
        return f"{100 * value:.0f} %" if goal.unit == MeasureUnit.SHARE else units.length(value)

    if goal.met:
        return f"{goal.name} {speak(goal.target)}: met"
    got = "can't be measured" if goal.got is None else f"is {speak(goal.got)}"
    return f"{goal.name} {speak(goal.target)}: not met, {got}{f' ({goal.why})' if goal.why else ''}"


# -- JSON ------------------------------------------------------------------------------------------------------------


def to_json(every: Sequence[tuple[Advice, str | None]], warnings: Iterable[str] = ()) -> str:
    """Write all advice as one object: ``svgfit``, ``people`` (with the paths of plans written), ``warnings``."""
    import json

    from svgfit.version import __version__

    people = [_person(advice, path) for advice, path in every]
    found = {"svgfit": __version__, "people": people, "warnings": list(warnings)}
    return json.dumps(found, ensure_ascii=False, indent=2)


def _person(advice: Advice, path: str | None) -> dict[str, Any]:
    return {
        "name": advice.person,
        "style": advice.style,
        "sleeve": advice.sleeve,
        "size": advice.size,
        "findings": [_finding(finding) for finding in advice.findings],
        "steps": [_step(step) for step in (*advice.steps, *advice.check)],
        "ends": [
            {"name": goal.name, "unit": goal.unit, "asked": goal.target, "got": goal.got, "met": goal.met}
            for goal in (*advice.goals, *advice.unmet)
        ],
        "open": advice.open,
        "failed": advice.failed,
        "plan": path,
        "warnings": list(advice.warnings),
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "name": finding.topic,
        "status": finding.status,
        "pattern": finding.pattern,
        "body": finding.body,
        "wanted": None if finding.wanted is None else list(finding.wanted),
        "difference": finding.difference,
        "says": list(finding.says),
        "recommended": finding.recommended.name if finding.status == OPEN and finding.recommended else None,
        "taken": finding.taken.name if finding.taken else None,
        "ways": [_way(way) for way in finding.ways],
    }


def _way(way: Way) -> dict[str, Any]:
    return {
        "name": way.name,
        "does": way.does,
        "possible": not way.reason,
        "reason": way.reason,
        "because": way.because,
        "by_hand": list(way.by_hand),
        "steps": [_step(step) for step in way.steps],
        "costs": [{"name": cost.name, "before": cost.before, "after": cost.after} for cost in way.costs],
        "gives_up": list(way.gives_up),
        "warnings": list(way.warnings),
        "then": [_finding(finding) for finding in way.then],
    }


def _step(step: Step) -> dict[str, Any]:
    return {"do": step.do, "piece": step.piece, "asked": dict(step.asked)}


def cost_text(costs: Iterable[Cost], units: Units) -> str:
    """Say what a way changes: "cap length +3/8 in, to 18 9/16 in; …"."""
    parts: list[str] = []
    for cost in costs:
        change = cost.after - cost.before
        amount, now = (units.plain(mm) for mm in (abs(change), cost.after))
        parts.append(f"{cost.name} {'+' if change > 0 else '-'}{amount}, to {now}")
    return "; ".join(parts)


def gives_up_text(figures: Sequence[str]) -> str:
    """Say that a way undoes what was settled before."""
    return f"This gives up the {' and the '.join(figures)} settled above."


def wrapped(text: str, columns: int, indent: str = "") -> list[str]:
    """Wrap a text to that many columns; a figure is not parted from its fraction and unit."""
    kept = re.sub(r"(?<=\d) (?=\d+/\d+|in\b|mm\b|cm\b|%)", "\u00a0", text)
    lines = textwrap.wrap(
        kept, columns, initial_indent=indent, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
    )
    return [line.replace("\u00a0", " ") for line in lines]
