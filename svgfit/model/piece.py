"""A pattern piece with its edges and the marks drawn on it.

Frame: every curve and point of a piece lies in the piece's own frame, in millimetres: grain upright, up is −y, y runs
down. A sleeve's origin is the middle between its underarm points on the bicep line, its front towards +x; a bodice's
origin is its underarm point, the centre (or fold) towards +x for a front and −x for a back; another piece's origin is
its box's centre. ``placement`` takes the frame to page millimetres; it may turn and mirror.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from functools import lru_cache

from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Text
from svgfit.model.refusal import NoSuchName
from svgfit.model.vocabulary import DrawnLine, MarkKind


class Edge(Struct, frozen=True):
    """A named stretch of the stitch line between two corners."""

    name: str
    """Such as "cap"; no two of a piece alike."""
    curve: Curve
    """In the outline's order round the piece."""
    allowance: float | None = None
    """Seam allowance in mm; None where neither drawing nor convention says; 0 at a fold."""
    fold: bool = False
    """The piece is cut on fold here: no allowance, edges cross it square, widths count double."""
    backwards: bool = False
    """Whether distances along the edge ("mm from its front or underarm end") are counted from the curve's end."""

    def from_front(self) -> Curve:
        """Return the curve walked from its front or underarm end."""
        return self.curve.reverse() if self.backwards else self.curve


class Mark(Struct, frozen=True):
    """Something drawn on a piece that moves with it."""

    kind: str
    """"notch", "shoulder notch", "grain line", "bicep line", "centre line", "fold line", "detail" or "text"."""
    curves: tuple[Curve, ...] = ()
    """What is drawn of it, in the piece's frame, mm."""
    edge: str | None = None
    """For a notch: the edge it stands on."""
    at: complex | None = None
    """For a notch: its point on the stitch line."""
    name: str | None = None
    """For a detail: what a person calls it; None where it has no name."""
    text: Text | None = None
    """For a text: the writing; None for all else."""


class Landmark(Struct, frozen=True):
    """A named point of a piece, such as "cap top", "underarm front" or "hem back"."""

    name: str
    """In lower case."""
    at: complex
    """In the piece's frame, mm."""
    guessed: bool = False
    """False where the drawing or the convention named it."""


class Dart(Struct, frozen=True):
    """A dart whose mouth lies on an edge: folded away there when the piece is sewn.

    Cut out of the outline, the edge runs from ``start`` to ``apex`` and on to ``end``; drawn inside the piece, the edge
    passes over the mouth from ``start`` to ``end``. Either way that stretch is no part of the edge as sewn
    (svgfit.fitting.sewn).
    """

    edge: str
    """The edge's name."""
    start: complex
    """The mouth's end that comes first in the outline's order."""
    apex: complex
    """Its tip inside the piece."""
    end: complex
    """The mouth's end that comes last in the outline's order."""


class Doubt(Struct, frozen=True):
    """The reason why a piece is only of kind "other", though its name or shape speaks for something else."""

    kinds: tuple[str, ...]
    """What it may be."""
    what: str
    """What stands against it, as a message's middle part."""
    todo: str
    """What a person can do about it."""


class CornerForm(StrEnum):
    """The form of a cut line's corner, where it is drawn anew."""

    PLAIN = "plain"
    """Both cut lines run on to where they meet."""
    MIRRORED = "mirrored"
    """The allowance that is folded back ends as its neighbour's cut line, mirrored about its own seam."""
    SQUARE = "square"
    """The allowance that is folded back ends square to its own seam."""
    AS_DRAWN = "as drawn"
    """As the drawn corner was; where none is drawn, as is usual."""


class CutStep(Struct, frozen=True, kw_only=True, eq=False):
    """What a step left of the stitch line that a cut line was drawn beside."""

    edges: tuple[Edge, ...]
    """The piece's edges after the step, in its frame."""
    darts: tuple[Dart, ...] = ()
    """Its darts then."""
    motions: tuple[Affine, ...] = ()
    """How parts of the piece were moved, rigidly; that others stayed need not be said."""
    anew: tuple[str, ...] = ()
    """Edges of which the cut line is to be drawn anew, whatever it was."""


