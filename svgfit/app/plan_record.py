"""The record of a plan in a drawing that svgfit wrote, so that every step can be done again in memory.

An attribute of our measurements layer, as JSON: ``{"svgfit-plan": 1, "steps": [...], "ends": [...]}``, and where they
were given ``"from": "adjusted"``, ``"size"`` and ``"scale"`` (user units an inch), with which the drawing was read. A
plan that went on from adjusted outlines holds those that made them in ``"before"``, in turn, where they are known. Of
a step that a plug-in did ``"by"`` names the plug-in and its version, ``"measured_by"`` those that measured for it. A
plan that measures is of kind 2: a svgfit that does not know how is not to run it half.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from msgspec import Struct, ValidationError, convert
from msgspec.structs import replace

from svgfit.app.step_figures import measured_by
from svgfit.model.plan import Condition, FromMeasure, Plan, Step
from svgfit.model.refusal import Refusal

if TYPE_CHECKING:
    from svgfit.app.open_drawings import ReadingOptions
    from svgfit.plugin.registry import Registry
    from svgfit.svg import SvgfitLayer

_VERSION, _MEASURES = 1, 2
_MOST_BEFORE = 20
"""So many plans before the one in a drawing are run again at most."""


class Recorded(Struct, frozen=True):
    """A plan read back, and how its drawing was read when it was run."""

    plan: Plan
    from_adjusted: bool = False
    """Whether it went on from outlines adjusted before: then the drawn outlines alone don't give its result."""
    size: str | None = None
    scale: float | None = None
    """User units an inch."""
    earlier: tuple[Recorded, ...] = ()
    """The plans that made the outlines it went on from, in turn; () where they are not known, or none was run."""


class _StoredStep(Struct, frozen=True, omit_defaults=True):
    do: str
    piece: str | None = None
    asked: tuple[tuple[str, str], ...] = ()
    by_size: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = ()
    measured: tuple[tuple[str, FromMeasure], ...] = ()
    when: Condition | None = None
    note: str = ""
    by: str = ""
    measured_by: str = ""


class _StoredPlan(Struct, frozen=True, omit_defaults=True, rename={"start": "from"}):
    steps: tuple[_StoredStep, ...]
    ends: tuple[_StoredStep, ...] = ()
    start: str = "drawn"
    size: str | None = None
    scale: float | None = None
    note: str = ""


class _Stored(Struct, frozen=True, omit_defaults=True, rename={"version": "svgfit-plan", "start": "from"}):
    version: int
    steps: tuple[_StoredStep, ...]
    ends: tuple[_StoredStep, ...] = ()
    start: str = "drawn"
    size: str | None = None
    scale: float | None = None
    before: tuple[_StoredPlan, ...] = ()
    note: str = ""


def plan_text(
    plan: Plan,
    options: ReadingOptions | None = None,
    earlier: Sequence[Recorded] = (),
    registry: Registry | None = None,
) -> str:
    """Write a plan as ASCII JSON; the same plan gives the same text. "" for a plan without steps and ends.

    Args:
        plan: what was done.
        options: how the drawing was read.
        earlier: the plans that made the outlines it went on from.
        registry: where the plug-ins are looked up that do its steps and measure for them; None: as the steps say.
    """
    from msgspec.json import encode

    if not plan.steps and not plan.ends:
        return ""
    every = (*plan.steps, *(step for one in earlier for step in one.plan.steps))
    stored = _Stored(
        _MEASURES if any(step.measured or step.when is not None for step in every) else _VERSION,
        _stored(plan.steps, registry),
        _stored(plan.ends),
        _start(options is not None and options.from_adjusted),
        options.size if options is not None else None,
        options.scale if options is not None else None,
        tuple(
            _StoredPlan(
                _stored(one.plan.steps),
                _stored(one.plan.ends),
                _start(one.from_adjusted),
                one.size,
                one.scale,
                one.plan.note,
            )
            for one in earlier
        ),
        plan.note,
    )
    try:
        found = encode(stored).decode()
    except UnicodeEncodeError:  # a byte of a command line that is no letter
        return ""
    if found.isascii():
        return found
    import json  # here because few plans need it

    return json.dumps(json.loads(found), ensure_ascii=True, separators=(",", ":"))


