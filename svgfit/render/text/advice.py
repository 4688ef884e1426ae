"""Advice for people (plain text) and for other programs (JSON). Lengths in JSON are mm, unrounded."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Sequence
from typing import Any

from svgfit.model.advice import CANT, CHOSEN, DO, OPEN, Advice, Cost, Finding, Goal, Way
from svgfit.model.length import Units, sixteenths
from svgfit.model.plan import Step
from svgfit.model.vocabulary import Figure, Unit

_INDENT = "   "


def advice_text(advice: Advice, width: int | None = None) -> str:
    """Write advice for a person, in their unit, wrapped to ``width`` columns (100 where it is not known)."""
    columns = min(max(width or 100, 40), 110)
    units = Units(Unit(advice.unit))
    size = f", size {advice.size}" if advice.size else ""
    lines = [f"{advice.person}: {advice.sleeve}{size}, as {advice.style}"]
    for number, finding in enumerate(advice.findings, 1):
        lines += ["", f"{number}. {finding.topic}: {_verdict(finding)}"]
        figures = _figures(finding, units)
        lines += [f"{_INDENT}{figures}"] if figures else []
        for text in finding.says:
            lines += wrapped(text, columns, _INDENT)
        lines += _ways(finding, units, columns)
    if advice.goals or advice.unmet:
        lines += ["", "run as one plan, these steps give" if advice.steps else "as it is, the pattern gives"]
        lines += [f"{_INDENT}{_goal(goal, units)}" for goal in (*advice.goals, *advice.unmet)]
    elif not advice.open and not advice.failed:
        lines += ["", "nothing to change"]
    return "\n".join(lines)


def _verdict(finding: Finding) -> str:
    if finding.status in (DO, CHOSEN) and finding.taken:
        return f"{finding.taken.name}{' (as picked)' if finding.status == CHOSEN else ''}"
    words = {OPEN: "choose one of the ways below", CANT: "can't be had"}
    return words.get(finding.status, finding.status)


def _figures(finding: Finding, units: Units) -> str:
    """Write pattern, body, ease wanted and difference in one line."""
    if finding.topic == "pitch":
        return ""
    parts: list[str] = []
    subject, other = ("ease", "armhole") if finding.topic == Figure.CAP_EASE else ("pattern", "body")
    for name, value in ((subject, finding.pattern), (other, finding.body)):
        if value is not None:
            parts.append(f"{name} {units.length(value)}")
    if finding.wanted is not None and finding.body is not None:
        more = finding.body if other == "body" else 0.0
        parts.append(f"wanted {_range((finding.wanted[0] + more, finding.wanted[1] + more), units)}")
    if finding.difference:
        amount = units.length(abs(finding.difference))
        parts.append(f"{amount} too {'much' if finding.difference > 0 else 'little'}")
    return "; ".join(parts)


def _range(wanted: tuple[float, float], units: Units) -> str:
    low, high = wanted
    if high - low < 0.01:
        return units.plain(low)
    first = sixteenths(low) if units.unit == Unit.IN else units.length(low).rsplit(" ", 1)[0]
    return f"{first} to {units.plain(high)}"


def _ways(finding: Finding, units: Units, columns: int) -> list[str]:
    lines: list[str] = []
    if finding.taken is not None and finding.status in (DO, CHOSEN):
        lines += wrapped(finding.taken.does, columns, _INDENT)
        lines += _cost_lines(finding.taken, units, columns, _INDENT)
        others = [f'"{finding.topic}: {way.name}"' for way in finding.ways if way.name != finding.taken.name]
        lines += wrapped(f"Other ways, with --choose: {', '.join(others)}", columns, _INDENT) if others else []
        return lines
    for way in finding.ways:
        lines.append(f'{_INDENT}- --choose "{finding.topic}: {way.name}"')
        inner = _INDENT + "    "
        lines += wrapped(way.does, columns, inner)
        if way.reason:
            lines += wrapped(f"can't be done here: {way.reason}", columns, inner)
            continue
        lines += _cost_lines(way, units, columns, inner)
        for then in way.then:
            text = _then(then, units)
            lines += wrapped(text, columns, inner) if text else []
    return lines


def _cost_lines(way: Way, units: Units, columns: int, indent: str) -> list[str]:
    lines: list[str] = []
    if way.costs:
        lines += wrapped(f"cost: {cost_text(way.costs, units)}", columns, indent)
    if way.gives_up:
        lines += wrapped(gives_up_text(way.gives_up), columns, indent)
    for text in way.warnings:
        lines += wrapped(f"warning: {text}", columns, indent)
    return lines


def _then(finding: Finding, units: Units) -> str:
    """Say what follows a way, in one line; "" where nothing does."""
    if finding.taken is not None and finding.status in (DO, CHOSEN):
        costs = f" ({cost_text(finding.taken.costs, units)})" if finding.taken.costs else ""
        return f"then {finding.topic}: {finding.taken.does}{costs}"
    if finding.status == OPEN:
        off = finding.difference or 0.0
        amount = units.plain(abs(off))
        return f"then {finding.topic} wants a choice: {amount} too {'much' if off > 0 else 'little'}"
    return f"then {finding.topic} can't be had: {finding.says[-1]}" if finding.status == CANT else ""


def _goal(goal: Goal, units: Units) -> str:
    def speak(value: float) -> str:
        return f"{100 * value:.0f} %" if goal.unit == "share" else units.length(value)

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
        "taken": finding.taken.name if finding.taken else None,
        "ways": [_way(way) for way in finding.ways],
    }


def _way(way: Way) -> dict[str, Any]:
    return {
        "name": way.name,
        "does": way.does,
        "possible": not way.reason,
        "reason": way.reason,
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
