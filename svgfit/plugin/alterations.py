"""What alterations are made of: places on a piece, cuts between them, edges shifted, darts turned. Piece frame, mm.

Part of the authors' module: ``from svgfit.plugin import alterations``. Names are fetched when first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from svgfit.lazy_names import Fetch, Listing, lazy_names

if TYPE_CHECKING:
    from svgfit.fitting.darts import Swing as Swing
    from svgfit.fitting.darts import angle as angle
    from svgfit.fitting.darts import legs as legs
    from svgfit.fitting.darts import mouth_width as mouth_width
    from svgfit.fitting.darts import open_dart as open_dart
    from svgfit.fitting.darts import swing_dart as swing_dart
    from svgfit.fitting.darts import without_mouth as without_mouth
    from svgfit.fitting.edge_ends import lead_to as lead_to
    from svgfit.fitting.edge_ends import let_in_dart as let_in_dart
    from svgfit.fitting.edge_ends import lines_along as lines_along
    from svgfit.fitting.edge_ends import off_square as off_square
    from svgfit.fitting.edge_ends import room_at as room_at
    from svgfit.fitting.edge_ends import square_again as square_again
    from svgfit.fitting.edge_ends import square_end as square_end
    from svgfit.fitting.places import Place as Place
    from svgfit.fitting.places import edge_at as edge_at
    from svgfit.fitting.places import find_place as find_place
    from svgfit.fitting.places import on_outline as on_outline
    from svgfit.fitting.shift import Knot as Knot
    from svgfit.fitting.shift import Movements as Movements
    from svgfit.fitting.shift import shift_edges as shift_edges
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
        "svgfit.fitting.darts": "Swing angle legs mouth_width open_dart swing_dart without_mouth",
        "svgfit.fitting.edge_ends": "lead_to let_in_dart lines_along off_square room_at square_again square_end",
        "svgfit.fitting.places": "Place edge_at find_place on_outline",
        "svgfit.fitting.shift": "Knot Movements shift_edges",
        "svgfit.fitting.slash": "Cut cut_between part_to_move",
        "svgfit.fitting.spread": "spread_each",
        "svgfit.fitting.truing": "off_grain refuse_bent_fold refuse_turned_over straight_run",
    },
)
