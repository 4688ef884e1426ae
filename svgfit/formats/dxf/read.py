"""A DXF as a layered SVG in millimetres.

By the interchange standard, where its layers are the standard's numbers: a layer a size, in it a layer a piece and
role, named so that the built-in convention knows them. Any other DXF keeps its own layers' names.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.formats.dxf import trade
from svgfit.formats.dxf.document import Document, parse
from svgfit.formats.dxf.entities import Line, Point, Writing
from svgfit.formats.dxf.lines import NodeMarks, Smooth, smooth_lines
from svgfit.formats.dxf.pieces import TradePiece, drawn_in_mm, is_trade, longest_side, trade_piece
from svgfit.formats.dxf.placing import Group, Placed, place
from svgfit.formats.dxf.tags import CAPITALS, decode
from svgfit.formats.dxf.trade import LayerUse
from svgfit.formats.dxf.units import unit_of
from svgfit.formats.layered_svg import LineStyle, PathItem, SubPath, SvgLayer, TextItem, layered_svg
from svgfit.geometry.box import Box, box_around, boxes_overlap
from svgfit.geometry.curve import Curve
from svgfit.model.file_format import Converted, Wishes
from svgfit.model.length import both_ways
from svgfit.model.refusal import Refusal
from svgfit.model.wording import listed

_MARGIN, _APART = 10.0, 20.0
"""Free paper round the drawing, and between pieces that are set side by side, mm."""
_WIDTH = 0.35
"""Of lines for which the file says none, mm."""
_WORTH_TELLING = 0.1
"""Where a guess made an outline longer than its chords by more than this, mm, it is told."""
_ROLES = (
    ("cut line", "cut", "#000000"),
    ("stitch line", "stitch", "#0000c0"),
    ("notches", "notches", "#000000"),
    ("grain line", "grain", "#606060"),
    ("fold line", "fold", "#606060"),
    ("centre line", "centre", "#606060"),
    ("bicep line", "bicep", "#606060"),
    ("details", "details", "#606060"),
)
"""A role's word in the built-in convention, the lines of a piece that have it, and the colour that they get."""


class _Sheet(Struct, frozen=True, kw_only=True):
    layers: tuple[SvgLayer, ...]
    boxes: tuple[Box, ...]
    warnings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def read_dxf(file: str, data: bytes, wishes: Wishes) -> Converted:
    """Read a DXF. Raises Refusal for what is damaged, cut short, empty, too large, or of no known unit."""
    decoded = decode(file, data)
    document = parse(file, decoded.text)
    placed = place(file, document)
    use = trade.layer_use(wishes.layers)
    trading = is_trade(placed.groups, use)
    said = trade.said([thing.content for thing in _loose(placed) if isinstance(thing, Writing)])
    largest = max((longest_side(group.things) for group in placed.groups), default=0.0)
    if largest == 0:
        raise Refusal(file, "draws no lines", "export the pattern's pieces as polylines")
    units = said.get("units") if trading else None
    unit = unit_of(file, document.header, units or _units_in_blocks(placed, trading), largest, wishes.scale)
    groups = [drawn_in_mm(group, unit.mm) for group in placed.groups]
    sheet = _by_pieces(file, groups, use, said.get("sample size")) if trading else _by_layers(document, groups)
    left, top, right, bottom = box_around(sheet.boxes)
    shift = complex(_MARGIN - left, _MARGIN - top)
    layers = tuple(_shifted(layer, shift) for layer in sheet.layers)
    svg = layered_svg(right - left + 2 * _MARGIN, bottom - top + 2 * _MARGIN, layers)
    warnings = (*decoded.warnings, *unit.warnings, *_unread(placed), *sheet.warnings)
    return Converted(svg, warnings, sheet.notes, unit.source)


def _loose(placed: Placed) -> Iterator[object]:
    return (thing for group in placed.groups if not group.name for thing in group.things)


def _units_in_blocks(placed: Placed, trading: bool) -> str | None:
    """Look for "Units: …" inside the blocks, where some programs write it."""
    texts = [thing.content for group in placed.groups for thing in group.things if isinstance(thing, Writing)]
    return trade.said(texts).get("units") if trading else None


def _unread(placed: Placed) -> Iterator[str]:
    if placed.unread:
        counted = listed([f"{count} {kind}" for kind, count in sorted(placed.unread.items())])
        yield f"entities of kinds that are not read are left out: {counted}"
    if placed.uninserted:
        yield f"blocks that nothing inserts are read all the same: {listed(placed.uninserted)}"


# -- by the standard --------------------------------------------------------------------------------------------------


