"""What lines are by their shape, on layers whose name tells only a size, or nothing: outline, notch, grain, fold, text.

Only for drawings in which no layer's name says it. What is told so is a guess, and a warning says so. Page mm.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.box import box_around, box_centre, box_holds, widen_box
from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import distances, encloses, encloses_each
from svgfit.model.drawing import DrawnText, LineStyle, Shape
from svgfit.model.label_size import stated_sizes
from svgfit.model.refusal import Refusal
from svgfit.pattern.beside_outlines import (
    ClosedLine,
    Stroke,
    along_edge,
    from_edge_to_edge,
    is_tick,
    lies_at,
    runs_beside,
    stroke,
)
from svgfit.pattern.convention import Convention, Role, builtin_convention
from svgfit.pattern.languages import says
from svgfit.pattern.layer_patterns import single_spaced
from svgfit.pattern.layer_rows import OUTLINES, LayerRow, Remarks, list_names
from svgfit.pattern.line_sizes import size_named
from svgfit.pattern.piece_places import DrawnLoop, Part, is_automatic, lies_in, name_places, outlines, stacked
from svgfit.rules import drawing_habits as habits
from svgfit.rules.scale import SLIPS, names_test, names_test_square


class _Found(Struct, frozen=True):
    """The outlines of a row, each with the role that its neighbours prove, if they do."""

    row: LayerRow
    loops: tuple[tuple[DrawnLoop, str | None], ...]

    @property
    def parts(self) -> dict[Part, str | None]:
        return {part: role for loop, role in self.loops for part in loop.parts}


def with_roles_by_shape(
    file: str, rows: Sequence[LayerRow], convention: Convention, remarks: Remarks
) -> list[LayerRow]:
    """Divide layers whose name says no role by what the shapes on them are. ``rows`` are one drawing's.

    Raises Refusal where the outlines of sizes may be cut lines or stitch lines, and nothing says which.
    """
    rows = _with_plain_sizes(rows)
    open_rows = _open_rows(rows, convention.join_within)
    found = _without_details([_find_outlines(row, convention.join_within) for row in open_rows])
    if not any(each.loops for each in found):
        return list(rows)
    found = _settled(file, found, convention, remarks)
    if not found:
        return list(rows)
    texts = [text for row in open_rows for text in row.layer.texts]
    grains, folds = _grain_and_fold(found, texts)
    divided = {id(each.row): _divide(each, found, grains, folds) for each in found}
    names = dict.fromkeys(f'"{"/".join(row.layer.path)}"' for row in open_rows if any(row.layer.path))
    where = f" on {list_names(names, 6)}" if names else ""
    remarks.guess(
        f"{file}: what is an outline, a notch, a grain line or a fold line{where} is told by shape, not by name; "
        "look at svgfit inspect"
    )
    return [part for row in rows for part in divided.get(id(row), [row])]


def _with_plain_sizes(rows: Sequence[LayerRow]) -> list[LayerRow]:
    """Take layers called "10", "12" or "XL" for those of sizes, where there are several such and none says a role.

    A single one that the convention calls a cut line, or a stitch line, is no size: its name is what it is called by.
    """
    drawn = [row for row in rows if row.layer.shapes and not row.layer.ours and row.size is None and row.piece is None]
    plain = [
        (row, size)
        for row in drawn
        if row.role in (None, *OUTLINES) and not row.layer.hidden and (size := size_named(row.layer.name)) is not None
    ]
    named = Counter(row.role for row, _ in plain)
    sizes = {id(row): size for row, size in plain if row.role is None or named[row.role] > 1}
    others = any(row.role in OUTLINES and row.layer.shapes and id(row) not in sizes for row in rows)
    if others or len(set(sizes.values())) < 2:
        return list(rows)
    return [replace(row, role=row.role or Role.SIZE, size=sizes[id(row)]) if id(row) in sizes else row for row in rows]


def _open_rows(rows: Sequence[LayerRow], join: float) -> list[LayerRow]:
    """Choose the layers to divide by shape; none where names say it."""
    drawn = [row for row in rows if row.layer.shapes or row.layer.texts]
    named = [row for row in drawn if row.role in OUTLINES and row.layer.shapes]
    sized = [row for row in drawn if row.role == Role.SIZE and row.layer.shapes]
    nameless = [row for row in drawn if row.role is None and not row.layer.ours and not row.layer.hidden]
    if sized:
        return [*sized, *nameless]
    if not named:
        return nameless
    if any(row.role in (Role.NOTCHES, Role.GRAIN_LINE) and row.layer.shapes for row in drawn):
        return []
    mixed = [row for row in named if _marked(_find_outlines(row, join))]
    return [*mixed, *nameless] if mixed else []


def _marked(found: _Found) -> bool:
    """Say whether notches stand on the outlines of a layer."""
    drawn = [ClosedLine(loop.loop) for loop, _ in found.loops]
    return any(not _own(shape, found) and is_tick(shape, drawn) for shape in found.row.layer.shapes)


# -- outlines ----------------------------------------------------------------------------------------------------------


def _find_outlines(row: LayerRow, join: float) -> _Found:
    """Find the outlines on a layer: closed lines that are large enough and no frame, those drawn alike together."""
    alike: dict[LineStyle, list[Shape]] = {}
    for shape in row.layer.shapes:
        alike.setdefault(shape.style, []).append(shape)
    every = [one for shapes in alike.values() for one in outlines(shapes, join)]
    every = [one for one in every if is_outline(one, row.layer.texts)]
    outer: list[DrawnLoop] = []
    for one in sorted(every, key=lambda each: -abs(each.loop.area())):
        if not any(lies_in(one.loop, other.loop, join) for other in outer):
            outer.append(one)
    found: list[tuple[DrawnLoop, str | None]] = []
    for one in outer:
        inner = [
            other
            for other in [*every, *_closed_in(row, one, join)]
            if other is not one and not other.parts & one.parts and lies_in(other.loop, one.loop, join)
        ]
        inner = [k for n, k in enumerate(inner) if not any(k.parts & other.parts for other in inner[:n])]
        like = _of_like_size(one, inner)
        if len(like) == 1 and runs_beside(like[0].loop, ClosedLine(one.loop)):
            found += [(one, Role.CUT_LINE), (like[0], Role.STITCH_LINE)]
        else:
            found += [(other, None) for other in (one, *like)]
    if row.role in OUTLINES:
        found = [(one, row.role) for one, _ in found]
    return _Found(row, tuple(found))


def _of_like_size(outer: DrawnLoop, inner: Sequence[DrawnLoop]) -> list[DrawnLoop]:
    """Choose the outlines of like size, each held against the next larger one: the sizes of a nest, a stitch line."""
    found: list[DrawnLoop] = []
    least = abs(outer.loop.area())
    for one in sorted(inner, key=lambda each: -abs(each.loop.area())):
        if abs(one.loop.area()) >= habits.LIKE_SIZE * least:
            found.append(one)
            least = abs(one.loop.area())
    return found


def _closed_in(row: LayerRow, outer: DrawnLoop, join: float) -> list[DrawnLoop]:
    """Find the outlines drawn in the same way as the one that they lie in."""
    rest = [
        shape for shape in row.layer.shapes if not any((id(shape), k) in outer.parts for k in range(len(shape.curves)))
    ]
    return [one for one in outlines(rest, join) if is_outline(one, row.layer.texts)]


def _without_details(found: Sequence[_Found]) -> list[_Found]:
    """Leave out closed lines on layers that say nothing which lie in an outline of a layer that says its size or role.

    They are pockets and the like, drawn once for all sizes.
    """
    told = [loop.loop for each in found if each.row.role is not None for loop, _ in each.loops]
    return [
        each
        if each.row.role is not None
        else replace(each, loops=tuple(one for one in each.loops if not any(lies_in(one[0].loop, of) for of in told)))
        for each in found
    ]


def is_outline(one: DrawnLoop, texts: Sequence[DrawnText]) -> bool:
    """Say whether a closed line may be a piece's outline: large enough, and no square for checking the print."""
    left, top, right, bottom = one.loop.bounds()
    large = (
        min(right - left, bottom - top) >= habits.NARROWEST_PIECE and abs(one.loop.area()) >= habits.SMALLEST_PIECE**2
    )
    return large and not is_test_square(one.loop, texts)


