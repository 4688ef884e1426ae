"""A figure as people read it, on the page and in the terminal."""

from __future__ import annotations

from svgfit.model.length import format_length

SAME = 0.005
"""A change smaller than this (mm or degrees) is called the same."""


def value_text(value: float, own: str, unit: str, *, signed: bool = False) -> str:
    """A measurement for people: lengths in ``unit`` ("in", "mm", "cm"), angles (``own`` "deg") in degrees."""
    text = f"{value:.1f}°" if own == "deg" else format_length(value, unit)
    return f"+{text}" if signed and value > 0 else text


def change_text(change: float, own: str, unit: str) -> str:
    """A change with its sign; "same" where it is under ``SAME`` or too small to be seen in the figure.

    >>> change_text(-0.004, "mm", "in"), change_text(0.04, "mm", "mm"), change_text(-12.7, "mm", "in")
    ('same', 'same', '-1/2 in (-0.500)')
    """
    if is_same(change) or value_text(abs(change), own, unit) == value_text(0.0, own, unit):
        return "same"
    return value_text(change, own, unit, signed=True)


def is_same(change: float) -> bool:
    """Whether a change (mm or degrees) is none to speak of."""
    return abs(change) < SAME
