"""Walk the sleeves of drawings, and draw what was found into copies of them: what ``svgfit walk`` does."""

from __future__ import annotations

from msgspec import Struct

from svgfit.app.annotating import Annotating, annotate
from svgfit.app.output_paths import output_paths, refuse_same_names
from svgfit.app.session import Session
from svgfit.app.walks import Walked, WalkReport, page_checks, rules_of, walk_report
from svgfit.svg import Output, write_outputs


class WalkedDrawings(Struct, frozen=True):
    """Every walk, its report, and the files written."""

    walked: Walked
    report: WalkReport
    paths: tuple[str, ...]


def walk_drawings(session: Session, style: str | None, output: str | None, *, force: bool = False) -> WalkedDrawings:
    """Walk every sleeve; with ``output`` write copies with the walks drawn in (a file, or a folder for several).

    Raises Refusal for an unknown style, what can't be walked and what can't be written; then nothing is written.
    """
    rules_of(session.convention, session.registry, style)
    if output:
        refuse_same_names(session.files)
    session.check_closed()
    paths = (
        output_paths(session.files, output, inputs=session.inputs, force=force) if output else ()
    )  # behind what else may be wrong
    walked = session.walk(style)
    warnings: tuple[str, ...] = ()
    if output:
        how = Annotating(walked=page_checks(walked))
        sizes = session.unchanged.sizes
        drawn = annotate(session.pattern, session.convention, session.units, sizes, how).spoken_in(session.units)
        warnings = drawn.warnings
        outputs = [Output(path, data) for path, data in zip(paths, drawn.drawings, strict=True)]
        write_outputs(outputs, inputs=session.inputs, force=force, folder=output if len(paths) > 1 else None)
    every = (*session.warnings, *warnings)
    report = walk_report((drawing.canvas for drawing in session.drawings), walked, every)
    return WalkedDrawings(walked, report, paths)
