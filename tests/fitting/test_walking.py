"""Walking a sleeve along its armhole: zones, verdicts, what is missing, what can't be walked."""

from __future__ import annotations

import math

import numpy as np
import pytest
from msgspec.structs import replace

from svgfit.fitting.measure import cap_ease
from svgfit.fitting.walking import WalkLimits, check_ease_share, walk_sleeve
from svgfit.geometry.curve import Curve
from svgfit.model.length import Units
from svgfit.model.piece import Dart, Piece
from svgfit.model.plan import Seam
from svgfit.model.refusal import Refusal
from svgfit.model.walk import Walk
from svgfit.rules.ease import STYLES, find_style

from .garments import INCH, SEAMS, bodice_of, notched, scooped, straight_bodice, straight_sleeve, verdicts, yoke, zones
from .sleeves import Shape, sleeve

LOWER = ("front underarm to notch", "back underarm to notch")
NAMES = [
    "front underarm to notch",
    "front notch to shoulder",
    "back underarm to notch",
    "back notch to shoulder",
]


def garment(
    cap: tuple[float, float] = (220.0, 230.0),
    armhole: tuple[float, float] = (214.0, 222.0),
    cap_notch: tuple[float, float] = (90.0, 95.0),
    notch: tuple[float, float] = (90.0, 95.0),
) -> tuple[Piece, ...]:
    """Sleeve, front, back, straight-lined; one notch in front, two behind, each so far from its underarm point."""
    whole = sum(cap)
    arm = notched(straight_sleeve(*cap), "cap", cap_notch[0], whole - cap_notch[1], whole - cap_notch[1] - 12)
    front = notched(straight_bodice("front", armhole[0]), "armhole", notch[0])
    back = notched(straight_bodice("back", armhole[1]), "armhole", notch[1], notch[1] + 12)
    return notched(arm, "cap", cap[0], kind="shoulder notch"), front, back


def walked(pieces: tuple[Piece, ...], seams: tuple[Seam, ...] = SEAMS, **rules: object) -> Walk:
    return walk_sleeve(pieces[0], pieces, seams, WalkLimits(**rules), Units())  # type: ignore[arg-type]


def test_zones_run_from_underarm_to_the_lower_notch_and_on_to_the_shoulder() -> None:
    found = walked(garment())
    assert [zone.zone for zone in found.zones] == NAMES
    assert [zone.cap for zone in found.zones] == pytest.approx([90, 130, 95, 135], abs=1e-6)
    assert [zone.armhole for zone in found.zones] == pytest.approx([90, 124, 95, 127], abs=1e-6)
    assert [zone.ease for zone in found.zones] == pytest.approx([0, 6, 0, 8], abs=1e-6)
    assert (found.cap, found.armhole, found.ease) == pytest.approx((450, 436, 14), abs=1e-6)
    assert found.share_back == pytest.approx(8 / 14)


def test_the_curves_of_a_zone_are_its_stretches_from_the_lower_end_up() -> None:
    pieces = (garment()[0], *(notched(scooped(kind), "armhole", 80.0) for kind in ("front", "back")))
    for zone in walked(pieces).zones:
        assert zone.cap_curve is not None
        assert zone.armhole_curve is not None
        assert zone.cap_curve.length() == pytest.approx(zone.cap, abs=1e-6)
        assert zone.armhole_curve.length() == pytest.approx(zone.armhole, abs=1e-6)
        side, piece = zone.zone.split()[0], pieces[1 if zone.zone.startswith("front") else 2]
        whole = piece.edge("armhole").curve
        ends = (0j, whole.point(whole.at_length(80.0)), whole.end)
        low, high = ends[:2] if zone.zone in LOWER else ends[1:]
        assert abs(zone.armhole_curve.start - low) < 1e-6
        assert abs(zone.armhole_curve.end - high) < 1e-6
        assert zone.cap_curve.start.imag > zone.cap_curve.end.imag
        assert (zone.cap_curve.start.real > 0) == (side == "front")


