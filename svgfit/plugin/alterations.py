"""What alterations are made of: places on a piece, cuts between them, edges shifted, darts turned. Piece frame, mm.

Part of the authors' module: ``from svgfit.plugin import alterations``. Names are fetched when first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from svgfit.lazy_names import Fetch, Listing, lazy_names

if TYPE_CHECKING:
    from svgfit.fitting.between import lay_between as lay_between
    from svgfit.fitting.darts import Swing as Swing
    from svgfit.fitting.darts import angle as angle
    from svgfit.fitting.darts import dart_on as dart_on
    from svgfit.fitting.darts import fullest_point as fullest_point
    from svgfit.fitting.darts import keep_dart as keep_dart
    from svgfit.fitting.darts import legs as legs
    from svgfit.fitting.darts import mouth_width as mouth_width
    from svgfit.fitting.darts import open_dart as open_dart
    from svgfit.fitting.darts import pivot_on as pivot_on
    from svgfit.fitting.darts import pointed as pointed
    from svgfit.fitting.darts import redraw_dart as redraw_dart
    from svgfit.fitting.darts import standing_place as standing_place
    from svgfit.fitting.darts import swing_dart as swing_dart
    from svgfit.fitting.darts import true_closed as true_closed
    from svgfit.fitting.darts import without_mouth as without_mouth
    from svgfit.fitting.edge_ends import lead_to as lead_to
    from svgfit.fitting.edge_ends import let_in_dart as let_in_dart
    from svgfit.fitting.edge_ends import lines_along as lines_along
    from svgfit.fitting.edge_ends import off_square as off_square
    from svgfit.fitting.edge_ends import room_at as room_at
    from svgfit.fitting.edge_ends import square_again as square_again
    from svgfit.fitting.edge_ends import square_end as square_end
    from svgfit.fitting.levels import drawn_level as drawn_level
    from svgfit.fitting.levels import level_moves as level_moves
    from svgfit.fitting.levels import seam_point as seam_point
    from svgfit.fitting.levels import shift_seams as shift_seams
    from svgfit.fitting.levels import width_at as width_at
    from svgfit.fitting.places import Place as Place
    from svgfit.fitting.places import at_level as at_level
    from svgfit.fitting.places import edge_at as edge_at
    from svgfit.fitting.places import find_place as find_place
    from svgfit.fitting.places import on_outline as on_outline
    from svgfit.fitting.shift import Knot as Knot
    from svgfit.fitting.shift import Movements as Movements
    from svgfit.fitting.shift import shift_edges as shift_edges
    from svgfit.fitting.shoulder import Shoulder as Shoulder
    from svgfit.fitting.shoulder import find_shoulder as find_shoulder
    from svgfit.fitting.shoulder import move_tip as move_tip
    from svgfit.fitting.shoulder import shoulder_pairs as shoulder_pairs
    from svgfit.fitting.shoulder import shoulders as shoulders
    from svgfit.fitting.shoulder import sleeves_at as sleeves_at
    from svgfit.fitting.shoulder import upper_armhole as upper_armhole
    from svgfit.fitting.slash import Cut as Cut
    from svgfit.fitting.slash import cut_between as cut_between
    from svgfit.fitting.slash import part_to_move as part_to_move
    from svgfit.fitting.spread import spread_each as spread_each
    from svgfit.fitting.truing import off_grain as off_grain
    from svgfit.fitting.truing import refuse_bent_fold as refuse_bent_fold
    from svgfit.fitting.truing import refuse_turned_over as refuse_turned_over
    from svgfit.fitting.truing import straight_run as straight_run

__getattr__: Fetch
__dir__: Listing
__getattr__, __dir__ = lazy_names(
    __name__,
    {
        "svgfit.fitting.between": "lay_between",
        "svgfit.fitting.darts": "Swing angle dart_on fullest_point keep_dart legs mouth_width open_dart pivot_on "
        "pointed redraw_dart standing_place swing_dart true_closed without_mouth",
        "svgfit.fitting.edge_ends": "lead_to let_in_dart lines_along off_square room_at square_again square_end",
        "svgfit.fitting.levels": "drawn_level level_moves seam_point shift_seams width_at",
        "svgfit.fitting.places": "Place at_level edge_at find_place on_outline",
        "svgfit.fitting.shift": "Knot Movements shift_edges",
        "svgfit.fitting.shoulder": "Shoulder find_shoulder move_tip shoulder_pairs shoulders sleeves_at upper_armhole",
        "svgfit.fitting.slash": "Cut cut_between part_to_move",
        "svgfit.fitting.spread": "spread_each",
        "svgfit.fitting.truing": "off_grain refuse_bent_fold refuse_turned_over straight_run",
    },
)