def _by_pieces(file: str, groups: Sequence[Group], use: LayerUse, sample: str | None) -> _Sheet:
    found = [piece for group in groups if (piece := trade_piece(group, use)) is not None]
    if not found:
        what = f"has no outline, on {_outline_layers(use, 'or')}, that is longer than a point"
        raise Refusal(file, what, "export the pattern's pieces as polylines")
    if len({bool(piece.block) for piece in found}) > 1:
        raise Refusal(file, "has outlines both in blocks and outside of them", "export each piece as a block")
    pieces, warnings = _distinct(file, [_with_plain_names(piece) for piece in found])
    warnings += [f"{piece.title}: {text}" for piece in pieces for text in piece.warnings]
    warnings += [*_of_outlines(pieces, use), *_of_guesses(pieces), *_without_outline(groups, pieces, use)]
    if sample and len({piece.size for piece in pieces}) == 1 and any(piece.left_out for piece in pieces):
        warnings += _of_rules(pieces, sample)
    apart = _side_by_side(pieces)
    notes = [f"pieces by the trade's layer numbers: {len(apart)}"]
    if apart is not pieces:
        notes.append("the file has its pieces lie on one another; they were set side by side")
    counted = Counter(text for piece in pieces for text in piece.left_out)
    if counted:
        notes.append(f"left out: {listed([f'{text} ({count} blocks)' for text, count in sorted(counted.items())])}")
    sizes = list(dict.fromkeys(piece.size for piece in apart))
    layers = [
        SvgLayer(f"Size {size}", layers=own) if size else None
        for size in sizes
        for own in [tuple(layer for piece in apart if piece.size == size for layer in _layers_of(piece))]
    ]
    flat = tuple(layer for piece in apart if not piece.size for layer in _layers_of(piece))
    made = (*flat, *(layer for layer in layers if layer is not None))
    return _Sheet(layers=made, boxes=tuple(p.box for p in apart), warnings=tuple(warnings), notes=tuple(notes))


def _with_plain_names(piece: TradePiece) -> TradePiece:
    """Take from names what a layer's name can't hold: a slash, several words in a size, a name that means "ignore"."""
    name = " ".join(piece.name.replace("/", ",").split()) or "piece"
    if name.casefold().startswith("old "):
        name = f"Piece {name}"
    size = piece.size and ".".join(piece.size.replace("/", ".").replace("-", ".").replace("_", ".").split())
    warnings = piece.warnings
    if not piece.name:
        warnings = (*warnings, "the file gives it no name")
    if (piece.name and name != piece.name) or size != piece.size:
        warnings = (*warnings, f"the file calls it {piece.name!r}" + (f" in size {piece.size!r}" if size else ""))
    return replace(piece, name=name, size=size or None, warnings=warnings)


def _distinct(file: str, pieces: Sequence[TradePiece]) -> tuple[list[TradePiece], list[str]]:
    """Leave out pieces that are there twice, the same. Raises Refusal for two of one name and size that differ."""
    kept: dict[tuple[str, str | None], TradePiece] = {}
    doubles: Counter[str] = Counter()
    for piece in pieces:
        key = (piece.name.casefold(), piece.size)
        other = kept.setdefault(key, piece)
        if other is piece:
            continue
        if other.block != piece.block:
            what = f"the blocks {other.block!r} and {piece.block!r} are both {piece.title}"
            raise Refusal(file, what, 'give each a "Piece Name: …" or "Size: …" of its own')
        doubles[piece.title] += 1
    told = [f"{title} is placed {count + 1} times; read once" for title, count in doubles.items()]
    return list(kept.values()), told


def _outline_layers(use: LayerUse, joint: str) -> str:
    numbers = [*use.numbers("cut line"), *use.numbers("stitch line")]
    return f"layer{'s' if len(numbers) > 1 else ''} {f' {joint} '.join(numbers)}"


def _of_outlines(pieces: Sequence[TradePiece], use: LayerUse) -> list[str]:
    """Tell where one of the two outlines is missing, and the boundary was taken for the cut line."""
    if set(use.stated.values()) & {"cut line", "stitch line"}:
        return []  # then the convention says which line it is
    cut_only = [piece.title for piece in pieces if not piece.stitch]
    if not cut_only or len(cut_only) == len(pieces):
        names = "" if not cut_only else "no piece has a sew line (layer 14): the boundary is taken for the cut line"
        return [names] if names else []
    return [f"no sew line (layer 14) in {listed(cut_only)}: the boundary is taken for the cut line"]


def _without_outline(groups: Sequence[Group], pieces: Sequence[TradePiece], use: LayerUse) -> Iterator[str]:
    """Tell of blocks with lines that are no piece, and of lines outside of blocks where pieces are blocks."""
    known = {piece.block for piece in pieces}
    drawn = {group.name for group in groups if any(isinstance(thing, Line) for thing in group.things)}
    blocks = sorted(drawn - known - {""})
    if blocks:
        yield f"blocks with lines but no outline ({_outline_layers(use, 'and')}) are left out: {listed(blocks)}"
    if "" in drawn - known:
        yield "lines outside of blocks are left out"


def _of_guesses(pieces: Sequence[TradePiece]) -> Iterator[str]:
    guessed = [piece for piece in pieces if piece.guessed > _WORTH_TELLING]
    if guessed:
        most = max(guessed, key=lambda piece: piece.guessed)
        yield (
            f"the points of outlines of {len(guessed)} pieces are not marked as turn or curve points; where a line "
            "turns a little from chord to chord a smooth curve was drawn through them, up to "
            f"{both_ways(most.guessed)} longer than its chords ({most.title})"
        )


