"""Our own ``adjusted`` layer read back: what its elements carry says what they are, and nothing is guessed again."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.adjusted_attributes import OutlineAttributes, parse_attributes, parse_names, parse_point, parse_seams
from svgfit.model.drawing import Layer, Shape, Text
from svgfit.model.piece import Dart, Edge, Landmark, Mark, Piece
from svgfit.model.plan import Seam
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.vocabulary import DrawnLine, EdgeName, LandmarkName, MarkKind
from svgfit.pattern.allowance import drawn_cut
from svgfit.pattern.convention import PieceRule, Role

_CURVES = {
    "grain-line": Role.GRAIN_LINE,
    "bicep-line": Role.BICEP_LINE,
    "centre-line": Role.CENTRE_LINE,
    "fold-line": Role.FOLD_LINE,
}
"""By the attribute that tells a line's role: the role of a layer of such lines."""
_CLOSED = 1e-6
_OURS = "adjusted"


def adjusted_pieces(file: str, layers: Sequence[Layer], rule_of: Callable[[str], PieceRule | None]) -> list[DrawnPiece]:
    """Read the pieces in a drawing's layer of adjusted outlines; none where it has no such layer.

    Of a piece that is on several such layers, since one was edited and kept, the outline written last is read.
    """
    homes = _homes(layers)
    keys = list(homes)
    found: list[DrawnPiece] = []
    for key, (layer, *_) in homes.items():
        shapes = [(shape, dict(shape.data)) for shape in layer.shapes if _is_read(shape.data)]
        texts = [(drawn.text, dict(drawn.data)) for drawn in layer.texts if _is_read(drawn.data)]
        own = [(shape, data) for shape, data in shapes if _belongs(data, key, keys)]
        written = [(text, data) for text, data in texts if _belongs(data, key, keys)]
        found.append(_piece(file, key, own, written, rule_of(key[0])))
    return found


def dropped_pieces(layers: Sequence[Layer]) -> tuple[tuple[str, str | None], ...]:
    """List names and sizes of the pieces that a run dropped: they are drawn, and no longer belong to the pattern."""
    return tuple(dict.fromkeys(piece for layer in layers if layer.ours == _OURS for piece in _dropped_on(layer)))


def kept_seams(file: str, layers: Sequence[Layer]) -> tuple[tuple[Seam, ...], tuple[str, ...]]:
    """Read the seams that steps sewed, as a drawing's adjusted layers keep them, and warnings of damaged ones."""
    found: list[Seam] = []
    warnings: list[str] = []
    for layer in layers:
        text = dict(layer.data).get("seams", "") if layer.ours == _OURS else ""
        try:
            found += parse_seams(text)
        except ValueError:
            todo = "adjust it again from the drawn outlines, or say them in svgfit.toml as [[seams]]"
            warnings.append(f"{file}: the seams that its layer {layer.name!r} keeps can't be read; {todo}")
    return tuple(dict.fromkeys(found)), tuple(warnings)


def _dropped_on(layer: Layer) -> tuple[tuple[str, str | None], ...]:
    return parse_names(dict(layer.data).get("dropped", ""))


def written_twice(layers: Sequence[Layer]) -> tuple[str, ...]:
    """Name the pieces whose adjusted outlines are on several layers, each with the layer that is read."""
    return tuple(
        f"{name} ({size}) as on the layer {read.name!r}" if size else f"{name} as on the layer {read.name!r}"
        for (name, size), (read, *others) in _homes(layers).items()
        if others
    )


def _homes(layers: Sequence[Layer]) -> dict[tuple[str, str | None], tuple[Layer, ...]]:
    """Find for each piece and size the layers that hold its adjusted outline, the one written last first."""
    homes: dict[tuple[str, str | None], tuple[Layer, ...]] = {}
    for layer in layers:
        if layer.ours == _OURS:
            for key in _dropped_on(layer):  # after what an older layer holds, which was edited and kept
                homes.pop(key, None)
            every = [dict(shape.data) for shape in layer.shapes if _is_read(shape.data)]
            for key in dict.fromkeys(
                (data["piece"], data.get("size")) for data in every if {"line", "piece"} <= {*data}
            ):
                homes[key] = (layer, *homes.get(key, ()))
    return homes


def _is_read(data: Sequence[tuple[str, str]]) -> bool:
    """Say whether something is part of a piece: what only says for which it is there is ornament."""
    return bool(data) and all(name != "for" for name, _ in data)


def _belongs(data: dict[str, str], key: tuple[str, str | None], keys: Sequence[tuple[str, str | None]]) -> bool:
    if "piece" not in data:
        return len(keys) == 1
    return (data["piece"], data.get("size", key[1])) == key


