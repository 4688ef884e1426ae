"""What an author most likely did not mean, though svgfit can go on: seen in the text, and by running operations."""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from msgspec.structs import replace

from svgfit.app.run_plan import run_plan
from svgfit.app.step_effects import is_same
from svgfit.model.operation import Job, Operation, Outcome, Values
from svgfit.model.piece import paired
from svgfit.model.plan import Plan
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import is_of_kinds
from svgfit.plugin.loading import Plugin as Loaded
from svgfit.plugin.registry import Registry
from svgfit.plugin.source_text import line_of, operations_made, read_text
from svgfit.plugin.sources import plain_name
from svgfit.plugin.unfound import left_out
from svgfit.plugin.watchdog import STEP_TIMEOUT
from svgfit.testing.garments import Garment


class _Read(Values):
    """A step's values that take down which of them were asked for."""

    def __init__(self, values: Mapping[str, Any], seen: set[str]) -> None:
        super().__init__(values, values)
        self._seen = seen

    def __getitem__(self, name: str) -> Any:
        self._seen.add(name)
        return super().__getitem__(name)

    def get(self, name: str, default: Any = None) -> Any:
        """Return a value, as of a dict."""
        self._seen.add(name)
        return super().get(name, default)

    def __contains__(self, name: object) -> bool:
        self._seen.add(str(name))
        return super().__contains__(name)

    def __iter__(self) -> Iterator[str]:
        self._seen.update(super().keys())
        return super().__iter__()

    def keys(self) -> Any:
        """Return all names, as of a dict: then all count as asked for, as with ``items`` and ``values``."""
        self._seen.update(super().keys())
        return super().keys()

    def values(self) -> Any:
        """Return all values, as of a dict."""
        self._seen.update(super().keys())
        return super().values()

    def items(self) -> Any:
        """Return all names with their values, as of a dict."""
        self._seen.update(super().keys())
        return super().items()


class _Watching(Registry):
    """Plug-ins of which one operation's jobs and outcomes are taken down."""

    def __init__(self, registry: Registry, watched: str) -> None:
        super().__init__(registry.sources, step_timeout=STEP_TIMEOUT, interrupts=True)
        self.watched = watched
        self.read: set[str] = set()
        self.done: list[tuple[Job, Outcome]] = []

    def operation(self, name: str) -> Operation:
        """Import an operation; the one that is watched is put under watch."""
        found = super().operation(name)
        if found.name != self.watched:
            return found

        def run(job: Job) -> Outcome:
            outcome = found.run(replace(job, values=_Read(job.values, self.read)))
            self.done.append((job, outcome))
            return outcome

        return replace(found, run=run)


def authors_slips(
    loaded: Sequence[Loaded], registry: Registry, steps: Mapping[str, Sequence[str]], garments: Sequence[Garment]
) -> Iterator[str]:
    """Yield a line for each slip found in plug-ins, and in what their operations do when asked for these ``steps``.

    ``steps`` are by operation, written as behind ``--do``.
    """
    for one in loaded:
        if one.fault is not None:
            continue  # which is told, and of what it would give nothing is known
        given = {plain_name(each.name) for each in one.operations} | {name for name, _ in one.broken}
        for made in operations_made(one.source.files()):
            if made.name and plain_name(made.name) not in given:
                where = line_of(made.line, made.file, one.source.folder)
                yield f"operation {made.name} is made ({where}), but {left_out(one)}"
        for path in one.source.files():
            for line in _refusals_lost(read_text(path) or ""):
                where = line_of(line, path, one.source.folder)
                yield f"job.refuse(…) does nothing by itself ({where}): write raise job.refuse(…)"
        for operation in one.operations:
            yield from _done_nothing(operation, registry, steps.get(operation.name, ()), garments)


def _refusals_lost(text: str) -> Iterator[int]:
    """Find the lines where a refusal is made and neither raised nor kept."""
    try:
        tree = ast.parse(text)
    except (SyntaxError, ValueError):
        return
    for node in ast.walk(tree):
        call = node.value if isinstance(node, (ast.Expr, ast.Return)) else None
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Attribute) and call.func.attr == "refuse":
            yield call.lineno


def _done_nothing(
    operation: Operation, registry: Registry, steps: Sequence[str], garments: Sequence[Garment]
) -> Iterator[str]:
    """Say of an operation that changes nothing on any garment it fits, and of parameters that it never asks for."""
    watching = _Watching(registry, operation.name)
    for garment in garments:
        if operation.kinds and not any(is_of_kinds(piece.kind, operation.kinds) for piece in garment.pieces):
            continue
        for step in steps:
            before = len(watching.done)
            try:
                run_plan(garment.pieces, garment.seams, Plan.from_steps(step), watching)
            except Refusal:
                del watching.done[before:]  # of what can't be done, or is broken, others speak
    if not watching.done:
        return
    for name in dict.fromkeys(name for job, _ in watching.done for name in job.values if name not in watching.read):
        todo = "use it, leave it out, or add a step to steps with which it is used"
        yield f"{operation.name}: run never looks at the value of {name}; {todo}"
    says = any(_says_something(outcome) for _, outcome in watching.done)
    if operation.compares is None and not says and all(_is_as_before(job, outcome) for job, outcome in watching.done):
        yield f"{operation.name}: it changes nothing on any garment that it fits, and does not say so"


def _says_something(outcome: Outcome) -> bool:
    return bool(outcome.annotations or outcome.checks or outcome.warnings or outcome.seams)


def _is_as_before(job: Job, outcome: Outcome) -> bool:
    pairs = paired(job.pieces, outcome.pieces)
    return len(pairs) == len(job.pieces) and all(is_same(old, new) for old, new in pairs)
