"""A nest: its sizes one by one, amounts by size, and what shows only when sizes are held against each other."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence

import numpy as np

from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import distances, enclosed
from svgfit.model.length import Units, on_page, reads_alike
from svgfit.model.operation import replace
from svgfit.model.piece import Piece, paired
from svgfit.model.plan import Plan, Step
from svgfit.model.refusal import Refusal
from svgfit.model.report import Check
from svgfit.model.run import Measured
from svgfit.model.vocabulary import MeasureUnit, Status
from svgfit.pattern.layer_patterns import name_key
from svgfit.rules.matching import EVEN_STEPS, SIZES_CROSS

OTHER = "other"
"""In a table by size: every size that is not named."""

Sized = tuple[Sequence[Piece], Sequence[Piece], Measured, Measured]
"""One size's pieces before and after, and what was measured of them before and after."""


def sizes(pieces: Sequence[Piece]) -> tuple[tuple[Piece, ...], ...]:
    """Group the pieces by size, each group with those that have none; one group where there are no sizes."""
    named = dict.fromkeys(piece.size for piece in pieces if piece.size is not None)
    return tuple(tuple(piece for piece in pieces if piece.size in (size, None)) for size in named) or (tuple(pieces),)


# -- amounts by size -------------------------------------------------------------------------------------------------


def variants(step: Step) -> Iterable[Step]:
    """Give the step as it is for each size that its tables name; itself where it has none."""
    if not step.by_size:
        return (step,)
    named = dict.fromkeys(size for _, table in step.by_size for size, _ in table)
    texts = [(name, dict(table)) for name, table in step.by_size]
    return [
        replace(step, asked=(*step.asked, *((name, table[size]) for name, table in texts if size in table)), by_size=())
        for size in named
        if all(size in table or OTHER in table for _, table in texts)
    ] or [replace(step, by_size=())]


def plan_for_size(plan: Plan, size: str | None) -> Plan:
    """Replace each table by size in a plan by its value for one size (None: a drawing without sizes).

    Raises Refusal where a table says nothing of the size.
    """
    if not any(step.by_size for step in (*plan.steps, *plan.ends)):
        return plan
    steps, ends = (tuple(_step_for_size(step, size) for step in row) for row in (plan.steps, plan.ends))
    return replace(plan, steps=steps, ends=ends)


def _step_for_size(step: Step, size: str | None) -> Step:
    asked = list(step.asked)
    for name, table in step.by_size:
        texts = {name_key(key): text for key, text in table}
        text = texts.get(name_key(size)) if size is not None else None
        text = text if text is not None else texts.get(OTHER)
        if text is None:
            named = ", ".join(key for key, _ in table)
            what = f"says nothing of size {size}" if size else "is given by size, but the drawing tells no sizes"
            raise Refusal(f"{step.where}: {step.do}: {name}", what, f'it names {named}; "{OTHER}" stands for the rest')
        asked.append((name, text))
    return replace(step, asked=tuple(asked), by_size=())


# -- sizes held against each other -----------------------------------------------------------------------------------


def nest_checks(nest: Sequence[Sized], units: Units) -> tuple[Check, ...]:
    """Check each piece changed in several sizes: do its sizes cross now, do they step evenly?

    ``fail`` where outlines that lay one in the other cross after the plan, ``warn`` where measurements no longer step
    evenly from size to size. Lengths in mm; outlines are compared where they lie on the page.
    """
    if len(nest) < 2:
        return ()
    rows: dict[str, list[tuple[Piece, Piece, Sized]]] = {}
    for group in nest:
        for old, new in paired(group[0], group[1]):
            if old.size is not None:
                rows.setdefault(old.name, []).append((old, new, group))
    checks: list[Check] = []
    for name, found in rows.items():
        if len(found) < 2 or all(new is old for old, new, _ in found):
            continue
        found.sort(key=lambda row: abs(_page(row[0]).area()))
        checks.append(_crossing(name, found, units))
        checks.append(_steps(name, found, units))
    return tuple(checks)