def is_test_square(loop: Curve, texts: Sequence[DrawnText]) -> bool:
    """Say whether a closed line is a square or rectangle for checking the print's size, as writing beside it says."""
    left, top, right, bottom = box = loop.bounds()
    if max(right - left, bottom - top) > habits.LARGEST_SQUARE:
        return False
    if abs(abs(loop.area()) - (right - left) * (bottom - top)) > 1e-3 * abs(loop.area()):
        return False
    near = widen_box(box, habits.KEY_NEAR)
    said = [drawn.text.content for drawn in texts if box_holds(near, drawn.text.at)]
    return any(_says_it_checks(words, (right - left, bottom - top)) for words in said)


def _says_it_checks(words: str, sides: Sequence[float]) -> bool:
    """Say whether a text calls a rectangle one for checking, or states one of its sides (mm) or a usual slip of one.

    Another size, such as that of a seam allowance, says nothing.
    """
    sizes = [size for size in stated_sizes(words) if size]
    if names_test_square(words) or (sizes and names_test(words)):
        return True
    stated = (side / size / slip for side in sides for size in sizes for slip in SLIPS)
    return any(abs(each - 1) <= habits.SIDE_STATED for each in stated)


def _settled(file: str, found: Sequence[_Found], convention: Convention, remarks: Remarks) -> list[_Found]:
    """Give the outlines whose role nothing proves one: cut lines where a seam allowance is stated, and that is told.

    Where layers that say nothing have none, theirs are left out, and that is told; with no others, returns nothing.
    Raises Refusal where layers of sizes have none.
    """
    untold = [each for each in found if any(role is None for _, role in each.loops)]
    if not untold:
        return list(found)
    names = list_names(dict.fromkeys(f'"{"/".join(each.row.layer.path)}"' for each in untold), 6)
    rules = [*convention.pieces, *([convention.every_piece] if convention.every_piece else [])]
    if not any(rule.allowances for rule in rules):
        asked = [each.row for each in untold if each.row.size or (each.row.layer.name and _marked(each))]
        if asked:
            raise _untold(file, asked)
        told = [replace(each, loops=tuple(one for one in each.loops if one[1] is not None)) for each in found]
        if not any(each.loops for each in told):
            return []
        remarks.warn(
            f"{file}: closed lines on {names} are left out, since nothing says whether they are pieces; if they are, "
            'write those layers\' names under [layers] in svgfit.toml as "cut line" or "stitch line"'
        )
        return told
    remarks.guess(
        f"{file}: the outlines on {names} are taken to be cut lines, since a seam allowance is stated; if they are "
        'stitch lines, write those layers\' names under [layers] in svgfit.toml as "stitch line"'
    )
    return [
        replace(each, loops=tuple((loop, role or Role.CUT_LINE.value) for loop, role in each.loops)) for each in found
    ]


