"""The version, and where the package lies: in a module of its own, so that every floor may know them."""

from __future__ import annotations

import os

__version__ = "0.2.0"
PACKAGE = os.path.dirname(os.path.abspath(__file__))
"""The folder of the package."""

API_VERSION = 1
"""The version of what plug-ins are written on (svgfit.plugin): raised where a plug-in could need more than before."""
