"""Whether what a plug-in's function gave back can be used: outcomes, pieces, figures, facts of layers, drawings.

Each function gives back the record to go on with, and raises Unusable with what is wrong, in one line. Whatever
crosses the border from a plug-in passes here, svgfit's own plug-ins' results too.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from msgspec import UNSET
from msgspec.structs import replace

from svgfit.geometry.box import boxes_overlap
from svgfit.geometry.curve import Curve
from svgfit.geometry.intersect import outline_crossing
from svgfit.model.dialect import LayerFacts
from svgfit.model.file_format import Converted
from svgfit.model.line_kind import LineKind
from svgfit.model.operation import Movement, Outcome
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam, spell_edges
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import Refusal
from svgfit.model.report import Annotation, Check, Measurement, Opening
from svgfit.model.vocabulary import AnnotationKind, Figure, MeasureUnit, PieceKind, Status
from svgfit.pattern.layer_patterns import name_key
from svgfit.plugin.guard import Unusable
from svgfit.plugin.sound_pieces import (
    check_piece,
    is_rigid,
    left_behind,
    number,
    point,
    several,
    text,
    what_is,
)

OwnLines = Callable[[], Sequence[LineKind]]
"""Gives the kinds of annotation lines that plug-ins supply."""
UnitsOfFigures = Callable[[tuple[Piece, ...]], Mapping[str, str]]
"""Gives the unit of every figure that is measured on these pieces, by its name."""

_UNITS_MEANT = {
    **dict.fromkeys(("cm2", "cm²", "m2", "m²", "mm²", "in2", "in²", "sqin", "sqcm"), "an area goes in mm2"),
    **dict.fromkeys(("cm", "m", "in", "inch", "inches", '"'), "a length goes in mm"),
    **dict.fromkeys(("rad", "radians", "°", "degree", "degrees"), "an angle goes in deg"),
    **dict.fromkeys(("%", "percent"), "a part of something goes in share, 1 for all of it"),
    "": "a count or a ratio is a number",
}
"""What was most likely meant, by units that are none here."""

# -- figures -----------------------------------------------------------------------------------------------------------


def measurement(found: object) -> Measurement:
    """Return a figure, its value a float; its name, number and unit must be what a table can show."""
    if not isinstance(found, Measurement):
        raise Unusable(f"measure gives back {what_is(found)}, not only Measurement records")
    name = text(found.name, "the name of a measurement")
    value = number(found.value, f"measurement {name!r}")
    if found.unit not in tuple(MeasureUnit):
        hint = _UNITS_MEANT.get(str(found.unit).casefold().replace(" ", "").rstrip("."), "")
        hint = f": {hint}" if hint else ""
        raise Unusable(f"measurement {name!r} is in {found.unit!r}, not one of {', '.join(MeasureUnit)}{hint}")
    return Measurement(name, value, MeasureUnit(found.unit))


def measured(found: Any) -> tuple[tuple[Measurement, ...], tuple[str, ...]]:
    """Return the figures that can be used, and for each that can't why; raise Unusable where it is no list at all."""
    if isinstance(found, (str, bytes, Measurement)) or not hasattr(found, "__iter__"):
        raise Unusable(f"measure gives back {what_is(found)}, not a list of Measurement records")
    good: list[Measurement] = []
    bad: list[str] = []
    for item in found:
        try:
            good.append(measurement(item))
        except Unusable as fault:
            bad.append(f"{fault}; that figure is left out")
    return tuple(good), tuple(bad)


def checked(found: Any) -> tuple[Check, ...]:
    """Return the verdicts of a checker, none of them said to come from anywhere; raise Unusable where one is none."""
    if found is None or isinstance(found, Check):
        raise Unusable(f"check gives back {what_is(found)}, not a list of Check records")
    verdicts = several(found, Check, "what check gives back")
    for verdict in verdicts:
        _check_check(verdict)
    return tuple(replace(verdict, origin=UNSET, values=dict(verdict.values)) for verdict in verdicts)


def own_figures() -> dict[str, str]:
    """Give the units of the figures that svgfit measures itself, by name."""
    from svgfit.fitting.measure import MEASURED_EDGES  # here because only what says no unit is looked up

    units: dict[str, str] = {str(name): MeasureUnit.MM for name in (*Figure, *MEASURED_EDGES)}
    units[Figure.UNDERARM_CORNER] = MeasureUnit.DEG
    return units