def _piece(
    file: str,
    key: tuple[str, str | None],
    shapes: Sequence[tuple[Shape, dict[str, str]]],
    texts: Sequence[tuple[Text, dict[str, str]]],
    rule: PieceRule | None,
) -> DrawnPiece:
    lines = {line: tuple(shape for shape, data in shapes if data.get("line") == line) for line in DrawnLine}
    nothing: dict[str, str] = {}
    data = next((data for _, data in shapes if data.get("line") == DrawnLine.STITCH), nothing)
    attributes = parse_attributes(data)
    curves: dict[str, list[Curve]] = {role: [] for role in _CURVES.values()}
    details: list[Shape] = []
    marks: list[Mark] = []
    loose: list[Shape] = []
    own: list[tuple[str | None, Mark]] = []
    for shape, said in shapes:
        role = said.get("role", "")
        if role in _CURVES:
            curves[_CURVES[role]].extend(shape.curves)
        elif role == MarkKind.DETAIL:
            details.append(replace(shape, name=said.get("name")))
        elif role in (MarkKind.NOTCH, "shoulder-notch"):
            mark = _notch(shape, said)
            loose.append(shape)
            if mark:
                marks.append(mark)
        elif role:
            own.append((said.get("part"), _own_mark(said, shape.curves, None)))
    plain = tuple(text for text, said in texts if _is_plain(said))
    own += [(said.get("part"), _own_mark(said, (), text)) for text, said in texts if not _is_plain(said)]
    landmarks = attributes.landmarks if attributes else ()
    return DrawnPiece(
        file=file,
        name=key[0],
        size=key[1],
        kind=data.get("kind") or (rule.kind if rule else None),
        front=rule.front if rule else None,
        allowances=_allowances(attributes, rule),
        stitch=lines[DrawnLine.STITCH],
        cut=lines[DrawnLine.CUT],
        notches=tuple(loose),
        grain=tuple(curves[Role.GRAIN_LINE]),
        bicep=tuple(curves[Role.BICEP_LINE]),
        centre=tuple(curves[Role.CENTRE_LINE]),
        fold=tuple(curves[Role.FOLD_LINE]),
        details=tuple(details),
        landmarks=tuple((mark.name, attributes.placement.apply(mark.at)) for mark in landmarks if attributes),
        texts=plain,
        marks=tuple(marks),
        own_marks=_joined(own),
        attributes=attributes,
    )


def _notch(shape: Shape, data: dict[str, str]) -> Mark | None:
    """Read a notch that knows its edge; None where its attributes are damaged (then it is an ordinary drawn one)."""
    if "edge" not in data or "at" not in data:
        return None
    try:
        at = parse_point(data["at"])
    except ValueError:
        return None
    return Mark(data["role"].replace("-", " "), shape.curves, data["edge"], at, data.get("name"))


def _is_plain(data: dict[str, str]) -> bool:
    """Tell whether a text is one like those of any drawing: of no kind of a plug-in's own, and without a name."""
    return data.get("role", MarkKind.TEXT) == MarkKind.TEXT and "name" not in data


def _own_mark(data: dict[str, str], curves: tuple[Curve, ...], text: Text | None) -> Mark:
    """Read a mark of a kind that only a plug-in knows, as it was written; a damaged place is none."""
    role = data.get("role", "")
    plain = role.replace("-", " ")
    try:
        at = parse_point(data["at"]) if "at" in data else None
    except ValueError:
        at = None
    kind = plain if plain in tuple(MarkKind) else role
    return Mark(kind, () if "bare" in data else curves, data.get("edge"), at, data.get("name"), text)


def _joined(found: Sequence[tuple[str | None, Mark]]) -> tuple[Mark, ...]:
    """Join the lines and the text of one mark again."""
    marks: dict[object, Mark] = {}
    for number, (part, mark) in enumerate(found):
        key = number if part is None else part
        known = marks.get(key)
        marks[key] = mark if known is None else replace(known, text=mark.text, curves=(*known.curves, *mark.curves))
    return tuple(marks.values())


def _allowances(attributes: OutlineAttributes | None, rule: PieceRule | None) -> dict[str, float]:
    known = {edge.name: edge.allowance for edge in attributes.edges if edge.allowance is not None} if attributes else {}
    return {**(rule.allowances if rule else {}), **known}


# -- a piece without recognition -------------------------------------------------------------------------------------


