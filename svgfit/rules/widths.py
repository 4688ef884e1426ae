"""Widths: seams let out or taken in, the underarm lifted, a gusset set in, a sleeve bent at its elbow."""

from __future__ import annotations

import math
from typing import Annotated

from svgfit.rules import JUDGEMENT, PRACTICE, Mm, Radians, Share

RUN_OUT_SHARE: Annotated[Share, JUDGEMENT] = 0.4
"""Of the room up to its next notch, dart or corner: how far the end of an edge may be moved beside a moved seam; with
more the edge would be pressed together by more than half (a smooth step is steepest at 1.5 times its mean)."""
LIFT_OUT_SHARE: Annotated[Share, PRACTICE] = 0.5
"""Of how far the underarm points are lifted: how far they go out where it is not said."""
GUSSET_ROOM: Annotated[Mm, JUDGEMENT] = 10.0
"""So much of a seam is sewn at least beyond a gusset."""
ELBOW_BEND: Annotated[Radians, JUDGEMENT] = math.radians(15)
"""By more than this a sleeve is not bent at its elbow by one dart."""
