"""Pictures of a drawing: a PNG, and an HTML page that tells what was measured as drawn and as adjusted."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from svgfit.app.origins import ADJUSTING, Doing, walked_with_origins, with_origins
from svgfit.app.own_rules import seam_limits
from svgfit.app.replay import replay
from svgfit.app.run import Run
from svgfit.app.seam_checks import seam_checks
from svgfit.app.session import Session
from svgfit.app.verdicts import WRITTEN, Verdicts, verdicts_of, written_failure
from svgfit.app.walks import Walked
from svgfit.geometry.box import Box
from svgfit.model.dialect import Element
from svgfit.model.drawing import Layer
from svgfit.model.refusal import Refusal
from svgfit.model.report import WHOLE, Check, Measurement, PieceRow
from svgfit.model.run import SizeRun, measurement_rows
from svgfit.model.walk import Walk
from svgfit.pattern.convention import Convention
from svgfit.render.annotate.scene import ADJUSTED, MEASUREMENTS
from svgfit.render.html.page import Page, html
from svgfit.render.html.sheet import box_of, chosen_parts, sheet, window_of
from svgfit.svg import Drawing, Tree

_ACROSS = 1600
"""Pixels across that a layer's picture says it has; it is drawn as large as it is shown."""


class View(Struct, frozen=True):
    """What a picture shows of a session's one drawing."""

    drawing: Drawing
    tree: Tree
    left_out: frozenset[Element] = frozenset()
    """What of it belongs to sizes that the session does not look at."""
    without_lists: bool = False
    """Whether our tables and lists are among that."""

    def notes(self, parts: Sequence[str]) -> tuple[str, ...]:
        """Say what is missing of the parts that are shown."""
        if not self.without_lists or MEASUREMENTS not in parts:
            return ()
        file = self.drawing.canvas.file
        what = (
            "its tables and lists are not shown, since they hold other sizes too and can't be drawn again for this one"
        )
        return (f"{file}: {what}; adjust the drawing with this --size alone",)


class Findings(Struct, frozen=True):
    """What was measured and found."""

    rows: tuple[PieceRow, ...] = ()
    walks: tuple[Walk, ...] = ()
    checks: tuple[Check, ...] = ()
    own: tuple[Check, ...] = ()
    """Those of plug-ins."""
    boxes: tuple[tuple[str, Box], ...] = ()
    notes: tuple[str, ...] = ()


def check_layers(session: Session, layers: str | None) -> None:
    """Raise Refusal for layers that a session's one drawing does not have."""
    chosen_parts(session.only_drawing[0], layers)


def picture_png(
    session: Session, *, layers: str | None = None, width: int | None = None, dpi: float | None = None
) -> bytes:
    """Draw a session's one drawing on white, as a PNG.

    Args:
        session: one with one drawing.
        layers: which of original, adjusted, measurements and working-lines are shown, such as "original,adjusted";
            None: all there are.
        width: pixels across; None: 1600.
        dpi: pixels an inch, in place of ``width``: the picture then prints true to size.

    Raises:
        Refusal: for layers that are not there, and a picture without pixels or with far too many.
    """
    from svgfit.render.png import png  # here because the page needs none

    view = session.once(_view)
    parts = chosen_parts(view.drawing, layers)
    return png(view.drawing, view.tree.root, parts, width=width, dpi=dpi, left_out=view.left_out)


def picture_notes(session: Session, *, layers: str | None = None) -> tuple[str, ...]:
    """Say what of a session's one drawing a picture can't show; ``layers`` as for ``picture_png``."""
    view = session.once(_view)
    return view.notes(chosen_parts(view.drawing, layers))


def picture_html(session: Session, *, layers: str | None = None) -> str:
    """Write an HTML page, complete in itself, for a session's one drawing.

    What keeps its pieces from being measured becomes a note on it. ``layers`` as for ``picture_png``.

    Raises:
        Refusal: for layers that are not there.
    """
    view = session.once(_view)
    drawing, root = view.drawing, view.tree.root
    (file,) = session.files
    parts = chosen_parts(drawing, layers)
    try:
        drawn = _measured(session)
        adjusted = _measured(session.looking_at(adjusted=True)) if ADJUSTED in parts else None
        found = _findings(drawing.layers, drawn, adjusted)
        found = replace(found, notes=(*found.notes, *session.guesses()))
    except Refusal as refusal:
        found = Findings(notes=(f"Nothing was measured: {refusal.line(session.units)}.",))
    plan = _plan_verdicts(session, file)
    proved = {check.name for check in plan.checks}
    window, left_out = window_of(drawing, parts), view.left_out
    down = max(1, round(_ACROSS * window.height / window.width))
    notes = dict.fromkeys((*found.notes, *view.notes(parts), *drawing.warnings, *plan.warnings))
    return html(
        Page(
            title=os.path.basename(file),
            window=window,
            sheets=tuple((part, sheet(drawing, root, (part,), window, _ACROSS, down, left_out)) for part in parts),
            units=session.units,
            boxes=found.boxes,
            rows=found.rows,
            walks=found.walks,
            checks=(*found.checks, *(check for check in found.own if check.name not in proved)),
            plan=plan.checks,
            also=plan.also,
            says=tuple(note.replace(file, os.path.basename(file)) for note in plan.says),
            # Pages are sent to others: they need not know in whose folder the drawing lay.
            notes=tuple(note.replace(file, os.path.basename(file)) for note in notes),
        )
    )


