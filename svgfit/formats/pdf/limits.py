"""How much a PDF may hold, and the one exception for what is no readable PDF."""

from __future__ import annotations

MOST_PAGES = 400
"""No pattern is spread over more pages."""
MOST_STREAM = 1 << 26
"""No page's or form's drawing is longer than this many bytes, unpacked."""
MOST_WORK = 3_000_000
"""No file has more operators than this, each form counted where it is drawn first."""
MOST_POINTS = 1_500_000
"""No sheet has more points."""
DEEPEST = 24
"""Forms do not lie in each other deeper than this."""


class Unreadable(Exception):
    """What is wrong with a file, and what to do about it; whoever knows its name makes a refusal of it."""

    def __init__(self, what: str, todo: str) -> None:
        self.what: str = what
        self.todo: str = todo
        super().__init__(what)


DAMAGED = "export it again, or open it in a program that shows PDFs and print it to a new PDF"
TOO_MUCH = "leave out pictures and hatching, or export the pattern alone"
