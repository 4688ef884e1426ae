"""Figures as captions have them."""

from __future__ import annotations

from svgfit.model.length import format_length


def length(mm: float, unit: str) -> str:
    """Write a figure for a caption, without its sign."""
    return format_length(abs(mm), unit, decimal=False)