def _of_rules(pieces: Sequence[TradePiece], sample: str) -> list[str]:
    if not any("numbers of grade rules" in piece.left_out for piece in pieces):
        return []
    return [f"it holds size {sample} alone; its grade rules, which are in another file, are not applied"]


def _side_by_side(pieces: Sequence[TradePiece]) -> Sequence[TradePiece]:
    """Set pieces of different names apart where they lie on one another; the sizes of a piece stay as they lie."""
    boxes: dict[str, Box] = {}
    for piece in pieces:
        own = boxes.get(piece.name.casefold())
        boxes[piece.name.casefold()] = box_around([piece.box] if own is None else [own, piece.box])
    every = list(boxes.values())
    if not any(boxes_overlap(one, other) for at, one in enumerate(every) for other in every[:at]):
        return pieces
    shifts: dict[str, complex] = {}
    x = 0.0
    for name, (left, top, right, _) in boxes.items():
        shifts[name] = complex(x - left, -top)
        x += right - left + _APART
    return [piece.moved(shifts[piece.name.casefold()]) for piece in pieces]


def _layers_of(piece: TradePiece) -> Iterator[SvgLayer]:
    for role, attribute, colour in _ROLES:
        lines: tuple[Smooth, ...] = getattr(piece, attribute)
        if lines:
            yield SvgLayer(f"{piece.name} {role}", tuple(_path(line, colour) for line in lines))
    if piece.texts:
        yield SvgLayer(f"{piece.name} text", tuple(_text(text) for text in piece.texts))


# -- any other DXF ----------------------------------------------------------------------------------------------------


def _by_layers(document: Document, groups: Sequence[Group]) -> _Sheet:
    lines: dict[str, list[Line]] = {}
    texts: dict[str, list[Writing]] = {}
    for group in groups:
        for thing in group.things:
            if isinstance(thing, Line):
                lines.setdefault(thing.layer, []).append(thing)
            elif isinstance(thing, Writing):
                texts.setdefault(thing.layer, []).append(thing)
    nodes = NodeMarks((), ())
    layers: list[SvgLayer] = []
    boxes: list[Box] = []
    for name in dict.fromkeys((*lines, *texts)):
        smooth = smooth_lines(lines.get(name, ()), nodes)
        boxes += [line.curve.bounds() for line in smooth]
        items = (*(_as_drawn(line) for line in smooth), *(_text(text) for text in texts.get(name, ())))
        layers.append(SvgLayer(name, items, hidden=name.upper() in document.off))
    points = sum(isinstance(thing, Point) for group in groups for thing in group.things)
    told = f"{points} points are left out; what they mark, such as notches, is to be drawn as lines"
    notes = ("layers by their names in the file",)
    return _Sheet(layers=tuple(layers), boxes=tuple(boxes), warnings=(told,) if points else (), notes=notes)


# -- records of the SVG -----------------------------------------------------------------------------------------------


def _path(line: Smooth, colour: str) -> PathItem:
    return PathItem((_subpath(line.curve, line.closed),), LineStyle(stroke=colour, width=_WIDTH))


def _as_drawn(line: Smooth) -> PathItem:
    """Write a line in its own colour, dashes and width."""
    look = line.look
    style = LineStyle(stroke=look.colour, width=_WIDTH if look.width is None else look.width, dash=look.dash)
    return PathItem((_subpath(line.curve, line.closed),), style)


def _subpath(curve: Curve, closed: bool) -> SubPath:
    segments = curve.segments
    third = (segments[:, 3] - segments[:, 0]) / 3
    off = np.abs(segments[:, 1] - segments[:, 0] - third) + np.abs(segments[:, 2] - segments[:, 0] - 2 * third)
    points = segments.tolist()
    parts = [(each[3],) if line else tuple(each[1:]) for each, line in zip(points, (off < 1e-6).tolist(), strict=True)]
    return SubPath(points[0][0], tuple(parts), closed)


def _text(text: Writing) -> TextItem:
    return TextItem(text.content, text.at, text.direction, text.height / CAPITALS)


def _shifted(layer: SvgLayer, by: complex) -> SvgLayer:
    return SvgLayer(
        layer.name,
        tuple(_item_shifted(item, by) for item in layer.items),
        tuple(_shifted(each, by) for each in layer.layers),
        layer.hidden,
    )


def _item_shifted(item: PathItem | TextItem, by: complex) -> PathItem | TextItem:
    if isinstance(item, TextItem):
        return TextItem(item.content, item.at + by, item.direction, item.size, item.fill, item.anchor)
    return PathItem(tuple(_moved(each, by) for each in item.subpaths), item.style, item.name)


def _moved(path: SubPath, by: complex) -> SubPath:
    parts: Iterable[tuple[complex, ...]] = (tuple(point + by for point in part) for part in path.segments)
    return SubPath(path.start + by, tuple(parts), path.closed)
