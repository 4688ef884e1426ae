"""What of a drawing is to be printed: which layers, pieces and sizes; and which of its elements that are."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence, Set

from msgspec import Struct

from svgfit.geometry.box import Box, box_around, box_centre, box_holds, boxes_meet, widen_box
from svgfit.geometry.curve import Curve
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import Refusal
from svgfit.model.wording import closest
from svgfit.pattern.adjusted_layer import adjusted_pieces
from svgfit.pattern.assemble import assemble
from svgfit.pattern.convention import Convention, Role
from svgfit.pattern.layer_patterns import name_key
from svgfit.render.annotate.ink import SIZE_NAME
from svgfit.render.annotate.scene import ADJUSTED, MEASUREMENTS, WORKING
from svgfit.render.layer_selection import ORIGINAL, PARTS, check_there
from svgfit.render.text_metrics import text_box
from svgfit.svg.export.ink_extent import Dash, dash, paint_sheet
from svgfit.svg.reader import Drawing, Placed, Tree

_NEAR = 25.0
"""Figures and working lines that stand no farther from a piece than this, mm, are taken for its own."""


class Wanted(Struct, frozen=True):
    """What a person asked for; None: what there is."""

    layers: tuple[str, ...] | None = None
    pieces: tuple[str, ...] | None = None
    size: str | None = None

    @property
    def filters(self) -> bool:
        """Whether some pieces only are wanted."""
        return self.pieces is not None or self.size is not None

    @property
    def sizes(self) -> tuple[str, ...]:
        """The sizes named, as they were named; none where all are wanted."""
        if self.size is None or name_key(self.size) == "all":
            return ()
        return tuple(self.size.replace(",", " ").split())


class Printable(Struct, frozen=True):
    """A drawing as it was read, to be printed."""

    drawing: Drawing
    tree: Tree
    """Its elements; printing uses them up."""
    convention: Convention
    pieces: tuple[DrawnPiece, ...] = ()
    """All pieces as drawn, of every size."""
    refused: Refusal | None = None
    """Why there are no pieces; raised only where some are asked for."""


def printable(drawing: Drawing, tree: Tree, convention: Convention) -> Printable:
    """Put a drawing's layers together to pieces; a drawing without any is printable too."""
    try:
        pieces = assemble([(drawing.canvas.file, drawing.layers)], convention).pieces
    except Refusal as refusal:
        return Printable(drawing, tree, convention, refused=refusal)
    return Printable(drawing, tree, convention, pieces)


class SizeLine(Struct, frozen=True):
    """How the outline of a size is drawn, where a nest tells its sizes apart by that."""

    size: str
    dash: Dash


class Chosen(Struct, frozen=True):
    """What of one drawing is printed."""

    layers: tuple[str, ...]
    """In the order of ``svgfit.render.layer_selection.PARTS``."""
    placed: tuple[Placed, ...]
    outlines: tuple[Curve, ...]
    """Stitch and cut lines among it, page mm; all lines where it has none."""
    pieces: tuple[tuple[str, Box], ...]
    """Titles of the pieces and the boxes (left, top, right, bottom) round their outlines."""
    as_drawn: tuple[str, ...]
    """Pieces that were named and not changed: their original is printed, although the layers are others."""
    left_out: tuple[str, ...]
    """Pieces of the drawing that were not changed and so are on no layer that is printed."""
    unsized: tuple[tuple[str, str], ...] = ()
    """Pieces printed without figures, since these are measured on a size that is not printed, and that size."""
    hidden: tuple[str, ...] = ()
    """Layers that hold part of what is to be printed and are hidden: what is not seen is not printed."""
    no_outline: tuple[str, ...] = ()
    """Pieces printed without their outlines, since all of these are hidden."""
    key: tuple[SizeLine, ...] = ()
    """How the sizes of a drawn nest are told apart, those that are printed."""


