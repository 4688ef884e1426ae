"""What the commands on drawings share: files → pieces → runs → report → layers → bytes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import suppress
from typing import Any

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.app.nest import nest_checks, sizes
from svgfit.app.open_drawings import Desk, Gathered, Sheets, Wishes, lay_out, read_sheets, recognise_all
from svgfit.app.ordered_map import for_each
from svgfit.app.output_paths import refuse_same_inputs
from svgfit.app.reporting import make_report
from svgfit.app.run_plan import prepare, run_plan
from svgfit.app.walk_strips import walks_for
from svgfit.cli.console import warn_if_refused
from svgfit.cli.options import wishes
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Piece
from svgfit.model.plan import Plan
from svgfit.model.refusal import Refusal
from svgfit.model.report import Annotation, Check, Report
from svgfit.model.run import Run, piece_rows
from svgfit.model.toml_file import spell
from svgfit.pattern.adjusted_layer import adjusted_pieces
from svgfit.pattern.allowance import cut_line
from svgfit.render.annotate.layers import draw_layers
from svgfit.render.annotate.scene import ADJUSTED, LAYERS, MEASUREMENTS, WORKING, Scene
from svgfit.svg import Drawing, OwnLayer, free_name, kept, splice

NO_STEPS = Plan(())


class Job(Struct, frozen=True):
    """Drawings that were understood, and how to speak of them."""

    files: tuple[str, ...]
    desk: Desk
    gathered: Gathered
    unit: str


def lay_out_for(files: Sequence[str], options: dict[str, Any]) -> tuple[Desk, Wishes]:
    """Convention and plug-ins; refuses a drawing given twice."""
    refuse_same_inputs(files)
    wish = wishes(options)
    return lay_out(files, wish), wish


def understand(files: Sequence[str], desk: Desk, wish: Wishes, unit: str | None) -> Job:
    """The drawings read and their pieces recognised."""
    warn_if_refused(lambda: desk.registry.warnings)
    gathered = known_pieces(read_sheets(files, desk, wish), desk)
    return Job(tuple(files), desk, gathered, unit or desk.convention.unit)


def known_pieces(sheets: Sheets, desk: Desk) -> Gathered:
    """The pieces recognised; should this or what follows be refused, all that was warned of is shown before."""
    warn_if_refused(lambda: (*sheets.warnings, *desk.registry.warnings))
    gathered = recognise_all(sheets, desk)
    warn_if_refused(lambda: (*gathered.warnings, *desk.registry.warnings))
    return gathered


def run_steps(job: Job, plan: Plan, *, cut: bool = False) -> tuple[Run, ...]:
    """The plan's runs, one a size; with ``cut`` and the cut lines of what changed, which drawing would ask for.

    Refuses a step that would change a piece drawn once for all sizes of a nest.
    """
    registry = job.desk.registry
    prepare(plan, registry)
    measurers = registry.measurers()
    groups = sizes(job.gathered.pieces)

    def run_one(group: tuple[Piece, ...]) -> Run:
        run = run_plan(group, job.gathered.seams, plan, registry, measurers, unit=job.unit)
        run = _walked(job, run)
        return replace(run, cut_lines=_cut_lines(run)) if cut else run

    done = for_each(run_one, groups, registry)
    runs = tuple(replace(run, warnings=(*run.warnings, *texts)) for run, texts in done)
    if len(groups) > 1:
        for run in runs:
            for old, new in zip(run.before, run.after, strict=True):
                if old.size is None and new is not old:
                    todo = "choose one with --size, or draw the piece once for each"
                    raise Refusal(old.where, "is drawn once for all sizes and can't be adjusted for each", todo)
    return runs


def _walked(job: Job, run: Run) -> Run:
    """The run with the walks of what its steps changed, and warnings of what they left that can't be sewn as it is."""
    if not run.steps or all(new is old for old, new in zip(run.before, run.after, strict=True)):
        return run
    from svgfit.app.sewing_warnings import changed_walks, sewing_warnings
    from svgfit.app.walks import rules_of

    rules = rules_of(job.desk.convention)
    walks = changed_walks(run.before, run.after, job.gathered.seams, rules, job.unit)
    told = sewing_warnings(run.before, run.after, walks, rules, job.unit, job.desk.registry)
    return replace(run, walks=walks, warnings=(*run.warnings, *told))


