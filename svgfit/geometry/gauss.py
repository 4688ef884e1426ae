"""Gauss–Legendre nodes and weights on −1 … 1, written out: computing them at every start costs more than it is worth.

Source: Abramowitz and Stegun, Handbook of Mathematical Functions, table 25.4; tests/geometry/test_gauss.py holds them
to numpy's own.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]


def _both_sides(nodes: tuple[float, ...], weights: tuple[float, ...]) -> tuple[Real, Real]:
    x, w = np.array(nodes), np.array(weights)
    return np.concatenate([-x[::-1], x]), np.concatenate([w[::-1], w])


SIX = _both_sides(
    (
        0.2386191860831969,
        0.6612093864662645,
        0.9324695142031519,
    ),
    (
        0.46791393457269104,
        0.3607615730481387,
        0.17132449237917027,
    ),
)
SIXTEEN = _both_sides(
    (
        0.09501250983763744,
        0.2816035507792589,
        0.45801677765722737,
        0.6178762444026438,
        0.755404408355003,
        0.8656312023878318,
        0.9445750230732326,
        0.9894009349916499,
    ),
    (
        0.18945061045506864,
        0.18260341504492364,
        0.16915651939500265,
        0.1495959888165767,
        0.12462897125553407,
        0.0951585116824926,
        0.062253523938647456,
        0.027152459411754176,
    ),
)