def _view(session: Session) -> View:
    """Choose what is shown: where some sizes of a nest are looked at, with our layers as they are for these alone.

    Where these can't be had, what our layers have of other sizes is left out, with all tables and lists if they hold
    such.
    """
    drawing, tree = session.only_drawing
    size, convention = session.options.size, session.convention
    if size is None:
        return View(drawing, tree)
    from svgfit.app.nest_redraw import redrawn_drawing  # here because few drawings are nests
    from svgfit.render.pdf.choosing import Wanted, lists_of_other_sizes, printable

    wanted = Wanted(size=size)
    left_out = elements_of_other_sizes(drawing, tree, convention, size)
    if not lists_of_other_sizes(printable(drawing, tree, convention), wanted):
        return View(drawing, tree, left_out)
    file = session.files[0]
    data = redrawn_drawing(session, file)
    if data is None:
        return View(drawing, tree, left_out, without_lists=True)
    drawing, tree = session.on_bytes({file: data}, session.options).only_drawing
    return View(drawing, tree, elements_of_other_sizes(drawing, tree, convention, size))


def elements_of_other_sizes(
    drawing: Drawing, tree: Tree, convention: Convention, size: str | None
) -> frozenset[Element]:
    """Collect what of a drawing belongs to other sizes than those of ``size``; nothing where that is None."""
    if size is None:
        return frozenset()
    from svgfit.render.pdf.choosing import Wanted, of_other_sizes, printable  # here because few drawings are nests

    return of_other_sizes(printable(drawing, tree, convention), Wanted(size=size))


def _plan_verdicts(session: Session, file: str) -> Verdicts:
    """Collect what the plan in the drawing proved, run again on what was drawn; a note where it can't be run again.

    Then whether a check failed is told by what is written in the drawing.
    """
    if not any(layer.plan for layer in session.svgfit_layers(file)):
        return Verdicts()
    try:
        found = verdicts_of(session.once(replay), walks=False)
    except Refusal as refusal:
        found = Verdicts(warnings=(f"The checks of its plan can't be done again: {refusal.line(session.units)}.",))
    if not found.checks and written_failure(session.drawing(file).layers):
        return replace(found, checks=(WRITTEN,))
    return found


def _measured(session: Session) -> Run:
    session.check_closed()
    return session.unchanged


def _findings(layers: Sequence[Layer], drawn: Run, adjusted: Run | None) -> Findings:
    """Put figures before and after side by side, and walk the seams as they are now."""
    rows: list[PieceRow] = []
    last = adjusted or drawn
    figures = [{key: found for size in run.sizes for key, found in _figures(size)} for run in (drawn, last)]
    pieces = {piece.key: piece for run in (drawn, last) for size in run.sizes for piece in size.before}
    gone = [piece for key, piece in pieces.items() if key not in figures[1]]
    for key, piece in pieces.items():
        if key in figures[1]:
            now = figures[1][key] if adjusted else ()
            found = measurement_rows(figures[0].get(key, ()), now)
            rows.append(PieceRow(piece.file, piece.name, piece.kind, piece.size, found))
    was = {size.size: size.garment_before for size in drawn.sizes}
    for size in last.sizes:
        before, after_all = was.get(size.size, ()), size.garment_before if adjusted else ()
        rows += [PieceRow("", WHOLE, WHOLE, size.size, measurement_rows(before, after_all))] if before else []
    boxes = [
        (piece.title, box)
        for size in last.sizes
        for piece in size.before
        if (box := box_of(layers, piece.name, piece.size)) is not None
    ]
    walks, checks = _walked(last, drawn if adjusted is not None else None)
    own = _own_checks(last, drawn if adjusted is not None else None)
    said = "is no piece of the pattern any more: the plan dropped it; only the layer as drawn shows it"
    notes = tuple(dict.fromkeys(f"{piece.title} {said}." for piece in gone))
    return Findings(tuple(dict.fromkeys(rows)), walks, checks, own, tuple(dict.fromkeys(boxes)), notes)


def _figures(run: SizeRun) -> Iterable[tuple[tuple[str, str, str | None], tuple[Measurement, ...]]]:
    """Give what was measured of each piece, by its key."""
    return ((piece.key, run.measured_before.get(piece.title, ())) for piece in run.before)


def _walked(run: Run, drawn: Run | None) -> tuple[tuple[Walk, ...], tuple[Check, ...]]:
    """Give walks of the sleeves and the checks beside them; where there is nothing to walk, seam against seam.

    Where ``run`` holds what was adjusted, ``drawn`` holds what it was before.
    """
    units = run.context.units
    found = run.walked or Walked((), _seam_checks(run))
    if drawn is not None:
        was = drawn.walked or Walked((), _seam_checks(drawn))
        found = walked_with_origins(found, was, Doing(ADJUSTING, units))
    return found.walks, found.checks


def _own_checks(run: Run, drawn: Run | None) -> tuple[Check, ...]:
    """Do plug-ins' own checks, and say of each whether it was so before the adjusting."""
    if drawn is None:
        return run.own_checks
    return with_origins(run.own_checks, drawn.own_checks, Doing(ADJUSTING, run.context.units))


def _seam_checks(run: Run) -> tuple[Check, ...]:
    setup = run.context.setup
    limits = seam_limits(setup.convention, setup.registry)
    found = [
        check
        for size in run.sizes
        for check in seam_checks(
            size.after, size.seams, run.context.units, tolerance=limits.careful, workable=limits.workable
        )
    ]
    return tuple({(check.name, check.message): check for check in found}.values())