def choose(read: Printable, wanted: Wanted) -> Chosen:
    """Choose what of the drawing is printed.

    Raises Refusal where there is no layer to print, or no such piece or size.
    """
    drawing, convention = read.drawing, read.convention
    file = drawing.canvas.file
    there = {layer.ours for layer in drawing.layers if layer.ours and (layer.shapes or layer.texts)}
    layers = _layers(file, there, wanted.layers)
    drawn = _pieces(read, wanted)
    adjusted = adjusted_pieces(file, drawing.layers, convention.rule) if ADJUSTED in there else []
    chosen = [piece for piece in drawn if _is_wanted(piece, wanted)]
    changed = [piece for piece in adjusted if _is_wanted(piece, wanted)]
    _check_there(file, [*drawn, *adjusted], wanted)
    if wanted.filters and not (chosen or changed):
        raise Refusal(file, "no wanted piece is there in a wanted size", "see with svgfit inspect what there is")
    keep = _Keep(drawn, chosen, [*chosen, *changed], wanted)
    as_drawn = _as_drawn(layers, chosen, changed, wanted)
    printed = [*(changed if ADJUSTED in layers else ()), *as_drawn]
    boxes = _boxes(printed)
    found = _on_layers(read, layers, keep, boxes, _elements(as_drawn))
    if not (found.placed or found.unsized):
        raise Refusal(file, f"there is nothing on its layers {', '.join(layers)} to print", "choose others by --layers")
    names = {name_key(piece.name) for piece in printed}
    unchanged = dict.fromkeys(piece.name for piece in chosen if name_key(piece.name) not in names) if printed else {}
    added = dict.fromkeys(piece.name for piece in as_drawn) if ORIGINAL not in layers else {}
    return Chosen(
        layers,
        found.placed,
        _outlines(printed, found.placed),
        boxes,
        tuple(added),
        tuple(unchanged),
        found.unsized,
        *_unseen(found.hidden, as_drawn),
        key=_key(read, drawn, as_drawn),
    )


class _OnLayers(Struct, frozen=True):
    """What the layers of a drawing hold of what is to be printed."""

    placed: tuple[Placed, ...]
    hidden: tuple[tuple[str, Sequence[Placed]], ...]
    """Names of hidden layers and what lies on them."""
    unsized: tuple[tuple[str, str], ...]


def _on_layers(
    read: Printable, layers: Sequence[str], keep: _Keep, boxes: Sequence[tuple[str, Box]], shown: Set[int]
) -> _OnLayers:
    """Collect what is printed, layer by layer; ``shown``: elements of the pieces printed as they were drawn."""
    placed: list[Placed] = []
    hidden: list[tuple[str, Sequence[Placed]]] = []
    unsized: tuple[tuple[str, str], ...] = ()
    for layer, content in zip(read.drawing.layers, read.tree.placed, strict=True):
        if layer.ours is None:
            role = read.convention.role_of(layer.path)
            if role is not None and role.role == Role.IGNORE:
                continue
            if layer.hidden:
                hidden.append((" / ".join(layer.path), content))
                continue
            if ORIGINAL in layers:
                placed += [each for each in content if keep.original(each)]
            elif shown:
                placed += [each for each in content if _element(each) in shown]
        elif layer.ours in layers:
            ours = _without_tables(content, boxes) if layer.ours == MEASUREMENTS else content
            placed += [each for each in ours if keep.ours(each)]
            unsized = keep.unsized(ours) or unsized
    seen = tuple(each for each in placed if each.shape is not None or each.texts)
    return _OnLayers(seen, tuple(hidden), unsized)


def _key(read: Printable, every: Sequence[DrawnPiece], printed: Sequence[DrawnPiece]) -> tuple[SizeLine, ...]:
    """Make the key to the sizes printed as drawn; all sizes of the drawing say whether lines tell them apart."""
    sizes = {piece.size for piece in printed}
    if not sizes - {None}:
        return ()
    rows = zip(read.drawing.layers, read.tree.placed, strict=True)
    seen = {
        _element(each): each
        for layer, content in rows
        if layer.ours is None and not layer.hidden
        for each in content
        if each.shape is not None
    }
    canvas = read.drawing.canvas
    sheet = paint_sheet(canvas.file, read.tree.root)
    for cut in (False, True):
        found: dict[str, SizeLine] = {}
        for piece in every:
            lines = [seen[shape.element] for shape in (piece.cut if cut else piece.stitch) if shape.element in seen]
            if piece.size is not None and lines:
                found.setdefault(piece.size, SizeLine(piece.size, dash(lines[0].item, canvas.mm_per_user_unit, sheet)))
        if len({line.dash for line in found.values()}) > 1:
            return tuple(line for line in found.values() if line.size in sizes)
    return ()


