"""Hold two fittings of a drawing against each other: which edges and notches lie elsewhere, which figures differ."""

from __future__ import annotations

import math
import os
from collections.abc import Iterable, Mapping, Sequence
from itertools import zip_longest

import numpy as np
from msgspec.structs import replace

from svgfit.app.session import Session
from svgfit.fitting.sewn import notch_distance
from svgfit.geometry.bezier import Complex
from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import distances, encloses
from svgfit.model.comparison import (
    AllowanceDiffers,
    ComparedGarment,
    ComparedPiece,
    Differences,
    EdgeMoved,
    FigureDiffers,
    LineDiffers,
    MarkMoved,
    TextDiffers,
)
from svgfit.model.drawing import Text
from svgfit.model.piece import Edge, Piece
from svgfit.model.refusal import Refusal
from svgfit.model.report import Measurement
from svgfit.model.run import Measured, measurement_rows
from svgfit.model.vocabulary import MarkKind
from svgfit.version import __version__

ALIKE = 0.02
"""What lies nearer than this, mm, lies alike: to so much distances are measured here, and outlines are written."""
_SPACING = 0.5
"""So far apart, mm, edges are held against each other at most: a chord of that lies 0.002 mm off a curve of 20 mm."""


def compare(one: Session, other: Session) -> Differences:
    """Say what differs between two fittings of a drawing: figures, edges, notches, lines, allowances and texts.

    Of each drawing the outlines that svgfit adjusted are looked at, of one that it did not adjust those as drawn.
    Lengths in mm; what moved is measured on the page.

    Args:
        one: a session of one drawing.
        other: a session of another one.

    Raises:
        Refusal: where one is of several drawings, an outline is not closed, or they have no piece in common.
    """
    for session in (one, other):
        if len(session.files) != 1:
            what = "are several drawings, and a fitting is compared with another one drawing by drawing"
            raise Refusal(", ".join(session.files), what, "open each by itself")
    sides = [session.looking_at(adjusted=True) for session in (one, other)]
    for side in sides:
        side.check_closed()
    a, b = ({piece.title: piece for piece in side.pieces} for side in sides)
    both = [title for title in a if title in b]
    if not both:
        what = f"has no piece in common with {one.files[0]} (its pieces are {', '.join(b)})"
        raise Refusal(other.files[0], what, "give two fittings of one drawing")
    figures = [_figures(side) for side in sides]
    pieces = tuple(_compared(a[title], b[title], figures[0], figures[1]) for title in both)
    warnings = (*_warned(sides), *_other_drawing(one, other, {piece.title: piece.texts for piece in pieces}))
    return Differences(
        svgfit=__version__,
        a=one.files[0],
        b=other.files[0],
        pieces=pieces,
        only_a=tuple(title for title in a if title not in b),
        only_b=tuple(title for title in b if title not in a),
        garment=tuple(_garments(*sides)),
        texts=tuple(_text_pairs(_texts_beside(one), _texts_beside(other))),
        warnings=tuple(dict.fromkeys(warnings)),
    )


def refuse_itself(one: str, other: str) -> None:
    """Raise Refusal where a file is to be held against itself, also by way of a link."""
    first, second = (os.path.normcase(os.path.realpath(file)) for file in (one, other))
    if first == second:
        by = "" if one == other else f" ({one} is the same file)"
        raise Refusal(other, f"is held against itself{by}", "give another fitting of the drawing")


def _figures(session: Session) -> Measured:
    return {title: rows for run in session.unchanged.sizes for title, rows in run.measured_before.items()}


def _differing(was: Iterable[Measurement], now: Iterable[Measurement]) -> tuple[FigureDiffers, ...]:
    """Pair figures by their names."""
    rows = measurement_rows(tuple(was), tuple(now))
    return tuple(FigureDiffers(row.name, row.unit, row.before, row.after) for row in rows)


def _garments(one: Session, other: Session) -> Iterable[ComparedGarment]:
    """Give what plug-ins measure across the pieces, size by size."""
    was, now = ({run.size: run.garment_before for run in side.unchanged.sizes} for side in (one, other))
    for size in dict.fromkeys((*was, *now)):
        figures = _differing(was.get(size, ()), now.get(size, ()))
        if figures:
            yield ComparedGarment(size=size, measurements=figures)


def _warned(sides: Iterable[Session]) -> Iterable[str]:
    """Tell the warnings of each side, guesses among them, with its file where that is not said."""
    for side in sides:
        (file,) = side.files
        yield from (text if file in text else f"{file}: {text}" for text in side.warnings)