def _untold(file: str, rows: Sequence[LayerRow]) -> Refusal:
    names = dict.fromkeys(
        row.layer.name.replace(row.size, "{size}") if row.size and row.size != row.layer.name else row.layer.name
        for row in rows
    )
    named = "[" + ", ".join(f'"{name}"' for name in names) + "]"
    todo = f'write under [layers] in svgfit.toml "cut line" = {named} or "stitch line" = {named}; for cut lines '
    todo += 'their allowance as well: pieces."*"."seam allowance" = { all = "5/8 in" }'
    what = "whether its outlines are cut lines or stitch lines can't be told"
    return Refusal(f'{file}: layer "{"/".join(rows[0].layer.path)}"', what, todo)


# -- marks -------------------------------------------------------------------------------------------------------------


def _own(shape: Shape, found: _Found) -> bool:
    parts = found.parts
    return any((id(shape), k) in parts for k in range(len(shape.curves)))


def _grain_and_fold(found: Sequence[_Found], texts: Sequence[DrawnText]) -> tuple[frozenset[int], frozenset[int]]:
    """Choose the grain lines and fold lines, by the shapes' identities: of each place one grain line at most."""
    places = [
        [ClosedLine(loop) for loop in place] for place in _places([one.loop for each in found for one, _ in each.loops])
    ]
    grains: set[int] = set()
    folds: set[int] = set()
    for size in dict.fromkeys(each.row.size for each in found):
        lines = [
            (shape, line)
            for each in found
            if each.row.size == size
            for shape in each.row.layer.shapes
            if not _own(shape, each) and (line := stroke(shape)) is not None
        ]
        for place in places:
            written = [
                drawn for drawn, inside in zip(texts, _held([one.loop for one in place], texts), strict=True) if inside
            ]
            own = [(shape, line) for shape, line in lines if lies_at(line, place)]
            on_edge = [(shape, line) for shape, line in own if along_edge(line, place)]
            if any(says(drawn.text.content, "fold line") for drawn in written):
                folds.update(id(shape) for shape, _ in on_edge)
            free = [
                (shape, line)
                for shape, line in own
                if (shape, line) not in on_edge and not from_edge_to_edge(line, place)
            ]
            grain = _grain_of(free, written)
            if grain is not None:
                grains.add(id(grain))
    return frozenset(grains), frozenset(folds)


