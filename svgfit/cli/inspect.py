"""``svgfit inspect``: what was understood of drawings."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import TYPE_CHECKING, Any

import click

from svgfit.cli.options import DrawingOptions, drawing_options, files_argument

if TYPE_CHECKING:
    from svgfit.app.open_drawings import PatternSet, ReadDrawings
    from svgfit.model.drawing import Layer
    from svgfit.model.length import Units
    from svgfit.model.piece import Edge, Piece
    from svgfit.pattern.layer_rows import LayerRow
    from svgfit.render.text.table import Table


@click.command()
@files_argument
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
@drawing_options
def command(files: tuple[str, ...], as_json: bool, drawing: DrawingOptions) -> int:
    """Say what was understood of drawings: scale, layers, pieces, marks, guesses.

    Look at this before you trust a measurement. What was guessed can be said in the drawing (landmarks) or in
    svgfit.toml.
    """
    from svgfit.app.open_drawings import guess_warnings
    from svgfit.app.parameter_values import open_places
    from svgfit.cli.console import say, warn

    session = drawing.session(files)
    units = session.units
    read = session.read
    if not as_json:
        for file in files:
            for note in session.notes(file):
                say(f"{file}: {note}")
        converted = frozenset(file for file in files if session.is_converted(file))
        say(layers_text(read, units, session.options.size, converted), painted=True)
    pattern = session.pattern
    if as_json:
        import json

        say(json.dumps(as_object(pattern), indent=2))
    else:
        say("\n" + "\n\n".join(piece_text(piece, units) for piece in pattern.pieces), painted=True)
    gaps = [place.line(units) for piece in pattern.pieces for place in open_places(piece, session.registry)]
    shown = set(guess_warnings(pattern.pieces))  # with their pieces, above
    warnings = [text for text in pattern.warnings if text not in shown]
    warn((*warnings, *session.unread, *gaps, *session.registry.warnings), quiet=drawing.quiet)
    return 0


def as_object(pattern: PatternSet) -> dict[str, Any]:
    """Return what ``--json`` prints."""
    canvases = [drawing.canvas for drawing in pattern.read.drawings]
    return {
        "drawings": [
            {"file": item.file, "mm_per_user_unit": item.mm_per_user_unit, "scale_from": item.scale_from}
            for item in canvases
        ],
        "layers": [_layer(row) for row in pattern.read.layers],
        "pieces": [_piece(piece) for piece in pattern.pieces],
    }


def _layer(row: LayerRow) -> dict[str, Any]:
    layer, extent = row.layer, _extent(row.layer)
    return {
        "file": layer.file,
        "name": layer.name,
        "path": list(layer.path),
        "id": layer.id,
        "role": row.role,
        "piece": row.piece,
        "size": row.size,
        "hidden": layer.hidden,
        "locked": layer.locked,
        "extent": extent and dict(zip(("left", "top", "width", "height"), extent, strict=True)),
    }


def _unit_text(mm: float, units: Units) -> str:
    """Say how large a unit of the drawing is: for who reads inches as ``--scale`` says it."""
    from svgfit.model.length import MM_PER_INCH
    from svgfit.model.vocabulary import Unit

    if units.unit == Unit.IN:
        return f"{MM_PER_INCH / mm:.6g} units of the drawing are 1 in"
    return f"1 unit of the drawing is {mm:.6g} mm"


def _extent(layer: Layer) -> tuple[float, float, float, float] | None:
    """Measure left, top, width and height in page mm of a layer's lines, weight apart; None for none."""
    import numpy as np

    from svgfit.geometry.curve import Curve

    curves = [curve.segments for shape in layer.shapes for curve in shape.curves]
    if not curves:
        return None
    left, top, right, bottom = Curve(np.concatenate(curves)).bounds()  # as one: a bound doesn't mind the gaps
    return left, top, right - left, bottom - top


def _wide_high(width: float, height: float, units: Units) -> str:
    """Write width and height: ``13 11/16 x 22 7/16 in``."""
    wide, high = (units.plain(side) for side in (width, height))
    return f"{wide.removesuffix(f' {units.unit}')} x {high}"


def _piece(piece: Piece) -> dict[str, Any]:
    from svgfit.fitting.sewn import notch_distance, sewn_length

    points = {mark.name: piece.placement.apply(mark.at) for mark in piece.landmarks}
    return {
        "file": piece.file,
        "name": piece.name,
        "kind": piece.kind,
        "size": piece.size,
        "edges": [{"name": edge.name, "length": sewn_length(piece, edge.name)} for edge in piece.edges],
        "landmarks": {name: [point.real, point.imag] for name, point in points.items()},
        "marks": [{"kind": mark.kind, "edge": mark.edge, "at": notch_distance(piece, mark)} for mark in piece.marks],
        "guessed": list(piece.guessed),
    }


