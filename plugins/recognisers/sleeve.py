"""Knows sleeves: cap, underarm seams, hem, front and back."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import (
    Recogniser,
    hookimpl,
    recognising,
)


@hookimpl
def svgfit_recognisers() -> Iterable[Recogniser]:
    """Offer the recogniser of sleeves."""
    return [Recogniser("sleeve", ("sleeve",), recognising.suits_sleeve, recognising.recognise_sleeve)]
