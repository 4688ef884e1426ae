"""What a dialog of the menu asks for: its values and the drawing in, the new drawing to stdout.

The drawing arrives as a passing file of the vector program. It is worked on in a folder of its own under its real name,
with the real drawing's svgfit.toml beside it, so that everything is found and told as on the command line.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from collections.abc import Callable, Generator, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING

from svgfit.cli.options import DrawingOptions, PluginOptions, read_scale
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import Status
from svgfit.render.inkscape.dialogs import DO, END, ENDS, HANDOUT, PLAN, PREFIX, STEP

if TYPE_CHECKING:
    from svgfit.app.session import Session
    from svgfit.model.plan import Plan, Step
    from svgfit.model.report import Report

_REAL = "DOCUMENT_PATH"
"""Environment variable in which Inkscape hands over the real drawing's path; empty where it was never saved."""
_HERE = "drawing.svg"
"""Name of a drawing that was never saved."""


def called(words: Sequence[str], shared: PluginOptions) -> int:
    """Do what a dialog asks for; 0 where a drawing is given back or the handout is written. Raises Refusal else."""
    if not words or words[-1].startswith("--") or not os.path.isfile(words[-1]):
        raise Refusal("", "no drawing came with the call", "use the menu in the vector program, or svgfit adjust")
    values = _values(words[:-1])
    drawing = _reading(values, shared)
    asked = values.get(f"{PREFIX}ask", "")
    real = os.environ.get(_REAL) or None
    with _aside(words[-1], real) as name:
        if asked == HANDOUT:
            return _handout(name, real, values, drawing)
        plan = _plan(asked, values, real)
        return _adjust(name, plan, values, drawing)


def _values(words: Sequence[str]) -> dict[str, str]:
    """Read what was filled in, without what was left empty. What the vector program adds itself bears other names."""
    found: dict[str, str] = {}
    for word in words:
        name, _, value = word.removeprefix("--").partition("=")
        if value.strip() and name.startswith((PREFIX, STEP, END)):
            found[name] = value.strip()
    return found


def _reading(values: Mapping[str, str], shared: PluginOptions) -> DrawingOptions:
    """Read how every command on drawings is to read them."""
    scale = values.get(f"{PREFIX}scale")
    return DrawingOptions(
        scale=read_scale(scale) if scale is not None else None,
        sizes=values.get(f"{PREFIX}sizes"),
        unit=values.get(f"{PREFIX}unit"),
        shared=shared._replace(quiet=not _ticked(values, "tell")),
    )


def _ticked(values: Mapping[str, str], name: str) -> bool:
    return values.get(f"{PREFIX}{name}", "false").casefold() in ("true", "1")


@contextmanager
def _aside(drawing: str, real: str | None) -> Generator[str, None, None]:
    """Go into a folder with a copy of the drawing and of the convention beside the real one."""
    from svgfit.pattern.convention import FILE_NAME

    name = _plain(os.path.basename(real)) if real else _HERE
    before = os.getcwd()
    with tempfile.TemporaryDirectory(prefix="svgfit-") as folder:
        shutil.copyfile(drawing, os.path.join(folder, name))
        beside = os.path.join(os.path.dirname(real), FILE_NAME) if real else ""
        if os.path.isfile(beside):
            shutil.copyfile(beside, os.path.join(folder, FILE_NAME))
        os.chdir(folder)
        try:
            yield name
        finally:
            os.chdir(before)


def _plain(name: str) -> str:
    """Take the drawing's name; one that would be taken for an option or for the convention is changed."""
    stem, end = os.path.splitext(name)
    end = end if end.casefold() in (".svg", ".svgz") else ".svg"
    return f"{stem.lstrip('-') or 'drawing'}{end}"


# -- adjusting -------------------------------------------------------------------------------------------------------


def _plan(asked: str, values: Mapping[str, str], real: str | None) -> Callable[[], Plan]:
    """Make what reads the plan that is asked for, when it is its turn."""
    from svgfit.model.plan import Plan, Step

    piece = values.get(f"{PREFIX}piece")
    if asked == PLAN:
        path = values.get(f"{PREFIX}plan")
        if path is None:
            raise Refusal("", "no plan is chosen", "choose a plan, a .toml file of [[step]] tables")
        return lambda: Plan.read(os.path.join(os.path.dirname(real or ""), path))
    if asked == ENDS:
        step = Step(ENDS, piece, _under(values, END), "--ends 1")
        return lambda: Plan((), "--do", (step,))
    if asked.startswith(DO):
        step = Step(asked.removeprefix(DO), piece, _under(values, STEP), "--do 1")
        return lambda: Plan((step,), "--do")
    raise Refusal("", f"the menu asks for {asked!r}, which this svgfit does not know", "run svgfit editor-menu again")


