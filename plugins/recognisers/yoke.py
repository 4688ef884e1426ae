"""Knows shoulder yokes: armhole, front seam, back seam, neckline, centre or fold."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import (
    Recogniser,
    hookimpl,
    recognising,
)


@hookimpl
def svgfit_recognisers() -> Iterable[Recogniser]:
    """Offer the recogniser of yokes."""
    return [Recogniser("yoke", ("yoke",), recognising.suits_yoke, recognising.recognise_yoke)]
