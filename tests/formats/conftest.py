"""The command line, as its own tests run it."""

from __future__ import annotations

from tests.cli.conftest import svgfit  # noqa: F401  a fixture
