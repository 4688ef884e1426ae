"""Warnings about one drawing: each once, and at most MOST of them in full."""

from __future__ import annotations

MOST = 200
"""So many warnings are given in full; the rest is counted."""


class Told:
    """Collector of one drawing's warnings, in the order they come."""

    __slots__ = ("_said", "_unsaid")

    def __init__(self) -> None:
        self._said: dict[str, None] = {}
        self._unsaid: set[int] = set()

    def tell(self, warning: str) -> None:
        """Add a warning; one that was there already counts once."""
        if warning in self._said:
            return
        if len(self._said) < MOST:
            self._said[warning] = None
        else:
            self._unsaid.add(hash(warning))

    def all(self, file: str) -> tuple[str, ...]:
        """List every warning; the last one says how many more there would be."""
        if not self._unsaid:
            return tuple(self._said)
        return (*self._said, f"{file}: {len(self._unsaid)} more things of this kind could not be read")
