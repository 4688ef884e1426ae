"""Armholes and shoulders: where the seam sits, what is out of the ordinary, how far up an armhole is redrawn."""

from __future__ import annotations

from typing import Annotated

from svgfit.model.length import MM_PER_INCH
from svgfit.model.vocabulary import MeasureUnit
from svgfit.rules import JUDGEMENT, PRACTICE, TRIALS, Mm, Share

SHOULDER_CLOSE_ENOUGH: Annotated[Mm, PRACTICE] = MM_PER_INCH / 8
"""A shoulder that differs from the body's by less than this needs no work."""
FAR_INSIDE: Annotated[Mm, JUDGEMENT] = MM_PER_INCH / 2
"""A seam kept further inside the shoulder tip than this is remarked on."""
MOVED_BY_MUCH: Annotated[Mm, JUDGEMENT] = 1.5 * MM_PER_INCH
"""An armhole lowered, or a cap's edge moved, by more than this is out of the ordinary."""
LOWERED_REPORTED: Annotated[Mm, JUDGEMENT] = MM_PER_INCH / 2
"""An armhole lowered by more than this is spoken of at the cap height."""
DEPTH_CLOSE_ENOUGH: Annotated[Mm, PRACTICE] = MM_PER_INCH / 8
"""An armhole's depth that is off by no more than this needs no work."""
LOWERED_SIMPLY: Annotated[Mm, JUDGEMENT] = MM_PER_INCH * 3 / 8
"""By so much an armhole is simply lowered at the underarm; lacking more, it is made longer where it is too short."""
LEFT_DEEP: Annotated[Mm, JUDGEMENT] = MM_PER_INCH / 2
"""An armhole no deeper than wanted by more than this is best left: the sleeve fits it."""
DEPTHS_ALIKE: Annotated[Mm, JUDGEMENT] = MM_PER_INCH / 4
"""Front and back that lack depth alike to this lack length; apart by more, one of them is rounder than the pattern."""
BACK_WIDTH_CLOSE_ENOUGH: Annotated[Mm, PRACTICE] = MM_PER_INCH / 4
"""A back, both halves, that is off by no more than this needs no work: an eighth on each half."""
WIDE_LEFT: Annotated[Mm, JUDGEMENT] = MM_PER_INCH
"""A back wider than wanted by no more than this is best left."""
BUST_CLOSE_ENOUGH: Annotated[Mm, PRACTICE] = MM_PER_INCH / 2
"""A girth at the underarm that is off by no more than this needs no work: an eighth at each of four seams."""
FULL_BUST: Annotated[Mm, PRACTICE] = 3 * MM_PER_INCH
"""From so much more than the high bust on, a bust is full: patterns are drawn for about 2 in."""
BUST_AT_MOST: Annotated[Mm, JUDGEMENT] = 3 * MM_PER_INCH
"""A bust is given no more room than this, both halves: beyond it a larger size is begun with."""
PLEATED: Annotated[Mm, JUDGEMENT] = MM_PER_INCH / 4
"""A back longer than its yoke's seam by more than this is pleated or gathered into it: its width is not the body's."""
LEAST_REDRAWN: Annotated[Share, TRIALS] = 0.25
"""A notch nearer to the underarm than this share of the armhole leaves too short a curve to redraw."""
HIGHEST_REDRAWN: Annotated[Share, JUDGEMENT] = 0.65
"""The redrawn stretch reaches no further up than this share of the armhole, unless the notch stands higher."""
REDRAWN_WITHOUT_NOTCH: Annotated[Share, JUDGEMENT] = 0.35
"""Without a (fit) notch it reaches at least this share up."""
STARTS_TRIED: Annotated[tuple[float, ...], MeasureUnit.SHARE, TRIALS] = (0.5, 0.65, 0.8)
"""Where it is tried to begin, as shares of the armhole, where that won't do."""
HARDEST_PULL: Annotated[float, "logarithm of the weight", TRIALS] = 1.3
"""No more is pulled than by this: further, the curve would run as a corner."""
SHORTEST: Annotated[Mm, JUDGEMENT] = 0.1
"""An edge of an armhole shorter than this is none."""
WIDTH_CUT: Annotated[Share, JUDGEMENT] = 1 / 3
"""How far down the side seam the part of a back (or chest) ends that is slid out to make it broader."""
