"""Truing: how far from an opening an edge is redrawn, and when that is refused or warned of."""

from __future__ import annotations

import math
from typing import Annotated

from svgfit.model.length import MM_PER_INCH
from svgfit.model.vocabulary import MeasureUnit
from svgfit.rules import JUDGEMENT, PRACTICE, TRIALS, Mm, Radians, Share, Times

Reaches = Annotated[tuple[float, ...], "openings"]

REACHES: Annotated[Reaches, TRIALS] = (6.0, 5.0, 4.0, 3.0, 2.5, 2.0)
"""How far an edge is redrawn on each side of a flaw, in turn, where no reach is given."""
UNEVEN_REACHES: Annotated[tuple[tuple[float, float], ...], "openings", TRIALS] = (
    (6, 3),
    (3, 6),
    (6, 2),
    (2, 6),
    (4, 2),
    (2, 4),
    (5, 4),
    (4, 5),
)
"""Before and after it, where no even reach will do."""
GENTLE: Annotated[Mm, TRIALS] = 325.0
"""Parts that were moved aside are led into each other over the root of the step times this on each side: so long a way
that the edge bends by about this radius more, whatever the step."""
HINGE_LEAST: Annotated[Mm, JUDGEMENT] = 12.7
"""A seam that carries a hinge is redrawn at least this far on each side of it (and over the turn, in radians, times
GENTLE)."""
STRETCHED: Annotated[Times, TRIALS] = 2.5
"""Parts that were moved along the edge are led into each other over so many times the opening on each side."""
FLAW_REACHES: Annotated[tuple[float, ...], MeasureUnit.MM, TRIALS] = (20.0, 30.0, 40.0, 60.0)
"""How far an edge is redrawn on each side of a flaw that is drawn already, in turn, until it comes out even."""
FLAW_WIDTHS: Annotated[Times, TRIALS] = 6.0
"""And at least so many times as far as the flaw is wide."""
SEAM_REACHES: Annotated[tuple[float, ...], MeasureUnit.MM, TRIALS] = (25.4, 38.1, 50.8, 76.2)
"""How far edges are redrawn on each side of a seam that they run across: the least that bends gently enough."""
SEAM_BEND: Annotated[float, "1/mm", JUDGEMENT] = 1 / 60
"""Such a line adds no sharper bend than this to the edges: a circle of 60 mm."""
SEAM_SHARE: Annotated[Share, JUDGEMENT] = 0.45
"""No more of an edge than this is redrawn at its one end."""
SEAM_SWAY: Annotated[Radians, JUDGEMENT] = 0.035
"""Such a line may turn to and fro by this (2°) more than the edges and the corner between them did."""
MOST_UNEVEN: Annotated[Times, TRIALS] = 3.0
"""Where a notch leaves little room on one side of an opening, the other side's way is at most so many times as long."""
NARROW: Annotated[Mm, JUDGEMENT] = MM_PER_INCH / 4
"""An opening narrower than this is trued as far as one of this width: a short bend shows more."""
SWAY: Annotated[Radians, TRIALS] = 0.25
"""A trued stretch may turn to and fro this much more than asked."""
NO_ROOM: Annotated[Mm, JUDGEMENT] = 0.5
"""A notch nearer than this to a slash leaves no room to true."""
OFF_GRAIN: Annotated[Radians, JUDGEMENT] = math.radians(0.1)
"""A fold or centre that turns from the grain by more than this is told."""
SQUARED: Annotated[Mm, PRACTICE] = 2 * MM_PER_INCH
"""An edge that is to meet a fold, or another edge, square is redrawn within this of it."""
SQUARE: Annotated[Radians, JUDGEMENT] = math.radians(0.1)
"""An edge that meets a fold farther from square than this is redrawn there."""
MOST_SWING: Annotated[Radians, JUDGEMENT] = math.radians(15)
"""A part is turned about a hinge by no more than this: beyond it, several smaller alterations are needed."""
