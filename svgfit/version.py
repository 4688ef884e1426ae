"""The version, and where the package lies: in a module of its own, so that every floor may know them."""

from __future__ import annotations

import os

__version__ = "0.2.0"
PACKAGE = os.path.dirname(os.path.abspath(__file__))
"""The folder of the package."""
