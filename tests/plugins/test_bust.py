"""bust: width, length and dart by plain trigonometry about the hinge (common practice, from memory, no source)."""

from __future__ import annotations

import math

import pytest

from svgfit import Plan
from svgfit.geometry.affine import Affine
from svgfit.plugin import Dart, replace, sewing
from svgfit.testing import Garment, assert_at_allowance, assert_smooth, assert_unchanged, garment, refused, run

from .darted import darted_garment, folded_front, opened, with_bust_point


def plain():
    whole = garment()
    return whole.with_piece(with_bust_point(whole.piece("Front"), 140 + 100j))


WHOLES = [
    pytest.param(darted_garment, id="darted"),
    pytest.param(lambda: Garment((folded_front(),)), id="folded"),
    pytest.param(lambda: Garment((folded_front(dart=False),)), id="no dart"),
    pytest.param(plain, id="plain"),
]


def seen(dart, point):
    """The angle of a dart's mouth from a point, by the law of cosines."""
    a, b, c = abs(dart.start - point), abs(dart.end - point), abs(dart.start - dart.end)
    return math.acos((a * a + b * b - c * c) / (2 * a * b))


def hinge(front):
    curve, t = sewing.place_along(front, "armhole", sewing.sewn_length(front, "armhole") / 3)
    return curve.point(t)


@pytest.mark.parametrize("amount", [25.4, 38.0, -12.0])
@pytest.mark.parametrize("whole", WHOLES)
def test_the_bust_is_wider_by_half_of_it_and_what_is_sewn_stays(whole, amount):
    before = whole()
    old = before.piece("Front")
    if amount < 0 and not old.darts:
        refused(f"bust piece=Front amount='{amount} mm'", before, "there is none")
        return
    done = run(f"bust piece=Front amount='{amount} mm'", before)
    new = done.piece("Front")
    point = old.landmark("bust point")
    # The point swings on a circle about the hinge: Pythagoras gives how far it goes down.
    arm = point - hinge(old)
    drop = math.sqrt(abs(arm) ** 2 - (arm.real - amount / 2) ** 2) - arm.imag
    for name, across in (("hem side", amount / 2), ("hem centre", 0.0)):
        moved = new.landmark(name) - old.landmark(name)
        assert moved == pytest.approx(complex(-across, drop), abs=1e-6), name
    opening = math.atan2(arm.imag + drop, arm.real - amount / 2) - math.atan2(arm.imag, arm.real)
    dart = next(one for one in new.darts if one.edge == "side seam")
    was = seen(old.darts[0], point) if old.darts else 0.0
    swung = point + complex(-amount / 2, drop)
    assert seen(dart, swung) == pytest.approx(was + opening, abs=1e-6)
    assert abs(dart.start - dart.apex) == pytest.approx(abs(dart.end - dart.apex), abs=1e-9)
    for name in ("side seam", "shoulder", "neckline"):
        assert sewing.sewn_length(new, name) == pytest.approx(sewing.sewn_length(old, name), abs=1e-6), name
    # The armhole's parts are as they were; leading over the bend at the hinge makes it longer by tenths of a mm.
    armhole = sewing.sewn_length(new, "armhole") - sewing.sewn_length(old, "armhole")
    assert abs(armhole) < 1.0
    assert any("the armhole is" in one for one in done.warnings) == (abs(armhole) > 0.1)
    centre = "fold" if new.has_edge("fold") else "centre"
    assert sewing.sewn_length(new, centre) == pytest.approx(sewing.sewn_length(old, centre) + drop, abs=1e-6)
    assert new.edge(centre).curve.is_straight()
    for name in ("armhole", "hem", centre, "side seam"):
        assert_smooth(new, name, turn=0.1)
    assert_at_allowance(new)
    assert_unchanged(old, new, "shoulder", "neckline")
    assert any("hem is" in one for one in done.warnings)


def test_asked_for_the_width_it_is_that_wide():
    before = Garment((folded_front(dart=False),))
    first = run("bust piece=Front each='10 mm'", before)
    done = run(f"bust piece=Front width='{first.got['bust width']} mm'", before)
    assert done.got == pytest.approx(first.got, abs=1e-6)
    assert first.got["bust width"] == pytest.approx(260 + 10, abs=1e-6)


@pytest.mark.parametrize(
    "motion",
    [Affine.turn(0.7), Affine.scale(-1, 1).then(Affine.turn(-1.9))],
    ids=["turned", "mirrored and turned"],
)
def test_turned_and_mirrored_it_is_the_same(motion, tmp_path):
    front = folded_front()
    motion = motion.then(Affine.shift(900 + 900j))
    page = motion.apply(front.landmark("bust point"))
    session = opened(front, tmp_path, motion)
    step = f"bust piece=Front amount='1 in' bust-point='point {page.real} mm, {page.imag} mm'"
    (row,) = session.run(Plan.from_steps(step)).report.steps
    assert row.got == pytest.approx(run("bust piece=Front amount='1 in'", Garment((front,))).got, abs=1e-4)


def test_what_can_t_be_done_is_refused():
    whole = darted_garment()
    refused("bust piece=Front amount='20 in'", whole, "ask for at most")
    refused("bust piece=Front amount='-4 in'", whole, "take away less than")
    refused("bust piece=Front amount='0 in'", whole, "nothing would change")
    refused("bust piece=Front amount='1 in'", garment(), "no bust point")
    refused("bust piece=Front amount='1 in' side='point 3 in, 3 in'", whole, "off the stitch line")


def test_a_dart_in_the_lower_edge_takes_what_it_gains():
    front = darted_garment().piece("Front")
    point = front.landmark("bust point")
    hem = front.edge("hem").curve
    t = hem.crossings(complex(point.real, -900), complex(point.real, 900))[0]
    low = Dart("hem", hem.point(t) + 9, complex(point.real, hem.point(t).imag - 120), hem.point(t) - 9)
    # Its ends on the slanting hem, as far along it on both sides.
    way = hem.tangent(t)
    low = replace(low, start=hem.point(t) - 9 * way, end=hem.point(t) + 9 * way)
    front = replace(front, darts=(*front.darts, low))
    done = run("bust piece=Front amount='1 in'", Garment((front,)))
    new = done.piece("Front")
    assert sorted(one.edge for one in new.darts) == ["hem", "side seam"]
    for name in ("hem", "side seam"):
        assert sewing.sewn_length(new, name) == pytest.approx(sewing.sewn_length(front, name), abs=1e-6), name
    wider = next(one for one in new.darts if one.edge == "hem")
    assert (wider.start - wider.end).real == pytest.approx((low.start - low.end).real + 12.7, abs=1e-6)
    assert abs(wider.start - wider.apex) == pytest.approx(abs(wider.end - wider.apex), abs=1e-9)
    assert not any("hem is" in one for one in done.warnings)
