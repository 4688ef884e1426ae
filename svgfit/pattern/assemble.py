"""Layers → pieces as drawn: the convention's roles sort what the layers hold, before anyone knows what a piece is.

Everything is in page millimetres. A layer's piece comes from its own name, else from its parent's; where neither says,
it is the only piece there is.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Layer, Shape
from svgfit.model.drawn import DrawnPiece
from svgfit.model.refusal import Refusal
from svgfit.pattern.carried import adjusted_pieces
from svgfit.pattern.convention import IGNORE, TEST_SQUARE, Convention, LayerRole
from svgfit.pattern.roles import same, tidy

_OUTLINES = ("stitch line", "cut line")
_SHAPES = {"stitch line": "stitch", "cut line": "cut", "notches": "notches", "drawn details": "details"}
_CURVES = {"grain line": "grain", "bicep line": "bicep", "centre line": "centre", "fold line": "fold"}


class LayerRow(Struct, frozen=True):
    """A layer and what it was taken for; all None where it plays no part."""

    layer: Layer
    role: str | None = None
    piece: str | None = None
    size: str | None = None


class Assembled(Struct, frozen=True):
    """What the layers of all drawings came to."""

    pieces: tuple[DrawnPiece, ...]
    layers: tuple[LayerRow, ...]
    warnings: tuple[str, ...] = ()


def assemble(
    drawings: Sequence[tuple[str, Sequence[Layer]]],
    convention: Convention,
    *,
    size: str | None = None,
    from_adjusted: bool = False,
) -> Assembled:
    """The pieces of all drawings (each a file's name and its layers), in the order in which they are first met.

    ``size`` keeps one size of a nest. ``from_adjusted`` takes the pieces in our layer of adjusted outlines
    instead of those that were drawn. Raises Refusal where no layer has a role, a layer's piece can't be told, or there
    is no such size.
    """
    pieces: list[DrawnPiece] = []
    rows: list[LayerRow] = []
    warnings: list[str] = []
    for file, layers in drawings:
        drawn = [_row(layer, convention, layers) for layer in layers]
        drawn = _with_pieces(file, drawn, convention, warnings)
        rows.extend(drawn)
        found = _pieces(file, [row for row in drawn if row.piece is not None], convention, warnings)
        if from_adjusted:
            found = _adjusted_first(file, found, layers, convention, warnings)
        pieces.extend(found)
    if not pieces:
        raise _no_pieces(drawings, convention, from_adjusted)
    return Assembled(_of_size(pieces, size), tuple(rows), tuple(warnings))


# -- which layer is what ---------------------------------------------------------------------------------------------


def _row(layer: Layer, convention: Convention, layers: Sequence[Layer]) -> LayerRow:
    role = None if layer.ours else convention.role_of(layer.path)
    if role is None or (layer.hidden and role.inherited and not _hidden_above(layer, role, layers)):
        return LayerRow(layer)
    return LayerRow(layer, role.role, role.piece, role.size)


def _hidden_above(layer: Layer, role: LayerRole, layers: Sequence[Layer]) -> bool:
    """Whether the layer whose name gave the role is itself hidden: then it was named although it is hidden."""
    giver = layer.path[: len(layer.path) - role.inherited]
    return any(other.path == giver and other.hidden for other in layers)


def _needs_piece(row: LayerRow) -> bool:
    return row.role is not None and row.role not in (IGNORE, TEST_SQUARE)


def _with_pieces(file: str, rows: list[LayerRow], convention: Convention, warnings: list[str]) -> list[LayerRow]:
    """The rows with a piece for every layer that needs one."""
    named = [row.piece for row in rows if row.piece and _needs_piece(row)]
    known = _spellings([*(rule.name for rule in convention.pieces), *named])
    here = _spellings(known.get(same(name), name) for name in named)
    settled: list[LayerRow] = []
    for row in rows:
        if not _needs_piece(row) or not (row.layer.shapes or row.layer.texts):
            piece = known.get(same(row.piece), row.piece) if row.piece and _needs_piece(row) else None
        elif row.piece:
            piece = known[same(row.piece)]
        else:
            piece = _piece_above(row, rows, known) or _only_piece(file, row, here, convention)
            if piece is None and row.role == "text":
                warnings.append(f"{_place(file, row.layer)}: its texts belong to no piece and stay where they are")
            elif piece is None:
                raise Refusal(
                    _place(file, row.layer),
                    f"can't tell which piece this {row.role} layer belongs to: there are {_listed(here.values())}",
                    f'put the piece in its name, for example "{next(iter(here.values()))} {row.layer.name}"',
                )
        settled.append(replace(row, piece=piece))
    return settled


def _piece_above(row: LayerRow, rows: Sequence[LayerRow], known: Mapping[str, str]) -> str | None:
    """The nearest layer above with a piece's name; else the one just above, where such layers tell pieces apart."""
    for name in reversed(row.layer.path[:-1]):
        if same(name) in known:
            return known[same(name)]
    parents = {
        same(other.layer.path[-2]) if len(other.layer.path) > 1 else ""
        for other in rows
        if other.role in _OUTLINES and not other.piece
    }
    apart = len(parents) > 1 and "" not in parents and not any(row.piece for row in rows if row.role in _OUTLINES)
    return tidy(row.layer.path[-2]) if apart and len(row.layer.path) > 1 else None


def _only_piece(file: str, row: LayerRow, here: Mapping[str, str], convention: Convention) -> str | None:
    if len(here) == 1:
        return next(iter(here.values()))
    if here:
        return None
    if len(convention.pieces) == 1:
        return convention.pieces[0].name
    stem = re.sub(r"\.svgz?$", "", re.split(r"[/\\]", file)[-1], flags=re.IGNORECASE)
    return tidy(stem) or "piece"


def _spellings(names: Iterable[str]) -> dict[str, str]:
    """Names that count as one → the first way in which it is spelt."""
    found: dict[str, str] = {}
    for name in names:
        found.setdefault(same(name), name)
    return found


# -- pieces ----------------------------------------------------------------------------------------------------------


def _pieces(file: str, rows: Sequence[LayerRow], convention: Convention, warnings: list[str]) -> list[DrawnPiece]:
    """One record a piece and size; what bears no size in a nest belongs to every size of its piece."""
    sizes: dict[str, dict[str | None, None]] = {}
    for row in rows:
        sizes.setdefault(row.piece or "", {}).setdefault(row.size and row.size.casefold())
    found: list[DrawnPiece] = []
    for name, keys in sizes.items():
        for size in [key for key in keys if key is not None] or [None]:
            own = [row for row in rows if row.piece == name and (row.size is None or row.size.casefold() == size)]
            piece = _piece(file, name, next((row.size for row in own if row.size), None), own, convention, warnings)
            if piece.stitch or piece.cut:
                found.append(piece)
            else:
                what = f"{piece.where}: has no stitch line and no cut line and is left out; its layers: "
                warnings.append(what + ", ".join(f'"{row.layer.name}"' for row in own))
    return found


def _piece(
    file: str,
    name: str,
    size: str | None,
    rows: Sequence[LayerRow],
    convention: Convention,
    warnings: list[str],
) -> DrawnPiece:
    shapes: dict[str, list[Shape]] = {field: [] for field in _SHAPES.values()}
    curves: dict[str, list[Curve]] = {field: [] for field in _CURVES.values()}
    landmarks: list[tuple[str, complex]] = []
    for row in rows:
        if row.role in _SHAPES:
            shapes[_SHAPES[row.role]].extend(row.layer.shapes)
        elif row.role in _CURVES:
            curves[_CURVES[row.role]].extend(curve for shape in row.layer.shapes for curve in shape.curves)
        elif row.role == "landmarks":
            landmarks.extend(_landmarks(file, row.layer, warnings))
        elif row.role == "text":
            shapes["details"].extend(row.layer.shapes)  # letters turned into outlines, frames round a text
    rule = convention.rule(name)
    return DrawnPiece(
        file=file,
        name=name,
        size=size,
        kind=rule.kind if rule else None,
        front=rule.front if rule else None,
        allowances=rule.allowances if rule else {},
        stitch=tuple(shapes["stitch"]),
        cut=tuple(shapes["cut"]),
        notches=tuple(shapes["notches"]),
        grain=tuple(curves["grain"]),
        bicep=tuple(curves["bicep"]),
        centre=tuple(curves["centre"]),
        fold=tuple(curves["fold"]),
        details=tuple(shapes["details"]),
        landmarks=tuple(landmarks),
        texts=tuple(drawn.text for row in rows for drawn in row.layer.texts),
    )


def _landmarks(file: str, layer: Layer, warnings: list[str]) -> Iterable[tuple[str, complex]]:
    for shape in layer.shapes:
        name = landmark_name(shape.name or "")
        if not name:
            line = f" line {shape.line}" if shape.line else ""
            warnings.append(f"{file}{line}: layer {layer.name!r}: a shape without a name of its own is no landmark")
            continue
        boxes = [curve.bounds() for curve in shape.curves]
        left, top = min(box[0] for box in boxes), min(box[1] for box in boxes)
        right, bottom = max(box[2] for box in boxes), max(box[3] for box in boxes)
        yield name, complex((left + right) / 2, (top + bottom) / 2)


def landmark_name(text: str) -> str:
    """A landmark's name as it counts: lower case, single spaces, without the number that programs add to copies.

    >>> landmark_name("Cap_top"), landmark_name("underarm-front-2"), landmark_name("Underarm back (3)")
    ('cap top', 'underarm front', 'underarm back')
    """
    return re.sub(r"[\s#(]*\d+\)?$", "", same(text)).strip()


def _adjusted_first(
    file: str,
    drawn: Sequence[DrawnPiece],
    layers: Sequence[Layer],
    convention: Convention,
    warnings: list[str],
) -> list[DrawnPiece]:
    """The pieces of our adjusted layer, and as drawn those that are not in it."""
    adjusted = adjusted_pieces(file, layers, convention.rule)
    taken = {(same(piece.name), piece.size) for piece in adjusted}
    rest = [piece for piece in drawn if (same(piece.name), piece.size) not in taken]
    if not adjusted and rest:
        warnings.append(f"{file}: has no adjusted layer, so its pieces are taken as they were drawn")
    return [*adjusted, *rest]


def _of_size(pieces: Sequence[DrawnPiece], size: str | None) -> tuple[DrawnPiece, ...]:
    """The pieces of one size, with those that have none."""
    if size is None:
        return tuple(pieces)
    sizes = _spellings(piece.size for piece in pieces if piece.size)
    if not sizes:
        raise Refusal(pieces[0].file, f"no layer's name tells a size, so there is no size {size!r}", "leave out --size")
    if same(size) not in sizes:
        raise Refusal(pieces[0].file, f"there is no size {size!r}", f"the sizes here are {_listed(sizes.values())}")
    return tuple(piece for piece in pieces if piece.size is None or same(piece.size) == same(size))


# -- what is wrong ---------------------------------------------------------------------------------------------------


def _no_pieces(drawings: Sequence[tuple[str, Sequence[Layer]]], convention: Convention, from_adjusted: bool) -> Refusal:
    files = ", ".join(file for file, _ in drawings)
    layers = [layer for _, layers in drawings for layer in layers if not layer.ours]
    if not layers and not from_adjusted:
        return Refusal(
            files, "has no layers", "put each line of the pattern on a layer with a name that says what it is"
        )
    names = _listed(dict.fromkeys(f'"{"/".join(layer.path)}"' for layer in layers)) or "none"
    looked = [f'"{pattern}"' for role in _OUTLINES for pattern in convention.patterns(role)]
    what = f"no layer is the stitch line or cut line of a piece; the layers here are {names}"
    todo = f"{convention.where} looks for {_listed(looked)}: rename the layers, or name them in a {_FILE}"
    return Refusal(files, what, todo)


_FILE = "convention (svgfit.toml, [layers])"


def _place(file: str, layer: Layer) -> str:
    line = f" line {layer.line}" if layer.line else ""
    return f'{file}{line}: layer "{"/".join(layer.path)}"'


def _listed(names: Iterable[str], most: int = 20) -> str:
    every = list(names)
    more = f" and {len(every) - most} more" if len(every) > most else ""
    return ", ".join(every[:most]) + more
