"""What pieces are called: words in a name that say what the piece is, in lower case.

What is sewn to what follows from kinds and names in svgfit/pattern/seam_inference.py: common practice, no source.
"""

from __future__ import annotations

from typing import Annotated

from svgfit.rules import PRACTICE, Words

LINING = "lining"
CUT_AFTER: Annotated[Words, PRACTICE] = (LINING, "facing", "interfacing", "interlining", "underlining", "mounting")
"""Pieces cut after another one."""
SEWN_TO_HEM: Annotated[Words, PRACTICE] = ("cuff", "cuffs", "band", "wristband")
"""Pieces sewn to a hem."""
WITHOUT_CAP: Annotated[Words, PRACTICE] = ("raglan", "kimono", "dolman", "cut on sleeve")
"""Sleeves that have no cap of their own."""
SHARED_CAP: Annotated[Words, PRACTICE] = ("upper sleeve", "top sleeve", "under sleeve")
"""Sleeves in two parts, whose cap is shared."""
