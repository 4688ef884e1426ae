"""What a bodice or a sleeve can look like: a piece beyond these proportions is taken for something else, and told.

Proportions, not lengths, so that drawings at half or quarter scale are known too. No published table gives them.
"""

from __future__ import annotations

import math
from typing import Annotated

from svgfit.rules import JUDGEMENT, PRACTICE, Count, Mm, Radians, Share, ShareRange, Source, Times, Words

DRAWN = Source("set wide about what the demo and the garments of the tests have, by judgement; no source")

NECKLINE_TO_ARMHOLE: Annotated[ShareRange, DRAWN] = (0.1, 1.9)
"""Half a neckline, in armholes of the same piece: from a narrow back's to a front's that is open to the waist."""
SHOULDER_TO_ARMHOLE: Annotated[ShareRange, DRAWN] = (0.05, 1.6)
"""A shoulder, in armholes: from a strap to a seam dropped far down the arm."""
STEEPEST_SHOULDER: Annotated[Radians, PRACTICE] = math.radians(65)
"""A shoulder runs more across the grain than along it: no steeper than this."""
FLATTEST_ARMHOLE: Annotated[Radians, PRACTICE] = math.radians(30)
"""An armhole climbs from the underarm point to the shoulder at least at this angle to the crosswise grain."""
FLATTEST_SEAM: Annotated[Radians, PRACTICE] = math.radians(30)
"""A side seam, and an underarm seam, runs at least at this angle to the crosswise grain …"""
STEEPEST_HEM: Annotated[Radians, PRACTICE] = math.radians(60)
"""… and a hem, from end to end, at no more than this."""
CAP_TO_BICEP: Annotated[ShareRange, DRAWN] = (1.0, 3.0)
"""A cap's length, in widths of the sleeve at the bicep."""
CAP_RISE: Annotated[ShareRange, DRAWN] = (0.05, 1.3)
"""How high a cap rises over the bicep line, in widths there."""
UNDERARM_SEAMS: Annotated[ShareRange, DRAWN] = (0.6, 1.7)
"""A sleeve's one underarm seam, in lengths of the other: they are sewn to each other."""
HEM_TO_BICEP: Annotated[ShareRange, DRAWN] = (0.1, 4.0)
"""A sleeve's hem, in widths at the bicep: from a tight wrist to a bell."""
NO_BODICE: Annotated[Words, PRACTICE] = (
    "trouser",
    "trousers",
    "pants",
    "shorts",
    "skirt",
    "leg",
    "leggings",
    "culottes",
)
"""A front or back with such a word in its name is none of a bodice."""
SAME_MIRRORED: Annotated[Mm, JUDGEMENT] = 2.0
"""An outline that lies within this of its own mirror image, or …"""
SAME_MIRRORED_SHARE: Annotated[Share, JUDGEMENT] = 0.003
"""… within this share of its size, is a whole piece, of two halves."""
WIDEST_ON_AXIS: Annotated[Mm, JUDGEMENT] = 50.0
"""A V in the middle of a whole piece that is wider than this is its neckline, not a dart."""
FEWEST_SIZES: Annotated[Count, JUDGEMENT] = 5
"""In a nest of fewer sizes, an edge that grows otherwise than the rest is no reason to doubt."""
UNEVEN: Annotated[Mm, JUDGEMENT] = 4.0
"""An edge drawn from a cut line that is off by more than this from what the sizes beside it say is doubted."""
AT_END: Annotated[Times, JUDGEMENT] = 3.0
"""The smallest and the largest size are doubted only where they are off by so many times as much."""
