"""A finished run of a plan on opened drawings: its result in every size, its report, its adjusted drawings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from functools import cached_property
from os import PathLike, fspath
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from svgfit.app.annotating import Annotated, Annotating, annotate
from svgfit.app.nest import nest_checks, sizes
from svgfit.app.open_drawings import DrawingStore, PatternSet, ReadingOptions, Setup
from svgfit.app.ordered_map import for_each
from svgfit.app.origins import Doing, sizes_with_origins, with_origins
from svgfit.app.output_paths import output_paths, refuse_same_names
from svgfit.app.own_checks import measure_garment, own_checks
from svgfit.app.plan_record import earlier_plans, plan_text
from svgfit.app.prepared_steps import files_asked, prepare
from svgfit.app.reporting import make_report
from svgfit.app.run_plan import run_plan
from svgfit.app.side_effects import also_texts
from svgfit.app.step_effects import naming_steps
from svgfit.geometry.curve import Curve
from svgfit.model.checker import Checker, GarmentMeasurer
from svgfit.model.length import Units
from svgfit.model.piece import Piece, Redrawn, is_unchanged, paired
from svgfit.model.plan import Plan, Seam
from svgfit.model.refusal import Refusal, speaking_in
from svgfit.model.report import Check, Report
from svgfit.model.run import SizeRun
from svgfit.model.vocabulary import Status
from svgfit.pattern.cut_line import redrawn_cut
from svgfit.pattern.seam_map import seams_of_size
from svgfit.svg import Output, check_output, write_outputs

if TYPE_CHECKING:
    from svgfit.app.walks import Walked

NO_STEPS = Plan(())


class PatternContext(Struct, frozen=True):
    """Drawings that were understood, how they were read, and in which unit lengths are written."""

    files: tuple[str, ...]
    options: ReadingOptions
    setup: Setup
    units: Units
    pattern: PatternSet


class Run:
    """A finished plan. Nothing in it changes; what it is asked for is worked out once.

    ``sizes`` holds one run for each size of a nest (one in all where there are none), lengths in mm, curves in the
    pieces' frames. ``drawings`` are the adjusted drawings as bytes, ``report`` everything measured, done and proved.
    """

    def __init__(self, context: PatternContext, plan: Plan, sizes: tuple[SizeRun, ...]) -> None:
        """Take over what ``run_sizes`` gave; ``svgfit.Session.run`` is the way to get one."""
        self.context = context
        self.plan = plan
        self.sizes = sizes

    def __repr__(self) -> str:
        """Say the number of steps, pieces and sizes, and whether a check failed."""
        failed = sum(check.status == Status.FAIL for check in self.checks)
        steps, pieces = len(self.plan.steps), len(self.context.pattern.pieces)
        return f"<svgfit.Run: steps {steps}, pieces {pieces}, failed checks {failed}>"

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """The pieces as the plan left them, size by size, each piece once."""
        return tuple({piece.title: piece for run in self.sizes for piece in run.after}.values())

    @cached_property
    def checks(self) -> tuple[Check, ...]:
        """The checks of all sizes, then those that hold the sizes of a nest against each other."""
        return (*(check for run in self.sizes for check in run.checks), *self.across_sizes)

    @cached_property
    def across_sizes(self) -> tuple[Check, ...]:
        """What only shows when the sizes of a nest are held against each other."""
        rows = [(run.before, run.after, run.measured_before, run.measured_after) for run in self.sizes]
        return nest_checks(rows, self.context.units)

    @cached_property
    def own_checks(self) -> tuple[Check, ...]:
        """Plug-ins' checks of what the plan left; with a plan its ``checks`` hold them."""
        context = self.context
        found = [
            own_checks(run.after, run.seams, context.setup.registry.checkers(), context.units) for run in self.sizes
        ]
        return tuple({(one.name, one.message): one for checks in found for one in checks}.values())

    @property
    def failed(self) -> bool:
        """Whether a check failed, or an end that the plan states is not met."""
        return any(check.status == Status.FAIL for check in self.checks)

    @cached_property
    def also(self) -> tuple[str, ...]:
        """What the run as a whole left to be changed elsewhere, in sentences, each once."""
        return also_texts(self.sizes)

    @property
    def drawings(self) -> Mapping[str, bytes]:
        """The bytes of each adjusted drawing, by its path as it was given."""
        return dict(zip(self.context.files, self.annotated().drawings, strict=True))

    @property
    def report(self) -> Report:
        """The report, with every warning met on the way to the drawings."""
        return self.report_with(warnings=self.annotated().warnings)

    @property
    def warnings(self) -> tuple[str, ...]:
        """Everything there is to mind, each thing once."""
        return self.report.warnings

    def report_with(self, *, checks: Iterable[Check] = (), warnings: Iterable[str] = ()) -> Report:
        """Make the report, with further checks and warnings, without drawing anything."""
        pattern = self.context.pattern
        every = (*pattern.warnings, *map(self.context.units.speak, self.context.setup.registry.warnings), *warnings)
        canvases = (drawing.canvas for drawing in pattern.read.drawings)
        return make_report(
            canvases, self.sizes, checks=(*self.across_sizes, *checks), warnings=every, note=self.plan.note
        )

    @cached_property
    def walked(self) -> Walked | None:
        """Every sleeve of every size walked as the plan left it, and what was so before; None for nothing to walk."""
        from svgfit.app.origins import Doing, walked_with_origins

        kept = all(run.seams_as_read for run in self.sizes)
        seams = None if kept else tuple(dict.fromkeys(seam for run in self.sizes for seam in run.seams))
        after = self._walk([run.after for run in self.sizes], seams)
        if after is None or all(run.after == run.before for run in self.sizes):
            return after
        before = self._walk([run.before for run in self.sizes])
        return after if before is None else walked_with_origins(after, before, Doing(units=self.context.units))

    def _walk(self, groups: Sequence[Sequence[Piece]], seams: Sequence[Seam] | None = None) -> Walked | None:
        from svgfit.app.walks import rules_of, walk_all

        context = self.context
        try:
            return walk_all(
                groups,
                context.pattern.seams if seams is None else seams,
                rules_of(context.setup.convention, context.setup.registry, mends=True),
                context.units,
            )
        except Refusal:
            return None

    def annotated(self, *, discard_edits: bool = False, names_sizes: bool = False) -> Annotated:
        """Draw the original, the adjusted pieces and the measurements into each drawing; drawn once for each way.

        With ``discard_edits`` layers of ours that a person has edited are replaced too. With ``names_sizes`` a size
        names itself on its lines although it is alone.
        """
        key = (discard_edits, names_sizes)
        if key not in self._annotated:
            context = self.context
            going_on = context.options.from_adjusted
            before = [(drawing.canvas.file, drawing.svgfit_layers) for drawing in context.pattern.read.drawings]
            earlier = earlier_plans(before) if going_on else ()
            how = Annotating(
                plan=plan_text(self.plan, context.options, earlier, context.setup.registry),
                discard_edits=discard_edits,
                going_on=going_on,
                names_sizes=names_sizes,
                note=self.plan.note,
            )
            with speaking_in(context.units), naming_steps(self.sizes, context.setup.registry):
                drawn = annotate(context.pattern, context.setup.convention, context.units, self.sizes, how)
            self._annotated[key] = drawn.spoken_in(context.units)
        return self._annotated[key]

    @cached_property
    def _annotated(self) -> dict[tuple[bool, bool], Annotated]:
        return {}

    def write(
        self,
        output: str | PathLike[str],
        *,
        report: str | PathLike[str] | None = None,
        force: bool = False,
        discard_edits: bool = False,
    ) -> tuple[str, ...]:
        """Write the drawings as ``svgfit adjust -o`` does, and the report where asked; give back the paths written.

        Args:
            output: the file to write; for several drawings, the folder (made where it is missing).
            report: where the report is written too, as JSON.
            force: whether existing files are replaced.
            discard_edits: whether layers of ours that a person has edited are replaced too.

        Raises:
            Refusal: where a place can't be written to; then nothing is written.
        """
        files = self.context.files
        folder = fspath(output)
        refuse_same_names(files)
        setup = self.context.setup
        others = (*setup.files, *self.plan.files, *files_asked(self.plan, setup.registry))
        paths = output_paths(files, folder, inputs=others, force=force)
        if report is not None:
            check_output(report, inputs=(*files, *others, *paths), force=force)
        annotated = self.annotated(discard_edits=discard_edits)
        outputs = [Output(path, data) for path, data in zip(paths, annotated.drawings, strict=True)]
        if report is not None:
            from svgfit.render.text.report import to_json

            text = to_json(self.report_with(warnings=annotated.warnings))
            outputs.append(Output(report, text.encode()))
        write_outputs(outputs, inputs=(*files, *others), force=force, folder=folder if len(paths) > 1 else None)
        return paths

    def _repr_html_(self) -> str:
        """Show the adjusted drawings in a notebook."""
        from svgfit.app.notebook import run_html
        from svgfit.app.picture import elements_of_other_sizes

        context, report = self.context, self.report
        store = DrawingStore(context.setup, self.drawings)
        read = [store.read(file, context.options.scale) for file in context.files]
        return run_html(
            ((*one, elements_of_other_sizes(*one, context.setup.convention, context.options.size)) for one in read),
            report.pieces,
            report.checks,
            (*report.warnings, *self.also),
            context.units.unit,
        )