def _got(found: Any, pieces: tuple[Piece, ...], units_of: UnitsOfFigures) -> tuple[tuple[Measurement, ...], list[str]]:
    """Return what was got as measurements, and the names of those of which nobody says the unit."""
    given: Any = found
    if isinstance(given, (str, bytes)) or not hasattr(given, "__iter__"):
        raise Unusable(f"got is {what_is(given)}, not a tuple of Measurement records")
    known: dict[str, str] = {}
    good: list[Measurement] = []
    unsaid: list[str] = []
    for item in found:
        if isinstance(item, Measurement):
            good.append(measurement(item))
            continue
        if isinstance(item, str) or not hasattr(item, "__len__") or len(item) != 2:
            raise Unusable(f"got holds {what_is(item)}, not only Measurement records, or names with numbers")
        name = text(item[0], "the name of what was got")
        value = number(item[1], f"got {name!r}")
        known = known or own_figures()
        if name not in known:
            known = {**units_of(pieces), **known}
        if name not in known:
            unsaid.append(name)
        good.append(Measurement(name, value, known.get(name, MeasureUnit.NUMBER)))
    return tuple(good), unsaid


# -- outcomes ----------------------------------------------------------------------------------------------------------


def outcome(
    found: Any, pieces: tuple[Piece, ...], units_of: UnitsOfFigures, who: str, own_lines: OwnLines = tuple
) -> Outcome:
    """Check what an operation gave back for these pieces; ``got`` becomes measurements, each with its unit.

    A name in ``got`` without a unit, that is no figure of the pieces, is written as a plain number, with a warning that
    names ``who``, the plug-in. ``own_lines`` gives the kinds of lines that plug-ins supply; it is asked only where an
    annotation is of none of svgfit's.
    """
    if isinstance(found, Refusal):
        raise Unusable("run gives back a refusal, which does nothing: write raise job.refuse(…)")
    if found is None:
        raise Unusable("run gives back nothing, not an Outcome: perhaps a return is missing")
    if not isinstance(found, Outcome):
        raise Unusable(f"run gives back {what_is(found)}, not an Outcome")
    after = _sorted(several(found.pieces, Piece, "the pieces that run gives back"), found.dropped, pieces)
    known = {piece.key: piece for piece in pieces}
    behind: list[str] = []
    for new in after:
        old = known.get(new.key)
        if old is None:
            check_piece(new)
            behind += _on_another(new, after)
        elif new is not old:
            check_piece(new, old)
            behind += left_behind(new, old)
    every = (*pieces, *after)
    openings = several(found.openings, Opening, "openings")
    for each in openings:
        _check_opening(each, every)
    annotations = several(found.annotations, Annotation, "annotations")
    for each in annotations:
        _check_annotation(each, every)
    annotations = _with_lines(annotations, own_lines)
    checks = several(found.checks, Check, "checks")
    for each in checks:
        _check_check(each)
    moved = several(found.moved, Movement, "moved parts")
    for each in moved:
        _check_movement(each, pieces)
    warnings = (*several(found.warnings, str, "warnings"), *(f"{who}: {words}" for words in behind))
    seams = several(found.seams, Seam, "seams")
    for each in seams:
        _check_seam(each, after)
    got, unsaid = _got(found.got, after, units_of)
    for name in unsaid:
        todo = f'write Measurement({name!r}, value, "{MeasureUnit.MM}") with its own unit'
        warnings = (*warnings, f"{who}: got {name!r} says no unit and is shown as a plain number; {todo}")
    return replace(
        found,
        pieces=after,
        got=got,
        openings=openings,
        annotations=annotations,
        checks=checks,
        warnings=warnings,
        moved=moved,
        dropped=several(found.dropped, str, "dropped pieces"),
        seams=seams,
    )


def _sorted(after: tuple[Piece, ...], dropped: Any, before: tuple[Piece, ...]) -> tuple[Piece, ...]:
    """Return the pieces in the job's order, new ones behind; raise Unusable where one is missing, twice, or strange."""
    gone = several(dropped, str, "dropped pieces")
    for name in gone:
        piece = _piece_named(name, before, "dropped")
        if piece.key in {one.key for one in after}:
            raise Unusable(f"run drops {name!r} and gives it back")
    keys = [piece.key for piece in after]
    for piece in before:
        if piece.key not in keys and piece.title not in gone and piece.name not in gone:
            what = f"run must give back all pieces of the job, and {piece.title!r} is missing"
            raise Unusable(f"{what}; where it is to go, name it in dropped")
    if not after:
        raise Unusable("run drops every piece")
    files, sizes = {piece.file for piece in before}, {piece.size for piece in before}
    known = {piece.key for piece in before}
    for piece in after:
        if keys.count(piece.key) > 1:
            raise Unusable(f"run gives back {piece.title!r} twice")
        if piece.key not in known and (piece.file not in files or piece.size not in sizes):
            what = f"the new piece {piece.name!r} is of {piece.file!r} and size {piece.size!r}"
            raise Unusable(f"{what}; it must name a file and the size of the job's pieces")
    names = [name_key(str(piece.name)) for piece in after if piece.size == after[0].size]
    if twice := [piece.title for piece in after if piece.key not in known and names.count(name_key(piece.name)) > 1]:
        raise Unusable(f"the new piece {twice[0]!r} has another one's name")
    by_key = {piece.key: piece for piece in after}
    kept = tuple(by_key[piece.key] for piece in before if piece.key in by_key)
    return (*kept, *(replace(piece, cut=None) for piece in after if piece.key not in known))