class DrawnCut(Struct, frozen=True, kw_only=True, eq=False):
    """A drawn cut line, closed, and the stitch line that it was drawn beside; what became of that since, in order."""

    line: Curve
    """The cut line as drawn, in the piece's frame."""
    edges: tuple[Edge, ...]
    """The piece's edges as drawn."""
    darts: tuple[Dart, ...] = ()
    """Its darts as drawn."""
    steps: tuple[CutStep, ...] = ()
    """What each step since left, in order."""


class Redrawn(Struct, frozen=True, kw_only=True):
    """A cut line, and what of it was drawn anew."""

    line: Curve
    anew: tuple[str, ...] = ()
    """Edges beside which it was, wholly or in part, in the outline's order."""
    varied: tuple[tuple[str, tuple[float, float]], ...] = ()
    """The least and the greatest width of edges beside which the drawn line has no one width."""
    notes: tuple[str, ...] = ()


class Piece(Struct, frozen=True):
    """One pattern piece. Its edges, end to start, close the stitch line."""

    file: str
    """The drawing that it lies in, as given."""
    name: str
    """As a person calls it, without its size."""
    kind: str
    """"sleeve", "front", "back", "yoke", "other", or a kind that a plug-in's recogniser gives."""
    edges: tuple[Edge, ...]
    """In order round the piece, each beginning where the one before ends."""
    placement: Affine
    """The piece's frame → page millimetres; rigid, mirroring where the piece lies mirrored."""
    size: str | None = None
    """In a nest; None for a piece of no size."""
    marks: tuple[Mark, ...] = ()
    """Notches, lines, texts and details on it."""
    landmarks: tuple[Landmark, ...] = ()
    """Its named points."""
    drawn: tuple[str, ...] = (DrawnLine.STITCH,)
    """Which lines the drawing had: "stitch", "cut" or both."""
    guessed: tuple[str, ...] = ()
    """What recognition had to guess, in words for people."""
    gaps: tuple[tuple[complex, complex], ...] = ()
    """Places where the drawn outline is open, bridged straight; only what has ``open_outline`` takes such a piece."""
    doubt: Doubt | None = None
    """For a piece of kind "other" that looks like another kind: why it is not taken for one."""
    darts: tuple[Dart, ...] = ()
    """Closed before an edge is measured."""
    cut: DrawnCut | None = None
    """The drawn cut line (svgfit.pattern.cut_line), in the frame that the piece had when it was drawn."""
    corners: str = CornerForm.AS_DRAWN
    """The form of the cut line's corners that are drawn anew."""
    data: tuple[tuple[str, str], ...] = ()
    """What plug-ins keep with the piece, texts by name (``fact``, ``with_fact``); written into the drawing and read
    back by ``--from adjusted``. Begin a name with the plug-in's own: "pitch: angle"."""
    unsure: tuple[str, ...] = ()
    """Those of ``guessed`` that can change a figure: every command that shows figures tells them."""

    @property
    def title(self) -> str:
        """Name, and the size in a nest."""
        return f"{self.name} ({self.size})" if self.size else self.name

    @property
    def where(self) -> str:
        """For messages."""
        return f"{self.file}: {self.title}"

    @property
    def key(self) -> tuple[str, str, str | None]:
        """File, name and size: what makes it the same piece after a step."""
        return self.file, self.name, self.size

    def outline(self) -> Curve:
        """Chain the edges to the whole stitch line, closed.

        Which way round it runs depends on the kind of piece and on how it was drawn: ``abs(piece.outline().area())``
        is the area within, mm².
        """
        return _chained(tuple(edge.curve for edge in self.edges))

    def edge(self, name: str) -> Edge:
        """Return the edge of that name; refuses with the names there are."""
        for edge in self.edges:
            if edge.name == name:
                return edge
        names = ", ".join(edge.name for edge in self.edges)
        raise NoSuchName(self.where, f"no edge {str(name)!r}", f"its edges are: {names}")

    def has_edge(self, name: str) -> bool:
        """Return whether there is an edge of that name."""
        return any(edge.name == name for edge in self.edges)

    def landmark(self, name: str) -> complex:
        """Return the point of that name; refuses with the names there are."""
        for mark in self.landmarks:
            if mark.name == name:
                return mark.at
        names = ", ".join(mark.name for mark in self.landmarks)
        raise NoSuchName(self.where, f"no landmark {str(name)!r}", f"its landmarks are: {names}")

    def find_landmark(self, name: str) -> complex | None:
        """Return the point of that name, or None."""
        return next((mark.at for mark in self.landmarks if mark.name == name), None)

    def fact(self, name: str) -> str | None:
        """Return what a plug-in keeps under a name; None where it keeps nothing."""
        return next((text for known, text in self.data if known == name), None)

    def with_fact(self, name: str, text: str | None) -> Piece:
        """Return the same piece with a text kept under a name; None keeps nothing there."""
        others = tuple(pair for pair in self.data if pair[0] != name)
        return replace(self, data=others if text is None else (*others, (name, text)))

    def notches(self, edge: str) -> tuple[Mark, ...]:
        """Return the notches (without the shoulder notch) on an edge."""
        return tuple(mark for mark in self.marks if mark.kind == MarkKind.NOTCH and mark.edge == edge)

    def _repr_svg_(self) -> str:
        """Show the piece in a notebook: stitch line, marks and notches, in its own frame."""
        curves = [self.outline(), *(curve for mark in self.marks for curve in mark.curves)]
        left, top, right, bottom = zip(*(curve.bounds() for curve in curves), strict=True)
        x, y = min(left) - 5.0, min(top) - 5.0
        width, height = max(right) + 5.0 - x, max(bottom) + 5.0 - y
        scale = min(2.0, 600 / max(width, height))
        paths = "".join(f'<path d="{_path_data(curve)}"/>' for curve in curves)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width * scale:.0f}" height="{height * scale:.0f}" '
            f'viewBox="{x:.3f} {y:.3f} {width:.3f} {height:.3f}">'
            f'<rect x="{x:.3f}" y="{y:.3f}" width="{width:.3f}" height="{height:.3f}" fill="white"/>'
            f'<g fill="none" stroke="black" stroke-width="{1 / scale:.3f}">{paths}</g></svg>'
        )

    def after_step(self, motions: tuple[Affine, ...] = (), anew: tuple[str, ...] = ()) -> Piece:
        """Return the same piece with its stitch line noted as what its cut line has to follow from here on."""
        if self.cut is None:
            return self
        step = CutStep(edges=self.edges, darts=self.darts, motions=motions, anew=anew)
        return replace(self, cut=replace(self.cut, steps=(*self.cut.steps, step)))

    def with_edges(self, edges: tuple[Edge, ...]) -> Piece:
        """Return the same piece with other edges; marks, landmarks and darts stay where they are.

        What stood on an edge that moves is to be moved with it: ``replace(piece, edges=…, landmarks=…, marks=…)``.
        ``alterations.shift_edges`` does so by itself, and so do ``spread`` and ``true``.
        """
        return replace(self, edges=edges)