def _stored(steps: Iterable[Step], registry: Registry | None = None) -> tuple[_StoredStep, ...]:
    return tuple(
        _StoredStep(
            step.do,
            step.piece,
            step.asked,
            step.by_size,
            step.measured,
            step.when,
            step.note,
            step.by if registry is None else registry.made_by(step.do),
            step.measured_by if registry is None else measured_by(step, registry),
        )
        for step in steps
    )


def _start(from_adjusted: bool) -> str:
    return "adjusted" if from_adjusted else "drawn"


def read_recorded(text: str, file: str) -> Recorded:
    """Read the plan out of the attribute's text; raises ValueError for what is damaged or of a later svgfit."""
    import json  # here because few commands read it back

    table: Any = json.loads(text)
    stored = convert(table, _Stored)
    if stored.version not in (_VERSION, _MEASURES):
        raise ValueError(f"it is of kind {stored.version}, which this svgfit does not know")
    if len(stored.before) > _MOST_BEFORE:
        raise ValueError(f"it names more than {_MOST_BEFORE} plans before it")
    earlier = tuple(_read(one, f"{file}: plan {n} before the one in it") for n, one in enumerate(stored.before, 1))
    return replace(_read(stored, f"{file}: the plan in it"), earlier=earlier)


def _read(stored: _Stored | _StoredPlan, where: str) -> Recorded:
    steps, ends = _steps(stored.steps, f"{where}, step"), _steps(stored.ends, f"{where}, ends")
    plan = Plan(steps, where, ends, note=stored.note)
    return Recorded(plan, stored.start == "adjusted", stored.size, stored.scale)


def _steps(stored: Sequence[_StoredStep], where: str) -> tuple[Step, ...]:
    for step in stored:
        if step.when is not None and step.when.over is None and step.when.under is None:
            raise ValueError("a condition compares with nothing")
    return tuple(
        Step(
            step.do,
            step.piece,
            step.asked,
            f"{where} {number}",
            step.by_size,
            step.measured,
            step.when,
            step.note,
            by=step.by,
            measured_by=step.measured_by,
        )
        for number, step in enumerate(stored, 1)
    )


def recorded_plan(sheets: Iterable[tuple[str, Sequence[SvgfitLayer]]]) -> tuple[Recorded | None, tuple[str, ...]]:
    """Find the plan that files hold (each with its layers of ours), and warnings; None where none can be read.

    Raises Refusal where the files were adjusted by different plans.
    """
    found: Recorded | None = None
    first = said = ""
    warnings: list[str] = []
    for file, layers in sheets:
        text = next((layer.plan for layer in reversed(layers) if layer.plan), None)
        if text is None:
            continue
        try:
            here = read_recorded(text, file)
        except (ValueError, ValidationError, RecursionError):
            todo = 'the plan in its layer of measurements is damaged and is left out; "svgfit adjust" writes it again'
            warnings.append(f"{file}: {todo}")
            continue
        spelled = plan_text(here.plan, None, here.earlier) + repr((here.from_adjusted, here.size, here.scale))
        if found is not None and spelled != said:
            raise Refusal(file, f"was adjusted by another plan than {first}", "adjust them together, or give one only")
        if found is None:
            found, first, said = here, file, spelled
    return found, tuple(warnings)


def earlier_plans(sheets: Iterable[tuple[str, Sequence[SvgfitLayer]]]) -> tuple[Recorded, ...]:
    """Find the plans that made the adjusted outlines of files (each with its layers of ours), in turn.

    () where that is not known: an outline was edited since, a plan is missing or damaged, or the files' plans differ.
    """
    every = [(file, tuple(layers)) for file, layers in sheets]
    if any(layer.edited for _, layers in every for layer in layers if layer.kind == "adjusted"):
        return ()
    try:
        found, _ = recorded_plan(every)
    except Refusal:
        return ()
    if found is None or (found.from_adjusted and not found.earlier):
        return ()
    return (*found.earlier, replace(found, earlier=()))
