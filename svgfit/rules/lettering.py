"""Sizes of letters: what reads at arm's length on paper, in drawings, on the handout and on the screen.

Text on paper of at least 8 pt (2.8 mm) is read at arm's length: judgement, no source; looked at on prints.
"""

from __future__ import annotations

from typing import Annotated

from svgfit.model.vocabulary import MeasureUnit
from svgfit.rules import JUDGEMENT, Mm, Points, Share, Times

LARGEST_IN_DRAWING: Annotated[Mm, JUDGEMENT] = 4.8
"""Letters in our layers of a drawing, on a full-size sleeve …"""
SMALLEST_IN_DRAWING: Annotated[Mm, JUDGEMENT] = 3.0
"""… and not smaller than this on a teaching piece or in a crowded table."""
LETTERS_ON_PIECE: Annotated[Times, JUDGEMENT] = 110.0
"""Between those, letters are the largest piece's longest side divided by this."""
FULL_SIZE: Annotated[Mm, JUDGEMENT] = 4.6
"""The letters beside which weights of lines, dashes and arrowheads have their full-size measures."""
TABLE_SHRINKS: Annotated[tuple[float, ...], MeasureUnit.SHARE, JUDGEMENT] = (1.0, 0.85, 0.75)
"""Tables are made smaller by this, in turn, where the page has no room."""
NESTED_NAME: Annotated[Share, JUDGEMENT] = 0.85
"""A size's name along a nest's lines, beside the other letters."""
CHART: Annotated[Mm, JUDGEMENT] = 3.6
"""Letters of the chart that trades cap height against bicep and ease."""
CHART_TITLE: Annotated[Mm, JUDGEMENT] = 4.6
"""Its title."""
STRIP_ON_SCREEN: Annotated[Mm, JUDGEMENT] = 4.0
"""Letters of a walk's strips on the screen: about 16 px, where a mm is 4 px."""
PICTURE_ON_PAPER: Annotated[Mm, JUDGEMENT] = 3.0
"""Letters in a picture of the teaching sheet: 8.5 pt."""
HANDOUT_SMALL: Annotated[Points, JUDGEMENT] = 8.0
"""The smallest letters of a handout."""
HANDOUT_PLAIN: Annotated[Points, JUDGEMENT] = 9.0
"""Its ordinary ones."""
HANDOUT_SQUARE: Annotated[Points, JUDGEMENT] = 10.0
"""What is written in its large test square."""
HANDOUT_SQUARE_NAME: Annotated[Points, JUDGEMENT] = 11.0
"""What a test square is called."""
HANDOUT_NAME: Annotated[Points, JUDGEMENT] = 12.0
"""The name of a page, the number of a picture, the heading of what failed."""
HANDOUT_HEADING: Annotated[Points, JUDGEMENT] = 13.0
"""The heading of its map of pages, and of a step."""
HANDOUT_TITLE: Annotated[Points, JUDGEMENT] = 15.0
"""The title of its first page."""
HANDOUT_LESSON: Annotated[Points, JUDGEMENT] = 9.5
"""The words of its teaching sheet."""
HANDOUT_LESSON_HEADING: Annotated[Points, JUDGEMENT] = 10.5
"""A lower heading there."""
HANDOUT_LESSON_TITLE: Annotated[Points, JUDGEMENT] = 17.0
"""The title there."""
