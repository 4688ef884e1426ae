"""Formulas for curves that ``Curve`` has no method for: cubics, fits, crossings. Any frame, mm, y down.

Part of the authors' module: ``from svgfit.plugin import geometry``. Names are fetched when first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from svgfit.lazy_names import Fetch, Listing, lazy_names

if TYPE_CHECKING:
    from svgfit.geometry.bezier import Complex as Complex
    from svgfit.geometry.bezier import Real as Real
    from svgfit.geometry.bezier import clamp as clamp
    from svgfit.geometry.bezier import derivative as derivative
    from svgfit.geometry.bezier import dot as dot
    from svgfit.geometry.bezier import position as position
    from svgfit.geometry.fit import feet_on as feet_on
    from svgfit.geometry.fit import fit_cubic_at as fit_cubic_at
    from svgfit.geometry.fit import fit_cubic_with_error as fit_cubic_with_error
    from svgfit.geometry.intersect import extend_straight as extend_straight
    from svgfit.geometry.intersect import self_crossing as self_crossing
    from svgfit.geometry.polygon import distances as distances

__getattr__: Fetch
__dir__: Listing
__getattr__, __dir__ = lazy_names(
    __name__,
    {
        "svgfit.geometry.bezier": "Complex Real clamp derivative dot position",
        "svgfit.geometry.fit": "feet_on fit_cubic_at fit_cubic_with_error",
        "svgfit.geometry.intersect": "extend_straight self_crossing",
        "svgfit.geometry.polygon": "distances",
    },
)
