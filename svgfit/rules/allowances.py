"""Seam allowances: what is usual, which are folded back at a corner, and how the cut line is drawn there.

- An allowance belongs to an edge; the cut line runs parallel to the stitch line at it.
- An allowance that is pressed open or turned up is cut as its neighbour's mirror image about its own seam, so that it
  lies flush; at a corner so acute that the mirrored end of an open seam would be a thorn, that end is cut square.
- The cloth of a dart is not cut out: the cut line runs on over its mouth, in a roof (svgfit/rules/darts.py).
- At a fold nothing is added, and the neighbours' cut lines run on to the fold.
- A drawn cut line is its maker's choice: it is redrawn only beside what changed of the stitch line, there at the
  width that it had.

All five: common practice, no source. svgfit/pattern/cut_line.py and cut_corners.py draw by them.
"""

from __future__ import annotations

import math
from typing import Annotated

from msgspec import Struct

from svgfit.model.length import MM_PER_INCH, both_ways
from svgfit.model.vocabulary import EdgeName, MeasureUnit
from svgfit.rules import JUDGEMENT, PRACTICE, Mm, MmRange, Radians, Share, Source, Times, Words

TURNED_UP: Annotated[Words, PRACTICE] = (EdgeName.HEM,)
"""Edges whose allowance is turned up: mirrored at a corner against everything that it meets."""
PRESSED_OPEN: Annotated[Words, PRACTICE] = (
    EdgeName.UNDERARM_FRONT,
    EdgeName.UNDERARM_BACK,
    EdgeName.SIDE_SEAM,
    EdgeName.SHOULDER,
)
"""Edges whose allowance is pressed open: mirrored at a corner against all but a hem."""
COMMONEST: Annotated[MmRange, PRACTICE] = (0.625 * MM_PER_INCH, 10.0)
"""Seam allowances that patterns usually hold, 5/8 in and 1 cm: supposed where it is only asked what would be read."""
USUAL_WIDTHS: Annotated[tuple[float, ...], MeasureUnit.MM, PRACTICE] = (
    *(MM_PER_INCH * eighths / 8 for eighths in (2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24)),
    *(5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 13.0, 15.0, 16.0, 20.0, 25.0, 30.0, 35.0, 40.0, 50.0, 60.0),
)
"""Widths that seam allowances and hems are given in; what else a drawing shows is a reason to doubt its scale."""
USUAL_WITHIN: Annotated[Mm, JUDGEMENT] = 0.05
"""A drawn allowance that is off by no more than this has such a width."""
WIDEST_USUAL: Annotated[Mm, JUDGEMENT] = 2 * MM_PER_INCH
"""A seam allowance wider than this is more than usual: the whole cut line is then looked at for faults."""
THORN: Annotated[Times, JUDGEMENT] = 0.75
"""How far a pressed-open allowance's mirrored end may run out beyond a square one, in allowances."""
MIRRORED_REACH: Annotated[Times, JUDGEMENT] = 3.0
"""Within so many allowances a mirrored end must reach the folded line …"""
MIRRORED_END: Annotated[Times, JUDGEMENT] = 1.5
"""… else it ends after so many, square to that line."""
MIRRORED_TURN: Annotated[Radians, JUDGEMENT] = math.radians(4)
"""Where only a cut line is drawn, one that bends at a node by less than this on its neighbour's seam, or so little more
than at the nodes beside that one, runs on there and has no mirrored end …"""
MIRRORED_AT: Annotated[Mm, JUDGEMENT] = 1.0
"""… the node being within this of the seam."""
MIRRORED_ON: Annotated[Mm, JUDGEMENT] = 0.05
"""A node as near to the seam as this is the mirrored end's own …"""
MIRRORED_LEAST: Annotated[Radians, JUDGEMENT] = math.radians(0.5)
"""… and then need bend by no more than this."""
SHALLOW: Annotated[Radians, JUDGEMENT] = math.radians(30)
"""Edges that turn by less at their corner go on nearly as one: no allowance is mirrored there, the corner is plain."""
CUT_LINE_OFF: Annotated[Mm, JUDGEMENT] = 0.5
"""A cut line lies at its allowance where it is off by less than this."""
CUT_LINE_MISSED: Annotated[Share, JUDGEMENT] = 0.1
"""So much of an edge may miss its allowance."""
CUT_LINE_HOLDS: Annotated[Mm, JUDGEMENT] = 0.2
"""A cut line that is redrawn lies at its allowance within this; else the run refuses, with the place."""
CORNER_ALIKE: Annotated[Mm, JUDGEMENT] = 0.8
"""A drawn corner of a cut line is of a form where it lies within this of that form's."""
RAMP: Annotated[Mm, JUDGEMENT] = 10.0
"""Where a drawn cut line goes on in one redrawn, a difference of their widths is lost over this length."""
VARIES: Annotated[Mm, JUDGEMENT] = 0.5
"""A drawn seam allowance that varies by more than this along an edge is reported."""
ROUNDED_WITHIN: Annotated[Mm, Source("cut lines that drawing programs wrote lay up to 0.05 mm off; no source")] = 0.05
"""A measured allowance this near to half a millimetre or a sixteenth of an inch was meant to be that."""
TAKEN_FOR_CORNERS: Annotated[Mm, PRACTICE] = 16.0
"""Where only a cut line is drawn and no allowance is known, corners are looked for as if it were this (5/8 in)."""
TAKEN_REACH: Annotated[Times, JUDGEMENT] = 1.6
"""Sides of a cut line shorter than so many allowances are what corners of an allowance leave, not edges."""
ROUNDED_CORNERS: Annotated[Times, JUDGEMENT] = 1.15
"""Where only a cut line is drawn, what bends outwards with a radius below so many of its widest allowance is a rounded
corner."""
PROVED_WITHIN: Annotated[Mm, JUDGEMENT] = 0.25
"""A stitch line made from a cut line is proved where its own parallel is on that line within this."""
RUN_ON: Annotated[Times, JUDGEMENT] = 0.75
"""The last of an edge, so many of its allowance long, may be run on straight beyond what the cut line shows."""
SHOWN_WITHIN: Annotated[Mm, JUDGEMENT] = 0.1
"""Towards its ends an edge made from a cut line is shown by it as far as its parallel is on that line within this."""
END_OFF: Annotated[Mm, JUDGEMENT] = 0.15
"""An edge run on straight is told where its bend beside there would bring its end aside by more than this."""
ABRUPT: Annotated[Times, JUDGEMENT] = 0.3
"""Near its end an edge made from a cut line is told where its bend (1/radius) changes all at once by more than this
share of 1/allowance."""


class AllowanceRule(Struct, frozen=True, kw_only=True):
    """What a plug-in gives for the seam allowance of an edge, wherever neither a drawn line nor svgfit.toml says it."""

    edge: str
    """The edge's name, "underarm" for front and back of it, or "all" for every edge of which nothing else is said."""
    width: float
    """mm; 0 for none."""

    @property
    def name(self) -> str:
        """Say what it is a rule of; no two plug-ins' may be alike."""
        return "seam allowances" if self.edge == "all" else f"seam allowance of {self.edge}"

    @property
    def words(self) -> str:
        """Say it for people."""
        return f"{self.name} {both_ways(self.width)}"
