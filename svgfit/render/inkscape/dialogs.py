"""The dialogs of the menu, from what operations declare of themselves; one more for a plan, for ends, for a handout.

Pure: the same operations give the same bytes. What a dialog hands over is read by svgfit.cli.inkscape_dialog:
parameters of an operation as ``--step-NAME=``, ends as ``--end-NAME=``, everything else as ``--svgfit-NAME=``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from svgfit.model.length import both_ways_text
from svgfit.model.operation import Operation, Parameter
from svgfit.model.vocabulary import ANY_KIND, ParameterKind, PieceKind
from svgfit.pattern.convention import FILE_NAME, Role, builtin_convention
from svgfit.render.annotate.tables import CAUTIONS
from svgfit.render.inkscape.inx import Dialog, Field, Label, Page, inx
from svgfit.render.inkscape.launcher import LAUNCHER, Start, launcher

STEP, END, PREFIX = "step-", "end-", "svgfit-"
PLAN, ENDS, HANDOUT = "plan", "ends", "handout"
"""What a dialog asks for; else the name of an operation, behind ``do-``."""
DO = "do-"
_UNITS = "in, mm, cm"
_HINTS: dict[str, str] = {
    ParameterKind.LENGTH: f" ({_UNITS})",
    ParameterKind.NUMBER: " (number or %)",
    ParameterKind.EDGES: " (Piece/edge)",
    ParameterKind.TEXT: "",
    ParameterKind.ANGLE: " (deg)",
    ParameterKind.COUNT: " (whole number)",
    ParameterKind.YES_NO: " (yes or no)",
    ParameterKind.EDGE: " (edge)",
    ParameterKind.LANDMARK: " (landmark)",
    ParameterKind.PLACE: " (such as: side seam 4 in)",
    ParameterKind.PLACES: " (such as: hem 2 in + hem 4 in)",
    ParameterKind.PIECES: " (Piece+Piece)",
    ParameterKind.FILE: " (file)",
}
_EXAMPLE = 'such as 1/2 in, 3/8", 12 mm or 1.2 cm; never a number alone'


class Printing(Struct, frozen=True):
    """What a handout can be asked for, by the names that its command knows."""

    papers: tuple[str, ...]
    layers: tuple[str, ...]


def menu_files(
    operations: Iterable[Operation], ends: Sequence[str], printing: Printing, start: Start
) -> dict[str, str]:
    """Write every file of the menu, name to text: a dialog each, and the launcher that all of them call.

    ``ends`` are the names of what a plan may state as an end; ``start`` says how svgfit is called.
    """
    dialogs = [*map(_operation, operations), _plan(), _ends(ends), _handout(printing)]
    files = {f"{dialog.identity}.inx": inx(dialog, LAUNCHER) for dialog in dialogs}
    return {**files, LAUNCHER: launcher(start)}


def title_of(name: str) -> str:
    """Write an operation's name as a menu says it.

    >>> title_of("letter-it")
    'Letter it'
    """
    words = name.replace("-", " ")
    return words[:1].upper() + words[1:]


# -- the dialogs -----------------------------------------------------------------------------------------------------


def _operation(operation: Operation) -> Dialog:
    fields = [_parameter(item) for item in operation.parameters]
    groups = [group for group in operation.one_of if len(group) > 1]
    hints = [Label(f"Fill in one of: {', '.join(group)}.") for group in groups]
    needed = [group[0] for group in operation.one_of if len(group) == 1]
    hints += [Label(f"Must be filled in: {', '.join(needed)}.")] if needed else []
    piece = _piece(operation.kinds) if operation.kinds else ()
    first = Page("step", "Step", (Label(operation.summary), *hints, *piece, *fields, Label(CAUTIONS[0])))
    meanings = Page(
        "meanings",
        "What it means",
        tuple(part for item in operation.parameters for part in (Label(item.name, True), Label(_meaning(item)))),
    )
    pages = (first, *([meanings] if operation.parameters else []), _reading(), _needs())
    fixed = ((f"{PREFIX}ask", f"{DO}{operation.name}"),)
    return Dialog(f"svgfit.{DO}{operation.name}", title_of(operation.name), operation.summary, fixed, pages)


def _plan() -> Dialog:
    tip = "Does all the steps of a plan."
    parts = (
        Label("Does the steps of a plan that was written before, one after another, on the outlines as drawn."),
        Field(f"{PREFIX}plan", "Plan (a .toml file):", "A file of [[step]] tables.", kind="open", ends="toml"),
        Label(CAUTIONS[0]),
    )
    pages = (Page("plan", "Plan", parts), _reading(goes_on=False), _needs())
    return Dialog(f"svgfit.{PLAN}", "Run a plan", tip, ((f"{PREFIX}ask", PLAN),), pages)


def _ends(ends: Sequence[str]) -> Dialog:
    tip = "Brings the sleeve to figures that are given, such as a cap height; the amounts are found."
    fields = (
        Field(f"{END}{name.replace(' ', '-')}", f"{title_of(name)}:", "Left empty: as it comes.") for name in ends
    )
    parts = (
        Label("What the sleeve should measure when all is done; what is left empty is not asked for."),
        *_piece((PieceKind.SLEEVE,)),
        *fields,
        Label(f"Lengths {_EXAMPLE}; a share such as 55%."),
        Label(CAUTIONS[0]),
    )
    pages = (Page("ends", "Ends", parts), _reading(), _needs())
    return Dialog(f"svgfit.{ENDS}", "Reach figures", tip, ((f"{PREFIX}ask", ENDS),), pages)


def _handout(printing: Printing) -> Dialog:
    tip = "Writes a PDF that prints at true size, with a teaching sheet."
    papers = (*((name, name) for name in printing.papers), ("a4+letter", "a4+letter (prints on either)"))
    fields = (
        Field(f"{PREFIX}paper", "Paper:", kind="choice", choices=papers),
        Field(f"{PREFIX}own-paper", "Another paper (--paper):", "Width and height with units, such as 610mmx914mm."),
        Field(
            f"{PREFIX}orientation",
            "Lies:",
            kind="choice",
            choices=(("", "as needs fewer pages"), ("portrait", "portrait"), ("landscape", "landscape")),
        ),
        Label("Print (nothing ticked: what svgfit adjusted, with its measurements; else what is drawn):"),
        *(
            Field(f"{PREFIX}layer-{name}", name.replace("-", " "), value="false", kind="bool")
            for name in printing.layers
        ),
        Field(
            f"{PREFIX}pieces", "Pieces (--pieces):", "Some of them, such as Front,Sleeve; left empty: all that changed."
        ),
        Field(f"{PREFIX}teaching", "With the teaching sheet", value="true", kind="bool"),
        Field(
            f"{PREFIX}mini",
            "Minis of the pieces:",
            kind="choice",
            choices=(("", "none"), ("1/2", "1/2"), ("1/4", "1/4")),
        ),
        Field(
            f"{PREFIX}output", "Save as (-o):", "Left empty: beside the drawing, by its name.", kind="save", ends="pdf"
        ),
        Field(f"{PREFIX}force", "Replace an existing PDF (--force)", value="false", kind="bool"),
        Field(f"{PREFIX}many", "Even where it takes more than 100 pages (--many)", value="false", kind="bool"),
        Label('Print at "actual size", never "fit to page". The drawing stays as it is.'),
    )
    pages = (
        Page("handout", "Handout", fields),
        _reading(goes_on=False, writes=False),
        _needs(),
    )
    return Dialog(f"svgfit.{HANDOUT}", "Handout (PDF)", tip, ((f"{PREFIX}ask", HANDOUT),), pages)


# -- their parts -----------------------------------------------------------------------------------------------------


def _parameter(item: Parameter) -> Field:
    title = f"{item.name}{_HINTS.get(item.kind, '')}:"
    if item.choices:
        return Field(f"{STEP}{item.name}", title, _meaning(item), kind="choice", choices=_choices(item))
    return Field(f"{STEP}{item.name}", title, _meaning(item), item.default or "")


def _choices(item: Parameter) -> tuple[tuple[str, str], ...]:
    """List the words of a parameter, what holds where it is left out first: that is what a dialog begins with."""
    first = item.default if item.default is not None else ""
    words = first or f"left out: {both_ways_text(item.default_text) or 'not asked for'}"
    return ((first, words), *((each, each) for each in item.choices if each != first))


def _meaning(item: Parameter) -> str:
    """Explain a parameter in whole: unit, limits, what is taken where it is left out."""
    text = f"{item.meaning}."
    limits = ((item.minimum, "more"), (item.maximum, "less"))
    bounds = [f"{item.limit_text(limit, least=way == 'more')} or {way}" for limit, way in limits if limit is not None]
    if item.kind == ParameterKind.LENGTH:
        text += f" A length {_EXAMPLE}."
    if bounds:
        text += f" {' and '.join(bounds)}."
    if item.end:
        text += f" The {item.end} is measured again when all is done."
    if item.default is not None or item.default_text:
        text += f" Left empty: {item.default or item.default_text}."
    return both_ways_text(text)


def _piece(kinds: Sequence[str]) -> tuple[Field, ...]:
    what = "Any piece" if ANY_KIND in kinds else f"A {' or '.join(kinds)}"
    meaning = f"{what}, by its name; may be left empty where only one fits."
    return (Field(f"{PREFIX}piece", "piece:", meaning),)


def _reading(*, goes_on: bool = True, writes: bool = True) -> Page:
    """Ask how the drawing is to be read, and how to speak."""
    parts: list[Field | Label] = []
    if goes_on:
        choices = (("on", "what svgfit has done so far"), ("drawn", "the outlines as drawn, without earlier steps"))
        parts.append(Field(f"{PREFIX}start", "Begin with (--from):", kind="choice", choices=choices))
    parts += [
        Field(
            f"{PREFIX}unit",
            "Speak in:",
            kind="choice",
            choices=(("", f"the unit of {FILE_NAME}, else in"), ("in", "in"), ("mm", "mm"), ("cm", "cm")),
        ),
        Field(f"{PREFIX}sizes", "Sizes (--sizes):", "Of a nest, such as 10,12,14; left empty: all."),
        Field(
            f"{PREFIX}scale",
            "Units of the drawing in an inch (--scale):",
            "Only for a drawing that does not say its true size.",
        ),
    ]
    if writes:
        meaning = "Layers of svgfit's that were edited by hand are kept beside the new ones, unless this is ticked."
        parts.append(
            Field(f"{PREFIX}discard-edits", "Replace edited layers (--discard-edits)", meaning, "false", "bool")
        )
    meaning = "What there is to warn of, in a window of its own; in the drawing it stands with the measurements."
    parts.append(Field(f"{PREFIX}tell", "Tell what to mind", meaning, "true", "bool"))
    return Page("drawing", "Drawing", tuple(parts))


def _needs() -> Page:
    """Say which layers a drawing must have, units, and what to mind."""
    convention = builtin_convention()

    def named(role: str) -> str:
        pattern = next(text for text in convention.patterns(role) if "{size}" not in text)
        return f'"{pattern.replace("{piece}", "Sleeve").rstrip("*").strip()}"'

    optional = ", ".join(map(named, ("notches", "grain line", "bicep line", "centre line", "fold line")))
    texts = (
        f"A layer with the closed outline of each piece: {named('stitch line')}, or {named('cut line')} with its "
        f"seam allowance said in {FILE_NAME}. What an armhole decides needs the same of Front and Back.",
        f"Where drawn, these are read too: {optional}, and {named(Role.TEST_SQUARE)} for the scale.",
        f"Layers with other names: say them in a file {FILE_NAME} beside the saved drawing.",
        f"Lengths {_EXAMPLE}.",
        "Where something can't be done, one line says why, and the drawing stays as it was.",
    )
    return Page(
        "needs",
        "What it needs",
        (
            Label("The drawing", True),
            *map(Label, texts),
            Label("Before you cut", True),
            *map(Label, CAUTIONS),
        ),
    )
