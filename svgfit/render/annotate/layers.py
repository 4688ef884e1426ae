"""The three layers of one drawing, as markup."""

from __future__ import annotations

import re
from collections.abc import Sequence

from svgfit.geometry.box import Box
from svgfit.geometry.curve import Curve
from svgfit.model.adjusted_attributes import format_names, format_seams
from svgfit.model.drawing import Canvas
from svgfit.model.piece import Piece
from svgfit.model.report import Annotation, PieceRow
from svgfit.model.vocabulary import MarkKind, PieceKind
from svgfit.render.annotate.adjusted_layer import longer, piece_ink, text_on_page
from svgfit.render.annotate.dimensions import Drawing, cap_dimensions, edge_labels, opening_labels, sleeve_dimensions
from svgfit.render.annotate.ink import Ink, owned
from svgfit.render.annotate.labels import Label, place
from svgfit.render.annotate.line_kinds import PageStyle
from svgfit.render.annotate.nest import in_nest, speaking
from svgfit.render.annotate.placement.occupancy import Field, make_field
from svgfit.render.annotate.placement.page_layout import place_blocks
from svgfit.render.annotate.scene import ADJUSTED, DEFAULT_NAMES, MEASUREMENTS, WORKING, Drawn, Scene
from svgfit.render.annotate.working_layer import all_notes, layer_of, piece_of, working_ink
from svgfit.render.text_metrics import text_box
from svgfit.rules.lettering import LARGEST_IN_DRAWING, LETTERS_ON_PIECE, SMALLEST_IN_DRAWING
from svgfit.svg.markup import Node, element, number, on_one_line

_SVG, _INKSCAPE = "http://www.w3.org/2000/svg", "http://www.inkscape.org/namespaces/inkscape"


def draw_layers(scene: Scene) -> Drawn:
    """Draw working lines, adjusted and measurements, what the scene shows of them; the same scene gives the same bytes.

    The layers hold page millimetres and one transform to the root's user units. Never refuses; what could not be done
    well (no free space on the page) is among the warnings.
    """
    style = PageStyle.of_letters(scene.text_size or _text_size(scene.after), scene.units)
    speakers = speaking(scene.after)
    titles = {piece.title for piece in speakers}
    notes = [note for note in all_notes(scene) if _speaks_of(note.piece, scene.after) in titles]
    working, names = working_ink(scene, notes, style)
    ink = [*working]
    for piece, before, cut in zip(scene.after, scene.before, scene.cut_after, strict=True):
        ink.extend(owned(piece_ink(piece, before, cut, style.scale), piece))
    drawing = Drawing(_field(scene, notes, style))
    labels: list[Label] = []
    rows = [_row_of(piece, scene.rows) for piece in scene.after]
    for piece, cut, row in zip(scene.after, scene.cut_after, rows, strict=True):
        if piece.kind == PieceKind.SLEEVE and piece.title in titles:
            known = len(drawing.ink)
            lone = not in_nest(piece, scene.after)
            drawing = sleeve_dimensions(drawing, piece, row, cut, style, lone=lone)
            drawing, more = cap_dimensions(drawing, piece, row, style, lone=lone)
            drawing = Drawing(drawing.field, (*drawing.ink[:known], *owned(drawing.ink[known:], piece)))
            labels += more
    labels += [label for piece in speakers for label in opening_labels(scene, piece, style)]
    labels += names
    labels += [
        label
        for piece, row in zip(scene.after, rows, strict=True)
        if piece.title in titles
        for label in edge_labels(piece, row, style, lone=not in_nest(piece, scene.after))
    ]
    drawing = _place_all(drawing, labels, style.scale)
    if len(speakers) < len(scene.after) or scene.names_sizes:
        from svgfit.render.annotate.size_names import size_names  # here because most drawings are no nest

        drawing = size_names(drawing, scene.after, scene.cut_after, style.size, alone=scene.names_sizes)
    ink.extend(drawing.ink)
    own = tuple(dict.fromkeys(layer for note in notes if (layer := layer_of(note)) != WORKING))
    ink = [mark for mark in ink if mark.layer.partition("/")[0] in scene.shown]
    used = sorted({mark.kind for mark in ink if mark.kind})
    tables, warnings = place_blocks(scene, drawing.field, used, style)
    ink.extend(tables)
    kinds = [one for kind in scene.shown for one in (kind, *(own if kind == WORKING else ()))]
    return Drawn(tuple(_layer(scene, kind, ink) for kind in kinds), warnings)


def _speaks_of(title: str, pieces: Sequence[Piece]) -> str | None:
    piece = piece_of(title, pieces)
    return piece.title if piece else None


