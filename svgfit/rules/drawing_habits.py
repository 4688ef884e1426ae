"""How people draw patterns: gaps, dashes, strokes, doubles and labels, and what is a slip of the hand."""

from __future__ import annotations

from typing import Annotated

from svgfit.rules import JUDGEMENT, PRACTICE, Count, Mm, MmRange, Radians, Share

ENDS_MEET: Annotated[Mm, JUDGEMENT] = 0.5
"""Ends of lines nearer than this meet. A convention's ``join within`` sets another figure."""
DRAWN_TWICE: Annotated[Mm, JUDGEMENT] = 0.05
"""Two lines nearer than this all along are one drawn twice."""
WIDEST_STROKE: Annotated[Mm, PRACTICE] = 1.5
"""The two sides of an expanded stroke are no further apart than this."""
DASH_GAPS: Annotated[MmRange, PRACTICE] = (0.3, 15.0)
"""Gaps of dashed lines, least and most."""
FEWEST_DASHES: Annotated[Count, JUDGEMENT] = 6
"""Fewer strokes than this are no dashed line, but an outline in parts."""
DOT: Annotated[Mm, JUDGEMENT] = 0.3
"""A stroke shorter than this is a dot: its own direction means nothing."""
CORNER_IN_GAP: Annotated[Radians, JUDGEMENT] = 0.3
"""Where the line turns by more than this over a gap than its strokes bend, a corner fell into the gap."""
SPECK: Annotated[Mm, JUDGEMENT] = 0.1
"""A segment no larger than this between far longer ones is a slip of the hand, not a part of the line."""
LONGEST_JOG: Annotated[Mm, JUDGEMENT] = 10.0
"""A step in an edge, as slashing by hand leaves it, is no longer than this; two corners farther apart are corners."""
JOG_TURN: Annotated[Radians, JUDGEMENT] = 0.45
"""Before a step and after it an edge runs the same way, to this (26°): its two corners cancel one another."""
FARTHEST_LABEL: Annotated[Mm, JUDGEMENT] = 60.0
"""A landmark farther than this from the outline names no edge of it."""
BICEP_LINE_ENDS: Annotated[Mm, JUDGEMENT] = 40.0
"""A drawn bicep line whose ends lie this near to corners of the outline shows the underarm points."""
NODES_APART: Annotated[Mm, JUDGEMENT] = 8.0
"""Nodes of a tracing stand closer than this; a line whose nodes stand farther apart is one of chords."""
ROUGH: Annotated[Radians, JUDGEMENT] = 0.08
"""A line whose turns from node to node spread by more than this (5°) is rough: its corners are looked for over …"""
ROUGH_REACH: Annotated[Mm, JUDGEMENT] = 6.0
"""… at least so many mm on each side, more the farther its nodes stand off a smooth line."""
FILLET_TURN: Annotated[Radians, JUDGEMENT] = 0.8
"""A line that turns by more than this (45°) …"""
FILLET_WITHIN: Annotated[Mm, JUDGEMENT] = 6.0
"""… within so many mm has a corner there, though it is rounded off."""
TURN_OF_A_ROW: Annotated[Radians, JUDGEMENT] = 0.7
"""Chords that stand for a curve turn by less than this (40°) from one to the next …"""
CHORDS_AT_MOST: Annotated[Mm, JUDGEMENT] = 60.0
"""… and are no longer than this."""
LENGTH_TOLD: Annotated[Mm, JUDGEMENT] = 0.3
"""An edge that its jitter makes longer, or its chords shorter, by more than this than the curve meant is told of."""
WIDEST_GAP: Annotated[Mm, JUDGEMENT] = 10.0
"""Lines on one layer whose ends are nearer than this to one another are lines of one piece, though a gap is left."""
MOST_BRIDGED: Annotated[Share, JUDGEMENT] = 0.15
"""No more than this part of an outline is gaps."""
SHORTEST_OUTLINE: Annotated[Mm, JUDGEMENT] = 200.0
"""Open lines with gaps that are shorter than this together are marks, not a piece."""
LIKE_SIZE: Annotated[Share, JUDGEMENT] = 0.6
"""An outline that encloses at least this part of what another does is of like size: which is wanted must be told …"""
LISTED_SIZE: Annotated[Share, JUDGEMENT] = 0.2
"""… and then those from this part on are listed with them."""
KEY_SHORTEST: Annotated[Mm, JUDGEMENT] = 4.0
"""In a key to the sizes, a sample of a line is no shorter than this …"""
KEY_LONGEST: Annotated[Mm, JUDGEMENT] = 120.0
"""… and no longer than this …"""
KEY_NEAR: Annotated[Mm, JUDGEMENT] = 15.0
"""… and no farther than this (and twice the letters' size) from the name of its size."""
