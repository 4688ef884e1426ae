"""Known pieces drawn on a page, turned, mirrored and written in many ways, for recognition to find again."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
from hypothesis import strategies as st
from msgspec import Struct

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Shape, Text
from svgfit.model.piece import Piece
from svgfit.model.raw_piece import DrawnPiece


class Manner(Struct, frozen=True):
    """How an outline is written down: where it starts, which way it runs, with which extra nodes."""

    start: int = 0
    backwards: bool = False
    extra: tuple[float, ...] = ()
    """Parameters (as shares of the whole) at which a node is put."""
    parts: int = 1
    """Drawn as so many open paths, end to start."""


STILL, PLAIN = Affine(), Manner()

manners = st.builds(
    Manner,
    start=st.integers(0, 20),
    backwards=st.booleans(),
    extra=st.lists(st.floats(0.01, 0.99), max_size=4).map(tuple),
)
motions = st.builds(
    lambda angle, mirrored, x, y: (
        (Affine.scale(-1, 1) if mirrored else Affine()).then(Affine.turn(angle)).then(Affine.shift(complex(x, y)))
    ),
    st.floats(-math.pi, math.pi),
    st.booleans(),
    st.floats(-2000, 2000),
    st.floats(-2000, 2000),
)


def written(loop: Curve, manner: Manner) -> tuple[Curve, ...]:
    """The same closed line, drawn otherwise."""
    n = len(loop)
    places = sorted({float(k) for k in range(n + 1)} | {round(share * n, 3) for share in manner.extra})
    noded = Curve.chain([loop.subcurve(a, b) for a, b in itertools.pairwise(places)])
    segments = np.roll(noded.segments, -(manner.start % len(noded)), axis=0)
    turned = Curve(segments).reverse() if manner.backwards else Curve(segments)
    if manner.parts == 1:
        return (turned,)
    cuts = np.linspace(0, len(turned), manner.parts + 1).round().astype(int).tolist()
    pieces = [Curve(turned.segments[a:b]) for a, b in itertools.pairwise(cuts) if b > a]
    # Every second one the other way, and not in order: as people draw.
    return tuple(piece.reverse() if k % 2 else piece for k, piece in enumerate(pieces))[::-1]


def as_shape(curves: Sequence[Curve], motion: Affine = STILL, name: str | None = None) -> Shape:
    moved = tuple(curve.transform(motion) for curve in curves)
    return Shape(moved, tuple(curve.is_closed() for curve in moved), name=name)


def draw(
    piece: Piece,
    motion: Affine = STILL,
    manner: Manner = PLAIN,
    *,
    stitch: bool = True,
    cut: Curve | None = None,
    grain: bool = True,
    bicep: bool = False,
    notches: bool = True,
    landmarks: Sequence[str] = (),
    texts: Sequence[tuple[str, complex]] = (),
    name: str | None = None,
    **more: object,
) -> DrawnPiece:
    """The piece on a page: its frame goes to page millimetres by ``motion``."""
    marks = {kind: [c for m in piece.marks if m.kind == kind for c in m.curves] for kind in _KINDS}
    biceps = [Curve.polyline([piece.landmark("underarm front"), piece.landmark("underarm back")])] if bicep else []
    return DrawnPiece(
        file="page.svg",
        name=piece.name if name is None else name,
        stitch=(as_shape(written(piece.outline(), manner), motion),) if stitch else (),
        cut=(as_shape(written(cut, manner), motion),) if cut is not None else (),
        notches=tuple(as_shape([c], motion) for c in [*marks["notch"], *marks["shoulder notch"]]) if notches else (),
        grain=tuple(c.transform(motion) for c in marks["grain line"]) if grain else (),
        bicep=tuple(c.transform(motion) for c in biceps),
        fold=tuple(c.transform(motion) for c in marks["fold line"]),
        centre=tuple(c.transform(motion) for c in marks["centre line"]),
        landmarks=tuple((one, motion.apply(piece.landmark(one))) for one in landmarks),
        texts=tuple(Text(words, motion.apply(at), motion.apply_vector(1 + 0j), 8.0) for words, at in texts),
        **more,  # type: ignore[arg-type]
    )


_KINDS = ("notch", "shoulder notch", "grain line", "centre line", "fold line")
