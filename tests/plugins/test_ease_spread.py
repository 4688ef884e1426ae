"""ease-spread: what it must show."""

from __future__ import annotations

import re

import pytest
from hypothesis import HealthCheck, assume, event, given, settings
from hypothesis import strategies as st

from svgfit.model.refusal import Refusal
from tests.fitting.sleeves import Shape, shapes, sleeve
from tests.shapes.garments import garment

from .running import CAP_SEAM, INCH, bodice, refused_line, run_steps, value


def test_openings_are_as_asked_and_the_gain_is_another_figure() -> None:
    run = run_steps((sleeve(Shape()),), 'ease-spread amount="1/2 in" at=0.8')
    for opening in run.openings:
        assert opening.width == pytest.approx(INCH / 4, abs=1e-6)
        assert abs(opening.second - opening.first) == pytest.approx(INCH / 4, abs=1e-6)
    assert value(run, "cap height") == pytest.approx(value(run, "cap height", before=True), abs=1e-9)
    assert value(run, "bicep width") == pytest.approx(value(run, "bicep width", before=True), abs=1e-9)
    gained = value(run, "cap length") - value(run, "cap length", before=True)
    assert run.steps[0].got["cap length gained"] == pytest.approx(gained, abs=1e-9)
    assert sum(opening.gain for opening in run.openings) == pytest.approx(gained, abs=1e-6)
    assert abs(gained - INCH / 2) > 2, "a spread is not a gain"


def test_half_the_amount_on_each_side_unless_asked_otherwise() -> None:
    """Half the ease on each side: common practice, no source."""
    run = run_steps((sleeve(Shape()),), 'ease-spread amount="1/2 in" share-back="0.6"')
    front, back = run.openings
    assert front.width == pytest.approx(0.4 * INCH / 2, abs=1e-6)
    assert back.width == pytest.approx(0.6 * INCH / 2, abs=1e-6)


def test_near_the_centre_the_edge_would_rise_over_the_top() -> None:
    with pytest.raises(Refusal, match="over the cap top"):
        run_steps((sleeve(Shape()),), 'ease-spread amount="1/2 in" at=0.95')


@pytest.mark.slow
@given(shapes, st.floats(-0.6, 0.9))
@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_a_cap_length_is_reached_within_a_hundredth_or_the_range_is_said(shape: Shape, share: float) -> None:
    assume(abs(share) > 0.05)
    before = sleeve(shape)
    target = before.edge("cap").curve.length() + 5 * share
    try:
        run = run_steps((before,), f"ease-spread cap-length='{target:.6f} mm'")
    except Refusal as refusal:
        refused = refusal.line()
    else:
        refused = ""
    event("refused" if refused else "reached")
    if refused:
        # What it says it can't reach lies outside the range it says it can.
        least, most = map(float, re.findall(r"reaches ([+-]?[\d.]+) mm \([^)]*\) to ([+-]?[\d.]+) mm", refused)[0])
        assert not least + 0.06 < 5 * share < most - 0.06
        return
    assert value(run, "cap length") == pytest.approx(target, abs=0.01)
    assert value(run, "cap height") == pytest.approx(shape.height, abs=1e-9)
    assert not [check for check in run.checks if check.status != "pass"]


def test_the_movement_is_the_smallest() -> None:
    """Every smaller movement, tried by hand, gains less."""
    before = sleeve(Shape())
    length = before.edge("cap").curve.length()
    run = run_steps((before,), f"ease-spread cap-length='{length + 3:.6f} mm'")
    movement = sum(abs(opening.width) for opening in run.openings)
    for part in (0.25, 0.5, 0.75, 0.9):
        for sign in (1, -1):
            tried = run_steps((before,), f"ease-spread amount='{sign * part * movement:.6f} mm'")
            assert value(tried, "cap length") < length + 3


def test_raise_then_ease_hold_at_the_end() -> None:
    pieces = (sleeve(Shape()), bodice("front", 225), bodice("back", 232))
    run = run_steps(
        pieces,
        "cap-raise amount='3/8 in'",
        "ease-spread ease='34 mm'",
        "seam-check a=Sleeve/cap b=Front/armhole+Back/armhole min='1 in' max='1 1/2 in'",
        seams=(CAP_SEAM,),
    )
    assert value(run, "cap height") == pytest.approx(140 + 0.375 * INCH, abs=1e-9)
    assert value(run, "cap ease") == pytest.approx(34, abs=0.01)
    assert [check.status for check in run.checks] == ["pass"] * len(run.checks)


@pytest.mark.parametrize(
    ("step", "what"),
    [
        pytest.param("ease-spread cap-length='600 mm'", "reaches", marks=pytest.mark.slow),
        ("ease-spread ease='1 in'", "needs the armholes"),
        ("ease-spread amount='20 in'", "too large for a corner"),
        ("ease-spread amount='1/4 in' at=1.5", "at"),
        ("ease-spread amount='1/4 in' hinge-down='20 in'", "off the seam"),
        ("ease-spread", "amount"),
        ("ease-spread amount='1/4 in' ease='1 in'", "amount"),
    ],
)
def test_what_cannot_be_done_is_refused_in_one_line(step: str, what: str) -> None:
    assert what in refused_line((sleeve(Shape()),), step)


def test_a_hinge_below_the_underarm_point_redraws_the_seams_alike_and_changes_the_bicep() -> None:
    run = run_steps((sleeve(Shape()),), "ease-spread amount='-1/2 in' hinge-down='25 mm'")
    (piece,) = run.after
    for side in ("front", "back"):
        assert len(piece.edge(f"underarm {side}").curve) == 1
    assert abs(value(run, "bicep width") - value(run, "bicep width", before=True)) > 0.5


def test_the_second_opening_is_told_by_its_place_on_the_edge_as_drawn() -> None:
    """Mirrored halves: the back's opening lies as far from the back end as the front's from the front end."""
    before = sleeve(Shape(front=175, back=175))
    front, back = run_steps((before,), "ease-spread amount='1/2 in'").openings
    assert abs(front.gain) > 0.2
    assert back.at == pytest.approx(before.edge("cap").curve.length() - front.at, abs=1e-6)


def test_a_rise_of_a_hair_over_the_top_is_no_hump() -> None:
    one = garment(5)
    for amount in (-10, 9, 11, 12):
        run_steps(one.pieces, f"ease-spread amount='{amount} mm'")


def test_where_it_reaches_too_little_it_says_what_reaches_more() -> None:
    before = sleeve(Shape())
    length = before.edge("cap").curve.length()
    line = refused_line((before,), f"ease-spread cap-length='{length + 25:.3f} mm'")
    (up,) = re.findall(r"raise the cap by ([\d.]+ mm) .*\(cap-raise\)", line)
    run = run_steps((before,), f"cap-raise amount='{up}'")
    assert value(run, "cap length") == pytest.approx(length + 25, abs=3)
    assert re.search(r"widen the bicep by [\d.]+ mm .*\(bicep-widen\)", line)