def _under(values: Mapping[str, str], start: str) -> tuple[tuple[str, str], ...]:
    return tuple((name.removeprefix(start), value) for name, value in values.items() if name.startswith(start))


def _adjust(name: str, plan: Callable[[], Plan], values: Mapping[str, str], drawing: DrawingOptions) -> int:
    from svgfit.app.adjust import Writing, adjust
    from svgfit.cli.console import warn

    session = drawing.session((name,))
    earlier: tuple[Step, ...] = ()
    if values.get(f"{PREFIX}start") == "on":
        earlier, session = _so_far(session, name, values)
    done = adjust(session, lambda: _after(earlier, plan()), Writing(discard_edits=_ticked(values, "discard-edits")))
    warn((*done.report.warnings, *_failed(done.report)), quiet=drawing.quiet)
    try:
        sys.stdout.buffer.write(done.drawings[0])
        sys.stdout.flush()
    except OSError as fault:
        raise Refusal(
            "", f"the drawing can't be given back ({fault.strerror or fault})", "make room, and try again"
        ) from None
    return 0


def _failed(report: Report) -> Iterator[str]:
    for check in report.checks:
        if check.status == Status.FAIL:
            yield f"{check.title} failed: {check.message}"


def _so_far(session: Session, name: str, values: Mapping[str, str]) -> tuple[tuple[Step, ...], Session]:
    """Find how to go on from what svgfit did before: the steps to do first, and the session to do them in.

    Its plan stands in the drawing; done again with the new step behind it, the handout can show all of them. Where
    that does not give the outlines as they are now, these are taken instead.
    """
    from svgfit.app.plan_record import recorded_plan

    layers = session.svgfit_layers(name)
    if not any(layer.kind == "adjusted" for layer in layers):
        return (), session
    found, _ = recorded_plan([(name, layers)])
    edited = any(layer.edited for layer in layers if layer.kind == "adjusted")
    same = found is not None and found.size == values.get(f"{PREFIX}sizes") and found.scale is None
    if found is None or not same or edited or found.from_adjusted or found.plan.ends:
        return (), session.looking_at(adjusted=True)
    return found.plan.steps, session


def _after(earlier: tuple[Step, ...], plan: Plan) -> Plan:
    from msgspec.structs import replace

    return replace(plan, steps=(*earlier, *plan.steps)) if earlier else plan


# -- the handout -----------------------------------------------------------------------------------------------------


def _handout(name: str, real: str | None, values: Mapping[str, str], drawing: DrawingOptions) -> int:
    from svgfit.app.handout import HandoutOptions
    from svgfit.cli.console import note, warn
    from svgfit.cli.handout import write_handout
    from svgfit.render.layer_selection import PARTS
    from svgfit.svg import check_output

    output = values.get(f"{PREFIX}output")
    if output is None:
        if real is None:
            raise Refusal("", "the drawing was never saved", "save it first, or say where the PDF is to be saved")
        output = f"{os.path.splitext(real)[0]}.pdf"
    output = os.path.join(os.path.dirname(real or ""), output)
    if not output.casefold().endswith(".pdf"):
        output += ".pdf"
    force = _ticked(values, "force")
    check_output(output, inputs=(real,) if real else (), force=force)
    layers = [layer for layer in PARTS if _ticked(values, f"layer-{layer}")]
    options = HandoutOptions(
        paper=values.get(f"{PREFIX}own-paper") or values.get(f"{PREFIX}paper") or "a4",
        orientation=values.get(f"{PREFIX}orientation"),
        layers=",".join(layers) or None,
        pieces=values.get(f"{PREFIX}pieces"),
        size=drawing.sizes,
        many=_ticked(values, "many"),
    )
    teaching, mini = _ticked(values, "teaching"), values.get(f"{PREFIX}mini")
    lines, warnings = write_handout((name,), output, options, drawing, teaching=teaching, mini=mini, force=force)
    warn(warnings, quiet=drawing.quiet)
    if not drawing.quiet:
        note(lines)
    return 0
