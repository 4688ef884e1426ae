"""How near two seams must match that are sewn without ease, and what counts as equal from size to size."""

from __future__ import annotations

from typing import Annotated

from msgspec import Struct

from svgfit.model.length import MM_PER_INCH, both_ways
from svgfit.rules import JUDGEMENT, PRACTICE, Mm

CAREFUL: Annotated[Mm, PRACTICE] = MM_PER_INCH / 16
"""Two seams that must match may differ by this in careful work. A convention's ``[walk]`` sets another figure."""
WORKABLE: Annotated[Mm, PRACTICE] = MM_PER_INCH / 8
"""By this they may differ and still be sewn; beyond it the check fails. A convention's ``[walk]`` sets another one."""
BY_EASE: Annotated[Mm, JUDGEMENT] = MM_PER_INCH
"""Rows sewn together that were so before a run, and differ by no more, may be meant to be eased: told, not failed."""
UNCHANGED: Annotated[Mm, JUDGEMENT] = MM_PER_INCH / 64
"""A mismatch that a run changed by no more than this was so before: finer than anyone cuts."""
EVEN_STEPS: Annotated[Mm, PRACTICE] = MM_PER_INCH / 16
"""Steps from size to size of a nest that differ by more than this are uneven."""
SIZES_CROSS: Annotated[Mm, JUDGEMENT] = 0.1
"""A smaller size that lies farther outside the next larger one than this crosses it."""
LEAST_COST: Annotated[Mm, JUDGEMENT] = MM_PER_INCH / 32
"""In advice, a change smaller than this is no cost: it would be rounded away."""
PLAN_STEP_INCHES: Annotated[Mm, PRACTICE] = MM_PER_INCH / 16
"""What the figures of an advised plan are rounded to, in inches …"""
PLAN_STEP_METRIC: Annotated[Mm, PRACTICE] = 1.0
"""… and in millimetres or centimetres."""


class MatchingRule(Struct, frozen=True, kw_only=True):
    """What a plug-in gives for how far seams may differ that are to be equally long, where svgfit.toml is silent."""

    careful: float = CAREFUL
    """In careful work, mm."""
    workable: float = WORKABLE
    """At most, mm; beyond it the check fails."""

    @property
    def name(self) -> str:
        """Say what it is a rule of; two plug-ins can't both give one."""
        return "how far seams may differ"

    @property
    def words(self) -> str:
        """Say it for people."""
        return f"{self.name}: {both_ways(self.careful)} in careful work, {both_ways(self.workable)} at most"
