"""The stock ways to recognise a piece: how sure they are, and the piece in its own frame.

Part of the authors' module: ``from svgfit.plugin import recognising``. Names are fetched when first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from svgfit.lazy_names import Fetch, Listing, lazy_names

if TYPE_CHECKING:
    from svgfit.pattern.recognise.bodice import recognise_bodice as recognise_bodice
    from svgfit.pattern.recognise.bodice import suits_bodice as suits_bodice
    from svgfit.pattern.recognise.sleeve import recognise_sleeve as recognise_sleeve
    from svgfit.pattern.recognise.sleeve import suits_sleeve as suits_sleeve
    from svgfit.pattern.recognise.yoke import recognise_yoke as recognise_yoke
    from svgfit.pattern.recognise.yoke import suits_yoke as suits_yoke

__getattr__: Fetch
__dir__: Listing
__getattr__, __dir__ = lazy_names(
    __name__,
    {
        "svgfit.pattern.recognise.bodice": "recognise_bodice suits_bodice",
        "svgfit.pattern.recognise.sleeve": "recognise_sleeve suits_sleeve",
        "svgfit.pattern.recognise.yoke": "recognise_yoke suits_yoke",
    },
)
