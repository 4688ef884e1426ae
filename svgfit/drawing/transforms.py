"""The ``transform`` attribute (https://www.w3.org/TR/SVG11/coords.html#TransformAttribute) as an Affine."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from svgfit.geometry.affine import Affine

IDENTITY = Affine()
_NUMBER = re.compile(r"([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)(?:px|deg)?")
_FUNCTION = re.compile(r"[\s,]*([A-Za-z]+)\s*\(([^()]*)\)[\s,]*")


def read_transform(text: str) -> Affine:
    """The motion that a list of transforms means; raises ValueError for what cannot be read.

    >>> read_transform("translate(10 20) scale(2)").apply(1 + 1j)
    (12+22j)
    """
    if text.strip() in ("", "none"):
        return IDENTITY
    whole = IDENTITY
    at = 0
    while at < len(text):
        found = _FUNCTION.match(text, at)
        if not found:
            raise ValueError(text)
        numbers = [float(number) for number in _NUMBER.findall(found[2])]
        make = _MAKERS.get(found[1].lower())
        if make is None or _NUMBER.sub("", found[2]).strip(" \t\r\n\f,"):
            raise ValueError(text)
        whole = make(text, numbers).then(whole)
        at = found.end()
    return whole


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


def _held(text: str, numbers: list[float], *counts: int) -> list[float]:
    if len(numbers) not in counts or not all(map(math.isfinite, numbers)):
        raise ValueError(text)
    return numbers


_MAKERS: dict[str, Callable[[str, list[float]], Affine]] = {
    "matrix": _matrix,
    "translate": _translate,
    "translatex": _translate_x,
    "translatey": _translate_y,
    "scale": _scale,
    "rotate": _rotate,
    "skewx": _skew_x,
    "skewy": _skew_y,
}
