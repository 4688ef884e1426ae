"""Flaws of an edge, edges that run on across a seam, what rides on an edge, allowances, cut lines. Piece frame, mm.

Part of the authors' module: ``from svgfit.plugin import edgework``. Names are fetched when first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from svgfit.lazy_names import Fetch, Listing, lazy_names

if TYPE_CHECKING:
    from svgfit.fitting.flaws import Flaw as Flaw
    from svgfit.fitting.flaws import bridged_gaps as bridged_gaps
    from svgfit.fitting.flaws import find_flaws as find_flaws
    from svgfit.fitting.flaws import true_flaw as true_flaw
    from svgfit.fitting.ride_along import move_piece as move_piece
    from svgfit.fitting.ride_along import ride_along_edge as ride_along_edge
    from svgfit.fitting.seam_truing import SeamJoint as SeamJoint
    from svgfit.fitting.seam_truing import seam_joints as seam_joints
    from svgfit.fitting.seam_truing import true_joint as true_joint
    from svgfit.geometry.intersect import self_crossing as self_crossing
    from svgfit.pattern.cut_line import cut_line as cut_line
    from svgfit.pattern.cut_line import refuse_broken as refuse_broken
    from svgfit.pattern.cut_line import wider_than_usual as wider_than_usual
    from svgfit.pattern.notch_lines import with_allowance as with_allowance

__getattr__: Fetch
__dir__: Listing
__getattr__, __dir__ = lazy_names(
    __name__,
    {
        "svgfit.fitting.flaws": "Flaw bridged_gaps find_flaws true_flaw",
        "svgfit.fitting.ride_along": "move_piece ride_along_edge",
        "svgfit.fitting.seam_truing": "SeamJoint seam_joints true_joint",
        "svgfit.geometry.intersect": "self_crossing",
        "svgfit.pattern.cut_line": "cut_line refuse_broken wider_than_usual",
        "svgfit.pattern.notch_lines": "with_allowance",
    },
)
