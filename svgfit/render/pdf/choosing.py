"""What of a drawing is to be printed: which layers, pieces and sizes; and which of its elements that are."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence, Set

from msgspec import Struct

from svgfit.geometry.box import Box, box_around, box_centre, box_holds, boxes_meet, widen_box
from svgfit.geometry.curve import Curve
from svgfit.model.dialect import Element
from svgfit.model.drawing import Layer, LineStyle
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import Refusal
from svgfit.model.wording import closest
from svgfit.pattern.adjusted_layer import adjusted_pieces, dropped_pieces
from svgfit.pattern.assemble import assemble
from svgfit.pattern.convention import Convention, Role
from svgfit.pattern.layer_patterns import name_key
from svgfit.render.annotate.ink import SIZE_NAME
from svgfit.render.annotate.scene import ADJUSTED, MEASUREMENTS, WORKING
from svgfit.render.layer_selection import ORIGINAL, PARTS, check_there
from svgfit.render.text_metrics import text_box
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

    def takes(self, piece: DrawnPiece) -> bool:
        """Tell whether a piece is wanted, by its name and its size."""
        if self.pieces is not None and name_key(piece.name) not in map(name_key, self.pieces):
            return False
        return piece.size is None or self.takes_size(name_key(piece.size))

    def takes_size(self, key: str) -> bool:
        """Tell whether a size, by its ``name_key``, is wanted; "" for none always is."""
        return not key or not self.sizes or key in map(name_key, self.sizes)


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

    def layers(self) -> Iterable[tuple[Layer, tuple[Placed, ...]]]:
        """Give each layer and what lies on it, but for those of a person's that the convention ignores."""
        for layer, content in zip(self.drawing.layers, self.tree.placed, strict=True):
            role = self.convention.role_of(layer.path) if layer.ours is None else None
            if role is None or role.role != Role.IGNORE:
                yield layer, content


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
    style: LineStyle


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
    drawing, file = read.drawing, read.drawing.canvas.file
    if is_all_dropped(read, wanted):
        raise Refusal(file, "the plan dropped every piece of it", f"--layers {ORIGINAL} prints it as it was drawn")
    layers = _layers(file, {layer.ours for layer in drawing.layers if layer.shapes or layer.texts}, wanted.layers)
    adjusted = adjusted_pieces(file, drawing.layers, read.convention.rule)
    if read.refused is not None and wanted.filters and not any(layer.ours == ADJUSTED for layer in drawing.layers):
        raise read.refused
    _check_there(file, [*read.pieces, *adjusted], wanted)
    stays = _still_there(read, layers, wanted)
    chosen, changed = (list(filter(wanted.takes, pieces)) for pieces in (stays, adjusted))
    if wanted.filters and not (chosen or changed):
        raise Refusal(file, "no wanted piece is there in a wanted size", "see with svgfit inspect what there is")
    as_drawn = _as_drawn(layers, chosen, changed, wanted)
    printed = [*(changed if ADJUSTED in layers else ()), *as_drawn]
    boxes = _boxes(printed)
    keep = _Keep(read.pieces, chosen, changed, wanted)
    placed, unsized = _on_layers(read, layers, keep, boxes, _elements(as_drawn))
    if not (placed or unsized):
        raise Refusal(file, f"there is nothing on its layers {', '.join(layers)} to print", "choose others by --layers")
    names = {name_key(piece.name) for piece in printed}
    unchanged = dict.fromkeys(piece.name for piece in chosen if names and name_key(piece.name) not in names)
    lines = tuple(curve for piece in printed for curve in _lines(piece))
    return Chosen(
        layers,
        placed,
        lines or tuple(curve for each in placed if each.shape is not None for curve in each.shape.curves),
        boxes,
        () if ORIGINAL in layers else tuple(dict.fromkeys(piece.name for piece in as_drawn)),
        tuple(unchanged),
        unsized,
        *_unseen(read, as_drawn),
        key=_key(read, as_drawn),
    )


def is_all_dropped(read: Printable, wanted: Wanted) -> bool:
    """Tell whether a plan left no piece of a drawing, and nobody names the layers to print all the same."""
    if wanted.layers is not None or not read.pieces:
        return False
    layers = read.drawing.layers
    dropped = {(name_key(name), size) for name, size in dropped_pieces(layers)}
    return dropped.issuperset((name_key(piece.name), piece.size) for piece in read.pieces) and not adjusted_pieces(
        read.drawing.canvas.file, layers, read.convention.rule
    )


