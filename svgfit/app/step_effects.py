"""Whether a step did what it was asked, what else it changed, and which step made what can't be drawn."""

from __future__ import annotations

from collections.abc import Generator, Iterable, Sequence
from contextlib import contextmanager
from itertools import pairwise
from typing import Any

import numpy as np
from msgspec import Struct
from msgspec.structs import astuple

from svgfit.app.prepared_steps import Prepared
from svgfit.app.step_figures import Measure
from svgfit.fitting.sewn import sewn_length
from svgfit.geometry.curve import Curve
from svgfit.model.length import both_ways, reads_alike
from svgfit.model.operation import Outcome
from svgfit.model.piece import CutStep, DrawnCut, Piece, paired
from svgfit.model.refusal import Refusal
from svgfit.model.report import Measurement
from svgfit.model.run import SizeRun
from svgfit.model.vocabulary import MeasureUnit
from svgfit.model.wording import listed
from svgfit.pattern.cut_line import redrawn_cut, tell_cut
from svgfit.plugin.registry import Registry

_ALIKE = 1e-9
"""What differs by less, mm, is the same."""
_MEASURED = 1e-6
"""Two measured lengths that differ by less, mm, are one."""
_LOOKED_AT = 8
"""Places looked at in each segment of a curve that is divided otherwise than another."""


def effect_warnings(
    item: Prepared, piece: Piece | None, run: SizeRun, outcome: Outcome, measure: Measure
) -> tuple[str, ...]:
    """Warn of a step that changed nothing, or another piece than it was asked to, where it does not say so itself.

    An operation that compares changes nothing; one that warns, judges or draws something says itself what it did. Of
    a plug-in, figures are warned of too that it says it got, and that measure otherwise on its piece. ``run`` is the
    run before the step. Of svgfit's own only whether anything changed is looked at.
    """
    place = item.operation.name  # not where the step stands: a plan that is given back says the same in the drawing
    figures = () if item.guard.stock or piece is None else _not_measured(place, piece, outcome, run, measure)
    return (*_unlike_asked(place, item, piece, run.after, outcome), *figures)


def _not_measured(place: str, piece: Piece, outcome: Outcome, run: SizeRun, measure: Measure) -> tuple[str, ...]:
    """Warn of each figure got, under the name of one that can be measured on the piece, that is another there."""
    new = next((one for one in outcome.pieces if one.key == piece.key), None)
    got = [one for one in outcome.got if isinstance(one, Measurement)]
    if new is None or not got:
        return ()
    edges = {edge.name for edge in new.edges}
    lengths = (Measurement(one.name, sewn_length(new, one.name)) for one in got if one.name in edges)
    known = {one.name: one for one in lengths}
    known |= {one.name: one for one in measure(outcome.pieces, (*run.seams, *outcome.seams)).get(new.title, ())}
    found: list[str] = []
    for one in got:
        real = known.get(one.name)
        if real is None or real.unit != one.unit:
            continue
        is_length = one.unit == MeasureUnit.MM
        if reads_alike(one.value, real.value) if is_length else abs(one.value - real.value) <= 1e-3 * abs(real.value):
            continue
        said, is_ = (both_ways(each) if is_length else f"{each:g}" for each in (one.value, real.value))
        what = f"{place}: it says that it got {one.name} {said}, but on {new.title} that measures {is_}"
        found.append(f"{what}; what is got is measured, never copied from what was asked")
    return tuple(found)


def _unlike_asked(
    place: str, item: Prepared, piece: Piece | None, before: Sequence[Piece], outcome: Outcome
) -> tuple[str, ...]:
    """Warn where nothing changed, or what was not asked for."""
    there = {one.key for one in before}
    came_or_went = len(outcome.pieces) != len(before) or any(new.key not in there for new in outcome.pieces)
    changed = [new for old, new in paired(before, outcome.pieces) if new is not old and not is_same(old, new)]
    if not changed and not came_or_went:
        draws = outcome.annotations and not outcome.openings and not outcome.moved  # else where it would have moved
        says = outcome.warnings or outcome.checks or draws or outcome.seams
        if item.operation.compares is not None or says:
            return ()
        of = f"{piece.title}: " if piece is not None else ""
        return (f"{place}: {of}nothing changed",)
    if piece is None or item.guard.stock or came_or_went:
        return ()
    shown = {one.piece for one in (*outcome.annotations, *outcome.openings, *outcome.moved)}
    asked = set(_texts(item.values)) | {piece.title, piece.name}
    others = [
        new.title
        for new in changed
        if new.key != piece.key
        and not {new.title, new.name} & (asked | shown)
        and not any(new.name in text for text in outcome.warnings)
    ]
    if not others:
        return ()
    if any(new.key == piece.key for new in changed):
        return (f"{place}: {piece.title} was asked for, and {listed(others)} changed too",)
    return (f"{place}: {piece.title} was asked for and is as it was; {listed(others)} changed instead",)


