"""gape: the dart's angle grows by the wedge's, its seam as sewn stays (common practice, from memory, no source)."""

from __future__ import annotations

import math

import pytest

from svgfit import Plan
from svgfit.geometry.affine import Affine
from svgfit.plugin import sewing
from svgfit.testing import Garment, assert_at_allowance, assert_smooth, assert_unchanged, refused, run

from .darted import darted_garment, folded_front, opened, with_bust_point

PLAIN = [
    pytest.param(darted_garment, id="plain"),
    pytest.param(lambda: Garment((folded_front(),)), id="folded"),
]


def seen(dart, point):
    """The angle of a dart's mouth from a point, by the law of cosines."""
    a, b, c = abs(dart.start - point), abs(dart.end - point), abs(dart.start - dart.end)
    return math.acos((a * a + b * b - c * c) / (2 * a * b))


@pytest.mark.parametrize("at", ["neckline 60 mm", "armhole 110 mm"])
@pytest.mark.parametrize("whole", PLAIN)
def test_the_pinch_goes_into_the_dart(whole, at):
    before = whole()
    old = before.piece("Front")
    point = old.landmark("bust point")
    done = run(f"gape piece=Front at='{at}' amount='8 mm'", before)
    new = done.piece("Front")
    edge, along = at.split()[0], float(at.split()[1])
    curve, t = sewing.place_along(old, edge, along)
    wedge = 2 * math.asin(4 / abs(curve.point(t) - point))
    assert seen(new.darts[0], point) == pytest.approx(seen(old.darts[0], point) + wedge, abs=1e-9)
    assert abs(new.darts[0].start - new.darts[0].apex) == pytest.approx(abs(new.darts[0].end - new.darts[0].apex))
    for name in ("side seam", "shoulder", "hem"):
        assert sewing.sewn_length(new, name) == pytest.approx(sewing.sewn_length(old, name), abs=1e-6), name
    lost = sewing.sewn_length(old, edge) - sewing.sewn_length(new, edge)
    assert 2 < lost < 9
    # Where the cut meets the edge slanting, less of the pinch is the edge's; that is told.
    assert any(f"the {edge} lost" in one for one in done.warnings) == (abs(lost - 8) > 0.8)
    assert any(f"the {edge} is" in one and "shorter" in one for one in done.warnings)
    assert_smooth(new, edge, turn=0.1)
    assert_at_allowance(new)
    centre = "fold" if new.has_edge("fold") else "centre"
    assert_unchanged(old, new, centre)


@pytest.mark.parametrize("to", ["side seam 110 mm", "hem 45%", "shoulder middle"])
def test_the_pinch_becomes_a_dart_or_runs_to_nothing(to):
    front = folded_front(dart=False)
    before = Garment((front,))
    done = run(f"gape piece=Front at='neckline middle' amount='7 mm' how='new dart' to='{to}'", before)
    (dart,) = done.piece("Front").darts
    edge = to.rsplit(" ", 2)[0] if "mm" in to else to.split()[0]
    assert dart.edge == edge
    assert sewing.sewn_length(done.piece("Front"), edge) == pytest.approx(sewing.sewn_length(front, edge), abs=1e-6)
    curve, t = sewing.place_along(front, "neckline", sewing.sewn_length(front, "neckline") / 2)
    point = front.landmark("bust point")
    assert seen(dart, point) == pytest.approx(2 * math.asin(3.5 / abs(curve.point(t) - point)), abs=1e-9)
    closed = run(f"gape piece=Front at='neckline middle' amount='7 mm' how=hinge to='{to}'", before)
    assert closed.piece("Front").darts == ()
    for name in ("neckline", edge):
        assert_smooth(closed.piece("Front"), name, turn=0.1)


def test_asked_for_the_edge_s_length_it_says_what_it_got():
    before = darted_garment()
    old = sewing.sewn_length(before.piece("Front"), "neckline")
    done = run(f"gape piece=Front at='neckline 60 mm' length='{old - 6} mm'", before)
    assert done.got["neckline length"] == pytest.approx(sewing.sewn_length(done.piece("Front"), "neckline"))
    assert done.got["neckline length"] == pytest.approx(old - 6, abs=2)


@pytest.mark.parametrize(
    "motion",
    [Affine.turn(0.7), Affine.scale(-1, 1).then(Affine.turn(-1.9))],
    ids=["turned", "mirrored and turned"],
)
def test_turned_and_mirrored_it_is_the_same(motion, tmp_path):
    front = folded_front()
    motion = motion.then(Affine.shift(900 + 900j))
    page = motion.apply(front.landmark("bust point"))
    step = "gape piece=Front at='neckline middle' amount='8 mm'"
    session = opened(front, tmp_path, motion)
    (row,) = session.run(Plan.from_steps(f"{step} bust-point='point {page.real} mm, {page.imag} mm'")).report.steps
    assert row.got == pytest.approx(run(step, Garment((front,))).got, abs=1e-5)


def test_what_can_t_be_pinched_is_refused():
    whole, plain = darted_garment(), Garment((folded_front(dart=False),))
    refused("gape piece=Front at='neckline middle' amount='90 mm'", whole, "ask for at most")
    refused("gape piece=Front at='neckline middle' length='900 mm'", whole, "ask for less than")
    refused("gape piece=Front at='neckline middle' amount='8 mm'", plain, "no dart")
    refused("gape piece=Front at='neckline middle' amount='8 mm' how=hinge", plain, "say it")
    refused("gape piece=Front at='neckline middle' amount='8 mm' to='hem middle'", whole, "leave it out")
    bare = Garment((whole.piece("Back"),))
    refused("gape piece=Back at='neckline middle' amount='8 mm' how='new dart' to='hem middle'", bare, "no bust point")
    assert with_bust_point(whole.piece("Back")).landmark("bust point")
