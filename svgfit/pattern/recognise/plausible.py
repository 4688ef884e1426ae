"""Whether what was taken for a kind of piece can be one: proportions and directions of its edges, and who says it is.

The limits are rules (svgfit/rules/plausible.py); which of them hold for a kind is its recogniser's.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from svgfit.geometry.curve import Curve
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import Refusal
from svgfit.model.toml_file import spell


def refuse_flaw(drawn: DrawnPiece, kind: str, flaw: str | None, *, marked: bool) -> str | None:
    """Refuse a piece that only its name or shape calls that kind, because of a flaw; return words where a person does.

    A person does who names the kind in the convention, or marks all corners (``marked``): those words say that the
    piece is taken for one against its proportions.
    """
    if flaw is None:
        return None
    if drawn.kind is not None or marked:
        return f"kind: {kind}, as {'its landmarks say' if marked else 'svgfit.toml says'}, though {flaw}"
    key = spell(("pieces", drawn.name, "kind"))
    raise Refusal(drawn.where, flaw, f'if it is one, mark its corners on a landmarks layer, or write {key} = "{kind}"')


def share_flaw(name: str, share: float, usual: tuple[float, float], of: str) -> Iterator[str]:
    """Yield what speaks against a proportion outside of what is usual; nothing where it is within.

    ``name``: of what, ``of``: in what it is measured, both in words for people.
    """
    if not usual[0] <= share <= usual[1]:
        yield f"its {name} would be {share:.2g} times {of}; {usual[0]:g} to {usual[1]:g} is plausible"


def steepness(line: Curve, up: complex) -> float:
    """Measure a chord's angle to the crosswise grain, 0 to a right angle (radians). ``up``: a unit vector."""
    chord = (line.end - line.start) / up
    return math.atan2(abs(chord.real), abs(chord.imag))


def along(way: complex, up: complex) -> float:
    """Measure how far a way goes up, in its own unit; less than 0 where it goes down. ``up``: a unit vector."""
    return (way * up.conjugate()).real


def across(point: complex, centre: complex, up: complex) -> float:
    """Measure how far a point lies to the right of another, seen with ``up`` (a unit vector) up."""
    return ((point - centre) * (up * 1j).conjugate()).real
