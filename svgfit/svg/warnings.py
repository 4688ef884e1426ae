"""Warnings about one drawing: each once, and at most MOST of them in full."""

from __future__ import annotations

MOST = 200
"""So many warnings are given in full; the rest is counted."""


class WarningLog:
    """Collector of one drawing's warnings, in the order they come."""

    __slots__ = ("_kept", "_left_out")

    def __init__(self) -> None:
        self._kept: dict[str, None] = {}
        self._left_out: set[int] = set()

    def add(self, warning: str) -> None:
        """Add a warning; one that was there already counts once."""
        if warning in self._kept:
            return
        if len(self._kept) < MOST:
            self._kept[warning] = None
        else:
            self._left_out.add(hash(warning))

    def all(self, file: str) -> tuple[str, ...]:
        """List every warning; the last one says how many more there would be."""
        if not self._left_out:
            return tuple(self._kept)
        return (*self._kept, f"{file}: {len(self._left_out)} more things of this kind could not be read")