def _page(piece: Piece) -> Curve:
    return piece.outline().transform(piece.placement)


def _crossing(name: str, found: Sequence[tuple[Piece, Piece, Sized]], units: Units) -> Check:
    worst: tuple[float, str] = (0.0, "")
    values: dict[str, float] = {}
    for (small, small_new, _), (large, large_new, _) in itertools.pairwise(found):
        after, at = outside(_page(small_new), _page(large_new))
        values[f"{small.size} outside {large.size}"] = after
        if after > max(SIZES_CROSS, worst[0]) and outside(_page(small), _page(large))[0] <= SIZES_CROSS:
            place = units.speak(on_page(at))
            words = f"size {small.size} now lies {units.length(after)} outside size {large.size} {place}"
            worst = after, words
    if worst[1]:
        return Check(f"sizes of {name} do not cross", Status.FAIL, f"{name}: {worst[1]}", values)
    return Check(
        f"sizes of {name} do not cross", Status.PASS, f"{name}: no size crosses another that did not before", values
    )


def _steps(name: str, found: Sequence[tuple[Piece, Piece, Sized]], units: Units) -> Check:
    uneven: list[str] = []
    values: dict[str, float] = {}
    labels = [str(old.size) for old, _, _ in found]
    places = [old.outline().length(1e-2) for old, _, _ in found]
    before = [{item.name: item for item in group[2].get(old.title, ())} for old, _, group in found]
    after = [{item.name: item for item in group[3].get(old.title, ())} for old, _, group in found]
    for key, item in after[0].items():
        if item.unit != MeasureUnit.MM or not all(key in row for row in (*before, *after)):
            continue
        old, new = ([row[key].value for row in rows] for rows in (before, after))
        if all(abs(a - b) < 1e-6 for a, b in zip(old, new, strict=True)):
            continue
        was, spread = (_unevenness(figures, places) for figures in (old, new))
        values[key] = spread
        if spread > EVEN_STEPS and spread > was and not reads_alike(spread, was):
            listed = ", ".join(
                f"{a} to {b} {units.plain(step)}"
                for (a, b), step in zip(itertools.pairwise(labels), np.diff(new).tolist(), strict=True)
            )
            uneven.append(f"{key} ({listed})")
    title = f"sizes of {name} step evenly"
    if uneven:
        return Check(
            title,
            Status.WARN,
            f"{name}: steps from size to size are less even than before: {'; '.join(uneven)}",
            values,
        )
    return Check(title, Status.PASS, f"{name}: steps from size to size are as even as before", values)


def _unevenness(figures: Sequence[float], places: Sequence[float]) -> float:
    """Measure by how much the steps of a figure from size to size differ, mm, those that sizes left out make apart.

    ``places``: how large each size is drawn, from the smallest on. Of sizes that do not lie evenly (8, 12, 14) even
    steps are as far apart as the sizes are.
    """
    whole = places[-1] - places[0]
    parts = np.linspace(0.0, 1.0, len(figures)) if whole < 1e-6 else (np.asarray(places) - places[0]) / whole
    return float(np.ptp(np.diff(np.asarray(figures) - parts * (figures[-1] - figures[0]))))


def outside(small: Curve, large: Curve) -> tuple[float, complex]:
    """Measure how far, mm, one closed line reaches outside another, and where (0 where it lies within). To 0.02 mm.

    Sampled: 64 places a segment, each held against the other's chords.
    """
    points = small.points(np.linspace(0.0, len(small), 64 * len(small) + 1)[:-1])
    ring = large.points(np.linspace(0.0, len(large), 64 * len(large) + 1))
    out = points[~enclosed(points, ring)]
    if not len(out):
        return 0.0, 0j
    away = distances(out, ring)
    at = int(away.argmax())
    return float(away[at]), complex(out[at])
