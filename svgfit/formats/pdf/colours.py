"""Colours of a PDF as ``#rrggbb``: near enough to tell lines apart, not for print."""

from __future__ import annotations

from collections.abc import Sequence


def to_hex(parts: Sequence[float], *, subtractive: bool = False) -> str:
    """Write one (grey, or a tint), three (RGB) or four (CMYK) numbers from 0 to 1 as a colour.

    ``subtractive``: one number says how much ink there is, not how much light. From memory: the simple complement.

    >>> to_hex([0.0]), to_hex([1, 0, 0]), to_hex([0, 1, 1, 0]), to_hex([1.0], subtractive=True)
    ('#000000', '#ff0000', '#ff0000', '#000000')
    """
    held = [min(max(part, 0.0), 1.0) for part in parts]
    if len(held) == 4:
        red, green, blue = ((1 - held[k]) * (1 - held[3]) for k in range(3))
    elif len(held) == 3:
        red, green, blue = held
    elif len(held) == 1:
        red = green = blue = 1 - held[0] if subtractive else held[0]
    else:  # inks of their own: the more, the darker
        red = green = blue = 1 - max(held, default=1.0)
    return "#" + "".join(f"{round(255 * part):02x}" for part in (red, green, blue))
