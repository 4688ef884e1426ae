"""Lengths as people write and read them. In the program a length is a float in millimetres.

1 in = 25.4 mm exactly (CSS Values and Units 3, section 6.2: https://www.w3.org/TR/css-values-3/#absolute-lengths).
"""

from __future__ import annotations

import math
import re

from msgspec import Struct

from svgfit.model.vocabulary import Unit

MM_PER_INCH = 25.4
_INCH = (254, 10)
_UNITS = {
    Unit.MM: (1, 1),
    Unit.CM: (10, 1),
    "m": (1000, 1),
    Unit.IN: _INCH,
    "inch": _INCH,
    "inches": _INCH,
    '"': _INCH,
    "″": _INCH,
    "”": _INCH,
}
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_LENGTH = re.compile(
    r"""(?P<sign>[+-]?)\s*
        (?: (?P<whole>\d{1,9})[ \-]+(?P<over>\d{1,6})/(?P<under>\d{1,6})
          | (?P<only>\d{1,9})/(?P<part>\d{1,6})
          | (?P<number>\d{1,12}(?:[.,]\d{0,30})?|[.,]\d{1,30})(?:e(?P<power>[+-]?\d{1,2}))? )
        \s*(?P<unit>mm|cm|m|inches|inch|in|"|″|”)""",
    re.VERBOSE,
)


def parse_length(text: str) -> float:
    """Parse a length to millimetres: ``1 1/8 in``, ``3/8"``, ``12.5 mm``, ``2.5cm``, ``-1/4 in``, ``1e1 mm``.

    A number may be written as programs write theirs: with as many decimals as they have, or with an exponent.
    Raises ValueError, with what is wrong, for anything else; a number without a unit too.

    >>> parse_length('1 1/8 in'), parse_length('3/8"'), parse_length('2.5cm')
    (28.575, 9.525, 25.0)
    """
    plain = text.strip().replace("−", "-").casefold()
    for sign, spelt in _VULGAR.items() if not plain.isascii() else ():
        plain = re.sub(rf"(\d)\s*{sign}", rf"\1 {spelt}", plain).replace(sign, spelt)
    found = _LENGTH.fullmatch(plain)
    if not found:
        if re.fullmatch(r"[+-]?[\d\s./,]+", plain):
            raise ValueError(f"{text!r} has no unit: write for example {text.strip()} mm or {text.strip()} in")
        raise ValueError(f"{text!r} is not a length: write for example 12.5 mm, 2.5 cm, 3/8 in or 1 1/8 in")
    # Exact until the one division at the end; the fractions module would do it too, but takes 2 ms to import.
    if found["number"]:
        whole, _, decimals = found["number"].replace(",", ".").partition(".")
        power = int(found["power"] or 0)
        over, under = int(whole + decimals) * 10 ** max(power, 0), 10 ** (len(decimals) + max(-power, 0))
    else:
        under = int(found["under"] or found["part"])
        over = int(found["over"] or found["only"]) + int(found["whole"] or 0) * under
        if under == 0:
            raise ValueError(f"{text!r} divides by nothing: write the fraction with a number below the stroke")
    unit = _UNITS[found["unit"]]
    return (-over if found["sign"] == "-" else over) * unit[0] / (under * unit[1])


def sixteenths(mm: float) -> str:
    """Write inches to the nearest sixteenth as people do, without the unit.

    >>> sixteenths(28.575), sixteenths(-6.35), sixteenths(25.4), sixteenths(0.1)
    ('1 1/8', '-1/4', '1', '0')
    """
    count = round(abs(mm) / MM_PER_INCH * 16)
    whole, rest = divmod(count, 16)
    common = math.gcd(rest, 16)
    part = f"{rest // common}/{16 // common}" if rest else ""
    text = " ".join(piece for piece in (str(whole) if whole or not rest else "", part) if piece)
    return f"-{text}" if mm < 0 and count else text