def layers_text(
    read: ReadDrawings, units: Units, sizes: str | None = None, converted: Collection[str] = frozenset()
) -> str:
    """Describe scale and layers of every drawing; of a nest those of the ``sizes`` that are looked at.

    The unit of what was ``converted`` from files that are no SVG is a reader's choice, and not told.
    """
    from svgfit.cli.console import terminal
    from svgfit.pattern.assemble import is_wanted_size
    from svgfit.render.text.table import Table, format_tables

    tables: list[Table] = []
    for drawing in read.drawings:
        canvas = drawing.canvas
        page = f", page {_wide_high(canvas.width, canvas.height, units)}" if canvas.width and canvas.height else ""
        unit = "true size" if canvas.file in converted else f"{_unit_text(canvas.mm_per_user_unit, units)},"
        title = f"{canvas.file}: {unit} from {canvas.scale_from}{page}"
        rows = tuple(
            _layer_cells(row, units)
            for row in read.layers
            if row.layer.file == canvas.file and is_wanted_size(row.size, sizes)
        )
        tables.append(Table(title, ("layer", "id", "is", "piece", "size", "state", "wide x high"), rows))
        tables += _line_tables(read, canvas.file, units, sizes)
    return format_tables(tables, terminal()).rstrip()


def _line_tables(read: ReadDrawings, file: str, units: Units, narrowed: str | None) -> Iterator[Table]:
    """Make a table for each layer on which outlines of like size are drawn each in its own way, as sizes are.

    Of a nest those of the sizes that it is ``narrowed`` to, where they are known.
    """
    from svgfit.pattern.layer_rows import OUTLINES
    from svgfit.pattern.line_sizes import By, by_area, in_places, sample, stacked_loops
    from svgfit.render.text.table import Table

    sizes = {
        shape.style: piece.size
        for piece in read.raw_pieces
        for shape in (*piece.stitch, *piece.cut)
        if piece.file == file and piece.size
    }
    for row in read.layers:
        if row.layer.file != file or not {*OUTLINES} & {*(row.role or "").split(", ")}:
            continue
        loops = in_places(by_area(stacked_loops(row.layer.shapes)))
        known = any(loop.style in sizes for loop in loops)
        cells = [
            (
                *(sample(loop.style, by) for by in By),
                _wide_high(right - left, bottom - top, units),
                sizes.get(loop.style) or "not told",
            )
            for loop in loops
            if loop.style in sizes or not known or narrowed is None
            for left, top, right, bottom in (loop.curve.bounds(),)
        ]
        if cells:
            title = f"outlines on {'/'.join(row.layer.path)}, the smallest first"
            yield Table(title, ("dash", "colour", "width", "wide x high", "size"), tuple(cells))


def _layer_cells(row: LayerRow, units: Units) -> tuple[str, ...]:
    from svgfit.pattern.convention import spoken_role

    layer, extent = row.layer, _extent(row.layer)
    nobodys = f"svgfit's own ({layer.ours})" if layer.ours else "not used"
    role = spoken_role(row.role) if row.role else nobodys
    state = ", ".join(word for word, holds in (("hidden", layer.hidden), ("locked", layer.locked)) if holds)
    drawn = _wide_high(extent[2], extent[3], units) if extent else "-"
    return "/".join(layer.path), layer.id or "-", role, row.piece or "-", row.size or "-", state or "-", drawn


_MOST_EDGES = 100
"""An outline with more edges than this, of a scan perhaps, is not listed to its end."""


def piece_text(piece: Piece, units: Units) -> str:
    """Describe a piece: edges, landmarks, marks, guesses."""
    from svgfit.cli.console import terminal
    from svgfit.fitting.sewn import notch_distance, sewn_length
    from svgfit.model.wording import harmless
    from svgfit.render.text.table import Table, format_tables

    edges = [
        (edge.name, units.length(sewn_length(piece, edge.name)), _allowance(edge, units))
        for edge in piece.edges[:_MOST_EDGES]
    ]
    more = len(piece.edges) - len(edges)
    landmarks: list[tuple[str, ...]] = []
    for point in piece.landmarks:
        at = piece.placement.apply(point.at)
        known = "guessed" if point.guessed else "named"
        landmarks.append((point.name, units.length(at.real), units.length(at.imag), known))
    placed = [(mark, notch_distance(piece, mark)) for mark in piece.marks]
    notches = [(mark.kind, mark.edge or "-", units.length(at)) for mark, at in placed if at is not None]
    others = [mark.kind for mark, at in placed if at is None]
    counted = [f"{others.count(kind)} {kind}{'s' * (others.count(kind) > 1)}" for kind in dict.fromkeys(others)]
    notes = [f"and {more} edges more; --json lists them all"] if more else []
    notes += [f"also drawn: {', '.join(counted)}"] if counted else []
    notes += [f"guessed: {it}" for it in piece.guessed]
    left, top, right, bottom = piece.outline().bounds()
    drawn = f"drawn as {' and '.join(piece.drawn)} line, {_wide_high(right - left, bottom - top, units)} (wide x high)"
    title = f"{piece.title} ({piece.kind}), {drawn}, in {piece.file}"
    tables = [Table(title, ("edge", "length", "seam allowance"), tuple(edges), right=(1,))]
    if landmarks:
        heads = ("landmark", "x on the page", "y", "known")
        tables.append(Table("", heads, tuple(landmarks), right=(1, 2)))
    if notches:
        tables.append(Table("", ("mark", "on edge", "along it"), tuple(notches), right=(2,)))
    return "\n".join([format_tables(tables, terminal()).rstrip(), *map(harmless, notes)])


def _allowance(edge: Edge, units: Units) -> str:

    if edge.fold:
        return "none, on the fold"
    return "not known" if edge.allowance is None else units.length(edge.allowance)
