"""Sleeve caps: what is one, where it is slashed, turned, redrawn and raised, what is reported of its shape."""

from __future__ import annotations

import math
from typing import Annotated

from svgfit.model.length import MM_PER_INCH
from svgfit.rules import JUDGEMENT, PRACTICE, TRIALS, Mm, MmRange, Radians, Share, ShareRange, Source, Times, Words

FLATTEST: Annotated[Share, PRACTICE] = 0.08
"""A cap rises at least this much of its width over the bicep line."""
HIGHEST_USUAL: Annotated[Mm, JUDGEMENT] = 9 * MM_PER_INCH
"""A cap higher than this is warned of: higher than most arms take."""
SLASH_OVER_NOTCH: Annotated[Mm, TRIALS] = MM_PER_INCH * 9 / 8
"""Raising slashes the cap at least this much over its higher notch; more where a large movement needs room."""
SLASH_BETWEEN: Annotated[Mm, JUDGEMENT] = 10.0
"""Between two notches, or a notch and the cap top, nearer than this in height, no cap is slashed while there is room
elsewhere."""
SLASH_ALONG_BICEP: Annotated[Share, PRACTICE] = 0.8
"""A corner is slashed free here, along the half bicep from the underarm point (0) to the centre line (1)."""
FURTHEST_TURN: Annotated[Radians, PRACTICE] = math.radians(4)
"""Ease is looked for by turning the cap's corners up to this."""
TURN_GAINS: Annotated[MmRange, Source("−2 to +8 mm were measured on the demo's smock; set wider by judgement")] = (
    -4.0,
    10.0,
)
"""Beyond these changes of the cap's length, advice does not try turning its corners."""
REDRAWN_SIMPLY: Annotated[Mm, PRACTICE] = MM_PER_INCH / 4
"""So far outwards a cap's edge is simply redrawn."""
REDRAWN_AT_MOST: Annotated[Mm, PRACTICE] = 11.1125
"""So far outwards (7/16 in) an ease is reached by redrawing, with a warning; beyond it the choices are shown."""
REDRAWN_FURTHER: Annotated[Words, JUDGEMENT] = ("1/2 in", "5/8 in", "3/4 in", "1 in")
"""How far advice redraws a cap outwards, in turn, where the ordinary limit does not reach the ease."""
REDRAWN_INWARDS: Annotated[Mm, JUDGEMENT] = MM_PER_INCH * 3 / 16
"""So far inwards, or narrower at half its height by twice as much, a cap's edge is redrawn without a word."""
REDRAWN_INWARDS_AT_MOST: Annotated[Mm, JUDGEMENT] = MM_PER_INCH * 3 / 8
"""So far inwards an ease is reached by redrawing, with a warning; beyond it the choices are shown."""
REDRAWN_STEEPEST: Annotated[tuple[float, float], "mm a mm", JUDGEMENT] = (2.5, 1.5)
"""A cap's edge is redrawn, between its notches and as a whole, while no point moves more than so many mm by each mm of
length."""
REDRAWN_RATIOS: Annotated[ShareRange, JUDGEMENT] = (0.8, 1.4)
"""A redrawn half so much shorter or longer than before is no cap's; it isn't looked for."""
TIGHTER_REPORTED: Annotated[Times, JUDGEMENT] = 3.0
"""A bend this many times as tight as the edge's sharpest was is worth a warning."""
MUSHROOM: Annotated[Share, JUDGEMENT] = 0.5
"""An edge leaning outwards by more than this (sine of the angle to the grain: 30°) is a mushroom's, not a cap's."""
HOLLOW_REPORTED: Annotated[Radians, JUDGEMENT] = math.radians(3)
"""A bend back by less than this is no hollow, but a drawing's noise."""
LEAN_REPORTED: Annotated[Share, JUDGEMENT] = 0.02
"""A lean outwards of less than this (sine, about 1°) is none."""
BICEP_LEFT_WIDE: Annotated[Mm, JUDGEMENT] = MM_PER_INCH / 2
"""A sleeve wider at the bicep than wanted by no more than this is best left."""
BICEP_PLAUSIBLE: Annotated[ShareRange, JUDGEMENT] = (0.75, 2.0)
"""A bicep width beyond these parts of the arm girth is more likely a slip."""
CORNER_CHANGE_REPORTED: Annotated[float, "degrees", JUDGEMENT] = 1.0
"""An underarm corner that changes by more than this is reported."""
HEM_TURN_REPORTED: Annotated[Radians, PRACTICE] = math.radians(2)
"""A hem whose two corners turn together by more than this asks to be trued."""
HEIGHT_OFF_BY_FAR: Annotated[Mm, JUDGEMENT] = MM_PER_INCH
"""A cap that much higher or lower than the arm asks for is no way to more or less ease."""
UNLEVEL_REPORTED: Annotated[Mm, JUDGEMENT] = 0.05
"""Underarm points that differ in level by more than this are reported as not level."""