def _other_drawing(one: Session, other: Session, told: Mapping[str, tuple[TextDiffers, ...]]) -> Iterable[str]:
    """Warn of pieces that were drawn otherwise already: then not only what svgfit did differs.

    ``told``: the texts of pieces, by their titles, that are told to differ anyway.
    """
    drawn = [{piece.title: piece for piece in session.looking_at(adjusted=False).pieces} for session in (one, other)]
    for title, piece in drawn[0].items():
        if title in drawn[1] and _farthest(_page(piece), _page(drawn[1][title]))[0] > ALIKE:
            words = "is drawn otherwise in the two already, so that not all of what differs was done by svgfit"
            yield f"{other.files[0]}: {title} {words}"
        elif title in drawn[1]:
            texts = tuple(_text_pairs(_texts_on(piece), _texts_on(drawn[1][title])))
            names = [text.b if text.b is not None else text.a for text in texts if text not in told.get(title, ())]
            if names and not told.get(title):
                said = ", ".join(f'"{name}"' for name in names)
                yield f"{other.files[0]}: {title} as drawn has another text than in {one.files[0]}: {said}"


def _compared(one: Piece, other: Piece, figures: Measured, others: Measured) -> ComparedPiece:
    return ComparedPiece(
        name=one.name,
        size=one.size,
        measurements=_differing(figures.get(one.title, ()), others.get(other.title, ())),
        edges=(*_edges(one, other), *_cut_line(one, other)),
        marks=tuple(_marks(one, other)),
        allowances=tuple(_allowances(one, other)),
        lines=tuple(_lines(one, other)),
        texts=tuple(_text_pairs(_texts_on(one), _texts_on(other))),
    )


def _edges(one: Piece, other: Piece) -> Iterable[EdgeMoved]:
    """Give the edges of one name that don't run alike."""
    outline = _page(one)
    for edge in one.edges:
        if not other.has_edge(edge.name):
            continue
        now = other.edge(edge.name)
        moved, at = _farthest(_on_page(edge, one), _on_page(now, other))
        if moved > ALIKE:
            yield EdgeMoved(
                edge=edge.name,
                moved=moved,
                outwards=not encloses(outline, at),
                length_a=edge.curve.length(),
                length_b=now.curve.length(),
            )


def _cut_line(one: Piece, other: Piece) -> Iterable[EdgeMoved]:
    """Give the cut line, where both have one that is drawn and they don't run alike."""
    if one.cut is None or other.cut is None:
        return
    was, now = (piece.cut.line.transform(piece.placement) for piece in (one, other) if piece.cut is not None)
    moved, at = _farthest(was, now)
    if moved > ALIKE:
        lengths = was.length(), now.length()
        yield EdgeMoved(
            edge="cut line", moved=moved, outwards=not encloses(was, at), length_a=lengths[0], length_b=lengths[1]
        )


def _allowances(one: Piece, other: Piece) -> Iterable[AllowanceDiffers]:
    """Give the allowances that are not as wide; to 0.02 mm."""
    for edge in one.edges:
        if other.has_edge(edge.name):
            was, now = edge.allowance, other.edge(edge.name).allowance
            if was != now and (was is None or now is None or abs(now - was) > ALIKE):
                yield AllowanceDiffers(edge.name, was, now)


def _lines(one: Piece, other: Piece) -> Iterable[LineDiffers]:
    """Give what else does not lie alike, or is in one only."""
    for line, there in (("a", one), ("b", other)):
        beside = other if there is one else one
        for edge in there.edges:
            if not beside.has_edge(edge.name):
                yield LineDiffers(line=str(edge.name), moved=None, only_in=line)
    was, now = _drawn(one), _drawn(other)
    for name in dict.fromkeys((*was, *now)):
        if name not in was or name not in now:
            yield LineDiffers(line=name, moved=None, only_in="a" if name in was else "b")
        elif (moved := max(_off(was[name], now[name]), _off(now[name], was[name]))) > ALIKE:
            yield LineDiffers(line=name, moved=moved, only_in=None)


def _drawn(piece: Piece) -> dict[str, list[Curve]]:
    """Collect the lines of a piece's marks but notches, and its darts, on the page, by what they are called."""
    found: dict[str, list[Curve]] = {}
    for mark in piece.marks:
        if mark.curves and mark.kind not in (MarkKind.NOTCH, MarkKind.SHOULDER_NOTCH):
            name = f"{mark.kind} {mark.name}" if mark.name else str(mark.kind)
            found.setdefault(name, []).extend(curve.transform(piece.placement) for curve in mark.curves)
    for dart in piece.darts:
        legs = Curve.polyline([dart.start, dart.apex, dart.end]).transform(piece.placement)
        found.setdefault(f"dart in the {dart.edge}", []).append(legs)
    return found


def _off(lines: Sequence[Curve], others: Sequence[Curve]) -> float:
    """Measure how far a place of some lines lies from all of the others at most, mm."""
    if len(lines) == len(others) and all(
        np.array_equal(a.segments, b.segments) for a, b in zip(lines, others, strict=True)
    ):
        return 0.0
    points, chords = np.concatenate([_points(line) for line in lines]), [_points(line) for line in others]
    return float(np.min([distances(points, line) for line in chords], axis=0).max())


# -- texts -------------------------------------------------------------------------------------------------------------


