"""How the lower part of an armhole is lowered, raised or scooped. Piece frame, mm, y down.

Part of the authors' module: ``from svgfit.plugin import armholes``. Names are fetched when first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from svgfit.lazy_names import Fetch, Listing, lazy_names

if TYPE_CHECKING:
    from svgfit.fitting.armhole_reshape import ReshapedArmhole as ReshapedArmhole
    from svgfit.fitting.armhole_reshape import Underarm as Underarm
    from svgfit.fitting.armhole_reshape import lower_armhole as lower_armhole
    from svgfit.fitting.armhole_reshape import scoop_armhole as scoop_armhole
    from svgfit.fitting.armhole_reshape import underarm_of as underarm_of

__getattr__: Fetch
__dir__: Listing
__getattr__, __dir__ = lazy_names(
    __name__,
    {
        "svgfit.fitting.armhole_reshape": "ReshapedArmhole Underarm lower_armhole scoop_armhole underarm_of",
    },
)
