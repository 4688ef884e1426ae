"""Lengths as people write and read them. In the program a length is a float in millimetres.

1 in = 25.4 mm exactly (CSS Values and Units 3, section 6.2: https://www.w3.org/TR/css-values-3/#absolute-lengths).
"""

from __future__ import annotations

import math
import re

from msgspec import Struct

from svgfit.model.vocabulary import MeasureUnit, Unit

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


_ANGLE = re.compile(r"(?P<number>[+-]?(?:\d{1,9}(?:[.,]\d{0,30})?|[.,]\d{1,30}))\s*(?P<unit>°|deg|degrees?|rad)")


def parse_angle(text: str) -> float:
    """Parse an angle to degrees: ``12 deg``, ``12.5°``, ``0.2 rad``.

    Raises ValueError, with what is wrong, for anything else; a number without a unit too.

    >>> parse_angle("12 deg"), parse_angle("-2,5°")
    (12.0, -2.5)
    """
    found = _ANGLE.fullmatch(text.strip().replace("−", "-").casefold())
    if not found:
        if re.fullmatch(r"[+-]?[\d.,]+", text.strip()):
            raise ValueError(f"{text!r} has no unit: write for example {text.strip()} deg")
        raise ValueError(f"{text!r} is not an angle: write for example 12 deg or 2.5°")
    value = float(found["number"].replace(",", "."))
    return math.degrees(value) if found["unit"] == "rad" else value


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


def format_length(mm: float, unit: str, *, decimal: bool = False) -> str:
    """Format a length: ``1 1/8 in``, ``28.6 mm`` or ``2.86 cm``. What is below nothing keeps its sign.

    ``unit`` is "in", "mm" or "cm"; with ``decimal`` inches have their decimal beside them: ``1 1/8 in (1.125)``.

    >>> format_length(28.575, "in"), format_length(0.5, "in"), format_length(-0.5, "in")
    ('1 1/8 in', 'under 1/16 in', 'just under 0 in')
    """
    if unit == Unit.IN:
        whole = sixteenths(mm)
        if whole == "0" and abs(mm) >= 0.01:
            whole = "under 1/16" if mm > 0 else "just under 0"
        return f"{whole} in ({_unsigned_zero(mm / MM_PER_INCH, 3)})" if decimal else f"{whole} in"
    if unit == Unit.CM:
        return f"{_unsigned_zero(mm / 10, 2)} cm"
    if unit == Unit.MM:
        return f"{_unsigned_zero(mm, 1)} mm"
    raise ValueError(f"{unit!r} is no unit to write a length in: choose one of {', '.join(Unit)}")


def format_figure(value: float, measured_in: str, unit: str) -> str:
    """Format a figure that is no length: an area, an angle, a plain number or a share.

    ``measured_in`` is one of ``MeasureUnit`` (not "mm"), ``unit`` the reader's unit of length, which decides between
    square inches and square centimetres. Raises ValueError for any other unit.

    >>> format_figure(64516, "mm2", "in"), format_figure(64516, "mm2", "mm"), format_figure(20, "deg", "in")
    ('100.00 sq in', '645.2 cm²', '20.0°')
    >>> format_figure(6, "number", "in"), format_figure(0.6251, "number", "in"), format_figure(1 / 3, "share", "in")
    ('6', '0.625', '33.3 %')
    """
    if measured_in == MeasureUnit.DEG:
        return f"{value:.1f}°"
    if measured_in == MeasureUnit.MM2:
        if unit == Unit.IN:
            return f"{_unsigned_zero(value / MM_PER_INCH**2, 2)} sq in"
        return f"{_unsigned_zero(value / 100, 1)} cm²"
    if measured_in == MeasureUnit.NUMBER:
        return _shortest(value, 3)
    if measured_in == MeasureUnit.SHARE:
        return f"{_shortest(100 * value, 1)} %"
    raise ValueError(f"{measured_in!r} is no unit of a figure that is no length")


def exact_length(mm: float, unit: str) -> str:
    """Write a length as a plan has it where no sixteenth gives it.

    >>> exact_length(424.46, "in"), exact_length(424.46, "mm")
    ('16.711 in', '424.46 mm')
    """
    size, places = {Unit.IN: (MM_PER_INCH, 3), Unit.CM: (10.0, 3)}.get(Unit(unit), (1.0, 2))
    return f"{mm / size:.{places}f} {unit}"


