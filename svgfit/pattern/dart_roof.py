"""A dart's roof: the cut line over its mouth, drawn so that its edges lie on one another when the dart is pressed.

The dart is folded as it is pressed, and the cut line of the side that it is pressed towards runs on over it: unfolded,
that line is mirrored about the leg on that side up to the dart's middle line, and the same again mirrored about the
middle line up to the other leg. To which side: svgfit/rules/darts.py. Piece frame, mm, y down.
"""

from __future__ import annotations

from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import dot
from svgfit.geometry.curve import Curve
from svgfit.geometry.intersect import extend_straight, intersections, trim_end
from svgfit.model.piece import Dart
from svgfit.model.vocabulary import PieceKind
from svgfit.rules.darts import PRESSED_UNSURE, ROOF_LONGEST

_FAR = 300.0
_CENTRE = {PieceKind.FRONT: 1 + 0j, PieceKind.BACK: -1 + 0j}
"""The way to the centre in a piece's frame."""


def pressed_towards_end(dart: Dart, kind: str) -> bool | None:
    """Say whether a dart is pressed towards its mouth's end, not its start; None where that can't be told.

    A level dart (its mouth upright) is pressed down, an upright one towards the centre, where the piece has one.
    """
    mouth = dart.end - dart.start
    across, along = abs(mouth.real), abs(mouth.imag)
    if abs(along - across) < PRESSED_UNSURE * abs(mouth):
        return None
    way = 1j if along > across else _CENTRE.get(PieceKind(kind)) if kind in _CENTRE else None
    return None if way is None else float(dot(mouth, way)) > 0


def with_roof(line: Curve, dart: Dart, towards_end: bool) -> Curve | None:
    """Draw a dart's roof into a cut line that passes over its mouth in the outline's order; None where it can't be.

    It can't where a leg, run on, misses the line, and where the roof would stand out further than ``ROOF_LONGEST``.
    """
    first, second = ((at - dart.apex) / abs(at - dart.apex) for at in (dart.start, dart.end))
    a, b = _crossed(line, dart.start, first), _crossed(line, dart.end, second)
    if a is None or b is None or not 1e-6 < a < b < len(line) - 1e-6:
        return None
    before, after = line.subcurve(0.0, a), line.subcurve(b, float(len(line)))
    middle = Affine.mirror(dart.apex, dart.apex + first + second)
    run, own = (after, second) if towards_end else (before.reverse(), first)
    half = _half(run, dart.apex, own, first + second)
    most = abs(run.start - dart.apex) + ROOF_LONGEST * abs(run.start - (dart.end if towards_end else dart.start))
    if half is None or abs(half.end - dart.apex) > most:
        return None
    other = half.transform(middle)
    roof = [other, half.reverse()] if towards_end else [half, other.reverse()]
    parts = [before, *_step(before.end, roof[0].start), *roof, *_step(roof[1].end, after.start), after]
    return Curve.chain(parts)


def _crossed(line: Curve, start: complex, way: complex) -> float | None:
    """Find where a leg, run on from the mouth, first meets the line."""
    leg = Curve.polyline([start - 1e-6 * way, start + _FAR * way])
    met = intersections(line, leg)
    return min(met, key=lambda at: at[1])[0] if met else None


def _half(run: Curve, apex: complex, leg: complex, middle: complex) -> Curve | None:
    """Mirror a cut line that runs away from a leg about that leg, up to the dart's middle line."""
    image = extend_straight(run.transform(Affine.mirror(apex, apex + leg)), _FAR)
    way = middle / abs(middle)
    met = [t for t, _ in intersections(image, Curve.polyline([apex, apex + 4 * _FAR * way])) if t > 1e-6]
    return trim_end(image, min(met)) if met else None


def _step(start: complex, end: complex) -> list[Curve]:
    """Draw the straight step along a leg where the cut lines of its two sides end at different places."""
    return [Curve.polyline([start, end])] if abs(end - start) > 1e-6 else []
