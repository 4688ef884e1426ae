"""Which piece, and which size of it, every layer belongs to; a layer that holds several pieces is taken apart.

A layer's piece comes from its own name, else from its parent's; where neither says, from what lies on it and where.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from msgspec.structs import replace

from svgfit.geometry.box import box_centre
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import DrawnText, Layer, Shape
from svgfit.model.refusal import Refusal
from svgfit.model.wording import drawing_stem
from svgfit.pattern.convention import Convention, Role
from svgfit.pattern.layer_patterns import name_key, single_spaced
from svgfit.pattern.layer_rows import OUTLINES, LayerRow, Remarks, list_names, spellings
from svgfit.pattern.nest_notches import notches_by_size
from svgfit.pattern.piece_places import (
    DrawnLoop,
    Place,
    extent,
    held_by_each,
    is_automatic,
    name_places,
    nearest_to,
    numbered_places,
    outlines,
    stacked,
)
from svgfit.rules.drawing_habits import SIDE_BY_SIDE


def assign_pieces(file: str, rows: Sequence[LayerRow], convention: Convention, remarks: Remarks) -> list[LayerRow]:
    """Give every layer that needs one a piece; one that holds several pieces becomes several rows.

    Raises Refusal for a layer whose piece can't be told.
    """
    named = [row.piece for row in rows if row.piece and _needs_piece(row)]
    known = spellings([*(rule.name for rule in convention.pieces), *named])
    assigned: list[LayerRow] = []
    open_rows: list[LayerRow] = []
    named_by_parents = _named_by_parents(rows, convention)
    for row in rows:
        if not _needs_piece(row) or not (row.layer.shapes or row.layer.texts):
            piece = known.get(name_key(row.piece), row.piece) if row.piece and _needs_piece(row) else None
            assigned.append(replace(row, piece=piece))
        elif row.piece:
            assigned.append(replace(row, piece=known[name_key(row.piece)]))
        elif piece := _piece_above(row, known, convention, named_by_parents):
            assigned.append(replace(row, piece=piece))
        else:
            open_rows.append(row)
    remarks.warn(*_side_by_side(file, assigned, convention.join_within))
    if open_rows:
        assigned += _by_content(file, open_rows, assigned, rows, convention, remarks)
        order = {id(row.layer): k for k, row in enumerate(rows)}
        assigned.sort(key=lambda row: order.get(id(row.layer), len(order)))
    return [part for row in assigned for part in notches_by_size(row, assigned)]


def _side_by_side(file: str, rows: Sequence[LayerRow], join: float) -> Iterable[str]:
    """Warn of layers named for one piece on which several outlines lie beside one another: only one is looked at."""
    for row in rows:
        if row.role not in OUTLINES or not row.piece or sum(len(shape.curves) for shape in row.layer.shapes) < 2:
            continue
        found = sorted(outlines(row.layer.shapes, join), key=lambda one: -abs(one.loop.area()))
        large = [one for one in found if abs(one.loop.area()) >= SIDE_BY_SIDE * abs(found[0].loop.area())]
        if len(large) > 1:
            rest = "; ".join(extent(one.loop) for one in large[1:4])
            what = f"holds {len(large)} outlines side by side, and only the largest is {row.piece}"
            yield f'{file}: layer "{"/".join(row.layer.path)}" {what}; put each other on its own layer ({rest})'


def _needs_piece(row: LayerRow) -> bool:
    return row.role is not None and row.role not in (Role.IGNORE, Role.TEST_SQUARE, Role.SIZE)


def _piece_above(row: LayerRow, known: Mapping[str, str], convention: Convention, named_by_parents: bool) -> str | None:
    """Find the nearest layer above with a piece's name; else the one just above, where such tell pieces apart."""
    for name in reversed(row.layer.path[:-1]):
        if name_key(name) in known:
            return known[name_key(name)]
    return single_spaced(_parent(row.layer, convention)) or None if named_by_parents else None


def _named_by_parents(rows: Sequence[LayerRow], convention: Convention) -> bool:
    """Say whether the layers above the outlines tell pieces apart: no outline names its own, several layers do."""
    outlines_there = [row for row in rows if row.role in OUTLINES]
    if any(row.piece for row in outlines_there):
        return False
    parents = {name_key(_parent(row.layer, convention)) for row in outlines_there}
    return len(parents) > 1 and "" not in parents