def _unseen(
    hidden: Sequence[tuple[str, Sequence[Placed]]], pieces: Sequence[DrawnPiece]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Find the hidden layers that hold part of the pieces, and the pieces of which no outline is to be seen."""
    parts = _elements(pieces)
    layers = [name for name, content in hidden if any(_element(each) in parts for each in content)]
    there = {_element(each) for _, content in hidden for each in content}
    lines = [(piece.name, [shape.element for shape in (*piece.stitch, *piece.cut)]) for piece in pieces]
    bare = [name for name, shapes in lines if shapes and there.issuperset(shapes)]
    return tuple(dict.fromkeys(layers)), tuple(dict.fromkeys(bare))


def _as_drawn(
    layers: Sequence[str], chosen: Sequence[DrawnPiece], changed: Sequence[DrawnPiece], wanted: Wanted
) -> Sequence[DrawnPiece]:
    """Choose the pieces of which the original is printed: all, or those named that no plan changed."""
    if ORIGINAL in layers:
        return chosen
    if wanted.layers is not None or wanted.pieces is None:
        return ()
    names = {name_key(piece.name) for piece in changed}
    return [piece for piece in chosen if name_key(piece.name) not in names]


def _layers(file: str, there: Iterable[str], wanted: tuple[str, ...] | None) -> tuple[str, ...]:
    own = [name for name in PARTS if name in there]
    if wanted is None:
        found = tuple(name for name in own if name != WORKING)
        return found if ADJUSTED in found else (ORIGINAL, *found)
    check_there(file, wanted, own)
    return wanted


def _pieces(read: Printable, wanted: Wanted) -> tuple[DrawnPiece, ...]:
    """Give all pieces as drawn; none where the drawing has none and no one asked for some."""
    refused = read.refused
    if refused is not None and wanted.filters and not any(layer.ours == ADJUSTED for layer in read.drawing.layers):
        raise refused
    return read.pieces


def _is_wanted(piece: DrawnPiece, wanted: Wanted) -> bool:
    if wanted.pieces is not None and name_key(piece.name) not in map(name_key, wanted.pieces):
        return False
    sizes = _sizes(wanted)
    return not sizes or piece.size is None or name_key(piece.size) in sizes


def _sizes(wanted: Wanted) -> list[str]:
    return [name_key(part) for part in wanted.sizes]


def _check_there(file: str, pieces: Sequence[DrawnPiece], wanted: Wanted) -> None:
    """Refuse a piece or a size that the drawing does not have."""
    names = {name_key(piece.name): piece.name for piece in pieces}
    sizes = {name_key(piece.size): piece.size for piece in pieces if piece.size}
    for what, asked, there in (("piece", wanted.pieces or (), names), ("size", _sizes(wanted), sizes)):
        for one in asked:
            if name_key(one) not in there:
                todo = _nearest(name_key(one), there) or f"the {what}s here are {', '.join(there.values()) or 'none'}"
                raise Refusal(file, f"there is no {what} {one}", todo)


def _nearest(name: str, there: Mapping[str, str]) -> str:
    """Ask whether the nearest name was meant; "" where none is near."""
    near = closest(name, there)
    return f"did you mean {there[near]}?" if near else ""


class _Keep:
    """Which elements belong to the wanted pieces."""

    def __init__(
        self,
        every: Sequence[DrawnPiece],
        chosen: Sequence[DrawnPiece],
        all_chosen: Sequence[DrawnPiece],
        wanted: Wanted,
    ) -> None:
        self._wanted = wanted
        self._known, self._chosen = _elements(every), _elements(chosen)
        self._names = {name_key(piece.name) for piece in all_chosen}
        self._sizes = _sizes(wanted)
        self._near = [widen_box(box, _NEAR) for _, box in _boxes(all_chosen)]
        self._others = [box for _, box in _boxes([piece for piece in every if name_key(piece.name) not in self._names])]

    def original(self, each: Placed) -> bool:
        """Tell whether something drawn belongs to a wanted piece, or where none is named, to none."""
        if not self._wanted.filters:
            return True
        element = _element(each)
        if element in self._known:
            return element in self._chosen
        return self._wanted.pieces is None

    def ours(self, each: Placed) -> bool:
        """Tell whether something that svgfit drew belongs to a wanted piece, by what it says or by where it stands."""
        if not self._wanted.filters:
            return True
        name, size = _owner(_said(each))
        if name:
            return name in self._names and (not size or not self._sizes or size in self._sizes)
        if self._wanted.pieces is None:
            return True
        own, at = _box(each), _middle(each)
        near = (
            (boxes_meet(box, own) for box in self._near) if each.texts else (box_holds(box, at) for box in self._near)
        )
        return not any(box_holds(box, at) for box in self._others) and any(near)

    def unsized(self, ours: Sequence[Placed]) -> tuple[tuple[str, str], ...]:
        """Find wanted pieces whose figures or working lines are all those of an unwanted size, and that size."""
        there: set[str] = set()
        missing: dict[str, tuple[str, str]] = {}
        for each in ours:
            said = _said(each)
            name, _ = _owner(said)
            if "for" in said and name in self._names and said.get("role") != SIZE_NAME:
                if self.ours(each):
                    there.add(name)
                else:
                    missing[name] = said["for"], said.get("for-size", "")
        return tuple(pair for name, pair in missing.items() if name not in there)


def _said(each: Placed) -> dict[str, str]:
    """Read what is written on something of ours (``svgfit.render.annotate.ink``)."""
    return dict(each.shape.data if each.shape is not None else each.texts[0].data if each.texts else ())


def _owner(said: dict[str, str]) -> tuple[str, str]:
    """Find the piece that something of ours belongs to, and the size; "" for none."""
    if "piece" in said:
        return name_key(said["piece"]), name_key(said.get("size", ""))
    return name_key(said.get("for", "")), name_key(said.get("for-size", ""))


def _element(each: Placed) -> int | None:
    """Give the number of the element in its drawing; None where nothing of it is to be seen."""
    if each.shape is not None:
        return each.shape.element
    return each.texts[0].element if each.texts else None


def _elements(pieces: Iterable[DrawnPiece]) -> Set[int]:
    """Collect the numbers of the elements that the pieces are made of."""
    return frozenset[int]().union(*(piece.elements for piece in pieces))


def _lines(piece: DrawnPiece) -> tuple[Curve, ...]:
    return tuple(curve for shape in (*piece.stitch, *piece.cut) for curve in shape.curves)


def _boxes(pieces: Iterable[DrawnPiece]) -> tuple[tuple[str, Box], ...]:
    found: dict[str, Box] = {}
    for piece in pieces:
        boxes = [curve.bounds() for curve in _lines(piece)]
        if boxes:
            boxes += [found[piece.name]] if piece.name in found else []
            found[piece.name] = box_around(boxes)
    return tuple(found.items())


def _box(each: Placed) -> Box:
    """Box a shape, or what is written."""
    if each.shape is not None:
        return box_around([curve.bounds() for curve in each.shape.curves])
    return box_around([text_box(text.text) for text in each.texts] or [(math.nan, math.nan, math.nan, math.nan)])


def _middle(each: Placed) -> complex:
    return box_centre(_box(each))


def _without_tables(placed: Sequence[Placed], pieces: Sequence[tuple[str, Box]]) -> Sequence[Placed]:
    """Leave out of our measurements the tables and lists that do not stand in a piece: they would take pages.

    Each of them stands on a white rectangle of its own. Where no piece is printed, they stay.
    """
    grounds = [_box(each) for each in placed if each.item.kind == "rect" and each.shape is not None]
    apart = [
        ground for ground in grounds if pieces and not any(box_holds(box, box_centre(ground)) for _, box in pieces)
    ]
    return [each for each in placed if not any(box_holds(ground, _middle(each)) for ground in apart)]


def _outlines(pieces: Sequence[DrawnPiece], placed: Sequence[Placed]) -> tuple[Curve, ...]:
    found = tuple(curve for piece in pieces for curve in _lines(piece))
    return found or tuple(curve for each in placed if each.shape is not None for curve in each.shape.curves)
