"""What is measured on a sleeve, what shape a redrawn cap has, and how one is widened. Piece frame, mm, y down.

Part of the authors' module: ``from svgfit.plugin import sleeves``. Names are fetched when first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from svgfit.lazy_names import Fetch, Listing, lazy_names

if TYPE_CHECKING:
    from svgfit.fitting.bicep import cap_apex as cap_apex
    from svgfit.fitting.bicep import move_underarms_out as move_underarms_out
    from svgfit.fitting.bicep import stretch_cap as stretch_cap
    from svgfit.fitting.cap_shape import Displacement as Displacement
    from svgfit.fitting.cap_shape import Hollow as Hollow
    from svgfit.fitting.cap_shape import displacement as displacement
    from svgfit.fitting.cap_shape import new_hollows as new_hollows
    from svgfit.fitting.cap_shape import overhang as overhang
    from svgfit.fitting.cap_shape import times_tighter as times_tighter
    from svgfit.fitting.cap_shape import width_lost as width_lost
    from svgfit.fitting.hem_slash import HemSlash as HemSlash
    from svgfit.fitting.hem_slash import hem_slash as hem_slash
    from svgfit.fitting.hem_slash import raise_needed as raise_needed
    from svgfit.fitting.hem_slash import widening_needed as widening_needed
    from svgfit.fitting.measure import bicep_level as bicep_level
    from svgfit.fitting.measure import bicep_width as bicep_width
    from svgfit.fitting.measure import cap_halves as cap_halves
    from svgfit.fitting.measure import cap_height as cap_height
    from svgfit.fitting.measure import shoulder_distance as shoulder_distance
    from svgfit.fitting.measure import shoulder_point as shoulder_point

__getattr__: Fetch
__dir__: Listing
__getattr__, __dir__ = lazy_names(
    __name__,
    {
        "svgfit.fitting.bicep": "cap_apex move_underarms_out stretch_cap",
        "svgfit.fitting.cap_shape": "Displacement Hollow displacement new_hollows overhang times_tighter width_lost",
        "svgfit.fitting.hem_slash": "HemSlash hem_slash raise_needed widening_needed",
        "svgfit.fitting.measure": "bicep_level bicep_width cap_halves cap_height shoulder_distance shoulder_point",
    },
)