def of_other_sizes(read: Printable, wanted: Wanted) -> frozenset[Element]:
    """Collect the elements of pieces and figures whose size is not wanted, for a picture that shows the others.

    Tables and lists that can hold figures of other sizes (``lists_of_other_sizes``) are among them. Raises Refusal for
    a size that the drawing does not have.
    """
    if not wanted.sizes:
        return frozenset()
    if read.refused is not None:
        raise read.refused
    adjusted = adjusted_pieces(read.drawing.canvas.file, read.drawing.layers, read.convention.rule)
    _check_there(read.drawing.canvas.file, [*read.pieces, *adjusted], wanted)
    chosen, changed = (list(filter(wanted.takes, pieces)) for pieces in (read.pieces, adjusted))
    keep = _Keep(read.pieces, chosen, changed, wanted)
    shown: dict[bool, set[Element]] = {True: set(), False: set()}
    for layer, content in zip(read.drawing.layers, read.tree.placed, strict=True):
        for each in content:
            there = each.shape is not None or each.texts
            stays = not there or (keep.ours(each) if layer.ours else keep.original(each))
            shown[bool(stays)].add(each.item.owner)
    return frozenset(shown[False] - shown[True]) | lists_of_other_sizes(read, wanted)


def lists_of_other_sizes(read: Printable, wanted: Wanted) -> frozenset[Element]:
    """Collect our tables and lists where they were written for sizes that are not wanted too.

    They speak of the whole drawing, all its sizes in one table, and can't be parted.
    """
    adjusted = adjusted_pieces(read.drawing.canvas.file, read.drawing.layers, read.convention.rule)
    if not wanted.sizes or all(wanted.takes_size(name_key(piece.size or "")) for piece in adjusted or read.pieces):
        return frozenset()
    return frozenset(
        each.item.owner
        for layer, content in zip(read.drawing.layers, read.tree.placed, strict=True)
        for each in content
        if layer.ours == MEASUREMENTS and (each.shape is not None or each.texts) and not _owner(_said(each))[0]
    )


def _layers(file: str, there: Set[str | None], wanted: tuple[str, ...] | None) -> tuple[str, ...]:
    own = [name for name in PARTS if name in there]
    if wanted is None:
        found = tuple(name for name in own if name != WORKING)
        return found if ADJUSTED in found else (ORIGINAL, *found)
    check_there(file, wanted, own)
    return wanted


def _check_there(file: str, pieces: Sequence[DrawnPiece], wanted: Wanted) -> None:
    """Refuse a piece or a size that the drawing does not have."""
    names = {name_key(piece.name): piece.name for piece in pieces}
    sizes = {name_key(piece.size): piece.size for piece in pieces if piece.size}
    for what, asked, there in (("piece", wanted.pieces or (), names), ("size", wanted.sizes, sizes)):
        for one in asked:
            if name_key(one) not in there:
                near = closest(name_key(one), there)
                all_there = f"the {what}s here are {', '.join(there.values()) or 'none'}"
                raise Refusal(file, f"there is no {what} {one}", f"did you mean {there[near]}?" if near else all_there)


def _still_there(read: Printable, layers: Sequence[str], wanted: Wanted) -> Sequence[DrawnPiece]:
    """Leave out the drawn pieces that a plan dropped; only where the original itself is printed they are shown.

    Refuse one that is asked for by name.
    """
    if ORIGINAL in layers:
        return read.pieces
    dropped = {(name_key(name), size) for name, size in dropped_pieces(read.drawing.layers)}
    stays = [piece for piece in read.pieces if (name_key(piece.name), piece.size) not in dropped]
    there, gone = ({name_key(piece.name) for piece in filter(wanted.takes, some)} for some in (stays, read.pieces))
    for one in wanted.pieces or ():
        if name_key(one) in gone - there:
            what = f"{one} is no piece of it any more: the plan dropped it"
            raise Refusal(read.drawing.canvas.file, what, f"--layers {ORIGINAL} prints it as it was drawn")
    return stays


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


# -- layer by layer ----------------------------------------------------------------------------------------------------


def _on_layers(
    read: Printable, layers: Sequence[str], keep: _Keep, boxes: Sequence[tuple[str, Box]], shown: Set[int]
) -> tuple[tuple[Placed, ...], tuple[tuple[str, str], ...]]:
    """Collect what is printed, and the pieces without figures with the size that these are of.

    ``shown``: elements of the pieces printed as they were drawn.
    """
    placed: list[Placed] = []
    unsized: tuple[tuple[str, str], ...] = ()
    lists = lists_of_other_sizes(read, keep.wanted)
    for layer, content in read.layers():
        if layer.ours in layers:
            ours = _without_tables(content, boxes) if layer.ours == MEASUREMENTS else content
            ours = [each for each in ours if each.item.owner not in lists]
            placed += filter(keep.ours, ours)
            unsized = keep.unsized(ours) or unsized
        elif layer.ours is None and not layer.hidden:
            placed += [
                each for each in content if _element(each) in shown or (ORIGINAL in layers and keep.original(each))
            ]
    return tuple(each for each in placed if each.shape is not None or each.texts), unsized


