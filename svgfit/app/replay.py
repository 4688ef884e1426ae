"""The plan that stands in a drawing run again in memory, also one that went on from outlines adjusted before."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.app.open_drawings import Desk, Wishes
from svgfit.app.plan_record import Recorded, recorded_plan
from svgfit.app.session import NO_STEPS, Job, adjusted_drawings, run_steps, understand
from svgfit.model.piece import Piece
from svgfit.model.plan import Plan
from svgfit.model.refusal import Refusal
from svgfit.model.run import Run
from svgfit.svg import OwnLayer, read_own

_SAME = 0.01
"""Outlines that part by less than this, mm, are the same."""


class Again(Struct, frozen=True):
    """A drawing's plan run again in memory."""

    job: Job
    runs: tuple[Run, ...]
    plan: Plan
    warnings: tuple[str, ...] = ()
    no_steps: str = ""
    """Why the steps can't be shown though a plan was run: a sentence; "" where they can, or none was run."""
    earlier: tuple[Plan, ...] = ()
    """Plans that made the outlines on which this one began."""


def run_again(files: Sequence[str], desk: Desk, wish: Wishes, unit: str | None) -> Again:
    """The plan that stands in drawings which svgfit adjusted, run again on what was drawn; no steps where none does.

    One that went on from adjusted outlines is run on those, made again by the plans before it. Where that can't be
    done, the runs have no steps: they hold the pieces as drawn and as adjusted, and ``no_steps`` says why. Scale and
    size are those of the first run where ``wish`` names none. Raises Refusal for what can't be read or run.
    """
    sheets = [(file, read_own(file)) for file in files]
    recorded, found = recorded_plan(sheets)
    edited = tuple(_edited(file, layers) for file, layers in sheets if any(layer.edited for layer in layers))
    warnings = (*found, *edited)
    if recorded is None:
        job = understand(files, desk, wish, unit)
        return Again(job, run_steps(job, NO_STEPS), NO_STEPS, warnings)
    asked = replace(wish, scale=wish.scale or recorded.scale, size=wish.size or recorded.size)
    if not (recorded.from_adjusted or wish.from_adjusted):
        job = understand(files, desk, asked, unit)
        return Again(job, run_steps(job, recorded.plan), recorded.plan, warnings)
    why = "The steps are not shown: they went on from outlines adjusted before, and "
    if wish.from_adjusted or not recorded.earlier:
        return _without_steps(
            files, desk, asked, unit, warnings, why + "how those were made does not stand in the drawing."
        )
    try:
        job, runs = _gone_on(files, desk, asked, unit, recorded)
    except Refusal as refusal:
        return _without_steps(files, desk, asked, unit, warnings, f"{why}those can't be made again: {refusal.what}.")
    if not edited and not _as_in(files, desk, asked, unit, runs):
        told = f"{why}made again they are others than those in the drawing."
        return _without_steps(files, desk, asked, unit, warnings, told)
    return Again(job, runs, recorded.plan, warnings, "", tuple(one.plan for one in recorded.earlier))


def _edited(file: str, layers: Sequence[OwnLayer]) -> str:
    names = ", ".join(f'"{layer.name}"' for layer in layers if layer.edited)
    return f"{file}: the steps are shown as svgfit did them; what was edited since in {names} is not in them"


def _gone_on(
    files: Sequence[str], desk: Desk, wish: Wishes, unit: str | None, recorded: Recorded
) -> tuple[Job, tuple[Run, ...]]:
    """The plans one after another, each on the outlines that the one before it wrote, read back as they were."""
    with TemporaryDirectory(prefix="svgfit-") as folder:
        current = list(files)
        for number, one in enumerate(recorded.earlier):
            how = replace(wish, scale=wish.scale or one.scale, size=one.size, from_adjusted=number > 0)
            job = understand(current, desk, how, unit)
            runs = run_steps(job, one.plan, cut=True)
            drawings, _ = adjusted_drawings(job, runs, discard_edits=True, going_on=number > 0)
            current = [
                str(Path(folder) / f"{number}-{place}" / os.path.basename(file)) for place, file in enumerate(files)
            ]
            for path, data in zip(current, drawings, strict=True):
                Path(path).parent.mkdir()
                Path(path).write_bytes(data)
        job = understand(current, desk, replace(wish, from_adjusted=True), unit)
        runs = run_steps(job, recorded.plan)
    named = dict(zip(current, files, strict=True))
    return replace(job, files=tuple(files)), tuple(_spoken(run, named) for run in runs)


def _spoken(run: Run, named: dict[str, str]) -> Run:
    """The run's warnings with the names of the person's own files."""
    warnings: list[str] = []
    for text in run.warnings:
        said = text
        for copy, file in named.items():
            said = said.replace(copy, file)
        warnings.append(said)
    return replace(run, warnings=tuple(warnings))


def _as_in(files: Sequence[str], desk: Desk, wish: Wishes, unit: str | None, runs: Sequence[Run]) -> bool:
    """Whether the runs end with the outlines that stand in the drawings."""
    there = understand(files, desk, replace(wish, from_adjusted=True), unit).gathered.pieces
    made = {
        piece.title: piece for run in runs for old, piece in zip(run.before, run.after, strict=True) if piece is not old
    }
    return all(_alike(piece, made[piece.title]) for piece in there if piece.title in made)


def _alike(one: Piece, other: Piece) -> bool:
    """Whether two pieces have one outline on the page's grid, wherever it lies."""
    first, second = one.outline(), other.outline()
    if len(first) != len(second):
        return False
    steps = np.arange(4 * len(first)) / 4
    first_points, second_points = first.points(steps), second.points(steps)
    return bool(np.abs(first_points - second_points - (first_points - second_points).mean()).max() < _SAME)


def _without_steps(
    files: Sequence[str], desk: Desk, wish: Wishes, unit: str | None, warnings: tuple[str, ...], why: str
) -> Again:
    """The pieces as drawn and as adjusted, and no step between."""
    drawn = understand(files, desk, replace(wish, from_adjusted=False), unit)
    adjusted = understand(files, desk, replace(wish, from_adjusted=True), unit)
    pairs = zip(run_steps(drawn, NO_STEPS), run_steps(adjusted, NO_STEPS), strict=True)
    return Again(drawn, tuple(_between(old, new) for old, new in pairs), NO_STEPS, warnings, why)


def _between(drawn: Run, adjusted: Run) -> Run:
    """A run from pieces as drawn to pieces as adjusted."""
    now = {piece.title: piece for piece in adjusted.after}
    after = tuple(_now(piece, now) for piece in drawn.before)
    figures = {
        new.title: (adjusted if new is not old else drawn).measured_before.get(old.title, ())
        for old, new in zip(drawn.before, after, strict=True)
    }
    return replace(drawn, after=after, measured_after=figures)


def _now(piece: Piece, now: dict[str, Piece]) -> Piece:
    other = now.get(piece.title, piece)
    return piece if _alike(piece, other) else other
