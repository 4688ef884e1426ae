"""A sleeve that is turned in its armhole on purpose: kept, walked, measured and matched as it is sewn so."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from svgfit.fitting.measure import cap_ease
from svgfit.fitting.notch_moves import armhole_notches, cap_notches, notch_mismatch, slide_notch
from svgfit.fitting.sewn import sewn_length, sewn_row
from svgfit.fitting.walking import WalkLimits, cap_of, walk_sleeve
from svgfit.model.cap_turn import CAP_TURN, CapTurn
from svgfit.model.length import Units
from svgfit.model.piece import Piece
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import Unit
from svgfit.model.walk import NOTCH, TURNED, Walk

from .garments import SEAMS, notched, straight_bodice, straight_sleeve, verdicts, zones

FRONT, BACK = "front underarm to notch", "back underarm to notch"


def garment(*, marked: bool = True) -> tuple[Piece, ...]:
    """Cap 450 mm, 14 mm of ease over its armhole; its lower notches match."""
    arm = notched(straight_sleeve(220.0, 230.0), "cap", 90.0, 355.0, 343.0)
    arm = notched(arm, "cap", 220.0, kind="shoulder notch") if marked else arm
    front = notched(straight_bodice("front", 214.0), "armhole", 90.0)
    return arm, front, notched(straight_bodice("back", 222.0), "armhole", 95.0, 107.0)


def turned(sleeve: Piece, by: float, kept: CapTurn, *, kinds: tuple[str, ...] = ("notch", "shoulder notch")) -> Piece:
    """The sleeve with its marks of these kinds slid ``by`` mm towards the front, and a turn kept with it."""
    for mark in [one for one in sleeve.marks if one.edge == "cap" and one.kind in kinds]:
        sleeve, _ = slide_notch(sleeve, mark, -by)
    return kept.kept_on(sleeve)


def walked(pieces: tuple[Piece, ...]) -> Walk:
    return walk_sleeve(pieces[0], pieces, SEAMS, WalkLimits(), Units())


@pytest.mark.parametrize("by", [12.7, -12.7, 40.0, -40.0])
def test_a_sleeve_turned_as_far_as_is_kept_walks_as_it_did(by: float) -> None:
    arm, *others = garment()
    before, after = walked((arm, *others)), walked((turned(arm, by, CapTurn.whole(by)), *others))
    for zone, drawn in zip(after.zones, before.zones, strict=True):
        assert (zone.zone, zone.on_purpose) == (drawn.zone, 0.0)
        assert (zone.cap, zone.armhole) == pytest.approx((drawn.cap, drawn.armhole), abs=1e-6)
        assert zone.cap_curve is not None
        assert zone.cap_curve.length() == pytest.approx(zone.cap, abs=1e-6)
    assert after.share_back == pytest.approx(before.share_back)
    assert [stop.at for stop in after.cap_stops] == pytest.approx([stop.at for stop in before.cap_stops])
    assert verdicts(after) == {**verdicts(before), TURNED: "pass"}
    way = "front" if by > 0 else "back"
    for name in (FRONT, BACK, TURNED):
        message = next(check.message for check in after.verdicts if check.name == name)
        assert f"to the {way} on purpose" in message


@pytest.mark.parametrize("stated", [0.0, -12.7, 6.35, 20.0])
def test_a_sleeve_turned_by_another_amount_than_is_kept_fails(stated: float) -> None:
    arm, *others = garment()
    found = walked((turned(arm, 12.7, CapTurn.whole(stated)), *others))
    assert (verdicts(found)[FRONT], verdicts(found)[BACK]) == ("fail", "fail")
    assert zones(found)[FRONT].ease == pytest.approx(stated - 12.7, abs=1e-6)


def test_a_turn_that_is_kept_and_was_not_made_fails() -> None:
    arm, *others = garment()
    assert verdicts(walked((CapTurn.whole(12.7).kept_on(arm), *others)))[FRONT] == "fail"


def test_the_cap_of_a_turned_sleeve_is_laid_round_the_underarm_seam() -> None:
    arm = garment()[0]
    for by in (30.0, -30.0):
        found = cap_of(turned(arm, by, CapTurn.whole(by)))
        assert found.length == pytest.approx(sewn_length(arm, "cap"), abs=1e-6)
        joints = zip(found.curve.segments[:-1, 3], found.curve.segments[1:, 0], strict=True)
        assert max(abs(one - other) for one, other in joints) < 1e-9
        at = found.curve.at_length(30.0 if by > 0 else found.length - 30.0)
        own = arm.landmark("underarm front" if by > 0 else "underarm back")
        assert abs(found.curve.point(at) - own) < 1e-6


@pytest.mark.parametrize("marked", [True, False])
def test_ease_in_front_and_back_is_counted_from_where_the_sleeve_meets_the_armhole(marked: bool) -> None:
    """Without a shoulder notch the cap top stays, and the place that meets the shoulder is turned with the rest."""
    arm, *others = garment(marked=marked)
    new = turned(arm, 12.7, CapTurn.whole(12.7))
    before, after = ({item.name: item.value for item in cap_ease(one, (one, *others), SEAMS)} for one in (arm, new))
    assert after == pytest.approx(before, abs=1e-6)
    assert walked((new, *others)).share_back == pytest.approx(walked((arm, *others)).share_back)


def test_notches_are_matched_as_if_they_were_not_turned() -> None:
    arm, *others = garment()
    row = sewn_row((arm, *others), SEAMS[3].b, SEAMS)
    for new in (turned(arm, 12.7, CapTurn.whole(12.7)), arm):
        assert notch_mismatch(new, row) == pytest.approx(0.0, abs=1e-6)
        places = {side: [one.from_underarm for one in found] for side, found in cap_notches(new).items()}
        assert places == {"front": pytest.approx([90.0]), "back": pytest.approx([95.0, 107.0])}
    assert len(armhole_notches(row)["back"]) == 2
    assert notch_mismatch(turned(arm, 12.7, CapTurn.whole(5.0)), row) == pytest.approx(7.7, abs=1e-6)


def test_only_the_notches_turned_is_told_with_what_it_makes_longer_and_shorter() -> None:
    """The underarm seams still meet: the front of the cap is truly shorter there, on purpose."""
    arm, *others = garment()
    kept = CapTurn(shoulder=12.7, notches=12.7)
    found = walked((turned(arm, 12.7, kept), *others))
    front, back = zones(found)[FRONT], zones(found)[BACK]
    assert (front.ease, front.on_purpose, front.mismatch) == pytest.approx((-12.7, -12.7, 0.0), abs=1e-6)
    assert (back.ease, back.on_purpose) == pytest.approx((12.7, 12.7), abs=1e-6)
    assert verdicts(found)[FRONT] == verdicts(found)[BACK] == verdicts(found)["share of the back"] == "pass"
    said = {check.name: check.message for check in found.verdicts}
    assert "shorter, shoulder notch and notches turned" in said[FRONT]
    assert "but for that they match" in said[FRONT]
    assert "by a turn on purpose" in said["share of the back"]


def test_only_the_shoulder_notch_turned_leaves_the_lower_zones_alone() -> None:
    arm, *others = garment()
    drawn = walked((arm, *others))
    found = walked((turned(arm, 5.0, CapTurn(shoulder=5.0), kinds=("shoulder notch",)), *others))
    for name in (FRONT, BACK):
        one, other = zones(found)[name], zones(drawn)[name]
        assert (one.cap, one.armhole, one.on_purpose) == (other.cap, other.armhole, 0.0)
    assert zones(found)["front notch to shoulder"].mismatch == pytest.approx(6.0, abs=1e-6)
    share = next(check for check in found.verdicts if check.name == "share of the back")
    assert (share.status, share.values["share"]) == ("pass", pytest.approx(13 / 14))
    assert not any(stop.kind == NOTCH and stop.side == "" for stop in found.cap_stops)


def test_what_is_kept_reads_back_exactly_and_nothing_is_kept_for_nothing() -> None:
    arm = garment()[0]
    kept = CapTurn(shoulder=0.1 + 0.2, notches=-1 / 3, underarm=12.7)
    assert CapTurn.of(kept.kept_on(arm)) == kept
    assert CapTurn.of(arm) == CapTurn()
    assert CapTurn().kept_on(kept.kept_on(arm)).data == ()
    assert CapTurn().words() == ""
    assert CapTurn.whole(-12.7).words(Units(Unit.IN).plain) == "turned 1/2 in to the back on purpose"


@pytest.mark.parametrize("text", ["", "far", "12.7 mm", "shoulder nan mm, notches 1 mm, underarm 1 mm"])
def test_what_can_not_be_read_is_refused(text: str) -> None:
    arm, *others = garment()
    spoilt = replace(arm, data=((CAP_TURN, text),))
    with pytest.raises(Refusal, match="how far it is turned on purpose can't be read"):
        walked((spoilt, *others))
    with pytest.raises(Refusal, match="can't be read"):
        cap_ease(spoilt, (spoilt, *others), SEAMS)


def test_a_turn_longer_than_the_cap_is_refused() -> None:
    arm, *others = garment()
    with pytest.raises(Refusal, match="more than its cap is long"):
        walked((CapTurn.whole(460.0).kept_on(arm), *others))