def _unseen(read: Printable, pieces: Sequence[DrawnPiece]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Find the hidden layers that hold part of the pieces, and the pieces of which no outline is to be seen."""
    hidden = [(layer, content) for layer, content in read.layers() if layer.ours is None and layer.hidden]
    there = {_element(each): " / ".join(layer.path) for layer, content in hidden for each in content}
    parts = _elements(pieces)
    lines = [(piece.name, [shape.element for shape in (*piece.stitch, *piece.cut)]) for piece in pieces]
    bare = [name for name, shapes in lines if shapes and there.keys() >= set(shapes)]
    return tuple(dict.fromkeys(name for at, name in there.items() if at in parts)), tuple(dict.fromkeys(bare))


def _key(read: Printable, printed: Sequence[DrawnPiece]) -> tuple[SizeLine, ...]:
    """Make the key to the sizes printed as drawn; all sizes of the drawing say whether lines tell them apart."""
    sizes = {piece.size for piece in printed}
    if not sizes - {None}:
        return ()
    drawn = [content for layer, content in read.layers() if layer.ours is None and not layer.hidden]
    seen = {_element(each) for content in drawn for each in content if each.shape is not None}
    for cut in (False, True):
        found: dict[str, SizeLine] = {}
        for piece in read.pieces:
            lines = [shape.style for shape in (piece.cut if cut else piece.stitch) if shape.element in seen]
            if piece.size is not None and lines:
                found.setdefault(piece.size, SizeLine(piece.size, lines[0]))
        if len({(line.style.width, line.style.dash) for line in found.values()}) > 1:
            return tuple(line for line in found.values() if line.size in sizes)
    return ()


def _without_tables(placed: Sequence[Placed], pieces: Sequence[tuple[str, Box]]) -> Sequence[Placed]:
    """Leave out of our measurements the tables and lists that do not stand in a piece: they would take pages.

    Each of them stands on a white rectangle of its own. Where no piece is printed, they stay.
    """
    grounds = [_box(each) for each in placed if each.item.kind == "rect" and each.shape is not None]
    apart = [
        ground for ground in grounds if pieces and not any(box_holds(box, box_centre(ground)) for _, box in pieces)
    ]
    return [each for each in placed if not any(box_holds(ground, box_centre(_box(each))) for ground in apart)]


# -- piece by piece ----------------------------------------------------------------------------------------------------


class _Keep:
    """Which elements belong to the wanted pieces."""

    def __init__(
        self,
        every: Sequence[DrawnPiece],
        chosen: Sequence[DrawnPiece],
        changed: Sequence[DrawnPiece],
        wanted: Wanted,
    ) -> None:
        self.wanted = wanted
        self._known, self._chosen = _elements(every), _elements(chosen)
        self._names = {name_key(piece.name) for piece in (*chosen, *changed)}
        self._near = [widen_box(box, _NEAR) for _, box in _boxes((*chosen, *changed))]
        self._others = [box for _, box in _boxes(piece for piece in every if name_key(piece.name) not in self._names)]

    def original(self, each: Placed) -> bool:
        """Tell whether something drawn belongs to a wanted piece, or where none is named, to none."""
        element = _element(each)
        if not self.wanted.filters or element not in self._known:
            return self.wanted.pieces is None
        return element in self._chosen

    def ours(self, each: Placed) -> bool:
        """Tell whether something that svgfit drew belongs to a wanted piece, by what it says or by where it stands."""
        if not self.wanted.filters:
            return True
        name, size = _owner(_said(each))
        if name or self.wanted.pieces is None:
            return not name or (name in self._names and self.wanted.takes_size(size))
        own = _box(each)
        at = box_centre(own)
        near = (boxes_meet(box, own) if each.texts else box_holds(box, at) for box in self._near)
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


def _said(each: Placed) -> Mapping[str, str]:
    """Read what is written on something of ours (``svgfit.render.annotate.ink``)."""
    return dict(each.shape.data if each.shape is not None else each.texts[0].data if each.texts else ())


def _owner(said: Mapping[str, str]) -> tuple[str, str]:
    """Find the piece that something of ours belongs to, and the size; "" for none."""
    name, size = ("piece", "size") if "piece" in said else ("for", "for-size")
    return name_key(said.get(name, "")), name_key(said.get(size, ""))


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
    """Box the outlines of the pieces, all sizes of one together; by name."""
    found: dict[str, list[Box]] = {}
    for piece in pieces:
        found.setdefault(piece.name, []).extend(curve.bounds() for curve in _lines(piece))
    return tuple((name, box_around(boxes)) for name, boxes in found.items() if boxes)


def _box(each: Placed) -> Box:
    """Box a shape, or what is written."""
    if each.shape is not None:
        return box_around([curve.bounds() for curve in each.shape.curves])
    return box_around([text_box(text.text) for text in each.texts] or [(math.nan, math.nan, math.nan, math.nan)])
