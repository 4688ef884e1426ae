"""Layers → pieces as drawn: the convention's roles sort what the layers hold, before anyone knows what a piece is.

Everything is in page millimetres. A layer's piece comes from its own name, else from its parent's; where neither says,
it is the only piece there is.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.box import box_around, box_centre
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Layer, Shape
from svgfit.model.length import both_ways
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import Refusal
from svgfit.pattern.adjusted_layer import adjusted_pieces, dropped_pieces, written_twice
from svgfit.pattern.convention import Convention, LayerRole, Role
from svgfit.pattern.layer_patterns import name_key
from svgfit.pattern.layer_rows import OUTLINES, LayerRow, Remarks, list_names, merge_rows, spellings
from svgfit.pattern.line_sizes import with_sizes_by_line
from svgfit.pattern.named_objects import with_object_layers
from svgfit.pattern.ownership import assign_pieces
from svgfit.pattern.shape_roles import with_roles_by_shape

_SHAPES = (Role.STITCH_LINE, Role.CUT_LINE, Role.NOTCHES, Role.DETAILS)
_CURVES = (Role.GRAIN_LINE, Role.BICEP_LINE, Role.CENTRE_LINE, Role.FOLD_LINE)
MOST_PIECES = 1000
"""No drawing has more pieces than this, each size counted (a guard against files made to take for ever)."""


class Assembled(Struct, frozen=True):
    """What the layers of all drawings came to."""

    pieces: tuple[DrawnPiece, ...]
    layers: tuple[LayerRow, ...]
    warnings: tuple[str, ...] = ()
    guesses: tuple[str, ...] = ()
    """Those of the warnings that tell a guess on which figures rest."""
    other_sizes: tuple[DrawnPiece, ...] = ()
    """Pieces of sizes that are not looked at."""


def assemble(
    drawings: Sequence[tuple[str, Sequence[Layer]]],
    convention: Convention,
    *,
    size: str | None = None,
    from_adjusted: bool = False,
) -> Assembled:
    """Assemble the pieces of all drawings (each a file's name and its layers), in the order they are first met.

    ``size`` keeps some sizes of a nest. ``from_adjusted`` takes the pieces in our layer of adjusted outlines
    instead of those that were drawn. Raises Refusal where no layer has a role, a layer's piece can't be told, or there
    is no such size.
    """
    pieces: list[DrawnPiece] = []
    rows: list[LayerRow] = []
    remarks = Remarks()
    for file, layers in drawings:
        named, drawn = sort_layers(file, layers, convention, remarks)
        sized = with_sizes_by_line(drawn, convention.sizes, convention.join_within)
        assigned = assign_pieces(file, sized, convention, remarks)
        rows.extend(merge_rows(named, assigned))
        found = _pieces(file, [row for row in assigned if row.piece is not None], convention, remarks, size)
        if from_adjusted:
            found = _adjusted_first(file, found, layers, convention, remarks)
        pieces.extend(found)
    if not pieces:
        raise _no_pieces(drawings, convention, from_adjusted)
    chosen = tuple(replace(piece, corners=convention.corners) for piece in _of_size(pieces, size))
    sizes = {piece.size for piece in chosen}
    others = tuple(piece for piece in pieces if piece.size not in sizes)
    return Assembled(chosen, tuple(rows), tuple(remarks.told), tuple(remarks.guesses), others)


# -- which layer is what ---------------------------------------------------------------------------------------------


def sort_layers(
    file: str, layers: Sequence[Layer], convention: Convention, remarks: Remarks
) -> tuple[list[LayerRow], list[LayerRow]]:
    """Sort one drawing's layers by role: as their names say it, and then divided by shape where no name says it.

    Raises Refusal where the outlines of sizes may be cut lines or stitch lines, and nothing says which.
    """
    known = with_object_layers(layers, convention)
    named = [_row(layer, convention, known) for layer in known]
    return named, with_roles_by_shape(file, named, convention, remarks)


def _row(layer: Layer, convention: Convention, layers: Sequence[Layer]) -> LayerRow:
    role = None if layer.ours else convention.role_of(layer.path)
    if role is None or (layer.hidden and role.inherited and not _hidden_above(layer, role, layers)):
        return LayerRow(layer)
    return LayerRow(layer, role.role, role.piece, role.size)


def _hidden_above(layer: Layer, role: LayerRole, layers: Sequence[Layer]) -> bool:
    """Say whether the layer whose name gave the role is itself hidden: then it was named although it is hidden."""
    giver = layer.path[: len(layer.path) - role.inherited]
    return any(other.path == giver and other.hidden for other in layers)


# -- pieces ----------------------------------------------------------------------------------------------------------


def _pieces(
    file: str, rows: Sequence[LayerRow], convention: Convention, remarks: Remarks, wanted: str | None
) -> list[DrawnPiece]:
    """Make one record per piece and size; what bears no size in a nest belongs to every size of its piece.

    Pieces without an outline are warned of together, those of the sizes ``wanted``.
    """
    sizes: dict[str, dict[str | None, None]] = {}
    for row in rows:
        sizes.setdefault(row.piece or "", {}).setdefault(row.size and name_key(row.size))
    if sum(map(len, sizes.values())) > MOST_PIECES:
        what = f"the drawing has more than {MOST_PIECES} pieces and sizes"
        raise Refusal(file, what, "say in svgfit.toml which layers are meant; svgfit inspect lists them")
    by_name: dict[str, list[LayerRow]] = {}
    for row in rows:
        by_name.setdefault(row.piece or "", []).append(row)
    found: list[DrawnPiece] = []
    bare: dict[str, list[str]] = {}
    for name, keys in sizes.items():
        for size in [key for key in keys if key is not None] or [None]:
            own = [row for row in by_name[name] if row.size is None or name_key(row.size) == size]
            piece = _piece(file, name, next((row.size for row in own if row.size), None), own, convention, remarks)
            if piece.stitch or piece.cut:
                found.append(_completed(piece, by_name[name], remarks))
            elif is_wanted_size(piece.size, wanted):
                names = ", ".join(dict.fromkeys(f'"{row.layer.name}"' for row in own))
                bare.setdefault(names, []).append(f"{name} ({piece.size})" if piece.size else name)
    remarks.warn(*_missing_sizes(file, found), *_without_notches(file, found, by_name))
    for names, titles in bare.items():
        verb, whose = ("has", "its") if len(titles) == 1 else ("have", "their")
        what = f"{verb} no stitch line and no cut line and {'is' if verb == 'has' else 'are'} left out"
        remarks.warn(f"{file}: {list_names(titles)} {what}; {whose} layers: {names}")
    return found


def _missing_sizes(file: str, pieces: Sequence[DrawnPiece]) -> Iterable[str]:
    """Warn of pieces that most sizes of a nest have and some have not."""
    every = dict.fromkeys(piece.size for piece in pieces if piece.size)
    for name in dict.fromkeys(piece.name for piece in pieces):
        own = {piece.size for piece in pieces if piece.name == name}
        missing = [size for size in every if size not in own]
        if None not in own and 0 < len(missing) < len(own):
            yield f"{file}: {name} is not there in size {list_names(missing)}, as it is in the other sizes"


def _without_notches(file: str, pieces: Sequence[DrawnPiece], rows: Mapping[str, Sequence[LayerRow]]) -> Iterable[str]:
    """Warn of sizes on whose lines no notch stands, where the notches' own layer tells no size."""
    for name, own in rows.items():
        sizes = [piece for piece in pieces if piece.name == name and piece.size is not None]
        bare = [piece.size for piece in sizes if not piece.notches and piece.size]
        if 0 < len(bare) < len(sizes) and any(_is_divided(row) for row in own if row.role == Role.NOTCHES):
            there = list_names(piece.size for piece in sizes if piece.notches and piece.size)
            yield f"{file}: {name}: its notches stand on the lines of size {there}; size {list_names(bare)} has none"


def _is_divided(row: LayerRow) -> bool:
    """Say whether a row's size came from where its lines are, not from a layer's name."""
    return row.size is not None and not any(name_key(row.size) in name_key(part).split() for part in row.layer.path)


def _completed(piece: DrawnPiece, rows: Sequence[LayerRow], remarks: Remarks) -> DrawnPiece:
    """Complete a size's outlines by the lines that another size of the piece has and this one ends on."""
    if piece.size is None or len({row.size for row in rows if row.size}) < 2:
        return piece
    from svgfit.pattern.shared_lines import borrow  # here because it is for nests only

    lines: dict[str, tuple[Shape, ...]] = {}
    for role, shapes in ((Role.STITCH_LINE, piece.stitch), (Role.CUT_LINE, piece.cut)):
        others: dict[str, list[Curve]] = {}
        for row in rows:
            if row.role == role and row.size is not None and name_key(row.size) != name_key(piece.size):
                others.setdefault(row.size, []).extend(curve for shape in row.layer.shapes for curve in shape.curves)
        own = [curve for shape in shapes for curve in shape.curves]
        found = borrow(own, others, piece.join) if others else None
        if found is not None:
            lines[role] = (*shapes, *(Shape((line,), (False,), style=shapes[0].style) for line in found.lines))
            what = (
                f"{both_ways(found.length)} of its {role}, on which its own lines end, is taken from size {found.size}"
            )
            remarks.guess(f"{piece.where}: {what}")
    return replace(piece, stitch=lines.get(Role.STITCH_LINE, piece.stitch), cut=lines.get(Role.CUT_LINE, piece.cut))


def _piece(
    file: str,
    name: str,
    size: str | None,
    rows: Sequence[LayerRow],
    convention: Convention,
    remarks: Remarks,
) -> DrawnPiece:
    shapes: dict[str, list[Shape]] = {role: [] for role in _SHAPES}
    curves: dict[str, list[Curve]] = {role: [] for role in _CURVES}
    landmarks: list[tuple[str, complex]] = []
    for row in rows:
        if row.role is not None and row.role in _SHAPES:
            shapes[row.role].extend(row.layer.shapes)
        elif row.role is not None and row.role in _CURVES:
            curves[row.role].extend(curve for shape in row.layer.shapes for curve in shape.curves)
        elif row.role == Role.LANDMARKS:
            landmarks.extend(_landmarks(file, row.layer, remarks))
        elif row.role == Role.TEXT:
            shapes[Role.DETAILS].extend(row.layer.shapes)  # letters turned into outlines, frames round a text
    rule = convention.rule(name)
    return DrawnPiece(
        file=file,
        name=name,
        size=size,
        kind=rule.kind if rule else None,
        front=rule.front if rule else None,
        allowances=rule.allowances if rule else {},
        stitch=tuple(shapes[Role.STITCH_LINE]),
        cut=tuple(shapes[Role.CUT_LINE]),
        notches=tuple(shapes[Role.NOTCHES]),
        grain=tuple(curves[Role.GRAIN_LINE]),
        bicep=tuple(curves[Role.BICEP_LINE]),
        centre=tuple(curves[Role.CENTRE_LINE]),
        fold=tuple(curves[Role.FOLD_LINE]),
        join=convention.join_within,
        edge_names=rule.edges if rule else (),
        details=tuple(shapes[Role.DETAILS]),
        landmarks=tuple(landmarks),
        texts=tuple(drawn.text for row in rows for drawn in row.layer.texts),
        elements=_elements(rows),
    )


def _elements(rows: Sequence[LayerRow]) -> frozenset[int]:
    """Collect the numbers of the elements that a piece is made of: all its texts, and its shapes but landmarks."""
    texts = [text.element for row in rows for text in row.layer.texts]
    roles = (*_SHAPES, *_CURVES, Role.TEXT)
    shapes = [shape.element for row in rows if row.role in roles for shape in row.layer.shapes]
    return frozenset(number for number in (*texts, *shapes) if number is not None)


def _landmarks(file: str, layer: Layer, remarks: Remarks) -> Iterable[tuple[str, complex]]:
    for shape in layer.shapes:
        name = landmark_name(shape.name or "")
        if not name:
            line = f" line {shape.line}" if shape.line else ""
            remarks.warn(f"{file}{line}: layer {layer.name!r}: a shape without a name of its own is no landmark")
            continue
        yield name, box_centre(box_around(curve.bounds() for curve in shape.curves))


def landmark_name(text: str) -> str:
    """Normalise a landmark's name: lower case, single spaces, without the number that programs add to copies.

    >>> landmark_name("Cap_top"), landmark_name("underarm-front-2"), landmark_name("Underarm back (3)")
    ('cap top', 'underarm front', 'underarm back')
    """
    return re.sub(r"[\s#(]*\d+\)?$", "", name_key(text)).strip()


def _adjusted_first(
    file: str,
    drawn: Sequence[DrawnPiece],
    layers: Sequence[Layer],
    convention: Convention,
    remarks: Remarks,
) -> list[DrawnPiece]:
    """Take the pieces of our adjusted layer, and as drawn those that are not in it."""
    adjusted = adjusted_pieces(file, layers, convention.rule)
    twice = written_twice(layers)
    if twice:
        what = "adjusted outlines are on several layers, since one was edited; what was written last is looked at"
        remarks.guess(f"{file}: {what}: {list_names(twice)}")
    taken = {(name_key(piece.name), piece.size) for piece in adjusted}
    taken |= {(name_key(name), size) for name, size in dropped_pieces(layers)}
    rest = [piece for piece in drawn if (name_key(piece.name), piece.size) not in taken]
    if not adjusted and rest:
        remarks.warn(f"{file}: has no adjusted layer, so its pieces are taken as they were drawn")
    return [*adjusted, *rest]


def _of_size(pieces: Sequence[DrawnPiece], wanted: str | None) -> tuple[DrawnPiece, ...]:
    """Keep the pieces of the sizes wanted ("12", "10, 12", "all"), and those that have none."""
    if wanted is None or name_key(wanted) == "all":
        return tuple(pieces)
    sizes = spellings(piece.size for piece in pieces if piece.size)
    if not sizes:
        what = f"no layer's name tells a size, so there is no size {wanted!r}"
        todo = "leave out --size; where lines tell sizes apart, svgfit inspect lists them, for [sizes] in svgfit.toml"
        raise Refusal(pieces[0].file, what, todo)
    chosen = [word for word in re.split(r"[,\s]+", wanted.strip()) if word]
    for one in chosen:
        if name_key(one) not in sizes:
            known = f"the sizes here are {list_names(sizes.values())}"
            raise Refusal(pieces[0].file, f"there is no size {one!r}", known)
    return tuple(piece for piece in pieces if is_wanted_size(piece.size, wanted))


def is_wanted_size(size: str | None, wanted: str | None) -> bool:
    """Tell whether a size (None: none) is among those that are looked at, "10, 12"; None or "all": every one is."""
    if size is None or wanted is None or name_key(wanted) == "all":
        return True
    return name_key(size) in {name_key(one) for one in re.split(r"[,\s]+", wanted.strip())}


# -- what is wrong ---------------------------------------------------------------------------------------------------


def _no_pieces(drawings: Sequence[tuple[str, Sequence[Layer]]], convention: Convention, from_adjusted: bool) -> Refusal:
    files = ", ".join(file for file, _ in drawings)
    if from_adjusted and any(dropped_pieces(layers) for _, layers in drawings):
        what = "every piece of it was dropped by the plan that adjusted it"
        return Refusal(
            files, what, "leave out --from adjusted to look at what was drawn, or give the other drawings too"
        )
    layers = [layer for _, layers in drawings for layer in layers if not layer.ours]
    if not layers and not from_adjusted:
        return Refusal(
            files, "has no layers", "put each line of the pattern on a layer with a name that says what it is"
        )
    named = dict.fromkeys(f'"{name}"' for layer in layers if (name := "/".join(layer.path)).strip("/"))
    here = f"the layers here are {list_names(named)}" if named else "nothing here is on a layer that has a name"
    looked = [f'"{pattern}"' for role in OUTLINES for pattern in convention.patterns(role) if "{size}" not in pattern]
    what = f"no layer is the stitch line or cut line of a piece; {here}"
    todo = 'call an outline\'s layer as in "Sleeve stitch line", or say what your names mean in a '
    todo += f"{_FILE}, which svgfit convention proposes"
    todo += f"; {convention.where} looks for {list_names(looked)}" if looked else ""
    return Refusal(files, what, todo)


_FILE = "svgfit.toml beside the drawing, under [layers]"