def run_sizes(context: PatternContext, plan: Plan, *, cut: bool = False) -> tuple[SizeRun, ...]:
    """Run the plan on each size, side by side; with ``cut`` find the cut lines of what changed too.

    Raises Refusal for a step that can't be done, or that would change a piece drawn once for all sizes of a nest.
    """
    registry = context.setup.registry
    units = context.units
    prepare(plan, registry)
    measurers, checkers = registry.measurers(), registry.checkers() if plan.steps or plan.ends else ()
    garment = registry.garment_measurers()
    groups = sizes(context.pattern.pieces)

    def run_one(group: tuple[Piece, ...]) -> SizeRun:
        seams = seams_of_size(group, context.pattern.seams)
        run = run_plan(group, seams, plan, registry, measurers, units=units)
        run = _with_garment(run, seams, garment)
        run = _with_own_checks(_with_walks(context, run), seams, checkers)
        return _with_cut_lines(run) if cut else run

    done = for_each(run_one, groups, registry)
    spoken = [replace(run, warnings=tuple(map(units.speak, (*run.warnings, *texts)))) for run, texts in done]
    runs = sizes_with_origins(spoken, units)
    if len(groups) > 1:
        _refuse_common_pieces(runs)
    return runs


def _refuse_common_pieces(runs: Sequence[SizeRun]) -> None:
    """Raise Refusal where a run changed a piece that is drawn once for all sizes."""
    for run in runs:
        for old, new in paired(run.before, run.after):
            if old.size is None and new is not old:
                todo = "choose one with --size, or draw the piece once for each"
                raise Refusal(old.where, "is drawn once for all sizes and can't be adjusted for each", todo)


