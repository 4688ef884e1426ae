"""The written-out quadrature nodes against numpy's own computation of them."""

from __future__ import annotations

import numpy as np
import pytest

from svgfit.geometry import gauss


@pytest.mark.parametrize(("written", "count"), [(gauss.SIX, 6), (gauss.SIXTEEN, 16)])
def test_nodes_and_weights(written: tuple[np.ndarray, np.ndarray], count: int) -> None:
    nodes, weights = np.polynomial.legendre.leggauss(count)
    assert np.allclose(written[0], nodes, atol=1e-15, rtol=0)
    assert np.allclose(written[1], weights, atol=1e-15, rtol=0)
