"""Transform lists, parsed to an Affine.

As the attribute (https://www.w3.org/TR/SVG11/coords.html#TransformAttribute) and as the CSS property writes them
(https://www.w3.org/TR/css-transforms-1/#transform-functions, of which SVG 2 makes the attribute a part).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from svgfit.geometry.affine import Affine
from svgfit.svg.units import read_length

IDENTITY = Affine()


class NotFiniteError(ValueError):
    """Raised for numbers too large to be any."""


_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_ARGUMENT = re.compile(rf"({_NUMBER})(%|[A-Za-z]*)")
_FUNCTION = re.compile(r"[\s,]*([A-Za-z][A-Za-z3]*)\s*\(([^()]*)\)[\s,]*")
_NO_NUMBER = r"(?i)\b(?:nan|inf|infinity)\b"
_TURNS = {"": 1.0, "deg": 1.0, "rad": 180 / math.pi, "grad": 0.9, "turn": 360.0}
"""Degrees in a unit (https://www.w3.org/TR/css-values-4/#angles)."""

_AXES = {
    "translate": "xy",
    "translatex": "x",
    "translatey": "y",
    "translatez": "x",
    "translate3d": "xyx",
    "rotate": "-xy",
    "matrix": "----xy",
}
"""Which arguments are lengths, and along what."""

Lengths = Callable[[str, str], float]
"""A length as CSS writes it, and "x" or "y" for what its percentages refer to → user units; raises ValueError."""


def plain_length(text: str, along: str) -> float:
    """Parse a length that stands for itself; raises ValueError for any other."""
    return read_length(text).user_units(math.nan if text.endswith("%") else 0.0, math.nan)


def read_transform(text: str, lengths: Lengths = plain_length) -> Affine:
    """Parse a list of transforms to its motion, as the attribute or as CSS writes it.

    Raises ValueError for what cannot be read.

    >>> read_transform("translate(10 20) scale(2)").apply(1 + 1j)
    (12+22j)
    >>> read_transform("translate(10px, 1in) rotate(0.5turn)").apply(1 + 1j)
    (9+95j)
    """
    if text.strip() in ("", "none"):
        return IDENTITY
    whole = IDENTITY
    at = 0
    while at < len(text):
        found = _FUNCTION.match(text, at)
        if not found:
            raise ValueError(text)
        name = found[1].lower()
        make = _MAKERS.get(name)
        if "n" in found[2].lower() and re.search(_NO_NUMBER, found[2]):
            raise NotFiniteError(text)
        if make is None or _ARGUMENT.sub("", found[2]).strip(" \t\r\n\f,"):
            raise ValueError(text)
        numbers = [
            float(number) if not unit else _with_unit(name, k, number, unit, lengths)
            for k, (number, unit) in enumerate(_ARGUMENT.findall(found[2]))
        ]
        whole = make(text, numbers).then(whole)
        at = found.end()
    return whole


def angle(text: str) -> float:
    """Parse an angle to degrees; raises ValueError for anything else."""
    found = _ARGUMENT.fullmatch(text.strip())
    if not found or found[2].lower() not in _TURNS:
        raise ValueError(text)
    return float(found[1]) * _TURNS[found[2].lower()]


def _with_unit(name: str, k: int, number: str, unit: str, lengths: Lengths) -> float:
    """Parse the k-th argument of a function, to user units, degrees or a plain number."""
    if name.startswith("scale") and unit == "%":
        return float(number) / 100
    axis = _AXES.get(name, "")[k : k + 1]
    if axis in ("x", "y"):
        return lengths(number + unit, axis)
    if name.startswith(("rotate", "skew")):
        return angle(number + unit)
    raise ValueError(number + unit)


def _matrix(text: str, n: list[float]) -> Affine:
    return Affine(*_held(text, n, 6))


def _translate(text: str, n: list[float]) -> Affine:
    x, y = (*_held(text, n, 1, 2), 0.0)[:2]
    return Affine(1.0, 0.0, 0.0, 1.0, x, y)


def _translate_x(text: str, n: list[float]) -> Affine:
    return Affine(1.0, 0.0, 0.0, 1.0, _held(text, n, 1)[0], 0.0)


def _translate_y(text: str, n: list[float]) -> Affine:
    return Affine(1.0, 0.0, 0.0, 1.0, 0.0, _held(text, n, 1)[0])


def _scale(text: str, n: list[float]) -> Affine:
    held = _held(text, n, 1, 2)
    return Affine.scale(held[0], held[-1])


def _scale_x(text: str, n: list[float]) -> Affine:
    return Affine.scale(_held(text, n, 1)[0], 1.0)


def _scale_y(text: str, n: list[float]) -> Affine:
    return Affine.scale(1.0, _held(text, n, 1)[0])


def _rotate(text: str, n: list[float]) -> Affine:
    held = _held(text, n, 1, 3)
    about = complex(held[1], held[2]) if len(held) == 3 else 0j
    quarters, rest = divmod(held[0], 90.0)
    if rest == 0 and math.isfinite(quarters):  # quarter turns are exact
        unit = (1, 1j, -1, -1j)[int(quarters) % 4]
        shift = about - unit * about
        unit = complex(unit)
        return Affine(unit.real, unit.imag, -unit.imag, unit.real, shift.real, shift.imag)
    return Affine.turn(math.radians(held[0]), about)


def _skew_x(text: str, n: list[float]) -> Affine:
    return Affine(1.0, 0.0, math.tan(math.radians(_held(text, n, 1)[0])), 1.0, 0.0, 0.0)


def _skew_y(text: str, n: list[float]) -> Affine:
    return Affine(1.0, math.tan(math.radians(_held(text, n, 1)[0])), 0.0, 1.0, 0.0, 0.0)


def _skew(text: str, n: list[float]) -> Affine:
    across, down = (*_held(text, n, 1, 2), 0.0)[:2]
    return Affine(1.0, math.tan(math.radians(down)), math.tan(math.radians(across)), 1.0, 0.0, 0.0)


# Of what CSS does in space, what stays in the plane of the page (programs write a shift of 0 there).


def _translate_3d(text: str, n: list[float]) -> Affine:
    x, y, _ = _held(text, n, 3)
    return Affine(1.0, 0.0, 0.0, 1.0, x, y)


def _scale_3d(text: str, n: list[float]) -> Affine:
    x, y, _ = _held(text, n, 3)
    return Affine.scale(x, y)


def _across_the_page(text: str, n: list[float]) -> Affine:
    _held(text, n, 1)
    return IDENTITY


def _matrix_3d(text: str, n: list[float]) -> Affine:
    m = _held(text, n, 16)
    if any(m[k] for k in (2, 3, 6, 7, 8, 9, 11)) or m[15] != 1:
        raise ValueError(text)
    return Affine(m[0], m[1], m[4], m[5], m[12], m[13])


def _held(text: str, numbers: list[float], *counts: int) -> list[float]:
    if len(numbers) not in counts:
        raise ValueError(text)
    if not all(map(math.isfinite, numbers)):
        raise NotFiniteError(text)
    return numbers


_MAKERS: dict[str, Callable[[str, list[float]], Affine]] = {
    "matrix": _matrix,
    "translate": _translate,
    "translatex": _translate_x,
    "translatey": _translate_y,
    "translatez": _across_the_page,
    "translate3d": _translate_3d,
    "scale": _scale,
    "scalex": _scale_x,
    "scaley": _scale_y,
    "scalez": _across_the_page,
    "scale3d": _scale_3d,
    "matrix3d": _matrix_3d,
    "rotate": _rotate,
    "rotatez": _rotate,
    "skew": _skew,
    "skewx": _skew_x,
    "skewy": _skew_y,
}
