"""What to do about a verdict that warns: the sheet gives a class no figure without the next thing to do."""

from __future__ import annotations

from svgfit.model.report import Check
from svgfit.model.vocabulary import Status


def todo_of(check: Check) -> str:
    """Write a sentence that begins with "So do this"; "" for a verdict that passed or says itself what to do."""
    text = f"{check.name}: {check.message}"
    if check.status == Status.PASS or "so do this" in text.casefold():
        return ""
    for word, todo in _TODO:
        if word in text:
            return f"So do this: {todo}"
    return ""


_TODO = (
    (
        "to the fold",
        "draw the last inch before the fold anew, square to it, and unfold the paper to see one smooth edge.",
    ),
    (
        "a peak of",
        "pin the seam, lay it flat and draw one smooth curve across it: what stands up comes off, as much on either "
        "side.",
    ),
    (
        "a dip of",
        "pin the seam, lay it flat and draw one smooth curve across it: the hollow is filled, as much on either side.",
    ),
)
