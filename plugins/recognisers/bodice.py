"""Knows bodice fronts and backs: armhole, side seam, shoulder, neckline, centre or fold, hem."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import Recogniser, hookimpl, recognise_bodice, suits_bodice


@hookimpl
def svgfit_recognisers() -> Iterable[Recogniser]:
    """One recogniser for both."""
    return [Recogniser("bodice", ("front", "back"), suits_bodice, recognise_bodice)]
