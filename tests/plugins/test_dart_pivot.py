"""dart-pivot: the angle at the pivot and every length as sewn stay (common practice, from memory, no source)."""

from __future__ import annotations

import math

import numpy as np
import pytest
from msgspec.structs import replace

import svgfit
from svgfit import Plan
from svgfit.app.sewing_warnings import sewing_warnings
from svgfit.fitting.walking import WalkLimits
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.length import Units
from svgfit.plugin import sewing
from svgfit.testing import Garment, assert_at_allowance, assert_smooth, assert_unchanged, garment, refused, run

from .darted import darted, darted_garment, drawn_inside, folded_front, opened

EDGES = ("armhole", "shoulder", "neckline", "hem", "side seam")


def seen(dart, point):
    """The angle of a dart's mouth from a point, by the law of cosines."""
    a, b, c = abs(dart.start - point), abs(dart.end - point), abs(dart.start - dart.end)
    return math.acos((a * a + b * b - c * c) / (2 * a * b))


WHOLES = [pytest.param(darted_garment, id="plain"), pytest.param(lambda: Garment((folded_front(),)), id="folded")]


@pytest.mark.parametrize("to", ["hem 60%", "shoulder middle", "armhole 60%", "neckline middle", "side seam 40%"])
@pytest.mark.parametrize("whole", WHOLES)
def test_the_angle_and_every_sewn_length_stay(whole, to):
    before = whole()
    old = before.piece("Front")
    point = old.landmark("bust point")
    done = run(f"dart-pivot piece=Front to='{to}'", before)
    new = done.piece("Front")
    (was,), (now,) = old.darts, new.darts
    assert to.startswith(now.edge)
    assert seen(now, point) == pytest.approx(seen(was, point), abs=1e-9)
    assert done.got["dart mouth"] == pytest.approx(abs(now.start - now.end), abs=1e-9)
    legs = [abs(now.apex - end) for end in (now.start, now.end)]
    assert legs[0] == pytest.approx(legs[1], abs=1e-9)
    assert abs(now.apex - point) == pytest.approx(20, abs=1e-6), "drawn back as far as the old tip was"
    for name in EDGES:
        change = sewing.sewn_length(new, name) - sewing.sewn_length(old, name)
        # Where the dart was closed about the bust point the seam is trued: that alone may change its length.
        assert abs(change) < (0.15 if name == "side seam" else 1e-6), name
        assert_smooth(new, name, turn=0.1)
    centre = "fold" if new.has_edge("fold") else "centre"
    assert_unchanged(old, new, centre)
    if not to.startswith("neckline"):  # there the dart's roof comes too near to its legs; the cut line is refused
        assert_at_allowance(new)


@pytest.mark.parametrize("to", ["hem 60%", "shoulder middle", "armhole 60%"])
def test_about_the_dart_s_own_tip_no_length_changes(to):
    front = darted(garment().piece("Front"))
    front = replace(front, landmarks=tuple(one for one in front.landmarks if one.name != "bust point"))
    new = run(f"dart-pivot piece=Front to='{to}'", Garment((front,))).piece("Front")
    for name in EDGES:
        assert sewing.sewn_length(new, name) == pytest.approx(sewing.sewn_length(front, name), abs=1e-6), name
    assert seen(new.darts[0], front.darts[0].apex) == pytest.approx(seen(front.darts[0], front.darts[0].apex), abs=1e-9)


@pytest.mark.parametrize(("asked", "share"), [("share=0.4", 0.4), ("amount='12 mm'", None), ("mouth='14 mm'", None)])
def test_turned_by_share_the_two_angles_add_up(asked, share):
    before = darted_garment()
    old = before.piece("Front")
    point, (was,) = old.landmark("bust point"), old.darts
    new = run(f"dart-pivot piece=Front to='hem 60%' {asked}", before).piece("Front")
    left = next(one for one in new.darts if one.edge == "side seam")
    made = next(one for one in new.darts if one.edge == "hem")
    assert seen(left, point) + seen(made, point) == pytest.approx(seen(was, point), abs=1e-9)
    if share:
        assert seen(made, point) == pytest.approx(share * seen(was, point), abs=1e-9)
    elif "amount" in asked:
        assert abs(left.start - left.end) == pytest.approx(abs(was.start - was.end) - 12, abs=1e-6)
    else:
        assert abs(made.start - made.end) == pytest.approx(14, abs=1e-6)
    for one in (left, made):
        assert abs(one.start - one.apex) == pytest.approx(abs(one.end - one.apex), abs=1e-9)
    for name in EDGES:
        assert sewing.sewn_length(new, name) == pytest.approx(sewing.sewn_length(old, name), abs=1e-6), name