def _place_all(drawing: Drawing, labels: Sequence[Label], scale: float) -> Drawing:
    for label in labels:
        field, ink = place(drawing.field, label, scale)
        drawing = drawing.adding(field, owned(ink, label.of) if label.of is not None else ink)
    return drawing


def _text_size(pieces: Sequence[Piece]) -> float:
    """Choose the size of letters, mm, by the longest side of the largest piece."""
    longest = 0.0
    for piece in pieces:
        left, top, right, bottom = piece.outline().bounds()
        longest = max(longest, right - left, bottom - top)
    return round(min(max(longest / LETTERS_ON_PIECE, SMALLEST_IN_DRAWING), LARGEST_IN_DRAWING), 2)


def _row_of(piece: Piece, rows: Sequence[PieceRow]) -> PieceRow | None:
    key = (piece.file, piece.name, piece.size)
    return next((row for row in rows if (row.file, row.name, row.size) == key), None)


def _field(scene: Scene, notes: Sequence[Annotation], style: PageStyle) -> Field:
    """Mark what is drawn before and now."""
    new: list[Curve] = []
    boxes: list[Box] = [text_box(text) for text in scene.occupied_texts]
    nothing = (None,) * len(scene.before)
    for pieces, cuts in ((scene.after, scene.cut_after), (scene.before, nothing)):
        for piece, cut in zip(pieces, cuts, strict=True):
            lines = [piece.outline(), *([cut] if cut is not None else [])]
            lines += [curve for mark in piece.marks for curve in mark.curves]
            new += [line.transform(piece.placement) for line in lines]
            ticks = [mark.curves for mark in piece.marks if mark.kind in (MarkKind.NOTCH, MarkKind.SHOULDER_NOTCH)]
            ends = [end for tick in ticks for end in longer(tick, style.scale)]
            new += [Curve.polyline(end).transform(piece.placement) for end in ends]
            boxes += [text_box(text_on_page(mark.text, piece)[0]) for mark in piece.marks if mark.text is not None]
    for note in notes:
        piece = piece_of(note.piece, scene.after)
        if piece is not None and note.curve is not None:
            new.append(note.curve.transform(piece.placement))
    return make_field(_page(scene.canvas), new, scene.occupied, boxes, style.size * 12)


def _page(canvas: Canvas) -> Box | None:
    return (0.0, 0.0, canvas.width, canvas.height) if canvas.width > 0 and canvas.height > 0 else None


def _layer(scene: Scene, kind: str, ink: Sequence[Ink]) -> Node:
    """Make one ``<g>`` that vector programs take for a layer, whether they go by Inkscape's attributes or by ids."""
    standing, _, own = kind.partition("/")
    name = scene.names.get(kind) or own or DEFAULT_NAMES[standing]
    m = scene.canvas.to_root
    matrix = " ".join(number(value, 12) for value in (m.a, m.b, m.c, m.d, m.e, m.f))
    attributes: list[tuple[str, str | None]] = [
        ("xmlns", _SVG),
        ("xmlns:inkscape", _INKSCAPE),
        ("id", _free_id(name, scene)),
        ("inkscape:groupmode", "layer"),
        ("inkscape:label", name),
        ("data-svgfit-layer", standing),
        *(_kept(scene) if kind == ADJUSTED else ()),
        ("data-svgfit-plan", (scene.plan or None) if kind == MEASUREMENTS else None),
        ("transform", f"matrix({matrix})"),
        ("style", "display:inline;opacity:1"),
    ]
    title = (element("title", (), on_one_line(name)),)
    lines = [title, *(mark.nodes for mark in ink if mark.layer == kind)]
    within = [part for line in lines for part in ("\n  ", *line)]
    return element("g", attributes, *within, "\n")


def _kept(scene: Scene) -> Sequence[tuple[str, str | None]]:
    """Write what a later run has to know of the pattern as a whole: pieces that are gone, seams that steps sewed."""
    return (
        ("data-svgfit-dropped", format_names(scene.dropped) or None),
        ("data-svgfit-seams", format_seams(scene.seams) or None),
    )


def _free_id(name: str, scene: Scene) -> str:
    """Make an XML id of a name, underscores for what can't stand in one; numbered where the drawing has that id."""
    plain = re.sub(r"[^\w.-]+", "_", name).strip("_") or "layer"
    if not (plain[0].isalpha() or plain[0] == "_"):
        plain = f"_{plain}"
    count = 1
    found = plain
    while found in scene.taken_ids:
        count += 1
        found = f"{plain}_{count}"
    return found
