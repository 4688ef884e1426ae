"""Whence a mismatch comes: it was so before a run, or the run did it. Told beside each check that is not ``pass``.

A mismatch of the maker's is told and does not fail a run, as long as it may be meant (to be eased in) or stands in a
size that nobody touched; what the run did itself is a failure.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

import numpy as np
from msgspec import UNSET, Struct
from msgspec.structs import replace

from svgfit.model.length import Units
from svgfit.model.piece import Piece, paired
from svgfit.model.report import Check
from svgfit.model.run import SizeRun
from svgfit.model.vocabulary import MeasureUnit, Origin, Status
from svgfit.rules.matching import BY_EASE, UNCHANGED

if TYPE_CHECKING:
    from svgfit.app.walks import Walked

RUN = "this run"
ADJUSTING = "the adjusting"
_SAME = {"difference": UNCHANGED, MeasureUnit.SHARE: 0.005, "together": 0.25, "degrees": 0.25, "ease": UNCHANGED}
"""Which of a check's values it judges (the first that it has), and a change of that which is none: mm, a share, °."""
_STRAIGHT = 180.0


class Doing(Struct, frozen=True):
    """What was done between before and after, and how that is spoken of."""

    name: str = RUN
    units: Units = Units()
    softens: bool = True
    """Whether what was so before no longer fails."""
    tells_before: bool = True
    """Whether what was so before is said to be; else that is left to ``sizes_with_origins``."""


def with_origins(checks: Iterable[Check], before: Iterable[Check], doing: Doing) -> tuple[Check, ...]:
    """Add to each check that is not ``pass`` whence it comes; ``before``: the same checks on what was there before."""
    was = {check.name: check for check in before}
    return tuple(_with_origin(check, was.get(check.name), doing) for check in checks)


def walked_with_origins(walked: Walked, before: Walked, doing: Doing) -> Walked:
    """Add whence they come to all verdicts and checks of walks; ``before``: the walks on what was there before."""
    was = {(walk.sleeve, walk.size): walk.verdicts for walk in before.walks}
    walks = tuple(
        replace(walk, verdicts=with_origins(walk.verdicts, was.get((walk.sleeve, walk.size), ()), doing))
        for walk in walked.walks
    )
    return replace(walked, walks=walks, checks=with_origins(walked.checks, before.checks, doing))


def _with_origin(check: Check, was: Check | None, doing: Doing) -> Check:
    if check.status == Status.PASS or was is None or check.origin is not UNSET:
        return check
    key = _judged(check)
    if key is None or key not in was.values:
        return replace(check, origin=Origin.BEFORE if was.status == check.status else Origin.RUN)
    if _deviation(check, key) - _deviation(was, key) <= _SAME[key]:
        before = replace(check, origin=Origin.BEFORE)
        return told_before(before, doing) if doing.tells_before else before
    did = "did it" if was.status == Status.PASS else "made it more"
    return replace(
        check,
        origin=Origin.RUN,
        message=f"{check.message}; {doing.name} {did} (before: {_spell(was.values[key], key, doing.units)})",
    )


def told_before(check: Check, doing: Doing, *, touched: bool = True) -> Check:
    """Say of a check that it was so before; where that is no cause to stop, it is ``warn`` and no longer ``fail``.

    ``touched``: whether anything of its size changed; where nothing did, the run is no part of it.
    """
    stops = check.status == Status.FAIL and (not doing.softens or (touched and not _may_be_meant(check)))
    status = Status.FAIL if stops else Status.WARN
    return replace(check, status=status, message=f"{check.message}; was so before {doing.name}")


def _may_be_meant(check: Check) -> bool:
    """Tell whether a mismatch is small enough to be one that a maker means to be eased in."""
    key = _judged(check)
    return key in ("difference", "ease") and _deviation(check, key) <= BY_EASE


def _judged(check: Check) -> str | None:
    return next((key for key in _SAME if key in check.values), None)


def _deviation(check: Check, key: str) -> float:
    """Measure how far a check's value lies off what it should be."""
    value, values = check.values[key], check.values
    if "least" in values or "most" in values:
        return max(values.get("least", value) - value, value - values.get("most", value), 0.0)
    return abs(value - _STRAIGHT) if key in ("together", "degrees") else abs(value)


def _spell(value: float, key: str, units: Units) -> str:
    if key == MeasureUnit.SHARE:
        return f"{100 * value:.0f} %"
    return f"{value:.1f}°" if key in ("together", "degrees") else units.length(abs(value))


# -- the sizes of a run ----------------------------------------------------------------------------------------------


def is_touched(run: SizeRun) -> bool:
    """Tell whether a run changed the outline of any piece of its size."""
    if len(run.before) != len(run.after):
        return True
    return any(new is not old and not _alike(old, new) for old, new in paired(run.before, run.after))


def _alike(old: Piece, new: Piece) -> bool:
    return len(old.edges) == len(new.edges) and all(
        a.name == b.name and np.array_equal(a.curve.segments, b.curve.segments)
        for a, b in zip(old.edges, new.edges, strict=True)
    )


def sizes_with_origins(runs: Sequence[SizeRun], units: Units) -> tuple[SizeRun, ...]:
    """Say of each run's own checks what was so before it. A plan that changes nothing only checks: it fails as ever."""
    touched = [is_touched(run) for run in runs]
    if not any(touched):
        return tuple(runs)
    doing = Doing(units=units)
    return tuple(
        replace(
            run,
            checks=tuple(
                told_before(check, doing, touched=changed) if check.origin == Origin.BEFORE else check
                for check in run.checks
            ),
        )
        for run, changed in zip(runs, touched, strict=True)
    )
