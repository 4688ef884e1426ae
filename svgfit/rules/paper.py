"""Printing: what printers and paper take, and what neighbouring pages share."""

from __future__ import annotations

from typing import Annotated

from svgfit.model.length import MM_PER_INCH
from svgfit.rules import JUDGEMENT, PRACTICE, Mm, MmRange

MARGIN: Annotated[Mm, PRACTICE] = MM_PER_INCH / 2
"""Margin all round, which any printer leaves."""
NARROWEST_MARGIN: Annotated[Mm, PRACTICE] = 5.0
"""A margin under this is warned of: most printers can't print so near to the paper's edge."""
OVERLAP: Annotated[Mm, JUDGEMENT] = 12.0
"""What neighbouring pages both show, for the glue."""
LEGAL: Annotated[MmRange, PRACTICE] = (8.5 * MM_PER_INCH, 14 * MM_PER_INCH)
"""Legal paper, width and height; the other papers are of ISO 216 and ANSI/ASME Y14.1 (svgfit/render/pdf/papers.py)."""
