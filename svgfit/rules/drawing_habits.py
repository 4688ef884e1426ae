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
MOST_CORNERS: Annotated[Count, JUDGEMENT] = 400
"""An outline with more corners than this is no piece's."""
CUT_CORNER: Annotated[Mm, JUDGEMENT] = 12.0
"""A straight end of an edge, no longer than this, behind a corner may be what cut the edge's own corner off."""
ON_ITSELF: Annotated[Mm, JUDGEMENT] = 0.05
"""A line goes back along itself where it comes as near as this to where it was."""
LONGEST_OUTLINE: Annotated[Mm, JUDGEMENT] = 50_000.0
"""A longer outline is no piece's: it is looked at in steps as many as on one of this length, and that is told."""
SHARED_LEAVES: Annotated[Share, JUDGEMENT] = 0.3
"""A size whose other edges are drawn with a larger one's has lines of its own that are at least so long, as a share of
that one's outline."""
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
FRAME_SHARE: Annotated[Share, JUDGEMENT] = 0.8
"""A rectangle over this part of the page is its frame, not a piece."""
LIKE_LAYERS: Annotated[Share, JUDGEMENT] = 0.8
"""Two drawings are one maker's where this part of all their layers' names is the same, but for numbers."""
NARROWEST_PIECE: Annotated[Mm, JUDGEMENT] = 15.0
"""On a layer whose name says nothing, a closed line is a piece where it is at least so wide and high …"""
SMALLEST_PIECE: Annotated[Mm, JUDGEMENT] = 40.0
"""… and encloses as much as a square of this side."""
LARGEST_SQUARE: Annotated[Mm, JUDGEMENT] = 210.0
"""A square or rectangle for checking the print's size is no larger than this."""
SIDE_STATED: Annotated[Share, JUDGEMENT] = 0.03
"""A size written at a rectangle, or a usual slip of the resolution from it, is its side where they differ by less."""
WIDEST_ALLOWANCE: Annotated[Mm, JUDGEMENT] = 80.0
"""A stitch line lies no farther from its cut line than this."""
SAME_WIDTH: Annotated[Mm, JUDGEMENT] = 0.6
"""Lines run beside one another where their distance varies by no more than this."""
BESIDE_REST: Annotated[Share, JUDGEMENT] = 0.08
"""Of a stitch line no more than this part, at corners, lies at another distance from its cut line than its edges do."""
LARGEST_MARK: Annotated[Mm, JUDGEMENT] = 16.0
"""A mark on an outline that is larger than this is no notch."""
MARK_NEAR: Annotated[Mm, JUDGEMENT] = 1.0
"""A mark stands on an outline where it comes as near as this."""
SHORTEST_GRAIN: Annotated[Mm, JUDGEMENT] = 50.0
"""A straight line shorter than this is neither a grain line nor a fold line."""
FOLD_NEAR: Annotated[Mm, JUDGEMENT] = 15.0
"""A fold line is drawn on its edge, or no farther from it than this."""
LONGEST_TICK: Annotated[Mm, JUDGEMENT] = 10.0
"""A straight stroke no longer than this and square to an outline is a notch …"""
TICK_NEAR: Annotated[Mm, JUDGEMENT] = 20.0
"""… also in the seam allowance, no farther from the outline than this."""
MOSTLY_NOTCHES: Annotated[Share, JUDGEMENT] = 0.8
"""A layer holds notches where this part of what is drawn on it is such marks."""
SMALLEST_SIZE: Annotated[Share, JUDGEMENT] = 0.2
"""A size of a nest that another one completes encloses at least this part of what the other does."""
MOST_OPEN: Annotated[Share, JUDGEMENT] = 0.33
"""Open lines are an outline but for an edge, such as a hem drawn elsewhere, where no more than this part is missing."""
SIDE_BY_SIDE: Annotated[Share, JUDGEMENT] = 0.1
"""On the layer of one piece an outline beside it that encloses at least this part of what it does is told."""
