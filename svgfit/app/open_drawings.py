"""From files to pieces: convention, plug-ins, drawings, layers, recognition, seam map. Nothing is written here."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from svgfit.app.ordered_map import for_each
from svgfit.model.dialect import Dialect
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import Refusal
from svgfit.model.wording import closest
from svgfit.pattern.adjusted_layer import rebuild
from svgfit.pattern.assemble import LayerRow, assemble
from svgfit.pattern.convention import (
    TEST_SQUARE,
    Convention,
    builtin_convention,
    find_convention,
    load_convention,
)
from svgfit.pattern.layer_patterns import same
from svgfit.pattern.recognise.choose import recognise
from svgfit.pattern.seam_map import seam_map
from svgfit.plugin.registry import Registry, open_registry
from svgfit.svg import Drawing, read_drawing


class Wishes(Struct, frozen=True):
    """How the files are to be read."""

    scale: float | None = None
    """User units an inch; None: as the drawing says."""
    size: str | None = None
    convention: str | None = None
    """Path of a convention; None: the ``svgfit.toml`` beside the drawings, else the built-in one."""
    plugins: tuple[str, ...] = ()
    """Folders of plug-ins."""
    without: tuple[str, ...] = ()
    """Plug-ins that are switched off."""
    from_adjusted: bool = False
    to_stderr: bool = False
    """What plug-ins print goes to stderr: for a program that has its process, and its stdout, to itself."""


class Desk(Struct, frozen=True):
    """What holds for all drawings of a run: convention and plug-ins."""

    convention: Convention
    registry: Registry


class Sheets(Struct, frozen=True):
    """The drawings as read, their layers sorted, nothing recognised yet."""

    drawings: tuple[Drawing, ...]
    layers: tuple[LayerRow, ...]
    drawn: tuple[DrawnPiece, ...]
    warnings: tuple[str, ...]


class Gathered(Struct, frozen=True):
    """The pieces of all drawings and their seams."""

    sheets: Sheets
    pieces: tuple[Piece, ...]
    seams: tuple[Seam, ...]
    warnings: tuple[str, ...]


def lay_out(files: Sequence[str], wishes: Wishes) -> Desk:
    """Convention and plug-ins for these files. Raises Refusal where a convention or a plug-in folder can't be read."""
    if wishes.convention is not None:
        convention = load_convention(wishes.convention)
    else:
        beside = find_convention(files)
        convention = load_convention(beside, found=True) if beside else builtin_convention()
    folders = (*wishes.plugins, convention.plugins) if convention.plugins else wishes.plugins
    return Desk(convention, open_registry(folders, without=wishes.without, to_stderr=wishes.to_stderr))


def read_sheets(files: Sequence[str], desk: Desk, wishes: Wishes) -> Sheets:
    """The drawings and their layers by role. Raises Refusal for what can't be read."""
    warnings = list(desk.convention.warnings)
    dialects = desk.registry.dialects()
    drawings = tuple(_read(file, desk, dialects, wishes) for file in files)
    sheets = [(drawing.canvas.file, drawing.layers) for drawing in drawings]
    assembled = assemble(sheets, desk.convention, size=wishes.size, from_adjusted=wishes.from_adjusted)
    for drawing in drawings:
        warnings += drawing.warnings
    return Sheets(drawings, assembled.layers, assembled.pieces, (*warnings, *assembled.warnings))


def read_one(file: str, desk: Desk, wishes: Wishes) -> Drawing:
    """A drawing by itself, whatever is in it: no piece is looked for. Raises Refusal where it can't be read."""
    return _read(file, desk, desk.registry.dialects(), wishes)


def recognise_all(sheets: Sheets, desk: Desk) -> Gathered:
    """The pieces, each known for what it is, and what is sewn to what. Raises Refusal where one can't be told."""
    recognisers = desk.registry.recognisers()

    def known(drawn: DrawnPiece) -> Piece:
        return rebuild(drawn) or recognise(drawn, recognisers)

    pieces = tuple(piece for piece, _ in for_each(known, sheets.drawn, desk.registry))
    _refuse_doubles(pieces)
    seams = seam_map(pieces, desk.convention)
    doubtful = doubtful_rules(pieces, desk.convention)
    return Gathered(sheets, pieces, seams.seams, (*sheets.warnings, *doubtful, *seams.warnings))


def left_unread(sheets: Sheets, wishes: Wishes) -> tuple[str, ...]:
    """Warnings of drawings whose adjusted outlines, written by an earlier run, are not looked at."""
    if wishes.from_adjusted:
        return ()
    return tuple(
        f"{drawing.canvas.file}: it holds outlines that svgfit adjusted before, but the drawn ones are looked at; "
        "--from adjusted looks at the adjusted ones"
        for drawing in sheets.drawings
        if any(layer.kind == "adjusted" for layer in drawing.own)
    )


def doubtful_rules(pieces: Sequence[Piece], convention: Convention) -> tuple[str, ...]:
    """Warnings of what the convention says of pieces or edges that are not there but nearly so: a slip, most likely."""
    found: list[str] = []
    names = [piece.name for piece in pieces]
    for rule in convention.pieces:
        own = [piece for piece in pieces if same(piece.name) == same(rule.name)]
        near = None if own else closest(same(rule.name), map(same, names), 0.8)
        if near:
            meant = next(name for name in names if same(name) == near)
            found.append(f"the convention speaks of a piece {rule.name!r}, which is not here; is {meant} meant?")
        for piece in own:
            edges = [edge.name for edge in piece.edges]
            for edge in rule.allowances:
                if edge != "all" and not any(name == edge or name.startswith(f"{edge} ") for name in edges):
                    found.append(
                        f"the convention gives {piece.name} a seam allowance for {edge!r}, which is no edge of it; "
                        f"its edges are {', '.join(edges)}"
                    )
    return tuple(found)


def _read(file: str, desk: Desk, dialects: Sequence[Dialect], wishes: Wishes) -> Drawing:
    def is_test_square(path: tuple[str, ...]) -> bool:
        role = desk.convention.role_of(path)
        return role is not None and role.role == TEST_SQUARE

    return read_drawing(
        file,
        scale=wishes.scale,
        dialects=dialects,
        is_test_square=is_test_square,
        test_square_mm=desk.convention.test_square_size,
    )


def _refuse_doubles(pieces: Sequence[Piece]) -> None:
    seen: dict[tuple[str, str | None], Piece] = {}
    for piece in pieces:
        other = seen.setdefault((piece.name.casefold(), piece.size), piece)
        if other is not piece:
            what = f"piece {piece.title} is there twice, in {other.file} and in {piece.file}"
            raise Refusal("", what, "give one drawing only, or rename the layers of one")
