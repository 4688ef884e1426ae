"""A seam kinked by a hinge on it, redrawn: straight if it was straight, else as one curve."""

from __future__ import annotations

import numpy as np

from svgfit.geometry.curve import Curve
from svgfit.geometry.fit import fit_one
from svgfit.geometry.straight import is_straight


def mend_seam(old: Curve, kinked: Curve) -> Curve:
    """The seam from ``kinked``'s start to its end without the kink.

    ``old`` is the seam before the turn: where it was straight (within 0.1 mm) the new one is a straight line, else one
    cubic that keeps the end tangents of the kinked seam and lies as near to it as two handles allow (least squares).
    """
    if is_straight(old, 0.1):
        return Curve.polyline([kinked.start, kinked.end])
    n = len(kinked)
    places = np.linspace(0, n, 8 * n + 1)
    return Curve(fit_one(kinked.points(places), kinked.tangent(0.0), kinked.tangent(float(n), before=True))[None, :])