def test_stops_are_told_in_order_with_one_shoulder_on_each_seam() -> None:
    found = walked(garment())
    assert [(stop.kind, stop.side) for stop in found.cap_stops] == [
        ("notch", "front"),
        ("shoulder notch", ""),
        ("notch", "back"),
        ("notch", "back"),
    ]
    assert [stop.at for stop in found.cap_stops] == pytest.approx([90, 220, 343, 355], abs=1e-6)
    assert [(stop.kind, stop.side) for stop in found.armhole_stops] == [
        ("notch", "front"),
        ("seam", ""),
        ("notch", "back"),
        ("notch", "back"),
    ]
    assert [stop.at for stop in found.armhole_stops] == pytest.approx([90, 214, 329, 341], abs=1e-6)


@pytest.mark.parametrize(
    ("apart", "careful", "workable", "status"),
    [
        (1 / 32, 1 / 16, 1 / 8, "pass"),
        (1 / 16, 1 / 16, 1 / 8, "pass"),
        (3 / 32, 1 / 16, 1 / 8, "warn"),
        (1 / 8, 1 / 16, 1 / 8, "warn"),
        (5 / 32, 1 / 16, 1 / 8, "fail"),
        (5 / 32, 1 / 16, 1 / 4, "warn"),
        (-5 / 32, 1 / 16, 1 / 8, "fail"),
        (1 / 32, 0, 0, "fail"),
    ],
)
def test_below_the_notches_the_two_must_match(apart: float, careful: float, workable: float, status: str) -> None:
    pieces = garment(cap_notch=(90 + apart * INCH, 95))
    found = verdicts(walked(pieces, careful=careful * INCH, workable=workable * INCH))
    assert found["front underarm to notch"] == status
    assert found["back underarm to notch"] == "pass"


@pytest.mark.parametrize("ease", [-10.0, 0.0, 12.0, 70.0, 3 * INCH, 90.0])
@pytest.mark.parametrize("gathered", [False, True])
def test_without_a_style_only_less_than_nothing_and_three_inches_are_warned_of(ease: float, gathered: bool) -> None:
    pieces = garment(cap=(214 + ease / 2, 222 + ease / 2))
    off = ease < 0 or (ease >= 3 * INCH and not gathered)
    assert verdicts(walked(pieces, gathered=gathered))["cap ease"] == ("warn" if off else "pass")


@pytest.mark.parametrize("style", STYLES, ids=lambda style: style.name)
def test_a_style_s_own_range_holds(style) -> None:
    low, high = style.still or style.cap
    for ease, status in (
        (low - 1, "warn"),
        (low, "pass"),
        ((low + high) / 2, "pass"),
        (high, "pass"),
        (high + 1, "warn"),
    ):
        pieces = garment(cap=(214 + ease / 2, 222 + ease / 2))
        assert verdicts(walked(pieces, style=style))["cap ease"] == status
        assert style.allows(ease) == (status == "pass")


def test_a_style_is_named_in_its_verdict() -> None:
    told = next(
        one for one in walked(garment(), style=find_style("Tailored-jacket")).verdicts if one.name == "cap ease"
    )
    assert "tailored jacket takes 1 in to 1 1/2 in" in told.message
    assert told.status == "warn"
    assert "too little" in told.message


@pytest.mark.parametrize(
    ("share", "status"), [(0.3, "warn"), (0.5, "pass"), (0.6, "pass"), (0.7, "warn"), (1.2, "warn")]
)
def test_the_share_of_the_back_is_told_and_warned_of(share: float, status: str) -> None:
    ease = 20.0
    found = walked(garment(cap=(214 + (1 - share) * ease, 222 + share * ease)))
    assert found.share_back == pytest.approx(share, abs=1e-6)
    assert verdicts(found)["share of the back"] == status


def test_hardly_any_ease_is_not_parted() -> None:
    found = walked(garment(cap=(214.0, 223.0)))
    assert found.share_back is None
    assert "share of the back" not in verdicts(found)