def format_length(mm: float, unit: str, *, decimal: bool = True) -> str:
    """Format a length: ``1 1/8 in (1.125)``, ``28.6 mm`` or ``2.86 cm``.

    ``unit`` is "in", "mm" or "cm"; with ``decimal`` False the inches' decimal is left out.

    >>> format_length(0.5, "in"), format_length(28.575, "in", decimal=False)
    ('under 1/16 in (0.020)', '1 1/8 in')
    """
    if unit == Unit.IN:
        whole = sixteenths(mm)
        text = f"{'under 1/16' if whole == '0' and abs(mm) >= 0.01 else whole} in"
        return f"{text} ({_unsigned_zero(mm / MM_PER_INCH, 3)})" if decimal else text
    if unit == Unit.CM:
        return f"{_unsigned_zero(mm / 10, 2)} cm"
    if unit == Unit.MM:
        return f"{_unsigned_zero(mm, 1)} mm"
    raise ValueError(f"{unit!r} is no unit to write a length in: choose one of {', '.join(Unit)}")


def both_ways(mm: float, unit: str = Unit.MM) -> str:
    """Format a length for a message in mm and inches: ``66.7 mm (2 5/8 in)``; first in the person's ``unit``.

    >>> both_ways(66.7), both_ways(66.7, "in"), both_ways(66.7, "cm")
    ('66.7 mm (2 5/8 in)', '2 5/8 in (66.7 mm)', '6.67 cm (2 5/8 in)')
    """
    other = Unit.MM if unit == Unit.IN else Unit.IN
    return f"{format_length(mm, unit, decimal=False)} ({format_length(mm, other, decimal=False)})"


def at_most(mm: float) -> str:
    """Format an upper limit for a message, both ways, rounded down: asking for it as printed stays within it.

    >>> at_most(15.83), at_most(15.875)
    ('15.8 mm (9/16 in)', '15.8 mm (5/8 in)')
    """
    return _both(rounded_limit(mm, least=False))


def at_least(mm: float) -> str:
    """Format a lower limit for a message, both ways, rounded up.

    >>> at_least(5.2), at_least(-31.8)
    ('5.2 mm (1/4 in)', '-31.8 mm (-1 1/4 in)')
    """
    return _both(rounded_limit(mm, least=True))


def rounded_limit(mm: float, *, least: bool) -> tuple[float, float]:
    """Round a limit in mm as it is printed: inwards, to tenths of a millimetre and to sixteenths of an inch."""
    way, slip = (math.ceil, -1e-6) if least else (math.floor, 1e-6)
    return way(mm * 10 + slip) / 10, way(mm / MM_PER_INCH * 16 + slip) * MM_PER_INCH / 16


def _both(limit: tuple[float, float]) -> str:
    return f"{format_length(limit[0], Unit.MM)} ({sixteenths(limit[1])} {Unit.IN})"


def _unsigned_zero(value: float, places: int) -> str:
    text = f"{value:.{places}f}"
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text


class Units(Struct, frozen=True):
    """The unit a person reads lengths in; the one value handed on to wherever lengths are written."""

    unit: Unit = Unit.IN

    def length(self, mm: float, *, decimal: bool = True) -> str:
        """Format a length (``format_length`` in this unit).

        >>> Units().length(28.575), Units(Unit.MM).length(28.575)
        ('1 1/8 in (1.125)', '28.6 mm')
        """
        return format_length(mm, self.unit, decimal=decimal)

    def plain(self, mm: float) -> str:
        """Format a length without its decimal.

        >>> Units().plain(28.575)
        '1 1/8 in'
        """
        return format_length(mm, self.unit, decimal=False)

    def both(self, mm: float) -> str:
        """Format a length for a message, in this unit first and in the other system after it.

        >>> Units().both(66.7)
        '2 5/8 in (66.7 mm)'
        """
        return both_ways(mm, self.unit)