def _on_another(new: Piece, pieces: Sequence[Piece]) -> tuple[str, ...]:
    """Say of a new piece that lies on another one of its drawing, by their boxes on the page."""
    box = new.outline().transform(new.placement).bounds()
    for other in pieces:
        if other is new or other.file != new.file:
            continue
        if boxes_overlap(box, other.outline().transform(other.placement).bounds()):
            return (f"the new piece {new.title} lies on {other.title}; beside(piece, pieces) finds it a free place",)
    return ()


def _check_seam(found: Seam, pieces: Sequence[Piece]) -> None:
    for name, edge in (*found.a, *found.b):
        piece = _piece_named(name, pieces, "a seam")
        if not piece.has_edge(edge):
            there = ", ".join(one.name for one in piece.edges)
            raise Unusable(f"a seam is at the edge {edge!r} of {name}; its edges are: {there}")


def seams(found: Any, pieces: Sequence[Piece]) -> tuple[Seam, ...]:
    """Return the seams that a plug-in found between these pieces, each marked as inferred."""
    if found is None or isinstance(found, Seam):
        raise Unusable(f"find gives back {what_is(found)}, not a list of Seam records")
    good: list[Seam] = []
    for each in several(found, Seam, "the seams that find gives back"):
        _check_seam(each, pieces)
        rows = [tuple((str(name), str(edge)) for name, edge in row) for row in (each.a, each.b)]
        if strange := [name for row in rows for name, _ in row if name not in {piece.name for piece in pieces}]:
            raise Unusable(f"a seam names {strange[0]!r}: name pieces by their name, without a size")
        if not all(rows) or len({*rows[0], *rows[1]}) < len(rows[0]) + len(rows[1]):
            raise Unusable("a seam joins two rows of edges, each edge once")
        if each.ease is not None:
            raise Unusable(f"a seam at {spell_edges(rows[0])} states an ease, which svgfit.toml does")
        good.append(Seam(rows[0], rows[1], guessed=True))
    return tuple(good)


def _piece_named(name: object, pieces: Sequence[Piece], what: str) -> Piece:
    """Find the piece by title or name; raise Unusable, with the names there are."""
    found = next((piece for piece in pieces if name in (piece.title, piece.name)), None)
    if found is None:
        there = ", ".join(dict.fromkeys(piece.title for piece in pieces))
        raise Unusable(f"{what} is for a piece {name!r}; the pieces are: {there}")
    return found


def _check_opening(found: Opening, pieces: Sequence[Piece]) -> None:
    _piece_named(found.piece, pieces, "an opening")
    same = [piece for piece in pieces if found.piece in (piece.title, piece.name)]
    if not any(piece.has_edge(found.edge) for piece in same):
        there = ", ".join(edge.name for edge in same[-1].edges)
        raise Unusable(f"an opening is in the edge {found.edge!r} of {found.piece}; its edges are: {there}")
    for name in ("at", "width", "gain"):
        number(getattr(found, name), f"{name} of an opening in the {found.edge}")
    for name in ("first", "second"):
        point(getattr(found, name), f"the {name} end of an opening in the {found.edge}")
    several(found.unkept, str, "what an opening could not keep")


def _check_annotation(found: Annotation, pieces: Sequence[Piece]) -> None:
    kind = text(found.kind, "the kind of an annotation")
    _piece_named(found.piece, pieces, f"an annotation ({kind})")
    if found.curve is None and found.point is None:
        raise Unusable(f"an annotation ({kind}) of {found.piece} has neither a curve nor a point: nothing is drawn")
    if found.curve is not None and not isinstance(found.curve, Curve):  # pyright: ignore[reportUnnecessaryIsInstance]
        raise Unusable(f"the curve of an annotation ({kind}) is {what_is(found.curve)}, not a Curve")
    if found.point is not None:
        point(found.point, f"the point of an annotation ({kind})")
    if found.length is not None:
        number(found.length, f"the length of an annotation ({kind})")
    if not isinstance(found.label, str):  # pyright: ignore[reportUnnecessaryIsInstance]
        raise Unusable(f"the label of an annotation ({kind}) is {what_is(found.label)}, not a text")