# -- what is missing -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("bare", "words"),
    [((0,), "Sleeve/cap has no notch"), ((1,), "Front/armhole+Back/armhole has no notch"), ((0, 1), "neither")],
)
def test_a_side_without_a_notch_is_one_zone_and_says_which_is_missing(bare: tuple[int, ...], words: str) -> None:
    pieces = list(garment())
    for k in bare:
        marks = [mark for mark in pieces[k].marks if not (mark.kind == "notch" and (k or (mark.at or 0j).real > 0))]
        pieces[k] = replace(pieces[k], marks=tuple(marks))
    found = walked(tuple(pieces))
    assert [zone.zone for zone in found.zones] == ["front underarm to shoulder", *NAMES[2:]]
    assert found.zones[0].ease == pytest.approx(6, abs=1e-6)
    told = next(one for one in found.verdicts if one.name == "front notch")
    assert told.status == "warn"
    assert words in told.message
    assert "on the front" in told.message


def test_notches_that_do_not_pair_are_warned_of() -> None:
    arm, front, back = garment()
    assert verdicts(walked((arm, notched(front, "armhole", 120.0), back)))["front notch"] == "warn"


def test_a_mark_at_the_underarm_or_at_the_shoulder_bounds_nothing() -> None:
    arm, front, back = garment()
    front = notched(front, "armhole", 1.0, 213.0)
    assert [zone.armhole for zone in walked((arm, front, back)).zones][:2] == pytest.approx([90, 124], abs=1e-6)


def test_without_a_shoulder_notch_the_cap_top_is_taken_and_told() -> None:
    arm, front, back = garment()
    landmarks = tuple(one for one in arm.landmarks if one.name != "shoulder notch")
    marks = tuple(mark for mark in arm.marks if mark.kind != "shoulder notch")
    found = walked((replace(arm, landmarks=landmarks, marks=marks), front, back))
    assert [zone.cap for zone in found.zones] == pytest.approx([90, 130, 95, 135], abs=1e-6)
    assert verdicts(found)["shoulder notch"] == "warn"
    assert [stop.kind for stop in found.cap_stops if not stop.side] == ["cap top"]


def test_the_seam_may_name_the_armhole_from_the_back() -> None:
    turned = Seam(SEAMS[3].b[::-1], SEAMS[3].a)
    assert [zone.armhole for zone in walked(garment(), (*SEAMS[:3], turned)).zones] == pytest.approx(
        [90, 124, 95, 127], abs=1e-6
    )


def test_a_dart_in_the_armhole_is_closed() -> None:
    """A straight armhole with a dart of 10 mm mouth above the notch is 10 mm shorter when sewn."""
    arm, front, back = garment()
    dart = Dart("armhole", -120j, 60 - 125j, -130j)
    plain, darted = walked((arm, front, back)), walked((arm, replace(front, darts=(dart,)), back))
    assert zones(darted)["front notch to shoulder"].armhole == pytest.approx(114, abs=1e-6)
    assert darted.ease - plain.ease == pytest.approx(10, abs=1e-6)
    lower = zones(darted)["front underarm to notch"]
    assert lower.armhole == pytest.approx(90, abs=1e-6)


YOKED = (
    Seam((("Front", "side seam"),), (("Back", "side seam"),)),
    Seam((("Front", "shoulder"),), (("Yoke", "front seam"),)),
    Seam((("Yoke", "back seam"),), (("Back", "shoulder"),)),
    Seam((("Sleeve", "cap"),), (("Front", "armhole"), ("Yoke", "armhole"), ("Back", "armhole"))),
)


