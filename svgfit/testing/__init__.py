"""What the tests of a plug-in need: ready garments, steps run as svgfit runs them, assertions about what came of them.

    from svgfit.testing import refused, run, smock

    def test_the_hem_comes_down():
        done = run("hem-drop amount='1 in'", smock())
        assert done.gained("Sleeve", "underarm seam front") == pytest.approx(25.4, abs=0.1)

Lengths are millimetres, points complex numbers in the piece's frame, y down. ``svgfit.testing.fixtures`` has fixtures
for pytest; nothing here is imported unless a test asks for it.
"""

from __future__ import annotations

from svgfit.testing.assertions import (
    assert_at_allowance,
    assert_length,
    assert_on_edge,
    assert_smooth,
    assert_unchanged,
)
from svgfit.testing.checking import check_plugin
from svgfit.testing.garments import Garment, bodices, garment, sleeve, sleeves, smock
from svgfit.testing.running import Ran, refused, run

__all__ = [
    "Garment",
    "Ran",
    "assert_at_allowance",
    "assert_length",
    "assert_on_edge",
    "assert_smooth",
    "assert_unchanged",
    "bodices",
    "check_plugin",
    "garment",
    "refused",
    "run",
    "sleeve",
    "sleeves",
    "smock",
]
