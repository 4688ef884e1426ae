"""viewBox and preserveAspectRatio (https://www.w3.org/TR/SVG11/coords.html#ViewBoxAttribute)."""

from __future__ import annotations

import math
import re

from msgspec import Struct

from svgfit.geometry.affine import Affine

_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_ASPECT = re.compile(r"\s*(?:defer\s+)?(none|x(Min|Mid|Max)Y(Min|Mid|Max))(?:\s+(meet|slice))?\s*")
_SHARE = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}


class ViewBox(Struct, frozen=True):
    """The window of user units that a viewport shows."""

    x: float
    y: float
    width: float
    height: float


def read_view_box(text: str | None) -> ViewBox | None:
    """Parse a viewBox, None where there is none or it says none; raises ValueError for one that cannot be read.

    One without width or height shows nothing; that is for the caller to tell.
    """
    if text is None or not text.strip() or text.strip() == "none":
        return None
    numbers = [float(number) for number in _NUMBER.findall(text)]
    if len(numbers) != 4 or _NUMBER.sub("", text).strip(" \t\r\n\f,") or not all(map(math.isfinite, numbers)):
        raise ValueError(text)
    if numbers[2] < 0 or numbers[3] < 0:
        raise ValueError(text)
    return ViewBox(*numbers)


def fit(box: ViewBox, width: float, height: float, aspect: str | None) -> Affine:
    """Map user units to the viewport's own units, origin at its top left.

    Raises ValueError for a preserveAspectRatio that cannot be read.
    """
    found = _ASPECT.fullmatch(aspect) if aspect and aspect.strip() else _ASPECT.fullmatch("xMidYMid")
    if not found:
        raise ValueError(aspect)
    across, down = width / box.width, height / box.height
    if found[1] == "none":
        return Affine(across, 0.0, 0.0, down, -box.x * across, -box.y * down)
    scale = max(across, down) if found[4] == "slice" else min(across, down)
    left = (width - box.width * scale) * _SHARE[found[2]]
    top = (height - box.height * scale) * _SHARE[found[3]]
    return Affine(scale, 0.0, 0.0, scale, left - box.x * scale, top - box.y * scale)
