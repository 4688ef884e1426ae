"""Knows bodice fronts and backs: armhole, side seam, shoulder, neckline, centre or fold, hem."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import (
    Recogniser,
    hookimpl,
    recognising,
)


@hookimpl
def svgfit_recognisers() -> Iterable[Recogniser]:
    """Offer one recogniser for both."""
    return [Recogniser("bodice", ("front", "back"), recognising.suits_bodice, recognising.recognise_bodice)]
