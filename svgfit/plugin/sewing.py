"""Edges sewn as one seam, their lengths as sewn, and the notches on them. Lengths in mm.

Part of the authors' module: ``from svgfit.plugin import sewing``. Names are fetched when first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from svgfit.lazy_names import Fetch, Listing, lazy_names

if TYPE_CHECKING:
    from svgfit.fitting.armhole import armhole_row as armhole_row
    from svgfit.fitting.armhole import why_unsewn as why_unsewn
    from svgfit.fitting.notch_moves import NotchPlace as NotchPlace
    from svgfit.fitting.notch_moves import armhole_notches as armhole_notches
    from svgfit.fitting.notch_moves import cap_notches as cap_notches
    from svgfit.fitting.notch_moves import slide_notch as slide_notch
    from svgfit.fitting.notch_moves import with_shoulder_notch as with_shoulder_notch
    from svgfit.fitting.sewn import SewnPart as SewnPart
    from svgfit.fitting.sewn import SewnRow as SewnRow
    from svgfit.fitting.sewn import place_along as place_along
    from svgfit.fitting.sewn import seam_length as seam_length
    from svgfit.fitting.sewn import sewn_distance as sewn_distance
    from svgfit.fitting.sewn import sewn_edge as sewn_edge
    from svgfit.fitting.sewn import sewn_length as sewn_length
    from svgfit.fitting.sewn import sewn_row as sewn_row
    from svgfit.fitting.sewn import shoulder_at as shoulder_at
    from svgfit.model.operation import Comparison as Comparison
    from svgfit.model.plan import spell_edges as spell_edges
    from svgfit.pattern.seam_ease import ExpectedEase as ExpectedEase
    from svgfit.pattern.seam_ease import expected_ease as expected_ease

__getattr__: Fetch
__dir__: Listing
__getattr__, __dir__ = lazy_names(
    __name__,
    {
        "svgfit.fitting.armhole": "armhole_row why_unsewn",
        "svgfit.fitting.notch_moves": "NotchPlace armhole_notches cap_notches slide_notch with_shoulder_notch",
        "svgfit.fitting.sewn": "SewnPart SewnRow place_along seam_length sewn_distance sewn_edge sewn_length sewn_row "
        "shoulder_at",
        "svgfit.model.operation": "Comparison",
        "svgfit.model.plan": "spell_edges",
        "svgfit.pattern.seam_ease": "ExpectedEase expected_ease",
    },
)