def _texts(found: Any) -> Generator[str]:
    """Yield every text in values, however deep."""
    if isinstance(found, str):
        yield found
        return
    values: Iterable[Any] = found.values() if hasattr(found, "values") else found if hasattr(found, "__iter__") else ()
    for value in values:
        yield from _texts(value)


def is_same(one: Any, other: Any) -> bool:
    """Tell whether two records hold the same, curves and numbers to within a millionth of a thousandth of a mm."""
    if one is other:
        return True
    if type(one) is not type(other):
        return False
    if isinstance(one, Curve) and isinstance(other, Curve):
        return _is_same_line(one, other)
    if isinstance(one, DrawnCut) and isinstance(other, DrawnCut):
        return is_same((one.line, one.edges, one.darts), (other.line, other.edges, other.darts)) and _is_left(
            one, other
        )
    if isinstance(one, Struct) and isinstance(other, Struct):
        return is_same(astuple(one), astuple(other))
    if isinstance(one, tuple):
        return len(one) == len(other) and all(is_same(a, b) for a, b in zip(one, other, strict=True))  # pyright: ignore
    if isinstance(one, (float, complex)) and isinstance(other, (float, complex)):
        return abs(one - other) <= _ALIKE
    return bool(one == other)


def _is_same_line(one: Curve, other: Curve) -> bool:
    """Tell whether two curves run along the same line the same way, however each is divided."""
    a, b = one.segments, other.segments
    if a.shape == b.shape and float(np.abs(a - b).max(initial=0.0)) <= _ALIKE:
        return True
    if max(abs(one.start - other.start), abs(one.end - other.end), abs(one.length() - other.length())) > _MEASURED:
        return False
    return _lies_on(one, other) and _lies_on(other, one)


def _lies_on(one: Curve, other: Curve) -> bool:
    """Tell whether places all along a curve lie on another."""
    places = one.points(np.linspace(0.0, len(one), _LOOKED_AT * len(one) + 1))
    return all(away <= _ALIKE for _, away in other.nearest_each(places))


def _is_left(one: DrawnCut, other: DrawnCut) -> bool:
    """Tell whether what the steps since left of a drawn cut line is the same, steps that moved nothing left out."""

    def moved(cut: DrawnCut) -> tuple[tuple[object, ...], ...]:
        return tuple((step.motions, step.anew) for step in cut.steps if step.anew or not _stays(step))

    return is_same(moved(one), moved(other))


def _stays(step: CutStep) -> bool:
    return all(abs(motion.apply(point) - point) <= _ALIKE for motion in step.motions for point in (0j, 1e3 + 0j, 1e3j))


@contextmanager
def naming_steps(runs: Sequence[SizeRun], registry: Registry) -> Generator[None]:
    """Name the step (and the plug-in) in what is refused while outlines are drawn that a step made.

    A refusal of a piece that no step changed stays as it is.
    """
    try:
        yield
    except Refusal as refusal:
        found = next(filter(None, (_maker(refusal, run, registry) for run in runs)), None)
        if found is None:
            raise
        _, what, todo = refusal.parts
        raise Refusal(
            f"{found}: {refusal.parts[0]}", what, f"ask for less there, or {todo}" if todo else ""
        ) from refusal


def _maker(refusal: Refusal, run: SizeRun, registry: Registry) -> str | None:
    """Find the step after which a piece can't be drawn any more, else the last that changed it; None for none."""
    piece = next((one for one in run.after if _speaks_of(refusal, one)), None)
    states = [{one.key: one for one in pieces} for pieces in (run.before, *(stage.pieces for stage in run.stages))]
    if piece is None or piece.key not in states[0]:
        return None
    rows = [(a[piece.key], b.get(piece.key), stage) for (a, b), stage in zip(pairwise(states), run.stages, strict=True)]
    changed = [(old, new, stage) for old, new, stage in rows if new is not None and new is not old]
    if not changed or not _can_be_drawn(changed[0][0]):
        return None
    stage = next((stage for _, new, stage in changed if not _can_be_drawn(new)), changed[-1][2])
    guard = registry.guard(registry.source(stage.row.do))
    where = f"{stage.place.removesuffix(f', {piece.name}')}: {stage.row.do}"
    return where if guard.stock else f"{where}: {guard.who}"


def _speaks_of(refusal: Refusal, piece: Piece) -> bool:
    return refusal.where == piece.where or refusal.where.startswith(f"{piece.where}:")


def _can_be_drawn(piece: Piece) -> bool:
    try:
        tell_cut(piece, redrawn_cut(piece))
    except Refusal:
        return False
    return True