_PLAIN = re.compile(r"(?P<number>[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:e[+-]?\d+)?)\s*(?P<percent>%?)", re.IGNORECASE)
_PARTS = re.compile(r"(?P<sign>[+-]?)(?P<over>\d+)\s*/\s*(?P<under>\d+)")


def read_number(text: str) -> float:
    """Read a plain number: ``0.8``, ``80 %``, ``4/5``. Raise ValueError, with what is wrong, for anything else.

    >>> read_number("0.8"), read_number("80 %"), read_number("4/5")
    (0.8, 0.8, 0.8)
    """
    plain = text.strip().replace("−", "-")
    if (found := _PARTS.fullmatch(plain)) and int(found["under"]):
        value = int(found["over"]) / int(found["under"])
        return -value if found["sign"] == "-" else value
    found = _PLAIN.fullmatch(plain)
    value = float(found["number"].replace(",", ".")) if found else math.nan
    if not found or not math.isfinite(value):
        raise ValueError(f"{text!r} is not a number: write for example 0.8 or 80 %")
    return value / 100 if found["percent"] else value


# -- lengths in messages -----------------------------------------------------------------------------------------------
# What raises a message deep inside does not know in which unit its reader thinks; whoever shows it does. So a message
# holds a length in both, between the signs that Unicode has for a text with its annotation (U+FFF9 to U+FFFB, "for
# internal use by applications", The Unicode Standard, section 23.8), and ``Units.speak`` leaves the reader's.

_BEGIN, _OR, _END = "\ufff9", "\ufffa", "\ufffb"
_MARKED = re.compile(rf"{_BEGIN}([+-]?\d+\.\d) mm{_OR}([^{_BEGIN}{_END}]{{1,40}} in){_END}")


def both_ways(mm: float, unit: str = Unit.MM, *, signed: bool = False) -> str:
    """Write a length into a message (a refusal, a warning, a check): it is shown in its reader's unit.

    The text holds the length in mm and in inches, marked; whoever shows the message leaves the one. ``unit`` is not
    looked at: plug-ins handed over the person's. With ``signed`` an increase has its plus.

    >>> both_ways_text(f"{both_ways(66.7)} wide"), Units().speak(f"{both_ways(66.7)} wide")
    ('66.7 mm (2 5/8 in) wide', '2 5/8 in wide')
    """
    plus = "+" if signed and mm > 0 else ""
    return _marked(plus + format_length(mm, Unit.MM), plus + format_length(mm, Unit.IN))


def at_most(mm: float, *, signed: bool = False) -> str:
    """Write an upper limit into a message, rounded down in each unit: asking for it as printed stays within it.

    >>> both_ways_text(at_most(15.83)), Units().speak(at_most(15.83))
    ('15.8 mm (9/16 in)', '9/16 in')
    """
    return _limit(rounded_limit(mm, least=False), signed=signed)


def at_least(mm: float, *, signed: bool = False) -> str:
    """Write a lower limit into a message, rounded up in each unit.

    >>> both_ways_text(at_least(5.2)), both_ways_text(at_least(-31.8))
    ('5.2 mm (1/4 in)', '-31.8 mm (-1 1/4 in)')
    """
    return _limit(rounded_limit(mm, least=True), signed=signed)


def rounded_limit(mm: float, *, least: bool) -> tuple[float, float]:
    """Round a limit in mm as it is printed: inwards, to tenths of a millimetre and to sixteenths of an inch."""
    way, slip = (math.ceil, -1e-6) if least else (math.floor, 1e-6)
    return way(mm * 10 + slip) / 10, way(mm / MM_PER_INCH * 16 + slip) * MM_PER_INCH / 16


def _limit(limit: tuple[float, float], *, signed: bool) -> str:
    metric, inches = format_length(limit[0], Unit.MM), f"{sixteenths(limit[1])} {Unit.IN}"
    return _marked(*(f"+{text}" if signed and text[0] not in "-0" else text for text in (metric, inches)))


def _marked(metric: str, inches: str) -> str:
    return f"{_BEGIN}{metric}{_OR}{inches}{_END}"


def both_ways_text(text: str) -> str:
    """Write a message for a reader whose unit nobody knows: each length in mm and in inches.

    >>> both_ways_text(f"{both_ways(-3)} lower")
    '-3.0 mm (-1/8 in) lower'
    """
    return _MARKED.sub(r"\1 mm (\2)", text) if _BEGIN in text else text


