"""Trade-off of cap height, bicep width and ease in one armhole. Lengths in mm."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

Floats = NDArray[np.float64]
_PLACES = 61
"""In how many widths (and heights) a line is read off."""


class Trade(Struct, frozen=True):
    """Ease by cap height and bicep width, for one sleeve in its armhole."""

    sleeve: str
    size: str | None
    height: float
    width: float
    ease: float
    """As the sleeve is."""
    armhole: float
    rows: tuple[tuple[float, tuple[tuple[float, float], ...]], ...]
    """For each bicep width that could be made: (cap height, ease) for each height that could, ascending."""

    def heights_for(self, ease: float) -> tuple[tuple[float, float], ...]:
        """Find (cap height, bicep width) pairs of this ease, interpolated straight between what was made."""
        found: list[tuple[float, float]] = []
        for width, row in self.rows:
            for (low, below), (high, above) in itertools.pairwise(row):
                if min(below, above) <= ease <= max(below, above) and below != above:
                    found.append((low + (high - low) * (ease - below) / (above - below), width))
                    break
        return tuple(found)

    def curve_for(self, ease: float) -> tuple[tuple[float, float], ...]:
        """Find (cap height, bicep width) pairs of a smooth line of this ease, ascending in height; () for none.

        A surface of third degree laid through all that was made (least squares; of less degree where little was), read
        off in many places. It begins and ends where what was made ends, and is drawn nowhere else.
        """
        made = _floats([(height, width, got) for width, row in self.rows for height, got in row]).reshape(-1, 3)
        rows = [(width, row) for width, row in self.rows if len(row) > 1]
        if len(rows) < 2:
            return ()
        surface = _surface(made, 3 if len(made) >= 24 else 1)
        widths = _floats([width for width, _ in rows])
        low, high = _floats([row[0][0] for _, row in rows]), _floats([row[-1][0] for _, row in rows])
        across: Floats = np.linspace(widths[0], widths[-1], _PLACES, dtype=np.float64)
        ends = [_between(across, widths, one) for one in (low, high)]
        found: list[tuple[float, float]] = []
        for k, width in enumerate(across.tolist()):
            heights: Floats = np.linspace(ends[0][k], ends[1][k], _PLACES, dtype=np.float64)
            found += [(at, width) for at in _crossings(heights, surface(heights, width), ease)]
        for heights in ends:  # so that a line runs on to the very edge
            places = _crossings(across, surface(heights, across), ease)
            found += [(float(_between(_floats([at]), across, heights)[0]), at) for at in places]
        return tuple(sorted(dict.fromkeys(found)))


def _between(at: Floats, places: Floats, values: Floats) -> Floats:
    return _floats(np.interp(at, places, values).tolist())


def _floats(values: Sequence[float] | Sequence[tuple[float, ...]]) -> Floats:
    return np.array(values, dtype=np.float64)


def _surface(made: Floats, degree: int) -> Callable[[Floats, Floats | float], Floats]:
    """Fit ease over cap height and bicep width: the polynomial of that degree nearest to (height, width, ease) rows."""
    middle, half = made.mean(axis=0), np.maximum(np.ptp(made, axis=0) / 2, 1e-9)
    powers = [(i, j) for i in range(degree + 1) for j in range(degree + 1 - i)]

    def terms(height: Floats, width: Floats | float) -> Floats:
        h, w = (height - middle[0]) / half[0], (width - middle[1]) / half[1]
        return np.stack([h**i * w**j for i, j in powers], axis=-1)

    weights = np.linalg.lstsq(terms(made[:, 0], made[:, 1]), made[:, 2], rcond=None)[0]
    return lambda height, width: terms(height, width) @ weights


def _crossings(places: Floats, values: Floats, wanted: float) -> list[float]:
    """Find where a row of values passes ``wanted``, straight between its places."""
    off = values - wanted
    found: list[float] = []
    for k in np.flatnonzero((off[:-1] <= 0) != (off[1:] <= 0)).tolist():
        found.append(float(places[k] - off[k] * (places[k + 1] - places[k]) / (off[k + 1] - off[k])))
    return found