@pytest.mark.parametrize("over", [False, True])
@pytest.mark.parametrize("backwards", [False, True])
@pytest.mark.parametrize("notch", [None, 25.0])
def test_an_armhole_over_a_yoke(over: bool, backwards: bool, notch: float | None) -> None:
    arm, front, back = garment(armhole=(180.0, 170.0))
    between = yoke(70.0, over=over, backwards=backwards)
    between = between if notch is None else notched(between, "armhole", notch)
    found = walked((arm, front, between, back), YOKED)
    assert found.armhole == pytest.approx(420, abs=1e-6)
    shoulder = 35.0 if notch is None else 70 - notch if backwards else notch
    assert [zone.armhole for zone in found.zones] == pytest.approx(
        [90, 90 + shoulder, 95, 75 + 70 - shoulder], abs=1e-6
    )
    assert [(stop.kind, stop.side) for stop in found.armhole_stops] == [
        ("notch", "front"),
        ("seam", "front"),
        ("shoulder notch", ""),
        ("seam", "back"),
        ("notch", "back"),
        ("notch", "back"),
    ]
    assert ("shoulder on the armhole" in verdicts(found)) == (notch is None)
    slope = math.degrees(math.atan2(40, 110))
    for names in ("Front and Yoke", "Yoke and Back"):
        assert angle_of(found, f"armhole at the seam of {names}")[0] == pytest.approx(180 + slope, abs=1e-6)
    for zone, piece in zip(found.zones[1::2], (front, back), strict=True):
        assert zone.armhole_curve is not None
        low = piece.edge("armhole").curve.point(piece.edge("armhole").curve.at_length(90 if piece is front else 95))
        assert abs(zone.armhole_curve.start - low) < 1e-6
        # Laid against a shoulder that slopes, the yoke leans away from the straight armhole by as much.
        tip = piece.landmark("shoulder tip")
        lean = abs(np.angle((zone.armhole_curve.end - tip) / (tip - low)))
        assert math.degrees(lean) == pytest.approx(slope, abs=1e-6)
        outwards = ((zone.armhole_curve.end - tip).real < 0) == (piece is front)
        assert outwards


