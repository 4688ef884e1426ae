"""Reading DXF and PDF files: what is a curve, how large pieces are, what of a tiled sheet is no part of the pattern."""

from __future__ import annotations

from typing import Annotated

from svgfit.rules import JUDGEMENT, Mm, MmRange, Radians, Share, Times

SHARPEST_CURVE: Annotated[Radians, JUDGEMENT] = 1.3
"""A turn of more than this at a marked curve point is a corner all the same."""
MOST_AT_NODE: Annotated[Radians, JUDGEMENT] = 0.45
"""A curve that was cut into chords turns by no more than this at a node."""
CHORDS_ALIKE: Annotated[Times, JUDGEMENT] = 4.0
"""Chords of a curve differ by no more than this factor from one to the next."""
LONGEST_CHORD: Annotated[Mm, JUDGEMENT] = 40.0
"""A longer chord is taken for a straight line where nothing marks its ends."""
LARGEST_PIECE: Annotated[MmRange, JUDGEMENT] = (30.0, 6000.0)
"""The longest side of a pattern's largest piece lies between these; else the unit must be said."""
MIRROR_NEAR: Annotated[Mm, JUDGEMENT] = 2.0
"""A mirror line all of whose points are this near to the outline is the edge that lies on the fold."""
ON_MANY_PAGES: Annotated[Share, JUDGEMENT] = 0.3
"""A shape at one place of at least this share of the pages (and of two) is none of the drawing: an arrow to the next
page stands on all but those of one side, and there are two columns at least."""
