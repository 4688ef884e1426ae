"""seam-check: two seams compared on the stitch line."""

from __future__ import annotations

import pytest

from svgfit.model.refusal import Refusal

from .running import bodice, run_steps

PIECES = (bodice("front", 240.0), bodice("back", 241.0))


@pytest.mark.parametrize(
    ("asked", "status"),
    [
        ("", "pass"),  # 1 mm apart, within 1/16 in
        ("match=yes", "pass"),
        ("tolerance='0.6 mm'", "warn"),  # within twice that
        ("tolerance='0.2 mm'", "fail"),
        ("min='-2 mm' max='0 mm'", "pass"),
        ("min='0 mm'", "fail"),
        ("max='-2 mm'", "fail"),
    ],
)
def test_verdicts(asked: str, status: str) -> None:
    run = run_steps(PIECES, f"seam-check a=Front/armhole b=Back/armhole {asked}")
    (check,) = run.checks
    assert check.status == status
    assert check.values["difference"] == pytest.approx(-1.0, abs=1e-6)
    assert run.after == run.before


def test_several_edges_are_added_up() -> None:
    run = run_steps(PIECES, "seam-check a=Front/armhole+Back/armhole b=Front/armhole min='240 mm'")
    (check,) = run.checks
    assert check.values["a"] == pytest.approx(481.0, abs=1e-6)


@pytest.mark.parametrize(
    ("step", "what"),
    [
        ("seam-check a=Front/armhole", "b"),
        ("seam-check a=Front/armhole b=Yoke/armhole", "Yoke"),
        ("seam-check a=Front/armhole b=Back/cap", "cap"),
        ("seam-check a=Front/armhole b=Back/armhole min='2 mm' max='1 mm'", "larger than max"),
        ("seam-check a=Front/armhole b=Back/armhole match=perhaps", "match"),
        ("seam-check a=Front/armhole b=Back/armhole match=yes max='1 mm'", "match"),
    ],
)
def test_refusals(step: str, what: str) -> None:
    with pytest.raises(Refusal, match=what):
        run_steps(PIECES, step)