REFUSED = {
    "a front without a back": ((0, 1), "no back", "give the drawing of the back"),
    "a back without a front": ((0, 2), "no front", "give the drawing of the front"),
    "a sleeve alone": ((0,), "neither a front nor a back", "front and back"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_missing_pieces_are_refused_in_one_line(case: str) -> None:
    which, what, todo = REFUSED[case]
    pieces = tuple(garment()[k] for k in which)
    with pytest.raises(Refusal) as caught:
        walk_sleeve(pieces[0], pieces, SEAMS[:1])
    assert what in caught.value.what
    assert todo in caught.value.todo


def test_a_stated_armhole_of_one_half_is_refused() -> None:
    seams = (Seam((("Sleeve", "cap"),), (("Front", "armhole"),)),)
    with pytest.raises(Refusal, match="has a front \\(Front\\) but no back"):
        walked(garment(), seams)


@pytest.mark.parametrize("panel_at", ["back", "front", "both"])
def test_an_armhole_named_from_the_back_is_walked_like_one_named_from_the_front(panel_at: str) -> None:
    """Also where a side panel, which is neither front nor back, comes first or last."""
    sides = ("back", "front") if panel_at == "both" else (panel_at,)
    panels = {side: replace(straight_bodice("front", 40.0), name=f"Side {side}", kind="other") for side in sides}
    row = [("Front", "armhole"), ("Back", "armhole")]
    row = [("Side front", "armhole"), *row] if "front" in panels else row
    row = [*row, ("Side back", "armhole")] if "back" in panels else row
    pieces = (*garment(armhole=(190.0, 200.0)), *panels.values())
    walks = [walked(pieces, (Seam((("Sleeve", "cap"),), tuple(order)),)) for order in (row, row[::-1])]
    lengths = [{zone.zone: zone.armhole for zone in walk.zones} for walk in walks]
    assert lengths[1] == pytest.approx(lengths[0])
    assert sum(length for name, length in lengths[0].items() if name.startswith("front")) == pytest.approx(
        190.0 + 40.0 * ("front" in panels)
    )
    found = [
        {one.name: one.value for one in cap_ease(pieces[0], pieces, (Seam((("Sleeve", "cap"),), tuple(order)),))}
        for order in (row, row[::-1])
    ]
    assert found[0]["cap ease front"] == pytest.approx(found[1]["cap ease front"])
    walk_ease = sum(zone.ease for zone in walks[0].zones if zone.zone.startswith("front"))
    assert found[0]["cap ease front"] == pytest.approx(walk_ease)


def test_an_armhole_of_no_length_is_refused() -> None:
    arm, _, back = garment()
    with pytest.raises(Refusal, match="Front: armhole: has no length"):
        walked((arm, bodice_of("front", Curve.polyline([0j, -0.01j])), back))


def test_a_shoulder_at_the_underarm_is_refused() -> None:
    arm, front, back = garment()
    with pytest.raises(Refusal, match="shoulder of the cap is marked at an underarm point"):
        walked((notched(arm, "cap", 1.0, kind="shoulder notch"), front, back))


def test_a_seam_over_a_piece_that_is_not_here_is_refused() -> None:
    seams = (Seam((("Sleeve", "cap"),), (("Front", "armhole"), ("Yoke", "armhole"), ("Back", "armhole"))),)
    with pytest.raises(Refusal, match="Yoke, which is not among the pieces"):
        walked(garment(), seams)


# -- smoothness ------------------------------------------------------------------------------------------------------


def angle_of(walk: Walk, name: str) -> tuple[float, str, str]:
    told = next(one for one in walk.verdicts if one.name == name)
    return told.values["together"], told.status, told.message


@pytest.mark.parametrize("off", [-8.0, -2.1, -1.9, 0.0, 1.9, 2.1, 8.0])
def test_both_underarm_corners_together(off: float) -> None:
    """The cap ends level here: each corner is a right angle, more or less the slant of its underarm seam."""
    shape = Shape(front=180, back=180, wrist=1 + 430 * math.tan(math.radians(off) / 2) / 180)
    arm = sleeve(shape)
    lengths = [curve.length() for curve in arm.edge("cap").curve.split(2.0)]
    pieces = (arm, *(straight_bodice(kind, length) for kind, length in zip(("front", "back"), lengths, strict=True)))
    total, status, message = angle_of(walked(pieces), "Sleeve: cap at the underarm")
    assert total == pytest.approx(180 + off, abs=0.02)
    assert status == ("pass" if abs(off) < 2 else "warn")
    assert ("smooth:" in message or message.endswith("smooth")) == (status == "pass")
    assert ("peak" in message) == (off < -2)
    assert ("dip" in message) == (off > 2)


@pytest.mark.parametrize("drop", [0.0, 3.0, 40.0])
@pytest.mark.parametrize("lean", [-6.0, -0.5, 0.0, 0.5, 6.0])
def test_armhole_halves_at_underarm_and_shoulder(lean: float, drop: float) -> None:
    """Upright side seams and straight armholes, the front's leaning: plane geometry of each corner."""
    arm, _, back = garment()
    front = bodice_of("front", Curve.polyline([0j, 214 * np.exp(1j * math.radians(lean - 90))]), drop=drop)
    slope = math.degrees(math.atan2(drop, 110))
    pieces = (arm, notched(front, "armhole", 90), back)
    total, status, message = angle_of(walked(pieces), "armhole at the shoulder")
    at_back = 90 + math.degrees(math.atan2(40, 110))
    assert total == pytest.approx(at_back + 90 + slope + lean, abs=1e-6)
    assert status == "warn"
    assert "dip" in message
    pieces = (arm, pieces[1], notched(straight_bodice("back", 222.0, drop=0.0), "armhole", 95.0))
    total, status, message = angle_of(walked(pieces), "armhole at the shoulder")
    assert total == pytest.approx(180 + slope + lean, abs=1e-6)
    assert status == ("pass" if abs(slope + lean) <= 2 else "warn")
    assert ("peak" in message) == (slope + lean < -2)
    assert ("dip" in message) == (slope + lean > 2)
    total, status, message = angle_of(walked(pieces), "armhole at the underarm")
    assert total == pytest.approx(360 - lean, abs=1e-6)
    assert status == "warn"
    assert "dip" in message


def test_scooped_armholes_run_on_level_at_the_underarm() -> None:
    arm = garment()[0]
    pieces = (arm, *(notched(scooped(kind), "armhole", 60.0) for kind in ("front", "back")))
    total, status, _ = angle_of(walked(pieces), "armhole at the underarm")
    assert total == pytest.approx(180, abs=1e-9)
    assert status == "pass"


@pytest.mark.parametrize(
    ("back", "said"),
    [(5.5, None), (6.2, "this is within a pencil line of it"), (8.0, "move the shoulder notch")],
)
def test_a_share_that_passes_outside_what_is_usual_says_why(back, said):
    check = check_ease_share(10.0, back, Units())
    assert check.status == ("warn" if back == 8.0 else "pass")
    assert said is None or said in check.message
    assert said is not None or "usual" not in check.message
