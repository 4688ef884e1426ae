"""Scale by test squares: their sides in user units against the sizes people draw them in."""

from __future__ import annotations

import math
from collections.abc import Sequence

from svgfit.model.length import MM_PER_INCH
from svgfit.model.refusal import Refusal
from svgfit.rules.scale import FITS, SIDES, SLIPS, UNITS_PER_INCH

ROUNDING = 1e-4
"""Relative difference from such a resolution that is rounding in the square's own numbers, and left out."""


def by_squares(file: str, sides: Sequence[float], nominal: float | None) -> tuple[float, float]:
    """Find mm a user unit by squares, and the size in mm that a square was taken to have.

    ``sides`` in user units, at least one; ``nominal`` in mm where it is known, and then taken at its word: but squares
    of other usual sizes may lie beside it. Where it is not, 50 mm is tried first, then the other usual sizes, at the
    resolutions programs write. Raises Refusal where that leaves nothing or a choice.
    """
    if nominal is not None:
        fitting = [(nominal / side, nominal) for side in sides if _all_fit(sides, nominal / side, (nominal, *SIDES))]
    else:
        fitting: list[tuple[float, float]] = []
        for per_inch in UNITS_PER_INCH:
            sizes = [_nominal(side * MM_PER_INCH / per_inch, SIDES) for side in sides]
            known = [size for size in sizes if size is not None]
            if len(known) == len(sizes):
                first = min(known, key=SIDES.index)
                fitting.append((first / sides[sizes.index(first)], first))
    fitting = one_each(fitting)
    if len(fitting) > 1:
        usual = [each for each in fitting if nominal is not None and is_usual(each[0])]
        fitting = usual or [each for each in fitting if nominal is None and each[1] == SIDES[0]]
    if len(fitting) != 1:
        raise _unclear(file, sides, nominal)
    per, size = fitting[0]
    return nearest_usual(per), size


def nearest_usual(per: float) -> float:
    """Leave out rounding in a square's own numbers: the usual scale next to ``per`` mm a user unit, or itself."""
    return next((MM_PER_INCH / each for each in UNITS_PER_INCH if abs(MM_PER_INCH / per / each - 1) <= ROUNDING), per)


def contradiction(sides: Sequence[float], nominal: float | None, per: float) -> tuple[float, float] | None:
    """Compare a square's side at ``per`` mm a user unit with the size it should have: both in mm, None where equal."""
    sizes = SIDES if nominal is None else (nominal,)
    if not sides or any(_nominal(side * per, sizes) is not None for side in sides):
        return None
    # Which size was meant: one that a usual slip of the resolution explains, else the nearest.
    for slip in SLIPS:
        for size in sizes:
            for side in sides:
                if abs(side * per / size / slip - 1) <= FITS:
                    return side * per, size
    return min(
        ((side * per, size) for side in sides for size in sizes), key=lambda pair: abs(math.log(pair[0] / pair[1]))
    )


def _nominal(mm: float, sizes: Sequence[float]) -> float | None:
    return next((size for size in sizes if abs(mm / size - 1) <= FITS), None)


def _all_fit(sides: Sequence[float], per: float, sizes: Sequence[float]) -> bool:
    return all(_nominal(side * per, sizes) is not None for side in sides)


def is_usual(per: float) -> bool:
    """Tell whether programs write this many mm a user unit."""
    return any(abs(MM_PER_INCH / per / usual - 1) <= FITS for usual in UNITS_PER_INCH)


def one_each(found: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Drop what says the same within rounding."""
    kept: list[tuple[float, float]] = []
    for each in found:
        if all(abs(each[0] / other[0] - 1) > FITS for other in kept):
            kept.append(each)
    return kept


def _unclear(file: str, sides: Sequence[float], nominal: float | None) -> Refusal:
    todo = (
        'write its size into its layer\'s name ("test square 50 mm") or into svgfit.toml'
        ' ("test square size"), or give --scale N (units of the drawing in an inch; common are 96, 72 and 300)'
    )
    if max(sides) > min(sides) * (1 + FITS):
        what = f"holds test squares of different sizes ({min(sides):g} and {max(sides):g} units of the drawing)"
        meant = f"the one that is {nominal:g} mm" if nominal is not None else "one"
        return Refusal(file, what, f"leave only {meant}; or {todo}")
    what = f"the test square is {sides[0]:g} units of the drawing wide, which is no usual size at a usual scale"
    return Refusal(file, what, todo)