def _texts_on(piece: Piece) -> list[Text]:
    """List the texts on a piece, where they stand on the page."""
    return [replace(mark.text, at=piece.placement.apply(mark.text.at)) for mark in piece.marks if mark.text is not None]


def _texts_beside(session: Session) -> list[Text]:
    """List the texts of a drawing that are on no piece, nor svgfit's own."""
    on_pieces = [text for piece in session.looking_at(adjusted=False).pieces for text in _texts_on(piece)]
    return [
        drawn.text
        for drawing in session.drawings
        for layer in drawing.layers
        if layer.ours is None
        for drawn in layer.texts
        if not any(text.content == drawn.text.content and abs(text.at - drawn.text.at) < ALIKE for text in on_pieces)
    ]


def _text_pairs(was: Sequence[Text], now: Sequence[Text]) -> Iterable[TextDiffers]:
    """Pair texts: those that read alike, the nearest first, then those that stand in one place; give what differs."""
    left, right = list(was), list(now)
    for first, second in _nearest_pairs(left, right, alike=True):
        moved = abs(second.at - first.at)
        if moved > ALIKE:
            yield TextDiffers(a=first.content, b=second.content, moved=moved)
    for first, second in _nearest_pairs(left, right, alike=False):
        yield TextDiffers(a=first.content, b=second.content, moved=abs(second.at - first.at))
    yield from (TextDiffers(a=text.content, b=None, moved=None) for text in left)
    yield from (TextDiffers(a=None, b=text.content, moved=None) for text in right)


def _nearest_pairs(left: list[Text], right: list[Text], *, alike: bool) -> list[tuple[Text, Text]]:
    """Take pairs out of two lists, the nearest first: that read alike, or else within the height of their letters."""
    every = sorted(
        (abs(first.at - second.at), m, n)
        for m, first in enumerate(left)
        for n, second in enumerate(right)
        if (first.content == second.content if alike else abs(first.at - second.at) <= max(first.size, second.size))
    )
    taken: tuple[set[int], set[int]] = set(), set()
    found: list[tuple[Text, Text]] = []
    for _, m, n in every:
        if m not in taken[0] and n not in taken[1]:
            taken[0].add(m)
            taken[1].add(n)
            found.append((left[m], right[n]))
    left[:] = [text for m, text in enumerate(left) if m not in taken[0]]
    right[:] = [text for n, text in enumerate(right) if n not in taken[1]]
    return found


# -- lines -------------------------------------------------------------------------------------------------------------


def _on_page(edge: Edge, piece: Piece) -> Curve:
    return edge.curve.transform(piece.placement)


def _page(piece: Piece) -> Curve:
    return piece.outline().transform(piece.placement)


def _farthest(one: Curve, other: Curve) -> tuple[float, complex]:
    """Measure how far two curves part at most, to 0.02 mm, and where on the second one that is."""
    if np.array_equal(one.segments, other.segments):  # most of them are
        return 0.0, one.start
    first, second = _points(one), _points(other)
    there, back = distances(second, first), distances(first, second)
    if there.max() >= back.max():
        return float(there.max()), complex(second[int(there.argmax())])
    away = first[int(back.argmax())]
    return float(back.max()), complex(second[int(np.abs(second - away).argmin())])


def _points(curve: Curve) -> Complex:
    """Place points along a curve, at most ``_SPACING`` apart and four to a segment."""
    counts = [max(4, math.ceil(length / _SPACING)) for length in curve.segment_lengths(0.1).tolist()]
    places = [number + np.arange(count) / count for number, count in enumerate(counts)]
    return curve.points(np.append(np.concatenate(places), float(len(curve))))


def _marks(one: Piece, other: Piece) -> Iterable[MarkMoved]:
    """Give the notches that don't stand alike, edge by edge, each kind by itself."""
    for edge in dict.fromkeys((*(edge.name for edge in one.edges), *(edge.name for edge in other.edges))):
        for kind in (MarkKind.NOTCH, MarkKind.SHOULDER_NOTCH):
            pairs = zip_longest(_placed(one, kind, edge), _placed(other, kind, edge))
            for number, (was, now) in enumerate(pairs, 1):
                moved = None if was is None or now is None else abs(now[1] - was[1])
                if moved is None or moved > ALIKE:
                    yield MarkMoved(
                        kind=kind,
                        edge=edge,
                        number=number,
                        at_a=None if was is None else was[0],
                        at_b=None if now is None else now[0],
                        moved=moved,
                    )


def _placed(piece: Piece, kind: str, edge: str) -> Sequence[tuple[float, complex]]:
    """List the notches of an edge in order: how far along it, and where on the page."""
    found: list[tuple[float, complex]] = []
    for mark in piece.marks:
        along = notch_distance(piece, mark) if (mark.kind, mark.edge) == (kind, edge) else None
        if along is not None and mark.at is not None:
            found.append((along, piece.placement.apply(mark.at)))
    return sorted(found, key=lambda one: one[0])