def range_text(least: float, most: float) -> str:
    """Write from what to what a length goes into a message; once where the two read alike.

    >>> both_ways_text(range_text(12.7, 25.4)), both_ways_text(range_text(15.9, 16.2))
    ('12.7 mm (1/2 in) to 25.4 mm (1 in)', 'about 16.1 mm (5/8 in)')
    """
    if reads_alike(least, most):
        return f"about {both_ways((least + most) / 2)}"
    return f"{both_ways(least)} to {both_ways(most)}"


def on_page(at: complex) -> str:
    """Write a place on the page, in mm of it, into a message.

    >>> both_ways_text(on_page(50.8 + 25.4j))
    'at x 50.8 mm (2 in), y 25.4 mm (1 in) of the page'
    """
    return f"at x {both_ways(at.real)}, y {both_ways(at.imag)} of the page"


def reads_alike(one: float, other: float) -> bool:
    """Tell whether two lengths, mm, are one to a person: they differ by less than half a sixteenth of an inch.

    >>> reads_alike(450.8, 450.9), reads_alike(450.8, 452.4)
    (True, False)
    """
    return abs(one - other) < MM_PER_INCH / 32


def _shortest(value: float, places: int) -> str:
    """Write a number with at most so many decimals, without zeros at its end."""
    text = _unsigned_zero(value, places)
    return text.rstrip("0").rstrip(".") if "." in text else text


def _unsigned_zero(value: float, places: int) -> str:
    text = f"{value:.{places}f}"
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text


class Units(Struct, frozen=True):
    """How a person reads lengths; the one value handed on to wherever lengths are written."""

    unit: Unit = Unit.IN
    """In which lengths are written."""
    other: bool = False
    """Whether the other system's unit stands beside it (``--both-units``)."""
    decimals: bool = False
    """Whether inches have their decimal beside them (``--decimals``)."""

    def length(self, mm: float) -> str:
        """Format a length as this person asked for lengths.

        >>> Units().length(28.575), Units(Unit.MM).length(28.575), Units(other=True, decimals=True).length(28.575)
        ('1 1/8 in', '28.6 mm', '1 1/8 in (1.125; 28.6 mm)')
        """
        text = format_length(mm, self.unit, decimal=self.decimals)
        if not self.other:
            return text
        beside = format_length(mm, self._other_unit)
        return f"{text[:-1]}; {beside})" if text.endswith(")") else f"{text} ({beside})"

    def figure(self, value: float, measured_in: str) -> str:
        """Format a measurement as this person reads it, ``measured_in`` being one of ``MeasureUnit``.

        >>> Units().figure(28.575, "mm"), Units(other=True).figure(64516, "mm2"), Units().figure(6, "number")
        ('1 1/8 in', '100.00 sq in (645.2 cm²)', '6')
        """
        if measured_in == MeasureUnit.MM:
            return self.length(value)
        text = format_figure(value, measured_in, self.unit)
        if self.other and measured_in == MeasureUnit.MM2:
            return f"{text} ({format_figure(value, measured_in, self._other_unit)})"
        return text

    def plain(self, mm: float) -> str:
        """Format a length in this unit alone, where there is no room for more.

        >>> Units(other=True).plain(28.575)
        '1 1/8 in'
        """
        return format_length(mm, self.unit)

    def reads_as_none(self, mm: float) -> bool:
        """Tell whether a length, its sign apart, is too small to be written: under half a sixteenth, or 0.05 mm.

        >>> Units().reads_as_none(-0.7), Units(Unit.MM).reads_as_none(-0.7)
        (True, False)
        """
        finest = 0.05 if self.unit != Unit.IN else MM_PER_INCH / 2e3 if self.decimals else MM_PER_INCH / 32
        return abs(mm) < finest

    def speak(self, text: str) -> str:
        """Write a message in this person's unit: of each length that it holds both ways, this one.

        >>> Units(Unit.CM).speak(f"the cap is {both_ways(66.7)} high")
        'the cap is 6.67 cm high'
        """
        return _MARKED.sub(lambda found: self._spoken(found[1], found[2]), text) if _BEGIN in text else text

    @property
    def _other_unit(self) -> Unit:
        return Unit.MM if self.unit == Unit.IN else Unit.IN

    def _spoken(self, metric: str, inches: str) -> str:
        plus = "+" if metric.startswith("+") else ""
        ways = {Unit.IN: inches, Unit.MM: f"{metric} mm", Unit.CM: plus + format_length(float(metric), Unit.CM)}
        return f"{ways[self.unit]} ({ways[self._other_unit]})" if self.other else ways[self.unit]
