"""What comes before the first step and after the last: the seam allowance taken off, and added again.

The steps are done on the stitch line: there seams are as long as they are sewn.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from svgfit.model.length import Units
from svgfit.model.piece import Piece
from svgfit.model.run import SizeRun
from svgfit.model.wording import listed
from svgfit.render.pdf.lesson import Lesson, Taught, changed_pieces
from svgfit.render.pdf.step_sentences import length


def _on_the_stitch_line(taught: Sequence[Taught]) -> bool:
    """Tell whether a step changes more of a piece than its seam allowance."""
    return any(one.changes and not one.cuts_only for one in taught)


class AfterSteps(Struct, frozen=True):
    """What is done after the last step."""

    heading: str
    words: str
    parts: tuple[str, ...] = ()
    """One for each piece, where there are several."""
    closing: str = ""


def before_the_steps(taught: Sequence[Taught]) -> str:
    """Say what is done before the first step; "" where only allowances change."""
    if not _on_the_stitch_line(taught):
        return ""
    return (
        "Trace each piece on its stitch line, without seam allowance, with its notches and its grain line. All "
        "pictures and figures of the steps are on the stitch line."
    )


def after_the_steps(lesson: Lesson, run: SizeRun, taught: Sequence[Taught]) -> AfterSteps | None:
    """Say what is done after the last step: every changed piece's allowances, edge by edge."""
    if not _on_the_stitch_line(taught):
        return None
    heading = "After the last step: add the seam allowance again"
    pieces = [piece for _, piece in changed_pieces(run)]
    closing = "Carry every notch on over the allowance, square to the stitch line; then cut out."
    if len(pieces) == 1:
        wide = allowances_of(pieces[0], lesson.units)
        return AfterSteps(heading, f"Draw the new cut line outside the stitch line, square to it: {wide}. {closing}")
    words = "Draw the new cut line outside the stitch line, measured square to it:"
    parts = tuple(f"{piece.title}: {allowances_of(piece, lesson.units)}." for piece in pieces)
    return AfterSteps(heading, words, parts, closing)


def allowances_of(piece: Piece, units: Units) -> str:
    """List the seam allowance of every edge: "5/8 in at the cap and both underarms, 1 in at the hem"."""
    groups: dict[str, list[str]] = {}
    for edge in piece.edges:
        if edge.fold:
            groups.setdefault("none", []).append(edge.name)
        elif edge.allowance is None:
            groups.setdefault("as wide as on your pattern (the drawing does not say)", []).append(edge.name)
        else:
            groups.setdefault(length(edge.allowance, units), []).append(edge.name)
    return "; ".join(f"{wide} at the {listed(names)}" for wide, names in groups.items())
