"""dart-move: legs of one length, the mouth as said, the seam as sewn as it was (common practice, from memory)."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

import svgfit
from svgfit import Plan
from svgfit.geometry.affine import Affine
from svgfit.pattern.cut_line import cut_line
from svgfit.plugin import sewing
from svgfit.testing import Garment, assert_at_allowance, assert_smooth, assert_unchanged, refused, run
from tests.fitting.garments import layer, notched, svg_of

from .darted import darted_garment, drawn_inside, folded_front, opened, places

WHOLES = [pytest.param(darted_garment, id="plain"), pytest.param(lambda: Garment((folded_front(),)), id="folded")]


def legs(dart):
    return abs(dart.apex - dart.start), abs(dart.apex - dart.end)


@pytest.mark.parametrize("whole", WHOLES)
@pytest.mark.parametrize(
    "asked",
    [
        "tip='bust point, 10 mm left'",
        "tip='side seam dart, 15 mm up'",
        "along='20 mm'",
        "along='-20 mm'",
        "along='10 mm' tip='side seam dart, 15 mm up'",
        "parts=2 apart='12 mm'",
        "parts=3 apart='8 mm'",
    ],
)
def test_moved_or_divided_the_seam_as_sewn_stays_and_the_legs_are_equal(whole, asked):
    before = whole()
    old = before.piece("Front")
    done = run(f"dart-move piece=Front {asked}", before)
    new = done.piece("Front")
    change = sewing.sewn_length(new, "side seam") - sewing.sewn_length(old, "side seam")
    assert abs(change) < 1e-6
    assert not any("as sewn is" in one for one in done.warnings)
    for dart in new.darts:
        assert legs(dart)[0] == pytest.approx(legs(dart)[1], abs=1e-9)
    assert_smooth(new, "side seam", turn=0.1)
    assert_at_allowance(new)
    others = [edge.name for edge in old.edges if edge.name != "side seam"]
    assert_unchanged(old, new, *others)


def test_moved_along_it_stays_parallel_and_as_wide():
    before = darted_garment()
    (was,) = before.piece("Front").darts
    (now,) = run("dart-move piece=Front along='20 mm'", before).piece("Front").darts
    way = (was.end - was.start) / abs(was.end - was.start)
    shift = now.apex - was.apex
    assert abs(shift) == pytest.approx(20, abs=1e-9)
    assert abs(abs((shift * way.conjugate()).real) - 20) < 1e-9
    # The seam's halves meet the dart at an angle: to keep the seam's length the mouth gives some tenths of a mm.
    assert abs(now.end - now.start) == pytest.approx(abs(was.end - was.start), abs=0.3)
    assert shift.imag > 0, "away from the underarm"


@pytest.mark.parametrize("asked", ["amount='6 mm'", "mouth='36 mm'", "amount='-8 mm'", "mouth='10 mm'"])
def test_a_wider_mouth_takes_from_the_seam_and_is_told(asked):
    front = drawn_inside()
    done = run(f"dart-move piece=Front {asked}", Garment((front,)))
    new = done.piece("Front")
    (dart,) = new.darts
    wide = {"amount='6 mm'": 36, "mouth='36 mm'": 36, "amount='-8 mm'": 22, "mouth='10 mm'": 10}[asked]
    assert abs(dart.start - dart.end) == pytest.approx(wide, abs=1e-9)
    assert done.got["dart mouth"] == pytest.approx(wide, abs=1e-9)
    # The block's seam is one straight line of 400 mm: what is not mouth is sewn.
    assert sewing.sewn_length(new, "side seam") == pytest.approx(400 - wide, abs=1e-9)
    assert legs(dart)[0] == pytest.approx(math.hypot(120, wide / 2), abs=1e-9)
    assert any("as sewn is" in one for one in done.warnings)
    assert [mark.kind for mark in new.marks] == ["grain line"], "the old legs are gone"


def test_divided_darts_are_alike_and_take_in_what_the_one_did():
    front = drawn_inside()
    new = run("dart-move piece=Front parts=2 apart='20 mm'", Garment((front,))).piece("Front")
    one, two = sorted(new.darts, key=lambda dart: dart.start.imag)
    # On a straight seam: 15 mm each, 20 mm apart, about the old dart's middle at 120 mm.
    assert [one.start, one.end] == pytest.approx([95j, 110j], abs=1e-6)
    assert [two.start, two.end] == pytest.approx([130j, 145j], abs=1e-6)
    assert sewing.sewn_length(new, "side seam") == pytest.approx(370, abs=1e-6)


def test_a_notch_stays_where_it_meets_the_other_seam():
    front = darted_garment().piece("Front")

    front = notched(front, "side seam", 60.0, 450.0)
    new = run("dart-move piece=Front along='-18 mm'", Garment((front,))).piece("Front")
    old, now = (
        [sewing.sewn_distance(one, "side seam", m.at or 0j) for m in one.notches("side seam")] for one in (front, new)
    )
    assert now == pytest.approx(old, abs=1e-6)


@pytest.mark.parametrize(
    "motion",
    [Affine.turn(0.7), Affine.scale(-1, 1).then(Affine.turn(-1.9))],
    ids=["turned", "mirrored and turned"],
)
def test_turned_and_mirrored_it_is_the_same(motion, tmp_path):
    front = folded_front()
    session = opened(front, tmp_path, motion.then(Affine.shift(900 + 900j)))
    step = "dart-move piece=Front along='12 mm' amount='4 mm' tip='side seam dart, 9 mm up'"
    (row,) = session.run(Plan.from_steps(step)).report.steps
    assert row.got == pytest.approx(run(step, Garment((front,))).got, abs=1e-5)


def test_what_can_t_be_drawn_is_refused():
    whole = darted_garment()
    for asked, why in [
        ("", "nothing to do is said"),
        ("along='900 mm'", "would leave its edge"),
        ("amount='-40 mm'", "narrower by less than"),
        ("amount='2 mm' mouth='10 mm'", "give one of them"),
        ("tip='underarm, 30 in left'", "outside the piece"),
        ("parts=3 apart='300 mm'", "more edge than there is"),
        ("dart=hem along='2 mm'", "it has darts in: side seam"),
    ]:
        refused(f"dart-move piece=Front {asked}", whole, why)


def test_unnamed_edges_stay_the_very_same():
    old = replace(drawn_inside(), name="Panel", kind="other")
    new = run("dart-move piece=Panel along='5 mm'", Garment((old,))).piece("Panel")
    for edge in old.edges:
        if edge.name != "side seam":
            assert new.edge(edge.name).curve is edge.curve


def test_the_drawn_cut_line_follows_several_darts_in_a_straight_seam(tmp_path):
    """Kept stretches were told by shares of parameters, which differ once the seam has new nodes."""
    front = drawn_inside()
    cut = cut_line(front)
    assert cut is not None
    path = tmp_path / "front.svg"
    at = Affine.shift(500 + 500j)
    legs_drawn = layer("Front details", [front.marks[0].curves[0].transform(at)])
    text = svg_of((front,), (at,), (cut,)).replace("</svg>", f"{legs_drawn}</svg>")
    path.write_text(text, encoding="utf-8")
    session = svgfit.open_drawings(path)
    done = session.run(Plan.from_steps("dart-move piece=Front parts=2 apart='50 mm'"))
    (piece,) = done.pieces
    assert len(piece.darts) == 2
    new = cut_line(piece)
    assert new is not None
    (old_piece,) = session.pieces
    side = min(p.real for p in places(old_piece.outline(), 400))
    # Nothing of the cut line stands out further than three allowances (the roofs), the rest lies at its 15 mm.
    assert min(p.real for p in places(new, 900)) > side - 45
    assert_at_allowance(piece)
