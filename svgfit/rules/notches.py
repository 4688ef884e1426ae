"""Notches: how many on which side, how they are drawn, what is taken for one, and which ones bound the zones of a walk.

A notch is cut at the cut line, square to the stitch line: common practice, no source.
"""

from __future__ import annotations

from typing import Annotated

from msgspec import Struct

from svgfit.rules import JUDGEMENT, PRACTICE, Count, Mm, MmRange, Radians, Share

ON_FRONT: Annotated[Count, PRACTICE] = 1
"""Notches on the front of a cap and of the armhole."""
ON_BACK: Annotated[Count, PRACTICE] = 2
"""Notches on the back of a cap and of the armhole."""
HOW_MANY = ("no", "one", "two", "three")
"""Numbers of notches in words."""
TICK: Annotated[Mm, JUDGEMENT] = 6.0
"""Length of a notch where neither a drawn one nor an allowance says."""
SHORTEST_DRAWN: Annotated[Mm, JUDGEMENT] = 3.0
"""A notch that would be shorter than this is drawn as a tick inwards from the cut line."""
FARTHEST_FROM_SEAM: Annotated[Mm, JUDGEMENT] = 40.0
"""A mark farther than this from the seam is no notch of it."""
ONE_NOTCH: Annotated[Mm, JUDGEMENT] = 1.0
"""Two marks nearer than this along the seam are one notch drawn twice."""
ON_LINE: Annotated[Mm, JUDGEMENT] = 0.1
"""A notch nearer to a line than this stands on it: one tick drawn through a nest marks every size."""
AS_NEAR: Annotated[Mm, JUDGEMENT] = 0.02
"""Lines at a notch's ends may each be its line where they are as near as this to one another's distance."""
SQUAREST: Annotated[Share, JUDGEMENT] = 0.999
"""Of lines that cross where a notch stands its own is the one to which it is square: it reaches farthest from that."""
AGREE: Annotated[Share, JUDGEMENT] = 0.75
"""Notches run inwards from their line, or outwards, where so many of them do: it tells of which of two lines one is."""
SHOULDER_WITHIN: Annotated[Share, PRACTICE] = 0.15
"""Without a landmark the shoulder notch stands within this part of the cap's length from the cap top …"""
SHOULDER_HIGHEST: Annotated[Share, PRACTICE] = 0.25
"""… and in this upper part of the cap's height."""
AT_LANDMARK: Annotated[Mm, JUDGEMENT] = 2.0
"""A notch within this of the landmark of that name is the shoulder notch."""
BESIDE_TOP: Annotated[Share, JUDGEMENT] = 0.12
"""Notches nearer to the cap top than this part of the cap's width are counted neither to the front nor to the back."""
AT_END: Annotated[Mm, JUDGEMENT] = 3.0
"""In a walk, a notch nearer than this to the underarm point or the shoulder marks that one and bounds no zone."""
AT_SHOULDER: Annotated[Mm, JUDGEMENT] = 2.0
"""A notch of the armhole nearer than this to where the shoulder notch meets it stands for the shoulder itself."""
CLEAR_OF_ENDS: Annotated[Mm, JUDGEMENT] = 1.0
"""A notch is not moved nearer than this to the shoulder notch or to an underarm point."""
WIDEST_LEAN: Annotated[Radians, JUDGEMENT] = 0.8
"""A notch's axis is looked for within this of the way square to the seam: 46°."""
ROUND: Annotated[Share, JUDGEMENT] = 0.06
"""A mark that lies this near to its mirror image about every line, as a share of its size, is round: it has no axis."""
LOPSIDED: Annotated[Share, JUDGEMENT] = 0.03
"""A mark farther than this from its own mirror image, as a share of its size, is not symmetric."""
WIDEST_NOTCH: Annotated[Mm, PRACTICE] = 10.0
"""A mark wider than this along the seam may be two drawn as one."""
LARGEST_NOTCH: Annotated[Mm, JUDGEMENT] = 40.0
"""A mark larger than this, other than one stroke, is no notch."""
NOTCH_DOUBT: Annotated[Mm, JUDGEMENT] = 0.5
"""Where a notch that is not symmetric may stand farther off than this, it is told."""
CUT_IN_WIDEST: Annotated[Mm, JUDGEMENT] = 10.0
"""A notch that is cut into the line itself, or left standing, is no wider than this …"""
CUT_IN_DEPTHS: Annotated[MmRange, JUDGEMENT] = (2.0, 13.0)
"""… and so deep, least and most: what is deeper is a dart or a part of the piece."""
CUT_IN_TURN: Annotated[Radians, JUDGEMENT] = 0.35
"""The line turns off into a notch by more than this (20°) …"""
CUT_IN_GOES_ON: Annotated[Radians, JUDGEMENT] = 0.3
"""… and beyond it goes on as before, to this (17°): what lies at a corner is no notch."""
CUT_IN_MOST_NODES: Annotated[Count, JUDGEMENT] = 8
"""A notch cut in has no more corners than this."""
LARGEST_ON_OUTLINE: Annotated[Mm, JUDGEMENT] = 20.0
"""A mark on an outline's own layer that is larger than this is not taken for a notch …"""
NEAR_OUTLINE: Annotated[Mm, JUDGEMENT] = 2.0
"""… nor one farther than this from the outline."""
TOUCHES: Annotated[Mm, JUDGEMENT] = 0.5
"""A notch that comes this near to the stitch line, or to the cut line, stands on it."""
NEARLY_SYMMETRIC: Annotated[Share, JUDGEMENT] = 0.05
"""Of several lines about which a mark is symmetric to this share of its size, the one squarest to the seam counts."""
RIVAL: Annotated[Radians, JUDGEMENT] = 0.26
"""A second such line that leans hardly more, by less than this (15°), may be the mark's own: a square that leans."""
CLOSEST_PAIR: Annotated[Mm, PRACTICE] = 2.5
"""Two notches nearer to one another than this may be both sides of one slit."""


class NotchRule(Struct, frozen=True, kw_only=True):
    """What a plug-in gives for how many notches mark the front and the back of a cap, by which the two are told."""

    front: int
    """On the front of the cap, 1 to 3."""
    back: int
    """On its back, another number."""

    @property
    def name(self) -> str:
        """Say what it is a rule of; two plug-ins can't both give one."""
        return "notches of the cap"

    @property
    def words(self) -> str:
        """Say it for people."""
        return f"{self.name}: {HOW_MANY[self.front]} on the front, {HOW_MANY[self.back]} on the back"
