"""Run a plan and write its drawings and report: what ``svgfit adjust``, ``watch`` and the editor's dialogs share."""

from __future__ import annotations

from collections.abc import Callable

from msgspec import Struct

from svgfit.app.output_paths import output_paths, refuse_same_names
from svgfit.app.prepared_steps import files_asked
from svgfit.app.run import Run
from svgfit.app.session import Session
from svgfit.model.plan import Plan
from svgfit.model.report import Report
from svgfit.svg import check_output


class Writing(Struct, frozen=True):
    """What is written, and over what."""

    output: str | None = None
    """The file, for several drawings the folder; None: nothing is written."""
    report: str | None = None
    """Where the report is written too."""
    force: bool = False
    """Whether existing files are replaced."""
    discard_edits: bool = False
    """Whether layers of ours that a person has edited are replaced."""


class Adjusted(Struct, frozen=True):
    """A finished run, its report and the files written."""

    run: Run
    report: Report
    paths: tuple[str, ...]
    drawings: tuple[bytes, ...]
    """The bytes of each adjusted drawing, also where nothing was written."""
    redrawn: tuple[str, ...]
    """Where makers' cut lines were drawn anew, a sentence a piece."""


def adjust(session: Session, plan: Callable[[], Plan], writing: Writing) -> Adjusted:
    """Read the plan, run it and write the adjusted drawings.

    What is wrong with the plan is told before a drawing is opened, and what is wrong with a drawing before the places
    to write to, so that none hides another. Raises Refusal; then nothing is written.
    """
    output = writing.output
    if output:
        refuse_same_names(session.files)
    steps = plan()
    session.prepare(steps)
    _ = session.pattern
    inputs = (*session.inputs, *steps.files, *files_asked(steps, session.registry))
    paths = output_paths(session.files, output, inputs=inputs, force=writing.force) if output else ()
    if output and writing.report:
        check_output(writing.report, inputs=(*inputs, *paths), force=writing.force)
    run = session.run(steps)
    annotated = run.annotated(discard_edits=writing.discard_edits)
    if output:
        run.write(output, report=writing.report, force=writing.force, discard_edits=writing.discard_edits)
    report = run.report_with(warnings=annotated.warnings)
    return Adjusted(run, report, paths, annotated.drawings, annotated.redrawn)