def _with_walks(context: PatternContext, run: SizeRun) -> SizeRun:
    """Add the walks of what the steps changed, and warnings of what they left that can't be sewn as it is.

    Their verdicts name no operation, which would import every one, nor say what was so before: ``Run.walked`` does.
    """
    if not run.steps or is_unchanged(run.before, run.after):
        return run
    from svgfit.app.sewing_warnings import changed_walks, sewing_warnings
    from svgfit.app.walks import rules_of

    units = context.units
    rules = rules_of(context.setup.convention, context.setup.registry)
    walks = changed_walks(run.before, run.after, run.seams, rules, units)
    warnings = sewing_warnings(run.before, run.after, walks, rules, units, context.setup.registry)
    return replace(run, walks=walks, warnings=(*run.warnings, *warnings))


def _with_garment(run: SizeRun, drawn: tuple[Seam, ...], measurers: Sequence[GarmentMeasurer]) -> SizeRun:
    """Add what plug-ins measure across the pieces, before the plan (with the seams as ``drawn``) and after it."""
    if not measurers:
        return run
    before, after = (
        measure_garment(pieces, seams, measurers, run.units)
        for pieces, seams in ((run.before, drawn), (run.after, run.seams))
    )
    return replace(run, garment_before=before, garment_after=after)


def _with_own_checks(run: SizeRun, drawn: tuple[Seam, ...], checkers: Sequence[Checker]) -> SizeRun:
    """Add plug-ins' checks of what the plan left, and say whether each was so before (seams as ``drawn``)."""
    if not checkers:
        return run
    units = run.units
    found = own_checks(run.after, run.seams, checkers, units)
    if not is_unchanged(run.before, run.after):
        was = own_checks(run.before, drawn, checkers, units)
        found = with_origins(found, was, Doing(units=units, tells_before=False))
    return replace(run, checks=(*run.checks, *found))


def _with_cut_lines(run: SizeRun) -> SizeRun:
    """Add the cut lines of the pieces that changed.

    Those that are refused are left out: only what is drawn may be refused for it.
    """
    lines: dict[str, Curve | None] = {}
    redrawn: dict[str, Redrawn] = {}
    for old, new in paired(run.before, run.after):
        if new is not old:
            with suppress(Refusal):
                found = redrawn_cut(new)
                lines[new.title] = None if found is None else found.line
                redrawn |= {} if found is None else {new.title: found}
    return replace(run, cut_lines=lines, redrawn=redrawn)
