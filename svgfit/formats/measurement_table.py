"""Measurements as a plain table, comma-separated: a row for each figure of a piece in a size."""

from __future__ import annotations

import csv
import io

from svgfit.model.file_format import Convertible
from svgfit.model.length import MM_PER_INCH
from svgfit.model.vocabulary import MeasureUnit, Unit

HEAD = ("piece", "size", "kind", "measurement", "value", "unit")
_IN_A_UNIT = {Unit.MM: (1.0, 2), Unit.CM: (10.0, 3), Unit.IN: (MM_PER_INCH, 4)}
"""The millimetres of a unit, and how many decimals show a hundredth of a millimetre in it."""
_OF_DEGREES = 2
_OF_NUMBERS = 10
"""Digits of a number or a share."""


def measurement_table(drawing: Convertible) -> bytes:
    """Write the drawing's measurements as UTF-8, ``HEAD`` first; lengths in the unit that the person asked for."""
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\r\n")  # RFC 4180
    table.writerow(HEAD)
    mm, decimals = _IN_A_UNIT[drawing.unit]
    for row in drawing.rows:
        for figure in row.measurements:
            if figure.before is None:
                continue
            if figure.unit == MeasureUnit.MM:
                value, unit = f"{figure.before / mm:.{decimals}f}", str(drawing.unit)
            elif figure.unit == MeasureUnit.MM2:
                value, unit = f"{figure.before / mm**2:.{decimals}f}", f"{drawing.unit}2"
            elif figure.unit == MeasureUnit.DEG:
                value, unit = f"{figure.before:.{_OF_DEGREES}f}", figure.unit
            else:
                value, unit = f"{figure.before:.{_OF_NUMBERS}g}", figure.unit
            table.writerow((row.name, row.size or "", str(row.kind), figure.name, value, unit))
    return out.getvalue().encode()
