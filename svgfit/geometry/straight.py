"""Whether a curve is a straight line."""

from __future__ import annotations

import numpy as np

from svgfit.geometry.curve import Curve


def is_straight(curve: Curve, accuracy: float = 0.02) -> bool:
    """Return whether no control point lies further than ``accuracy`` mm off the chord."""
    chord = curve.end - curve.start
    if chord == 0:
        return False
    off = (curve.segments - curve.start) * (chord.conjugate() / abs(chord))
    return bool(np.abs(off.imag).max() <= accuracy)