def _parent(layer: Layer, convention: Convention) -> str:
    """Find the name of the layer above, leaving out those that only tell a size; "" where there is none."""
    path = layer.path[:-1]
    while path:
        found = convention.role_of(path)
        if found is None or found.role != Role.SIZE or found.inherited or found.piece:
            return path[-1]
        path = path[:-1]
    return ""


# -- layers that say nothing of their piece --------------------------------------------------------------------------


def _by_content(
    file: str,
    open_rows: Sequence[LayerRow],
    assigned: Sequence[LayerRow],
    rows: Sequence[LayerRow],
    convention: Convention,
    remarks: Remarks,
) -> list[LayerRow]:
    here = spellings(row.piece for row in assigned if row.piece and (row.layer.shapes or row.layer.texts))
    if len(here) == 1:
        return [replace(row, piece=next(iter(here.values()))) for row in open_rows]
    join = convention.join_within
    lines = [(row, outlines(row.layer.shapes, join)) for row in open_rows if row.role in OUTLINES]
    if not here and not _are_several([one.loop for _, found in lines for one in found]):
        only = _only_piece(file, convention)
        return [replace(row, piece=only) for row in open_rows]
    places = _places_of(assigned, join)
    if any(found for _, found in lines):
        places += _new_places(file, lines, places, rows, remarks)
    if not places:
        row = open_rows[0]
        raise _untold(file, row, here.values())
    return [part for row in open_rows for part in _divide_row(file, row, places, remarks)]


def _are_several(loops: Sequence[Curve]) -> bool:
    """Say whether outlines are of more than one piece: not all of them lie over one another."""
    return any(not stacked(one, other) for k, one in enumerate(loops) for other in loops[:k])


def _places_of(rows: Sequence[LayerRow], join: float) -> list[Place]:
    return [
        Place(row.piece, one.loop, row.size)
        for row in rows
        if row.role in OUTLINES and row.piece
        for one in outlines(row.layer.shapes, join)[:1]
    ]


def _new_places(
    file: str,
    lines: Sequence[tuple[LayerRow, Sequence[DrawnLoop]]],
    known: Sequence[Place],
    rows: Sequence[LayerRow],
    remarks: Remarks,
) -> list[Place]:
    """Make places of the outlines on layers without a piece, size by size: of the first role, which others lie in."""
    named: list[Place] = []
    for size in dict.fromkeys(row.size and name_key(row.size) for row, _ in lines):
        own = [(row, found) for row, found in lines if (row.size and name_key(row.size)) == size and found]
        first = next(
            (role for role in (Role.CUT_LINE, Role.STITCH_LINE) if any(row.role == role for row, _ in own)), None
        )
        spelt = next((row.size for row, _ in own), None)
        every = [one for row, found in own if row.role == first for one in found]
        named += name_places(every, spelt, _texts_for(size, rows), [*known, *named])
    # What nothing names in one size may be named in a later one.
    named = [
        replace(place, name=next((one.name for one in named if one.name and stacked(one.loop, place.loop)), ""))
        if not place.name
        else place
        for place in named
    ]
    places, numbered = numbered_places(named)
    if numbered:
        todo = "write each piece's name as a text in it, or name its line"
        remarks.warn(f"{file}: nothing names {list_names(numbered)}; {todo}")
    return places


def _texts_for(size: str | None, rows: Sequence[LayerRow]) -> list[DrawnText]:
    """Collect the writing that may name outlines of a size: what no other size's layers hold, the size's own first."""
    seen = [row for row in rows if not row.layer.ours and not row.layer.hidden]
    own = [row for row in seen if row.size is not None and name_key(row.size) == size]
    return [text for row in (*own, *(row for row in seen if row.size is None)) for text in row.layer.texts]


