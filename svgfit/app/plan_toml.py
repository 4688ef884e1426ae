"""A plan written as TOML, as ``svgfit adjust --plan`` runs it: what a drawing remembers, given back."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping, Sequence

from svgfit.app.plan_record import Recorded
from svgfit.model.plan import Condition, FromMeasure, Plan, Step
from svgfit.model.refusal import Refusal
from svgfit.model.wording import harmless, listed


def recorded_toml(recorded: Recorded, file: str, number: int | None = None) -> str:
    """Write the plan that a drawing remembers, with how the drawing was read for it and who did what as comments.

    ``number``: which of the plans run one on the other, counted from 1; None: the last. Raises Refusal for one that is
    not there.
    """
    every = (*recorded.earlier, recorded)
    if number is not None and not 1 <= number <= len(every):
        what = f"it remembers {len(every)} plan{'s' * (len(every) > 1)}, so there is no plan {number}"
        raise Refusal(file, what, f"give --number 1 to {len(every)}" if len(every) > 1 else "leave --number out")
    at = len(every) if number is None else number
    one = every[at - 1]
    which = f"plan {at} of {len(every)} that were" if len(every) > 1 else "the plan that was"
    began = "outlines adjusted before" if one.from_adjusted else "the outlines as drawn"
    options = [f"--size {one.size}" if one.size else "", f"--scale {one.scale:g}" if one.scale else ""]
    read = f", read with {listed([text for text in options if text])}" if any(options) else ""
    head = [f"{file}: {which} run on it, on {began}{read}."]
    return plan_toml(one.plan, head)


def plan_toml(plan: Plan, head: Sequence[str] = ()) -> str:
    """Write a plan; ``head``: sentences for its beginning. Reading it gives the same steps, ends and notes."""
    lines = [_comment(text) for text in head]
    if plan.note:
        lines += [f"note = {_quoted(plan.note)}"]
    for step in plan.steps:
        lines += ["", "[[step]]", f"do = {_quoted(step.do)}", *_pairs(step)]
        if step.by:
            lines.append(_comment(f"done by the plug-in {step.by}"))
        if step.measured_by:
            lines.append(_comment(f"measured by plug-ins: {step.measured_by}"))
    for step in plan.ends:
        lines += ["", "[[ends]]", *_pairs(step)]
    return "\n".join(lines).lstrip("\n") + "\n"


def _pairs(step: Step) -> Iterable[str]:
    if step.piece is not None:
        yield f"piece = {_quoted(step.piece)}"
    for name, text in step.asked:
        yield f"{_key(name)} = {_quoted(text)}"
    for name, table in step.by_size:
        yield f"{_key(name)} = {_table(dict(table))}"
    for name, wanted in step.measured:
        yield f"{_key(name)} = {_measured(wanted)}"
    if step.when is not None:
        yield f"when = {_condition(step.when)}"
    if step.note:
        yield f"note = {_quoted(step.note)}"


def _measured(wanted: FromMeasure) -> str:
    table: dict[str, str | float] = {} if wanted.of is None else {"of": wanted.of}
    table["measure"] = wanted.measure
    return _table(table if wanted.times == 1 else {**table, "times": wanted.times})


def _condition(condition: Condition) -> str:
    table = {
        "of": condition.of,
        "measure": condition.measure,
        "over": condition.over,
        "under": condition.under,
    }
    return _table({name: text for name, text in table.items() if text is not None})


def _table(table: Mapping[str, str | float]) -> str:
    pairs = (
        f"{_key(name)} = {_quoted(value) if isinstance(value, str) else repr(value)}" for name, value in table.items()
    )
    return f"{{ {', '.join(pairs)} }}"


def _key(name: str) -> str:
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else _quoted(name)


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")


def _comment(text: str) -> str:
    """Write a comment; control signs, which TOML allows nowhere, are spelt out."""
    return f"# {harmless(' '.join(text.split()))}"
