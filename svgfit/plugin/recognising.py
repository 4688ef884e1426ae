"""How a piece is recognised: its outline parted at corners, how sides lie, the piece made of them. Page mm, y down.

Part of the authors' module: ``from svgfit.plugin import recognising``. Names are fetched when first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from svgfit.lazy_names import Fetch, Listing, lazy_names

if TYPE_CHECKING:
    from svgfit.model.drawing import Shape as Shape
    from svgfit.model.drawing import Text as Text
    from svgfit.pattern.corners import hollowness as hollowness
    from svgfit.pattern.corners import midpoint as midpoint
    from svgfit.pattern.corners import runs_between as runs_between
    from svgfit.pattern.languages import in_english as in_english
    from svgfit.pattern.recognise.bodice import recognise_bodice as recognise_bodice
    from svgfit.pattern.recognise.bodice import suits_bodice as suits_bodice
    from svgfit.pattern.recognise.own_kind import DrawnSides as DrawnSides
    from svgfit.pattern.recognise.own_kind import drawn_sides as drawn_sides
    from svgfit.pattern.recognise.own_kind import finished_piece as finished_piece
    from svgfit.pattern.recognise.sleeve import recognise_sleeve as recognise_sleeve
    from svgfit.pattern.recognise.sleeve import suits_sleeve as suits_sleeve

__getattr__: Fetch
__dir__: Listing
__getattr__, __dir__ = lazy_names(
    __name__,
    {
        "svgfit.model.drawing": "Shape Text",
        "svgfit.pattern.corners": "hollowness midpoint runs_between",
        "svgfit.pattern.languages": "in_english",
        "svgfit.pattern.recognise.bodice": "recognise_bodice suits_bodice",
        "svgfit.pattern.recognise.own_kind": "DrawnSides drawn_sides finished_piece",
        "svgfit.pattern.recognise.sleeve": "recognise_sleeve suits_sleeve",
    },
)
