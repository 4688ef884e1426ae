"""Which way is up on a piece: the grain line says so, else what runs along or across the grain. Page directions."""

from __future__ import annotations

import math

from msgspec import Struct

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.raw_piece import DrawnPiece
from svgfit.pattern.convention import Role


class Grain(Struct, frozen=True):
    """A direction along the grain (its sign means nothing yet), and where it comes from."""

    along: complex
    """A unit vector."""
    source: str
    """The line that says so, in words for people."""
    guessed: bool = False
    """Whether that is another line than a grain line."""


def find_grain(drawn: DrawnPiece) -> Grain | None:
    """Find the grain: the grain line, else fold or centre line, else square to the bicep line; None without any."""
    lines = ((drawn.grain, Role.GRAIN_LINE), (drawn.fold, Role.FOLD_LINE), (drawn.centre, Role.CENTRE_LINE))
    for curves, source in lines:
        along = longest_direction(curves)
        if along is not None:
            return Grain(along, source, source is not Role.GRAIN_LINE)
    across = longest_direction(drawn.bicep)
    return Grain(across * 1j, "square to the bicep line", True) if across is not None else None


def longest_direction(curves: tuple[Curve, ...]) -> complex | None:
    """Find the unit vector along the longest straight-ish stroke (not an arrowhead's); None where nothing is drawn."""
    strokes: list[complex] = []
    for curve in curves:
        parts: list[complex] = (curve.segments[:, 3] - curve.segments[:, 0]).tolist()
        whole = curve.end - curve.start
        # A straight line with nodes on it is one stroke, however short its parts.
        strokes += [whole] if abs(whole) > 0.98 * sum(abs(part) for part in parts) else parts
    longest = max(strokes, key=abs, default=0j)
    return longest / abs(longest) if abs(longest) > 0 else None


def facing(along: complex, towards: complex) -> complex:
    """Turn the direction to its opposite unless it faces ``towards``."""
    return along if (along * towards.conjugate()).real >= 0 else -along


def right_of(up: complex) -> complex:
    """Find the direction to the right on the page when ``up`` is up (y runs down: up −i has right +1)."""
    return up * 1j


def placement(origin: complex, x: complex, up: complex) -> Affine:
    """Make the map from piece frame to page mm: the frame's +x along ``x``, its −y along ``up``."""
    return Affine(x.real, x.imag, -up.real, -up.imag, origin.real, origin.imag)


def off_square(first: complex, second: complex) -> float:
    """Measure how far two directions are from square to each other, in degrees; 90 where one has no length."""
    size = abs(first) * abs(second)
    cosine = abs((first * second.conjugate()).real) / size if size > 0 else 1.0
    return math.degrees(math.asin(min(1.0, cosine)))
