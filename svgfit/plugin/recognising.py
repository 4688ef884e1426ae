"""How a piece is recognised: its outline parted at corners, how sides lie, the piece made of them. Page mm, y down.

Part of the authors' module: ``from svgfit.plugin import recognising``. Names are fetched when first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from svgfit.lazy_names import Fetch, Listing, lazy_names

if TYPE_CHECKING:
    from svgfit.model.drawing import Shape as Shape
    from svgfit.model.drawing import Text as Text
    from svgfit.model.piece import Doubt as Doubt
    from svgfit.model.toml_file import spell as spell
    from svgfit.pattern.allowance import allowance_of as allowance_of
    from svgfit.pattern.corners import Jog as Jog
    from svgfit.pattern.corners import hollowness as hollowness
    from svgfit.pattern.corners import jog_notes as jog_notes
    from svgfit.pattern.corners import join_sides as join_sides
    from svgfit.pattern.corners import midpoint as midpoint
    from svgfit.pattern.corners import runs_between as runs_between
    from svgfit.pattern.corners import sagitta as sagitta
    from svgfit.pattern.languages import in_english as in_english
    from svgfit.pattern.orientation import Grain as Grain
    from svgfit.pattern.orientation import facing as facing
    from svgfit.pattern.orientation import find_grain as find_grain
    from svgfit.pattern.orientation import off_square as off_square
    from svgfit.pattern.orientation import placement as placement
    from svgfit.pattern.orientation import right_of as right_of
    from svgfit.pattern.recognise.choose import highest as highest
    from svgfit.pattern.recognise.notches import Tick as Tick
    from svgfit.pattern.recognise.notches import ticks as ticks
    from svgfit.pattern.recognise.own_kind import DrawnSides as DrawnSides
    from svgfit.pattern.recognise.own_kind import drawn_marks as drawn_marks
    from svgfit.pattern.recognise.own_kind import drawn_sides as drawn_sides
    from svgfit.pattern.recognise.own_kind import finished_edges as finished_edges
    from svgfit.pattern.recognise.own_kind import finished_piece as finished_piece
    from svgfit.pattern.recognise.own_kind import parted_again as parted_again
    from svgfit.pattern.recognise.own_kind import placed_piece as placed_piece
    from svgfit.pattern.recognise.plausible import across as across
    from svgfit.pattern.recognise.plausible import along as along
    from svgfit.pattern.recognise.plausible import refuse_flaw as refuse_flaw
    from svgfit.pattern.recognise.plausible import share_flaw as share_flaw
    from svgfit.pattern.recognise.plausible import steepness as steepness
    from svgfit.pattern.recognise.whole import MirrorAxis as MirrorAxis
    from svgfit.pattern.recognise.whole import find_mirror_axis as find_mirror_axis
    from svgfit.pattern.recognise.whole import whole_edges as whole_edges

__getattr__: Fetch
__dir__: Listing
__getattr__, __dir__ = lazy_names(
    __name__,
    {
        "svgfit.model.drawing": "Shape Text",
        "svgfit.model.piece": "Doubt",
        "svgfit.model.toml_file": "spell",
        "svgfit.pattern.allowance": "allowance_of",
        "svgfit.pattern.corners": "Jog hollowness jog_notes join_sides midpoint runs_between sagitta",
        "svgfit.pattern.languages": "in_english",
        "svgfit.pattern.orientation": "Grain facing find_grain off_square placement right_of",
        "svgfit.pattern.recognise.choose": "highest",
        "svgfit.pattern.recognise.notches": "Tick ticks",
        "svgfit.pattern.recognise.own_kind": "DrawnSides drawn_marks drawn_sides "
        "finished_edges finished_piece parted_again placed_piece",
        "svgfit.pattern.recognise.plausible": "across along refuse_flaw share_flaw steepness",
        "svgfit.pattern.recognise.whole": "MirrorAxis find_mirror_axis whole_edges",
    },
)