def _grain_of(lines: Sequence[tuple[Shape, Stroke]], texts: Sequence[DrawnText]) -> Shape | None:
    """Choose the grain line: the only line, else the one beside which it is written, else one with arrowheads.

    Where there are several and nothing tells, none is taken: a wrong grain turns the piece.
    """
    if len(lines) > 1:
        said = [drawn.text.at for drawn in texts if says(drawn.text.content, "grain line")]
        lines = _beside(lines, said) or [one for one in lines if sum(map(len, one[0].curves)) > 1]
    return lines[0][0] if len(lines) == 1 else None


def _beside(lines: Sequence[tuple[Shape, Stroke]], said: Sequence[complex]) -> list[tuple[Shape, Stroke]]:
    """Choose the line nearest to what is written of the grain, within reach."""
    away = [
        (float(distances(np.array([at]), np.array(line)).min()), k) for at in said for k, (_, line) in enumerate(lines)
    ]
    return [lines[k] for distance, k in sorted(away)[:1] if distance <= 2 * habits.KEY_NEAR]


# -- rows --------------------------------------------------------------------------------------------------------------


def _divide(each: _Found, found: Sequence[_Found], grains: frozenset[int], folds: frozenset[int]) -> list[LayerRow]:
    """Make a row for each role on a layer."""
    row = each.row
    outlined = [(other.row, loop.loop) for other in found for loop, _ in other.loops]
    around = [ClosedLine(loop) for other, loop in outlined if row.size is None or other.size in (row.size, None)]
    parts = each.parts
    shapes: dict[str, list[Shape]] = {}
    for shape in row.layer.shapes:
        role = next((role for k in range(len(shape.curves)) if (role := parts.get((id(shape), k)))), None)
        if role is None:
            role = _role_of(shape, around, grains, folds)
        shapes.setdefault(role, []).append(shape)
    held = _held([one.loop for one in around], row.layer.texts)
    texts: dict[str, list[DrawnText]] = {}
    for drawn, inside in zip(row.layer.texts, held, strict=True):
        texts.setdefault(Role.TEXT if inside else Role.IGNORE, []).append(drawn)
    piece = row.piece or _name_of(each, found)
    return [
        replace(
            row,
            role=role,
            piece=piece,
            layer=replace(row.layer, shapes=tuple(shapes.get(role, ())), texts=tuple(texts.get(role, ()))),
        )
        for role in dict.fromkeys((*shapes, *texts))
    ]


def _held(loops: Sequence[Curve], texts: Sequence[DrawnText]) -> list[bool]:
    """Tell of each text whether one of the outlines holds it."""
    points = np.array([drawn.text.at for drawn in texts], dtype=np.complex128)
    inside = np.zeros(len(points), dtype=np.bool_)
    for loop in loops:
        inside |= encloses_each(loop, points)
    return inside.tolist()


def _role_of(shape: Shape, around: Sequence[ClosedLine], grains: frozenset[int], folds: frozenset[int]) -> str:
    if id(shape) in grains:
        return Role.GRAIN_LINE
    if id(shape) in folds:
        return Role.FOLD_LINE
    if is_tick(shape, around):
        return Role.NOTCHES
    at = box_centre(box_around(curve.bounds() for curve in shape.curves))
    return Role.DETAILS if any(encloses(one.loop, at) for one in around) else Role.IGNORE


def _name_of(each: _Found, found: Sequence[_Found]) -> str | None:
    """Name the piece where there is but one: by its layer's name, or where layers are sizes by the writing in it."""
    name = each.row.layer.name
    if all(other.row.size is None for other in found):
        single = len(_places([loop.loop for loop, _ in each.loops])) == 1
        return single_spaced(name) if single and _says_nothing(name) else None
    single = len(_places([loop.loop for loop, _ in each.loops])) == 1
    if single and _says_nothing(name):
        return single_spaced(name)  # a sublayer of its size's
    places = _places([loop.loop for other in found for loop, _ in other.loops])
    if len(places) != 1:
        return None
    texts = [drawn for other in found for drawn in other.row.layer.texts]
    return next(
        (place.name for place in name_places([DrawnLoop(places[0][0], frozenset())], None, texts, ()) if place.name),
        None,
    )


def _says_nothing(name: str) -> bool:
    """Say whether a layer's name is neither a role nor a size nor a number: then it may be a piece's."""
    return not is_automatic(name) and size_named(name) is None and builtin_convention().role_of((name,)) is None


def _places(loops: Sequence[Curve]) -> list[list[Curve]]:
    """Put outlines that lie one over another together, the largest first: one piece in several sizes."""
    places: list[list[Curve]] = []
    for loop in sorted(loops, key=lambda one: -abs(one.area())):
        home = next((place for place in places if stacked(place[0], loop)), None)
        if home is None:
            places.append([loop])
        else:
            home.append(loop)
    return places
