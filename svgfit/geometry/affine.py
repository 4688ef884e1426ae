"""An immutable plane motion: turn, mirror, scale, shift.

Points are complex numbers, x + iy, y running down as in SVG. The six numbers are SVG's ``matrix(a b c d e f)``
(https://www.w3.org/TR/SVG11/coords.html#TransformMatrixDefined): x' = a·x + c·y + e, y' = b·x + d·y + f.
"""

from __future__ import annotations

import cmath
import math
from typing import TypeVar

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

Points = TypeVar("Points", complex, NDArray[np.complex128])
"""One point or an array of them; what is given comes back as the same."""


class Affine(Struct, frozen=True):
    """``matrix(a b c d e f)`` as a value; every verb returns a new one.

    >>> Affine.shift(10 + 0j).then(Affine.scale(2)).apply(1 + 1j)
    (22+2j)
    """

    a: float = 1.0
    """How much of x goes into x."""
    b: float = 0.0
    """How much of x goes into y."""
    c: float = 0.0
    """How much of y goes into x."""
    d: float = 1.0
    """How much of y goes into y."""
    e: float = 0.0
    """What is added to x, mm."""
    f: float = 0.0
    """What is added to y, mm."""

    @classmethod
    def shift(cls, by: complex) -> Affine:
        """Move by the vector ``by``."""
        return cls(1.0, 0.0, 0.0, 1.0, by.real, by.imag)

    @classmethod
    def turn(cls, angle: float, about: complex = 0j) -> Affine:
        """Turn by ``angle`` radians about a point: from +x towards +y, so clockwise as seen on a page.

        >>> turned = Affine.turn(math.pi / 2).apply(1 + 0j)
        >>> abs(turned - 1j) < 1e-12
        True
        """
        unit = cmath.exp(1j * angle)
        rest = about - unit * about
        return cls(unit.real, unit.imag, -unit.imag, unit.real, rest.real, rest.imag)

    @classmethod
    def scale(cls, x: float, y: float | None = None) -> Affine:
        """Scale about the origin, by ``x`` across and ``y`` (the same if not given) down."""
        return cls(x, 0.0, 0.0, x if y is None else y, 0.0, 0.0)

    @classmethod
    def mirror(cls, start: complex, end: complex) -> Affine:
        """Mirror in the line through two points; raises ValueError when they are one.

        >>> Affine.mirror(0j, 1j).apply(3 + 2j)
        (-3+2j)
        """
        if start == end:
            raise ValueError("a mirror line needs two different points")
        unit = (end - start) / abs(end - start)
        double = unit * unit
        turned = start - double * start.conjugate()
        return cls(double.real, double.imag, double.imag, -double.real, turned.real, turned.imag)

    def then(self, other: Affine) -> Affine:
        """Compose: first this motion, then ``other``."""
        return Affine(
            other.a * self.a + other.c * self.b,
            other.b * self.a + other.d * self.b,
            other.a * self.c + other.c * self.d,
            other.b * self.c + other.d * self.d,
            other.a * self.e + other.c * self.f + other.e,
            other.b * self.e + other.d * self.f + other.f,
        )

    def apply(self, points: Points) -> Points:
        """Move points (a complex number, or an array of any shape)."""
        straight = complex(self.a + self.d, self.b - self.c) / 2
        crossed = complex(self.a - self.d, self.b + self.c) / 2
        moved = straight * points + complex(self.e, self.f)
        return moved + crossed * points.conjugate() if crossed else moved

    def apply_vector(self, vector: complex) -> complex:
        """Move a direction: without the shift."""
        return complex(self.a * vector.real + self.c * vector.imag, self.b * vector.real + self.d * vector.imag)

    @property
    def determinant(self) -> float:
        """Area factor; negative when the motion mirrors."""
        return self.a * self.d - self.b * self.c

    @property
    def mirrors(self) -> bool:
        """Whether left and right change places."""
        return self.determinant < 0

    @property
    def size(self) -> float:
        """The scale of a uniform motion: the root of the area factor."""
        return math.sqrt(abs(self.determinant))

    def is_uniform(self, accuracy: float = 1e-9) -> bool:
        """Return whether every length is scaled alike, to a relative ``accuracy``."""
        first, second = complex(self.a, self.b), complex(self.c, self.d)
        largest = max(abs(first), abs(second))
        skew = abs(first.real * second.real + first.imag * second.imag)
        return largest > 0 and abs(abs(first) - abs(second)) <= accuracy * largest and skew <= accuracy * largest**2

    def inverse(self) -> Affine:
        """Return the motion that undoes this one; raises ValueError when there is none.

        >>> Affine.shift(3 + 4j).inverse().apply(3 + 4j)
        0j
        """
        det = self.determinant
        if det == 0 or not math.isfinite(det):
            raise ValueError("this transform flattens the plane and cannot be undone")
        return Affine(
            self.d / det,
            -self.b / det,
            -self.c / det,
            self.a / det,
            (self.c * self.f - self.d * self.e) / det,
            (self.b * self.e - self.a * self.f) / det,
        )
