"""Corners, kinks and how smoothly edges run on, as drawn and as sewn."""

from __future__ import annotations

import math
from typing import Annotated

from svgfit.model.length import MM_PER_INCH
from svgfit.rules import JUDGEMENT, PRACTICE, Mm, Radians, Share, Times

AS_SEWN: Annotated[Radians, PRACTICE] = math.radians(2.0)
"""How far from 180° edges may meet across a seam or a fold."""
CORNER: Annotated[Radians, PRACTICE] = 0.35
"""A turn of the outline by more than this (20°) is a corner."""
KINK: Annotated[Radians, JUDGEMENT] = 0.0175
"""A turn of more than this (1°) within an edge is a kink."""
ONE_FLAW: Annotated[Mm, JUDGEMENT] = 15.0
"""Kinks nearer to one another than this are one flaw: a step or jog."""
BEND_REPORTED: Annotated[Radians, JUDGEMENT] = math.radians(15)
"""A changed cap or armhole is reported to bend as at a corner where it turns by more than this …"""
BEND_WITHIN: Annotated[Mm, JUDGEMENT] = MM_PER_INCH / 2
"""… within this length …"""
BEND_TIMES: Annotated[Times, JUDGEMENT] = 2.5
"""… and so many times as far as it did before …"""
BEND_NEAR: Annotated[Mm, JUDGEMENT] = MM_PER_INCH
"""… within this of there."""
SHARPER_UNSEWN: Annotated[Times, JUDGEMENT] = 2.0
"""A changed cap with such a bend can't be sewn where it is so many times as sharp as any that it had."""
STRAIGHT: Annotated[Share, JUDGEMENT] = 0.03
"""An edge that bends less than this share of its chord is like any other straight one."""