def rebuild_piece(drawn: DrawnPiece) -> Piece | None:
    """Rebuild the piece that our layer carries: edges, landmarks, placement, with nodes where a person put them.

    None where it carries nothing, or where the outline no longer has the nodes it had: then it has to be recognised
    like any other (its landmarks are among the drawn ones).
    """
    attributes = drawn.attributes
    if attributes is None or len(drawn.stitch) != 1 or len(drawn.stitch[0].curves) != 1:
        return None
    home = attributes.placement.inverse()
    outline = _without_closing_point(drawn.stitch[0].curves[0].transform(home))
    count = len(outline)
    if (
        attributes.segments not in (None, count)
        or attributes.edges[-1].first_segment >= count
        or not _in_place(attributes, outline)
    ):
        return None
    if not outline.is_closed(_CLOSED):
        return None
    outline = _exactly_closed(outline)
    starts = [*(edge.first_segment for edge in attributes.edges), count]
    edges = tuple(
        Edge(edge.name, Curve(outline.segments[first:after]), edge.allowance, edge.fold, edge.backwards)
        for edge, first, after in zip(attributes.edges, starts, starts[1:], strict=False)
    )
    nodes = outline.segments[:, 0].tolist()
    landmarks = tuple(
        Landmark(mark.name, mark.at if mark.node is None else nodes[mark.node], mark.guessed)
        for mark in attributes.landmarks
    )
    piece = Piece(
        drawn.file,
        drawn.name,
        attributes.kind,
        edges,
        attributes.placement,
        drawn.size,
        _marks(drawn, home),
        _cap_top(landmarks, edges),
        attributes.drawn,
        darts=tuple(
            Dart(
                dart.edge,
                *(
                    at if node is None or node >= count else nodes[node]
                    for at, node in zip(dart.points, dart.nodes, strict=True)
                ),
            )
            for dart in attributes.darts
        ),
        corners=drawn.corners,
        data=attributes.data,
    )
    lines = [_without_closing_point(curve) for shape in drawn.cut for curve in shape.curves]
    if len(lines) != 1 or not lines[0].is_closed(_CLOSED):
        return piece
    return replace(piece, cut=drawn_cut(_exactly_closed(lines[0]).transform(home), piece.edges, piece.darts))


def _without_closing_point(curve: Curve) -> Curve:
    """Drop a last segment that only closes a rounding gap."""
    last = curve.segments[-1]
    if len(curve) > 1 and float(abs(last - last[0]).max()) <= _CLOSED:
        return Curve(curve.segments[:-1])
    return curve


def _exactly_closed(curve: Curve) -> Curve:
    segments = curve.segments.copy()
    segments[-1, 3] = segments[0, 0]
    return Curve(segments)


def _in_place(attributes: OutlineAttributes, outline: Curve) -> bool:
    """Say whether each landmark's node is still the nearest to it; else the path was reversed or begins elsewhere."""
    nodes: list[complex] = outline.segments[:, 0].tolist()
    return all(
        mark.node is None
        or (
            mark.node < len(nodes) and min(range(len(nodes)), key=lambda k, at=mark.at: abs(nodes[k] - at)) == mark.node
        )
        for mark in attributes.landmarks
    )


def _cap_top(landmarks: tuple[Landmark, ...], edges: Sequence[Edge]) -> tuple[Landmark, ...]:
    """Put the cap top where the cap, as it now is, stands highest."""
    cap = next((edge.curve for edge in edges if edge.name == EdgeName.CAP), None)
    old = next((mark for mark in landmarks if mark.name == LandmarkName.CAP_TOP), None)
    if cap is None or old is None:
        return landmarks
    top = cap.bounds()[1]
    if abs(old.at.imag - top) <= _CLOSED:
        return landmarks
    left, _, right, _ = cap.bounds()
    crossings = cap.crossings(complex(left - 1, top + 1e-9), complex(right + 1, top + 1e-9))
    if not crossings:
        return landmarks
    points = [cap.point(t) for t in crossings]
    at = complex(sum(point.real for point in points) / len(points), top)
    return tuple(replace(mark, at=at) if mark is old else mark for mark in landmarks)


def _marks(drawn: DrawnPiece, home: Affine) -> tuple[Mark, ...]:
    marks = [
        Mark(mark.kind, _moved(mark.curves, home), mark.edge, home.apply(mark.at), mark.name)
        for mark in drawn.marks
        if mark.at is not None
    ]
    lines = (
        ("grain line", drawn.grain),
        ("bicep line", drawn.bicep),
        ("centre line", drawn.centre),
        ("fold line", drawn.fold),
    )
    marks.extend(Mark(kind, _moved((curve,), home)) for kind, curves in lines for curve in curves)
    marks.extend(Mark(MarkKind.DETAIL, _moved(shape.curves, home), name=shape.name) for shape in drawn.details)
    marks.extend(Mark(MarkKind.TEXT, text=_moved_text(text, home)) for text in drawn.texts)
    return (*marks, *own_marks(drawn, home))


def own_marks(drawn: DrawnPiece, to_frame: Affine) -> tuple[Mark, ...]:
    """Give the marks of plug-ins' own kinds, in the frame that ``to_frame`` leads to."""
    return tuple(
        replace(
            mark,
            curves=_moved(mark.curves, to_frame),
            at=None if mark.at is None else to_frame.apply(mark.at),
            text=None if mark.text is None else _moved_text(mark.text, to_frame),
        )
        for mark in drawn.own_marks
    )


def _moved(curves: Sequence[Curve], motion: Affine) -> tuple[Curve, ...]:
    return tuple(curve.transform(motion) for curve in curves)


def _moved_text(text: Text, motion: Affine) -> Text:
    along = motion.apply_vector(text.direction)
    return replace(text, at=motion.apply(text.at), direction=along / abs(along), size=text.size * motion.size)