def _divide_row(file: str, row: LayerRow, places: Sequence[Place], remarks: Remarks) -> list[LayerRow]:
    """Divide the row among the places, by where its shapes and texts lie."""
    shapes: dict[tuple[str, str | None], list[Shape]] = {}
    own = _places_for(row, places)
    centres = {
        (id(one), k): box_centre(curve.bounds()) for one in row.layer.shapes for k, curve in enumerate(one.curves)
    }
    homes = dict(zip(centres, held_by_each(tuple(centres.values()), own), strict=True))
    for shape in row.layer.shapes:
        for key, part in _divide_shape(shape, row, own, homes):
            shapes.setdefault(key, []).append(part)
    texts: dict[tuple[str, str | None], list[DrawnText]] = {}
    holding = held_by_each([drawn.text.at for drawn in row.layer.texts], own)
    for drawn, held in zip(row.layer.texts, holding, strict=True):
        if held is None:  # the page's title, say: it must not move with a piece
            line = f" line {drawn.line}" if drawn.line else ""
            what = f"the text {drawn.text.content[:40]!r} lies in no piece and stays where it is"
            remarks.warn(f"{file}{line}: {what}")
            continue
        texts.setdefault(_key(row, own[held], own), []).append(drawn)
    return [
        replace(
            row,
            layer=replace(row.layer, shapes=tuple(shapes.get(key, ())), texts=tuple(texts.get(key, ()))),
            piece=key[0],
            size=key[1],
        )
        for key in dict.fromkeys((*shapes, *texts))
    ]


def _places_for(row: LayerRow, places: Sequence[Place]) -> list[Place]:
    """Choose the places where a row's lines may belong: those of its size or of none, else of another size."""
    if row.size is None:
        return list(places)
    own = [place for place in places if place.size is not None and name_key(place.size) == name_key(row.size)]
    own += [place for place in places if place.size is None]
    names = {name_key(place.name) for place in own}
    return [*own, *(place for place in places if name_key(place.name) not in names)]


def _divide_shape(
    shape: Shape, row: LayerRow, places: Sequence[Place], held: Mapping[tuple[int, int], int | None]
) -> Iterable[tuple[tuple[str, str | None], Shape]]:
    """Give a shape to its place, or each of its curves where they lie in several.

    ``held``: the place that holds a curve, by the shape's identity and the curve's number.
    """
    if shape.name and not is_automatic(shape.name):
        named = next((place for place in places if name_key(place.name) == name_key(shape.name)), None)
        if named is not None:
            return ((_key(row, named, places), shape),)
    homes: dict[tuple[str, str | None], list[int]] = {}
    for k, curve in enumerate(shape.curves):
        drawing = next((place for place in places if (id(shape), k) in place.parts), None)
        if drawing is not None:
            key = (drawing.name, row.size or drawing.size)
        else:
            home = held[id(shape), k]
            at = nearest_to(box_centre(curve.bounds()), places) if home is None else home
            key = _key(row, places[at], places)
        homes.setdefault(key, []).append(k)
    if len(homes) == 1:
        return ((next(iter(homes)), shape),)
    return [
        (key, replace(shape, curves=tuple(shape.curves[k] for k in own), closed=tuple(shape.closed[k] for k in own)))
        for key, own in homes.items()
    ]


def _key(row: LayerRow, place: Place, places: Sequence[Place]) -> tuple[str, str | None]:
    """Tell piece and size of what lies in a place: in a nest, what tells no size is of every size."""
    if row.size is not None or place.size is None:
        return place.name, row.size
    over = any(
        other.size is not None
        and name_key(other.size) != name_key(place.size)
        and name_key(other.name) == name_key(place.name)
        and stacked(other.loop, place.loop)
        for other in places
    )
    return place.name, None if over else place.size


def _only_piece(file: str, convention: Convention) -> str:
    if len(convention.pieces) == 1:
        return convention.pieces[0].name
    return single_spaced(drawing_stem(file)) or "piece"


def _untold(file: str, row: LayerRow, names: Iterable[str]) -> Refusal:
    known = list(names)
    line = f" line {row.layer.line}" if row.layer.line else ""
    return Refusal(
        f'{file}{line}: layer "{"/".join(row.layer.path)}"',
        f"can't tell which piece this {row.role} layer belongs to: there are {list_names(known)}",
        f'put the piece in its name, for example "{known[0]} {row.layer.name}"',
    )