def test_a_dart_drawn_inside_takes_its_lines_along_and_the_corner_it_leaves_is_told():
    front = drawn_inside()
    done = run("dart-pivot piece=Front to='hem middle' bust-point='point 150 mm, 120 mm'", Garment((front,)))
    new = done.piece("Front")
    assert [one.edge for one in new.darts] == ["hem"]
    assert [mark.kind for mark in new.marks] == ["grain line"]
    assert sewing.sewn_length(new, "side seam") == pytest.approx(370, abs=1e-6)
    assert any("has a corner of" in one for one in done.warnings)


@pytest.mark.parametrize(
    "motion",
    [Affine.turn(0.7), Affine.scale(-1, 1).then(Affine.turn(-1.9))],
    ids=["turned", "mirrored and turned"],
)
def test_turned_and_mirrored_it_is_the_same(motion, tmp_path):
    front = folded_front()
    at = front.landmark("bust point")
    motion = motion.then(Affine.shift(900 + 900j))
    page = motion.apply(at)
    step = f"dart-pivot piece=Front to='shoulder middle' bust-point='point {page.real} mm, {page.imag} mm'"
    session = opened(front, tmp_path, motion)
    done = session.run(Plan.from_steps(step))
    (row,) = done.report.steps
    plain = run("dart-pivot piece=Front to='shoulder middle'", Garment((front,)))
    assert row.got == pytest.approx(plain.got, abs=1e-5)
    done.write(tmp_path / "out.svg")

    (again,) = svgfit.open_drawings(tmp_path / "out.svg", from_adjusted=True).pieces
    assert [one.edge for one in again.darts] == ["shoulder"]
    assert sewing.sewn_length(again, "shoulder") == pytest.approx(sewing.sewn_length(front, "shoulder"), abs=1e-3)


def test_there_and_back_it_is_what_it_was():
    before = darted_garment()
    old = before.piece("Front")
    front = replace(old, landmarks=tuple(one for one in old.landmarks if one.name != "bust point"))
    at = sewing.sewn_distance(front, "side seam", front.darts[0].start)
    there = run("dart-pivot piece=Front to='hem 60%' tip='0 mm'", Garment((front,)))
    back = run(f"dart-pivot piece=Front to='side seam {at} mm'", Garment(there.pieces)).piece("Front")
    for edge in front.edges:
        for t in range(len(edge.curve) + 1):
            assert back.edge(edge.name).curve.nearest(edge.curve.point(float(t)))[1] < 1e-5, edge.name


def test_what_can_t_be_turned_is_refused():
    whole = darted_garment()
    for asked, why in [
        ("to='hem side'", "off the corner"),
        ("to='hem 60%' amount='60 mm'", "only"),
        ("to='hem 60%' mouth='300 mm'", "at most"),
        ("to='hem 60%' mouth='3 mm' share=0.2", "give one of them"),
        ("to='hem 60%' dart=armhole", "it has darts in: side seam"),
        ("to='hem 60%' number=2", "count from 1 to 1"),
        ("to='hem 60%' bust-point='underarm, 3 in right'", "move its tip first"),
        ("to='hem 60%' tip='600 mm'", "end it nearer"),
    ]:
        refused(f"dart-pivot piece=Front {asked}", whole, why)
    refused("dart-pivot piece=Front to='fold middle'", Garment((folded_front(),)), "which is a fold")
    refused("dart-pivot piece=Back to='hem 60%'", whole, "no dart")


def test_an_armhole_that_only_turned_along_is_not_told_to_bend():
    """Its sharpest bend was looked for where it had been on the page."""
    front = folded_front()
    sharp = Curve.chain(
        [
            Curve.polyline([front.edge("armhole").curve.start, 30 + 0j]),
            Curve(np.array([[30, 40 + 0j, 45 - 5j, 45 - 20j]])),
            Curve.polyline([45 - 20j, 45 - 200j]),
        ]
    )
    edges = tuple(replace(one, curve=sharp) if one.name == "armhole" else one for one in front.edges)
    front = replace(front, edges=edges)
    done = run("dart-pivot piece=Front to='shoulder middle'", Garment((front,)))
    assert sewing.sewn_length(done.piece("Front"), "armhole") == pytest.approx(sharp.length(), abs=1e-6)
    told = sewing_warnings([front], [done.piece("Front")], {}, WalkLimits(), Units())
    assert not any("bends as at a corner" in one for one in told)
