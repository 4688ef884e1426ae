"""Curves for the tests: wild, with lost handles, and as calm as a pattern's."""

from __future__ import annotations

import itertools

import numpy as np
from hypothesis import strategies as st

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve

numbers = st.floats(-200, 200).map(lambda x: round(x, 3))
points = st.builds(complex, numbers, numbers)


def _chain(corners: list[complex], handles: list[complex], kinds: list[int]) -> Curve:
    rows = []
    for k, (start, end) in enumerate(itertools.pairwise(corners)):
        first, second = handles[2 * k], handles[2 * k + 1]
        third = (end - start) / 3
        kind = kinds[k]
        if kind == 1:
            first, second = start + third, end - third
        elif kind == 2:
            first = start
        elif kind == 3:
            second = end
        elif kind == 4:
            first, second = start, end
        elif kind == 5:  # runs past its end and back
            first, second = start + 7 * third, end - 4 * third
        rows.append([start, first, second, end])
    return Curve(np.array(rows))


def _curves(n: int, kinds: st.SearchStrategy[int]) -> st.SearchStrategy[Curve]:
    return st.builds(
        _chain,
        st.lists(points, min_size=n + 1, max_size=n + 1, unique=True),
        st.lists(points, min_size=2 * n, max_size=2 * n),
        st.lists(kinds, min_size=n, max_size=n),
    )


wild = st.integers(1, 4).flatmap(lambda n: _curves(n, st.integers(0, 5)))
"""Any cubics, some straight, some with handles of no length, some that turn back."""


def _calm(angles: list[float], sizes: list[float], shares: list[float]) -> Curve:
    rows, at, way = [], 0j, 0.3
    for angle, size, share in zip(angles, sizes, shares, strict=True):
        end = at + size * np.exp(1j * (way + angle / 2))
        out = way + angle
        rows.append([at, at + share * size * np.exp(1j * way), end - share * size * np.exp(1j * out), end])
        at, way = end, out
    return Curve(np.array(rows))


calm = st.integers(1, 4).flatmap(
    lambda n: st.builds(
        _calm,
        st.lists(st.floats(-1.0, 1.0), min_size=n, max_size=n),
        st.lists(st.floats(40, 200), min_size=n, max_size=n),
        st.lists(st.floats(0.25, 0.45), min_size=n, max_size=n),
    )
)
"""Smooth chains that turn up to a radian a segment."""

motions = st.builds(
    lambda angle, by, mirrored, size: (
        (Affine.scale(-size, size) if mirrored else Affine.scale(size)).then(Affine.turn(angle)).then(Affine.shift(by))
    ),
    st.floats(-3.14, 3.14),
    points,
    st.booleans(),
    st.floats(0.2, 5),
)


def circle(radius: float, parts: int = 4) -> Curve:
    """A circle as cubics with handles of 4/3·tan(θ/4) radii, clockwise on a page."""
    step = 2 * np.pi / parts
    reach = 4 / 3 * np.tan(step / 4) * 1j
    nodes = radius * np.exp(1j * step * np.arange(parts + 1))
    nodes[-1] = nodes[0]
    return Curve(np.array([[a, a + reach * a, b - reach * b, b] for a, b in itertools.pairwise(nodes)]))
