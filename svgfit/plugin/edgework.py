"""What is done to an edge: flaws trued, joints across a seam, its end moved, what rides on it. Piece frame, mm.

Part of the authors' module: ``from svgfit.plugin import edgework``. Names are fetched when first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from svgfit.lazy_names import Fetch, Listing, lazy_names

if TYPE_CHECKING:
    from svgfit.fitting.flaws import Flaw as Flaw
    from svgfit.fitting.flaws import find_flaws as find_flaws
    from svgfit.fitting.flaws import true_flaw as true_flaw
    from svgfit.fitting.lower_curve import bend_to_end as bend_to_end
    from svgfit.fitting.lower_curve import motion_to_end as motion_to_end
    from svgfit.fitting.lower_curve import pull_to_corner as pull_to_corner
    from svgfit.fitting.lower_curve import tangent_corner as tangent_corner
    from svgfit.fitting.ride_along import ON_EDGE as ON_EDGE
    from svgfit.fitting.ride_along import Deformation as Deformation
    from svgfit.fitting.ride_along import close_outline as close_outline
    from svgfit.fitting.ride_along import for_one_point as for_one_point
    from svgfit.fitting.ride_along import move_dart as move_dart
    from svgfit.fitting.ride_along import move_piece as move_piece
    from svgfit.fitting.ride_along import reshape_curve as reshape_curve
    from svgfit.fitting.ride_along import ride_along_edge as ride_along_edge
    from svgfit.fitting.ride_along import with_edge as with_edge
    from svgfit.fitting.seam_truing import SeamJoint as SeamJoint
    from svgfit.fitting.seam_truing import seam_joints as seam_joints
    from svgfit.fitting.seam_truing import true_joint as true_joint
    from svgfit.fitting.truing import round_bend as round_bend
    from svgfit.pattern.cut_line import cut_line as cut_line
    from svgfit.pattern.cut_line import refuse_broken as refuse_broken
    from svgfit.pattern.cut_line import wider_than_usual as wider_than_usual
    from svgfit.pattern.notch_lines import with_allowance as with_allowance

__getattr__: Fetch
__dir__: Listing
__getattr__, __dir__ = lazy_names(
    __name__,
    {
        "svgfit.fitting.flaws": "Flaw find_flaws true_flaw",
        "svgfit.fitting.lower_curve": "bend_to_end motion_to_end pull_to_corner tangent_corner",
        "svgfit.fitting.ride_along": "Deformation ON_EDGE close_outline for_one_point move_dart "
        "move_piece reshape_curve ride_along_edge with_edge",
        "svgfit.fitting.seam_truing": "SeamJoint seam_joints true_joint",
        "svgfit.fitting.truing": "round_bend",
        "svgfit.pattern.cut_line": "cut_line refuse_broken wider_than_usual",
        "svgfit.pattern.notch_lines": "with_allowance",
    },
)
