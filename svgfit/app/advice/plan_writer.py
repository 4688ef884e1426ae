"""Advice as a plan: TOML that ``svgfit adjust --plan`` runs, the reasons as comments, open choices commented out.

Work by hand stands there as comments: the run does not do it, and what it adds is not in the run's figures.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence

from svgfit.model.advice import CHOSEN, DO, OPEN, Advice, Finding, Way, title_of
from svgfit.model.length import Units
from svgfit.model.plan import Step
from svgfit.model.vocabulary import Unit
from svgfit.render.text.advice import cost_text, gives_up_text, wrapped

WIDTH = 100
_CAUTION = (
    "Sew a test garment before cutting good cloth. The figures are the drawing's and the tape's; ease is common "
    "practice, never law."
)


def plan_text(advice: Advice, head: Sequence[str] = ()) -> str:
    """Write the plan; ``head``: sentences for its beginning, such as how to run it."""
    lines = _comment(f"{advice.person}: {advice.sleeve}, as {advice.style}{_size(advice)}. Written by svgfit advise.")
    for text in (*head, _CAUTION):
        lines += _comment(text)
    for number, finding in enumerate(advice.findings, 1):
        lines += ["", *_comment(f"{number}. {title_of(finding.topic)}: {_status(finding)}")]
        for text in finding.says:
            lines += _comment(text)
        lines += _finding_steps(finding, advice.unit)
    if advice.check:
        lines += ["", *_comment("Does the sleeve still go into the armhole, with as much ease as wanted (to 1/16 in)?")]
        if advice.open:
            lines += _comment("As long as the choice above is open, this may fail.")
        lines += _steps(advice.check)
    lines += _not_met(advice)
    return "\n".join(lines) + "\n"


def _size(advice: Advice) -> str:
    return f", size {advice.size}" if advice.size else ""


def _status(finding: Finding) -> str:
    if finding.status in (DO, CHOSEN) and finding.taken:
        return f"{finding.taken.name}{', as picked' if finding.status == CHOSEN else ''}"
    if finding.status == OPEN:
        return "choose one, then take the # away directly before [[step]] and the lines below it"
    return finding.status


def _finding_steps(finding: Finding, unit: str) -> list[str]:
    if finding.taken is not None and finding.status in (DO, CHOSEN):
        lines = [*_comment(finding.taken.does), *_cost(finding.taken, unit), *_by_hand(finding.taken)]
        for text in finding.taken.warnings:
            lines += _comment(f"Warning: {text}")
        lines += _steps(finding.taken.steps)
        others = [way for way in finding.ways if way.name != finding.taken.name]
        if others:
            lines += _comment(f"Other ways: {', '.join(_named(finding, way) for way in others)}")
        return lines
    lines: list[str] = []
    for way in finding.ways:
        first = f"Recommended, since {way.because}: " if way.because else ""
        lines += ["#", *_comment(f'{first}"{title_of(finding.topic)}: {way.name}": {way.does}')]
        if way.reason:
            lines += _comment(f"Can't be done here: {way.reason}")
            continue
        lines += [*_cost(way, unit), *_by_hand(way)]
        for text in way.warnings:
            lines += _comment(f"Warning: {text}")
        lines += _commented_out(_steps(way.steps))
        lines += _follow(way.then)
    return lines


def _cost(way: Way, unit: str) -> list[str]:
    lines = _comment(f"Cost: {cost_text(way.costs, Units(Unit(unit)))}") if way.costs else []
    return [*lines, *(_comment(gives_up_text(way.gives_up)) if way.gives_up else [])]


def _by_hand(way: Way) -> list[str]:
    """Write how a person does it on paper; the run leaves it undone."""
    if not way.by_hand:
        return []
    lines = _comment("By hand, on paper; the run does not do it:")
    return lines + [line for text in way.by_hand for line in _comment(f"- {text}")]


def _named(finding: Finding, way: Way) -> str:
    return f'"{title_of(finding.topic)}: {way.name}"' + (" (can't be done here)" if way.reason else "")


def _follow(findings: Iterable[Finding]) -> list[str]:
    """Write what follows an open way: its steps commented out too, each with its reason."""
    lines: list[str] = []
    for finding in findings:
        if finding.taken is not None and finding.status in (DO, CHOSEN):
            lines += [*_comment(f"then {title_of(finding.topic)}: {finding.taken.does}"), *_by_hand(finding.taken)]
            lines += _commented_out(_steps(finding.taken.steps))
        elif finding.status == OPEN and finding.recommended is not None:
            way = finding.recommended
            lines += _comment(
                f'then recommended, since {way.because}: "{title_of(finding.topic)}: {way.name}": {way.does}'
            )
            lines += [*_by_hand(way), *_commented_out(_steps(way.steps)), *_follow(way.then)]
        elif finding.status == OPEN:
            lines += _comment(
                f"then {title_of(finding.topic)}: another choice; take the advice again with this one picked"
            )
    return lines


def _not_met(advice: Advice) -> list[str]:
    """Write what is wanted and the steps don't give as an end only measured, so that a run can't pass without it."""
    if not advice.unmet:
        return []
    lines = ["", *_comment("Wanted, and not met by these steps. It is only measured, so that the run says so; "
                           "take this table away where you leave it at that.")]  # fmt: skip
    lines += [*_comment("; ".join(f"{goal.name}: {goal.why}" for goal in advice.unmet)), "[[ends]]"]
    lines += [f"piece = {_quoted(advice.sleeve)}", "measure-only = true"]
    names = {"share back": "share to the back"}
    return lines + [f"{_quoted(names.get(goal.name, goal.name))} = {_quoted(goal.text)}" for goal in advice.unmet]


def _commented_out(lines: Iterable[str]) -> list[str]:
    return [f"#{line}" if line else "#" for line in lines]


def _steps(steps: Iterable[Step]) -> list[str]:
    lines: list[str] = []
    for step in steps:
        lines += ["[[step]]", f"do = {_quoted(step.do)}"]
        if step.piece is not None:
            lines.append(f"piece = {_quoted(step.piece)}")
        lines += [f"{name} = {_quoted(text)}" for name, text in step.asked]
    return lines


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")


def _comment(text: str) -> list[str]:
    """Write a sentence as comment lines; control signs, which TOML allows nowhere, become spaces."""
    plain = " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
    return [f"# {line}" for line in wrapped(plain, WIDTH)]