def paired(before: Sequence[Piece], after: Sequence[Piece]) -> tuple[tuple[Piece, Piece], ...]:
    """Pair each piece that is there after with the same one before, in the order of after.

    One that was added in between is paired with itself; one that is gone has no pair.
    """
    known = {piece.key: piece for piece in before}
    return tuple((known.get(piece.key, piece), piece) for piece in after)


def is_unchanged(before: Sequence[Piece], after: Sequence[Piece]) -> bool:
    """Tell whether pieces are the very same as before: none changed, came or went."""
    return len(before) == len(after) and all(new is old for old, new in zip(before, after, strict=True))


def edge_pairs(old: Piece, new: Piece) -> tuple[tuple[Edge, Edge], ...]:
    """Pair the edges, by name, that a piece has before and after, in the order of before."""
    if len(old.edges) == len(new.edges) and all(a.name == b.name for a, b in zip(old.edges, new.edges, strict=True)):
        return tuple(zip(old.edges, new.edges, strict=True))
    known = {edge.name: edge for edge in new.edges}
    return tuple((edge, known[edge.name]) for edge in old.edges if edge.name in known)


def _path_data(curve: Curve) -> str:
    """Write a curve as the ``d`` of an SVG path (https://www.w3.org/TR/SVG11/paths.html#PathData)."""
    corners = [[f"{point.real:.3f},{point.imag:.3f}" for point in segment] for segment in curve.segments.tolist()]
    return f"M {corners[0][0]} C " + " ".join(" ".join(segment[1:]) for segment in corners)


@lru_cache(maxsize=256)  # so that the same outline is measured once
def _chained(curves: tuple[Curve, ...]) -> Curve:
    return Curve.chain(curves)