def _with_lines(annotations: tuple[Annotation, ...], own_lines: OwnLines) -> tuple[Annotation, ...]:
    """Give each annotation of a plug-in's kind its line; raise Unusable for a kind that nobody supplies."""
    if all(each.kind in tuple(AnnotationKind) and each.line is None for each in annotations):
        return annotations
    own = {line.name: line for line in own_lines()}
    for each in annotations:
        if each.kind not in own and each.kind not in tuple(AnnotationKind):
            kinds = ", ".join((*AnnotationKind, *own))
            what = f"an annotation of {each.piece} is of the kind {each.kind!r}, and the kinds are: {kinds}"
            raise Unusable(f"{what}; svgfit_line_kinds supplies others")
    return tuple(replace(each, line=own.get(each.kind)) for each in annotations)


def _check_check(found: Check) -> None:
    name = text(found.name, "the name of a check")
    if found.status not in tuple(Status):
        raise Unusable(f"check {name!r} has the status {found.status!r}, not pass, warn or fail")
    if not isinstance(found.message, str):  # pyright: ignore[reportUnnecessaryIsInstance]
        raise Unusable(f"the message of check {name!r} is {what_is(found.message)}, not a text")
    for key, value in found.values.items():
        number(value, f"{key!r} of check {name!r}")


def _check_movement(found: Movement, pieces: tuple[Piece, ...], accuracy: float = 0.1) -> None:
    """Raise Unusable where a part is none of the piece (within ``accuracy`` mm), or did not move as paper does."""
    piece = _piece_named(found.piece, pieces, "a part that moved")
    if not found.edges or len(found.edges) != len(found.cuts):
        raise Unusable(f"{piece.title}: a part that moved needs edges, and after each a cut")
    motion = found.motion
    if motion is not None and (not is_rigid(motion) or motion.mirrors):
        raise Unusable(f"{piece.title}: a part can only be shifted and turned, not stretched or mirrored")
    outline = piece.outline()
    for edge, line, after in zip(found.edges, found.cuts, (*found.edges[1:], found.edges[0]), strict=True):
        ends = (line[0], line[-1]) if line else (edge.end, after.start)
        gap = max(abs(ends[0] - edge.end), abs(ends[1] - after.start), outline.nearest(edge.point(len(edge) / 2))[1])
        if not gap <= accuracy:
            raise Unusable(f"{piece.title}: the edges and cuts of a part that moved do not close, by {gap:.3g} mm")


# -- what is read ------------------------------------------------------------------------------------------------------


def recognised(found: Any, drawn: DrawnPiece, kinds: tuple[str, ...]) -> Piece:
    """Check the piece that a recogniser of ``kinds`` made of what was drawn."""
    if not isinstance(found, Piece):
        raise Unusable(f"recognise gives back {what_is(found)}, not a Piece")
    if found.key != (drawn.file, drawn.name, drawn.size):
        raise Unusable(f"recognise gives back a piece {found.title!r} of {found.file!r}, not the one that was drawn")
    if found.kind not in (*kinds, PieceKind.OTHER):
        raise Unusable(f"recognise gives back a {found.kind!r}, and its kinds are: {', '.join(kinds)}")
    check_piece(found, as_drawn=True)
    if outline_crossing(found.outline()) is not None and not _crosses_as_drawn(drawn):
        check_piece(found)  # says where
    return found


def _crosses_as_drawn(drawn: DrawnPiece) -> bool:
    """Tell whether the line that was drawn crosses itself."""
    from svgfit.pattern.recognise.choose import drawn_outline  # here because almost no outline crosses itself

    return outline_crossing(drawn_outline(drawn)[0].loop) is not None


def sureness(found: Any) -> float:
    """Return how sure a recogniser is, 0 to 1."""
    sure = float(found)
    if not 0 <= sure <= 1:
        raise Unusable(f"suits gives back {sure:g}, not 0 (no) to 1 (sure)")
    return sure


def layer_facts(found: Any) -> LayerFacts | None:
    """Return a dialect's facts of an element; None for one that is no layer."""
    if found is None:
        return None
    if not isinstance(found, LayerFacts):
        raise Unusable(f"layer gives back {what_is(found)}, not LayerFacts")
    if not isinstance(found.name, str):  # pyright: ignore[reportUnnecessaryIsInstance]
        raise Unusable(f"layer gives back the name {found.name!r}, not a text")
    return found


def converted(found: Any) -> Converted:
    """Return the drawing that a reader made of a file."""
    if not isinstance(found, Converted) or not isinstance(found.svg, bytes):  # pyright: ignore[reportUnnecessaryIsInstance]
        raise Unusable(f"read gives back {what_is(found)}, not Converted bytes")
    several(found.warnings, str, "the warnings of read")
    several(found.notes, str, "the notes of read")
    return found


def written(found: Any) -> bytes:
    """Return the bytes of the file that a writer made."""
    if not isinstance(found, bytes):
        raise Unusable(f"write gives back {what_is(found)}, not bytes")
    if not found:
        raise Unusable("write gives back a file without a byte in it")
    return found
