"""Measures a sleeve's hem, as the wrist that it goes round."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import Measurement, Measurer, Piece, hookimpl, sewing


def wrist(piece: Piece) -> Iterable[Measurement]:
    """Add a line to the table of every sleeve."""
    yield Measurement("wrist", sewing.sewn_length(piece, "hem"))


@hookimpl
def svgfit_measurers() -> Iterable[Measurer]:
    """Called once, when svgfit loads this file."""
    return [Measurer("wrist", ("sleeve",), wrist)]
