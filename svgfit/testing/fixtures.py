"""Fixtures for pytest. In ``conftest.py``: ``pytest_plugins = ["svgfit.testing.fixtures"]``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from svgfit.model.piece import Piece
    from svgfit.testing.garments import Garment


@pytest.fixture
def smock() -> Garment:
    """Give the theatre's work smock, as drawn: Front, Back and Sleeve with their seams."""
    from svgfit.testing.garments import smock

    return smock()


@pytest.fixture
def garment() -> Garment:
    """Give a garment of plain construction: Sleeve, Front and Back with their seams."""
    from svgfit.testing.garments import garment

    return garment()


@pytest.fixture(params=range(5), ids=["plain", "flat and wide", "high and narrow", "short", "unlike halves"])
def any_sleeve(request: pytest.FixtureRequest) -> Piece:
    """Give one sleeve after another: the test that asks for it is run on each."""
    from svgfit.testing.garments import sleeves

    return sleeves()[int(request.param)]