def _cut_lines(run: Run) -> dict[str, Curve | None]:
    """Cut lines of the pieces that changed, by title; not those refused: only what is drawn may be refused for it."""
    found: dict[str, Curve | None] = {}
    for old, new in zip(run.before, run.after, strict=True):
        if new is not old:
            with suppress(Refusal):
                found[new.title] = cut_line(new)
    return found


def across_sizes(job: Job, runs: Sequence[Run]) -> tuple[Check, ...]:
    """What only shows when the sizes of a nest are held against each other."""
    return nest_checks([(run.before, run.after, run.measured_before, run.measured_after) for run in runs], job.unit)


def report_of(job: Job, runs: Sequence[Run], *, checks: Iterable[Check] = (), warnings: Iterable[str] = ()) -> Report:
    """The report, with every warning met on the way."""
    every = (*job.gathered.warnings, *job.desk.registry.warnings, *warnings)
    canvases = (drawing.canvas for drawing in job.gathered.sheets.drawings)
    return make_report(canvases, runs, checks=checks, warnings=every)


def adjusted_drawings(
    job: Job,
    runs: Sequence[Run],
    *,
    plan: str = "",
    discard_edits: bool = False,
    going_on: bool = False,
    walked: Sequence[Check] | None = None,
    names_sizes: bool = False,
) -> tuple[tuple[bytes, ...], tuple[str, ...]]:
    """The bytes of each drawing with our layers put in, and warnings; ``plan`` is kept with the measurements.

    With ``walked`` nothing was changed and only the measurements come new: the walks, and these checks; a plan that
    stands in the drawing stays. With ``names_sizes`` a size names itself on its lines although it is alone.
    """
    shown = LAYERS if walked is None else (MEASUREMENTS,)
    written: list[bytes] = []
    warnings: list[str] = []
    for drawing in job.gathered.sheets.drawings:
        stays = kept(drawing, discard_edits=discard_edits)
        scene = _scene(job, drawing, runs, stays, going_on=going_on)
        file = drawing.canvas.file
        walks = walks_for(file, runs, job.gathered.seams, job.unit, every=walked is not None)
        scene = replace(scene, walks=walks, shown=shown, plan=plan, names_sizes=names_sizes)
        if walked is not None:
            told = next((layer.plan for layer in reversed(drawing.own) if layer.plan), None)
            scene = replace(scene, checks=tuple(walked), plan=told or "")
        drawn = draw_layers(scene)
        warnings += [
            f"{piece.where}: no cut line is drawn, since its seam allowance is not known; say it in the convention "
            "(svgfit.toml beside the drawing): "
            f'{spell(("pieces", piece.name, "seam allowance"))} = {{ all = "5/8 in" }}'
            for piece, cut in zip(scene.after, scene.cut_after, strict=True)
            if cut is None and any(edge.allowance is None for edge in piece.edges) and ADJUSTED in shown
        ]
        written.append(splice(drawing, drawn.layers, discard_edits=discard_edits, kinds=shown))
        todo = "it is kept beside the new one; --discard-edits replaces it"
        todo += "" if going_on else ", --from adjusted goes on from it"
        warnings += [
            f'{drawing.canvas.file}: layer "{layer.name}" was edited since svgfit wrote it: {todo}' for layer in stays
        ]
        warnings += drawn.warnings
        warnings += _left_behind(job, drawing, scene) if going_on else ()
    return tuple(written), tuple(warnings)


