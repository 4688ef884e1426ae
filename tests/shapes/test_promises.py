"""What every operation promises, over caps and armholes of nine constructions.

Asked for nothing it changes nothing; it is continuous and monotone in its amount; what is done and undone comes
back; a changed edge stays near the paper as it was moved; no slivers are left in it. An operation that redraws and has
an amount gets its line in ``OPERATIONS``.
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from svgfit.geometry.curve import Curve
from svgfit.model.refusal import Refusal
from tests.plugins.running import run_steps, value

from .garments import Garment, garment
from .promises import Swept, apart, edge_of, even, off_the_paper, shortest_segment, steepest

CAP = (("Sleeve", "cap"),)
ARMHOLES = (("Front", "armhole"), ("Back", "armhole"))
RAISED = (3.0, -5.0, 12.7, -12.7, 19.05)
LARGE = (6.35, 25.4, -12.7)
OPERATIONS = (
    Swept("cap-raise amount='{}'", even(-14, 22, 2), CAP, ("Sleeve", "cap length"), RAISED),
    Swept("ease-spread amount='{}'", even(-10, 10, 2), CAP, ("Sleeve", "cap length"), (3.0, -6.35, 10.0)),
    Swept("bicep-widen amount='{}'", even(-16, 24, 5), CAP, ("Sleeve", "cap length"), LARGE, 0.01),
    Swept("bicep-widen how=cap-length amount='{}'", even(-16, 24, 5), CAP, ("Sleeve", "bicep width"), LARGE, 0.01),
    Swept("bicep-widen how=underarm amount='{}'", even(-16, 24, 5), CAP, ("Sleeve", "cap length"), LARGE, 0.01),
    Swept("bicep-widen how=hem amount='{}'", even(-12, 28, 2), CAP, ("Sleeve", "cap length"), (6.35, -12.7, 25.4)),
    Swept("armhole-adjust lower='{}'", even(-12, 28, 4), ARMHOLES, ("Front", "armhole length"), LARGE, 0.05),
    Swept("armhole-adjust scoop='{}'", even(-6, 6, 1.5), ARMHOLES, ("Front", "armhole length"), (3.0, -3.0), 0.05),
)
CASES = [
    pytest.param(operation, k + 9 * n, id=f"{operation.step.replace(' amount', '').replace('={}', '')}-{k + 9 * n}")
    for n, operation in enumerate(OPERATIONS)
    for k in ((n, (n + 4) % 9) if n not in (0, 1, 5) else range(9))
]
"""The operations that true a slash on all constructions, the others on two each."""


def edges(garment: Garment, operation: Swept, *amounts: float) -> list[Curve]:
    return [edge_of(operation.run(garment, *amounts).after, which) for which in operation.edges]


@pytest.mark.slow_after(4)
@pytest.mark.parametrize(("operation", "number"), CASES)
def test_asked_for_nothing_it_changes_nothing(operation: Swept, number: int) -> None:
    one = garment(number)
    before = [edge_of(one.pieces, which) for which in operation.edges]
    for was, new in zip(before, edges(one, operation, 0.0), strict=True):
        assert np.array_equal(was.segments, new.segments)
    for was, new in zip(before, edges(one, operation, 0.02), strict=True):
        assert apart(was, new) < 0.05


@pytest.mark.slow
@pytest.mark.parametrize(("operation", "number"), CASES)
def test_it_is_continuous_monotone_and_near_the_paper(operation: Swept, number: int) -> None:
    one = garment(number)
    runs = [operation.run(one, amount) for amount in operation.amounts if not _too_high(one, operation, amount)]
    assert len(runs) > 0.8 * len(operation.amounts)
    for which in operation.edges:
        drawn = edge_of(one.pieces, which)
        curves = [edge_of(run.after, which) for run in runs]
        for a, b in itertools.pairwise(curves):
            assert apart(a, b) < 1.5 * operation.spacing
        for run, curve in zip(runs, curves, strict=True):
            assert shortest_segment(curve) > min(0.0019, 0.99 * shortest_segment(drawn))
            if run.openings:
                half = max(abs(opening.width) for opening in run.openings) / 2
                assert off_the_paper(run, drawn, which) < half + 0.1
    measured = [value(run, operation.grows[1], operation.grows[0]) for run in runs]
    assert steepest(measured, operation.spacing)[0] > -0.05
    assert steepest(measured, operation.spacing)[1] < 2.5


def _too_high(one: Garment, operation: Swept, amount: float) -> bool:
    """Whether turned corners would rise over the cap top, which is refused."""
    try:
        operation.run(one, amount)
    except Refusal as refusal:
        if "over the cap top" in refusal.what:
            return True
        raise
    return False


@pytest.mark.slow_after(2)
@pytest.mark.parametrize(("operation", "number"), CASES)
def test_what_is_done_and_undone_comes_back(operation: Swept, number: int) -> None:
    one = garment(number)
    for amount in operation.back:
        for which, new in zip(operation.edges, edges(one, operation, amount, -amount), strict=True):
            assert apart(edge_of(one.pieces, which), new) < operation.back_within


@pytest.mark.slow_after(2)
@pytest.mark.parametrize("number", [0, 4, 1, 2, 5, 6, 7, 8])  # the arcs of 3 have straight sides, which become an S
@pytest.mark.parametrize("amount", [-2.0, -3.0, -6.35])
def test_a_cap_lowered_by_little_does_not_waver(number: int, amount: float) -> None:
    """It is not slashed so near its notch that its side must turn to and fro."""
    one = garment(number)
    run = run_steps(one.pieces, f"cap-raise amount='{amount} mm'", seams=one.seams)
    assert not run.warnings
    assert edge_of(run.after, CAP[0]).inflections() <= one.sleeve.edge("cap").curve.inflections()
