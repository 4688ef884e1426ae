"""Printing: what printers and paper take, and what neighbouring pages share."""

from __future__ import annotations

from typing import Annotated

from svgfit.model.length import MM_PER_INCH
from svgfit.rules import JUDGEMENT, PRACTICE, Mm, MmRange, Share

MARGIN: Annotated[Mm, PRACTICE] = MM_PER_INCH / 2
"""Margin all round, which any printer leaves."""
NARROWEST_MARGIN: Annotated[Mm, PRACTICE] = 5.0
"""A margin under this is warned of: most printers can't print so near to the paper's edge."""
SHEET_WITHIN: Annotated[Mm, JUDGEMENT] = 0.6
"""A page whose sides differ from a paper's by no more than this is that paper."""
OVERLAP: Annotated[Mm, JUDGEMENT] = 12.0
"""What neighbouring pages both show, for the glue."""
PALEST: Annotated[Share, JUDGEMENT] = 0.3
"""Relative luminance on white paper that a line or a letter may have: a grey of about 40 % ink."""
FINEST_LINE: Annotated[Mm, JUDGEMENT] = 0.2
"""Width of the finest line that a laser printer surely prints."""
HIGHLIGHTER: Annotated[Mm, JUDGEMENT] = 2.5
"""A see-through stroke wider than this is a highlighter, and a filled shape thicker than this no line."""
LEGAL: Annotated[MmRange, PRACTICE] = (8.5 * MM_PER_INCH, 14 * MM_PER_INCH)
"""Legal paper, width and height; the other papers are of ISO 216 and ANSI/ASME Y14.1 (svgfit/render/pdf/papers.py)."""