def _scene(
    job: Job, drawing: Drawing, runs: Sequence[Run], stays: Sequence[OwnLayer], *, going_on: bool = False
) -> Scene:
    """What the annotation of one drawing needs: of its pieces, those that a step worked on (all where none did).

    Where a plan went on from adjusted outlines, those that it left alone too: the new layer takes the old one's place.
    """
    file = drawing.canvas.file
    pairs = [pair for run in runs for pair in zip(run.before, run.after, strict=True) if pair[0].file == file]
    pairs = list({(old.name, old.size): (old, new) for old, new in pairs}.values())
    worked = {step.piece for run in runs for step in run.steps}
    before = _adjusted_before(job, drawing) if going_on else ()
    chosen = [
        (old, new) for old, new in pairs if new is not old or old.title in worked or (old.name, old.size) in before
    ] or pairs
    titles = {old.title for old, _ in chosen}
    cuts = {title: cut for run in runs for title, cut in run.cut_lines.items()}
    convention = job.desk.convention
    names = {
        kind: free_name(drawing, name, discard_edits=not stays)
        for kind, name in (
            (WORKING, convention.working_lines),
            (ADJUSTED, convention.adjusted),
            (MEASUREMENTS, convention.measurements),
        )
    }
    staying = {layer.name for layer in stays}
    drawn_layers = [layer for layer in drawing.layers if layer.ours is None or layer.path[0] in staying]
    return Scene(
        canvas=drawing.canvas,
        before=tuple(old for old, _ in chosen),
        after=tuple(new for _, new in chosen),
        cut_after=tuple(cuts[new.title] if new.title in cuts else cut_line(new) for _, new in chosen),
        rows=tuple(row for run in runs for row in piece_rows(run) if row.file == file),
        openings=tuple(item for run in runs for item in run.openings if item.piece in titles),
        annotations=(
            *(item for run in runs for item in run.annotations if item.piece in titles),
            *(note for old, new in chosen for note in _old_edges(old, new)),
        ),
        checks=tuple(check for run in runs for check in run.checks),
        steps=tuple(step for run in runs for step in run.steps),
        warnings=tuple(text for run in runs for text in run.warnings),
        unit=job.unit,
        names=names,
        occupied=tuple(curve for layer in drawn_layers for shape in layer.shapes for curve in shape.curves),
        occupied_texts=tuple(drawn.text for layer in drawn_layers for drawn in layer.texts),
        taken_ids=drawing.ids.union(*(layer.ids for layer in stays)),
    )


def _adjusted_before(job: Job, drawing: Drawing) -> tuple[tuple[str, str | None], ...]:
    """Names and sizes of the pieces in a drawing's layer of adjusted outlines."""
    found = adjusted_pieces(drawing.canvas.file, drawing.layers, job.desk.convention.rule)
    return tuple((one.name, one.size) for one in found)


def _left_behind(job: Job, drawing: Drawing, scene: Scene) -> Iterable[str]:
    """A warning of adjusted outlines that the new layer does not hold, since their sizes were not chosen."""
    there = {(piece.name, piece.size) for piece in scene.after}
    gone = [
        f"{name} ({size})" if size else name
        for name, size in _adjusted_before(job, drawing)
        if (name, size) not in there
    ]
    if gone:
        yield (
            f"{drawing.canvas.file}: what was adjusted of {', '.join(gone)} is not in the new layer; leave out --size, "
            "or write to another file"
        )


def _old_edges(old: Piece, new: Piece) -> Iterable[Annotation]:
    """The edges that changed, as they were."""
    for before, after in zip(old.edges, new.edges, strict=True):
        if before.curve is not after.curve and not np.array_equal(before.curve.segments, after.curve.segments):
            yield Annotation("old edge", old.title, before.curve)


def failed(report: Report) -> int:
    """The exit status: 1 where a check of the report is ``fail``, else 0."""
    return int(any(check.status == "fail" for check in report.checks))
