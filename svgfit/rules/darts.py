"""Darts: what is one, when its legs are equal, and how the cut line runs over it.

- A dart is pressed down where it is level, towards the centre where it is upright (common practice, no source).
- The cut line over its mouth is a roof: what it is when the dart is folded so and cut along the seam's cut line (common
  practice, no source). svgfit/pattern/dart_roof.py draws it.
"""

from __future__ import annotations

from typing import Annotated

from svgfit.model.length import MM_PER_INCH
from svgfit.rules import JUDGEMENT, MEMORY, PRACTICE, Count, Mm, Radians, Share, Times

SHORTEST: Annotated[Mm, PRACTICE] = 20.0
"""A V with shorter legs is a notch, not a dart."""
WIDEST_ANGLE: Annotated[Radians, PRACTICE] = 1.05
"""The widest angle at a dart's apex: 60°."""
UNEQUAL_REPORTED: Annotated[Mm, JUDGEMENT] = MM_PER_INCH / 16
"""Legs that differ by more than this are reported: they don't meet when the dart is sewn."""
UNLIKE: Annotated[Share, JUDGEMENT] = 0.15
"""Legs that differ by more than this share of the longer are no dart's."""
NARROWEST: Annotated[Mm, JUDGEMENT] = 0.2
"""A mouth narrower than this is a slit."""
MOST_BENT: Annotated[Share, JUDGEMENT] = 0.12
"""How far a leg may bend off its chord, as a share of it."""
CLOSED_BEND: Annotated[Radians, JUDGEMENT] = 0.6
"""With the dart closed its edge runs on, turning by less than this; a V at a corner is no dart."""
LEGS_MEET: Annotated[Mm, JUDGEMENT] = 0.5
"""Two drawn lines whose ends lie nearer than this meet."""
ON_EDGE: Annotated[Mm, JUDGEMENT] = 1.0
"""A dart drawn inside the piece begins and ends within this of the edge."""
MOST_NODES: Annotated[Count, JUDGEMENT] = 50
"""A detail with more nodes than this is no dart."""
PRESSED_UNSURE: Annotated[Share, JUDGEMENT] = 0.15
"""Where a mouth is as wide as it rises, within this share of it, to which side it is pressed can't be told."""
ROOF_LONGEST: Annotated[Times, JUDGEMENT] = 3.0
"""A roof that would stand out further beyond the cut line than so many allowances is left to be drawn by hand."""
POINTS_PAST: Annotated[Mm, JUDGEMENT] = MM_PER_INCH
"""A dart whose middle line passes a point by more than this does not point at it."""
TIP_SHORT: Annotated[Mm, PRACTICE] = 0.75 * MM_PER_INCH
"""A dart ends so far short of the bust point, between 1/2 and 1 in."""
BUST_HINGE: Annotated[Share, PRACTICE] = 1 / 3
"""For a fuller bust the hinge lies so far up the armhole, as a share of its length from the underarm."""
NECK_DART: Annotated[Mm, MEMORY] = 3 * MM_PER_INCH
"""How long a dart at the neckline or shoulder of a back is, where nobody says."""
