"""The folder of the drawings that come with svgfit: the work smock of a small theatre, its figures invented."""

from __future__ import annotations

import os

from svgfit.model.refusal import Refusal
from svgfit.version import PACKAGE

DRAWING = "smock.svg"


def demo_folder() -> str:
    """Find the folder, as installed or beside the sources; Refusal where it is missing."""
    for folder in (os.path.join(PACKAGE, "demo_svgs"), os.path.join(os.path.dirname(PACKAGE), "demo_svgs")):
        if os.path.isfile(os.path.join(folder, DRAWING)):
            return folder
    raise Refusal("", "the demo's drawings are missing from this installation", "install svgfit again")
