"""Ends stated in a plan: reached together, measured by the report itself, or told with the reason."""

from __future__ import annotations

import json

import pytest

INCH = 25.4


def adjusted(svgfit, *ends, files=("smock.svg",), more=()):
    asked = [word for text in ends for word in ("--ends", text)]
    done = svgfit("adjust", *files, *asked, *more, "--dry-run", "--json")
    report = json.loads(done.out)
    sleeve = next(row for row in report["pieces"] if row["kind"] == "sleeve")
    return done.status, {row["name"]: row["after"] for row in sleeve["measurements"]}, report


def test_three_ends_and_the_share_are_met_together(svgfit, here):
    asked = "bicep-width='14 in' cap-height='5 5/8 in' cap-ease='3/4 in' share-to-the-back=0.55"
    status, found, report = adjusted(svgfit, asked)
    assert status == 0
    assert found["bicep width"] == pytest.approx(14 * INCH, abs=0.01)
    assert found["cap height"] == pytest.approx(5.625 * INCH, abs=0.01)
    assert found["cap ease"] == pytest.approx(0.75 * INCH, abs=0.01)
    assert found["cap ease back"] == pytest.approx(0.55 * found["cap ease"], abs=0.01)
    ends = {check["name"]: check["status"] for check in report["checks"] if check["name"].startswith("end: ")}
    assert set(ends.values()) == {"pass"}
    assert set(ends) == {"end: bicep width", "end: cap height", "end: cap ease", "end: share to the back"}


def test_the_steps_come_in_a_fitters_order_and_are_reported(svgfit, here):
    _, _, report = adjusted(svgfit, "cap-ease='3/4 in' cap-height='5 5/8 in' bicep-width='14 in'")
    assert [step["do"] for step in report["steps"]] == ["bicep-widen", "cap-raise", "cap-redraw", "notch-match"]


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("ends", ["bicep-width='14 1/2 in' cap-ease='1 1/4 in'", "cap-height='5 3/4 in'"])
def test_the_notches_still_meet_when_ends_are_reached(svgfit, here, ends):
    assert svgfit("adjust", "smock.svg", "--ends", ends, "-o", "out.svg", "--quiet").status == 0
    told = json.loads(svgfit("walk", "out.svg", "--from", "adjusted", "--json").out)
    below = [zone for zone in told["walks"][0]["zones"] if zone["zone"].endswith("underarm to notch")]
    assert len(below) == 2
    assert all(abs(zone["ease"]) <= 0.01 for zone in below)
    drawn, found = adjusted(svgfit, "cap-height='5.512 in'")[1], adjusted(svgfit, ends)[1]
    parts = [one["cap ease back"] / one["cap ease"] for one in (drawn, found)]
    assert parts[1] == pytest.approx(parts[0], abs=0.005)  # the ease stays parted as drawn


def test_an_end_that_holds_already_needs_no_step(svgfit, here):
    before = adjusted(svgfit, "bicep-width='14 in'")[2]["pieces"]
    sleeve = next(row for row in before if row["kind"] == "sleeve")
    was = {row["name"]: row["before"] for row in sleeve["measurements"]}
    _, _, report = adjusted(
        svgfit, f"bicep-width='{was['bicep width']:.6f} mm' cap-height='{was['cap height']:.6f} mm'"
    )
    assert report["steps"] == []


@pytest.mark.slow
def test_an_end_out_of_reach_is_told_with_the_reason_and_the_rest_is_done(svgfit, here):
    status, found, report = adjusted(svgfit, "cap-height='5 5/8 in' cap-ease='6 in'")
    assert status == 1
    assert found["cap height"] == pytest.approx(5.625 * INCH, abs=0.01)
    check = next(check for check in report["checks"] if check["name"] == "end: cap ease")
    assert check["status"] == "fail"
    assert "should be 6 in" in check["message"]
    assert check["values"]["got"] == pytest.approx(found["cap ease"])
    assert len(check["message"]) > 80, "the reason and what else could be done"


def test_ends_hold_after_the_steps_of_the_same_plan(svgfit, here):
    with open("mine.toml", "w", encoding="utf-8") as file:
        file.write('[[step]]\ndo = "cap-raise"\namount = "1/8 in"\n\n[[ends]]\n"cap ease" = "1 in"\n')
    done = svgfit("adjust", "smock.svg", "--plan", "mine.toml", "--dry-run", "--json")
    report = json.loads(done.out)
    assert done.status == 0
    assert [step["do"] for step in report["steps"]] == ["cap-raise", "cap-redraw"]


@pytest.mark.slow
def test_ends_by_size_in_a_nest(svgfit, here):
    with open("mine.toml", "w", encoding="utf-8") as file:
        file.write('[[ends]]\n"cap ease" = { 10 = "1/2 in", other = "9/16 in" }\n')
    report = json.loads(svgfit("adjust", "smock-sizes.svg", "--plan", "mine.toml", "--dry-run", "--json").out)
    eases = {
        row["size"]: next(item["after"] for item in row["measurements"] if item["name"] == "cap ease")
        for row in report["pieces"]
        if row["kind"] == "sleeve"
    }
    for size, ease in eases.items():
        assert ease == pytest.approx((0.5 if size == "10" else 0.5625) * INCH, abs=0.01), size


@pytest.mark.parametrize(
    ("ends", "said"),
    [
        ("", "asks for nothing"),
        ("cap-hight='6 in'", "did you mean 'cap height'?"),
        ("cap-height=6", "has no unit"),
        ("cap-height='0 in'", "is no length that a sleeve can have"),
        ("cap-ease='1 in' cap-length='18 in'", "exclude each other"),
        ("share-to-the-back=2", "is no part of the whole"),
        ("share-to-the-back=half", "is not a number"),
        ("piece=Front cap-height='6 in'", "is a front"),
        ("piece=Sleave cap-height='6 in'", "did you mean Sleeve?"),
        ("cap-height='6 in' cap-height='7 in'", "is given twice"),
    ],
)
def test_ends_that_can_not_be_are_one_line(refused, here, ends, said):
    line = refused("adjust", "smock.svg", "--ends", ends, "--dry-run")
    assert said in line
    assert "--ends 1" in line


def test_ends_in_a_plan_are_refused_with_their_line(refused, here):
    with open("mine.toml", "w", encoding="utf-8") as file:
        file.write('[[ends]]\npiece = "Sleeve"\n"cap hight" = "6 in"\n')
    assert "mine.toml line 3" in refused("adjust", "smock.svg", "--plan", "mine.toml", "--dry-run")


def test_without_an_armhole_ease_can_not_be_met_and_says_so(svgfit, here):
    status, _, report = adjusted(svgfit, "cap-ease='1 in'", files=("teaching-sleeve.svg",))
    assert status == 1
    assert (
        "can't be measured" in next(check for check in report["checks"] if check["name"] == "end: cap ease")["message"]
    )


@pytest.mark.slow_after(1)
@pytest.mark.parametrize(("ease", "within", "told"), [("5/8", "notches", False), ("7/8", "whole", True)])
def test_a_way_that_nobody_asked_for_is_told(svgfit, here, ease, within, told):
    status, _, report = adjusted(svgfit, f"cap-ease='{ease} in'")
    assert status == 0
    assert [step["asked"]["within"] for step in report["steps"]] == [within]
    assert any("Sleeve: cap ease by cap-redraw" in text for text in report["warnings"]) == told


# -- ends against each other ------------------------------------------------------------------------------------------


def test_two_tables_that_state_one_end_differently_are_refused(refused, svgfit, here):
    said = refused("adjust", "smock.svg", "--ends", "cap-height='6 in'", "--ends", "cap-height='5 in'", "--dry-run")
    assert "cap height can't be both 6 in and 5 in" in said
    (here / "plan.toml").write_text('[[ends]]\n"cap height" = "6 in"\n[[ends]]\n"cap height" = "5 in"\n')
    assert "plan.toml line 3" in refused("adjust", "smock.svg", "--plan", "plan.toml", "--dry-run")
    same = ("--ends", "cap-height='5 5/8 in'") * 2
    assert svgfit("adjust", "smock.svg", *same, "--dry-run").status == 0


def test_an_end_stated_again_by_a_later_step_is_warned_of_and_the_last_counts(svgfit, here):
    steps = ("--do", "cap-raise height='6 in'", "--do", "cap-raise height='5.8 in'")
    done = svgfit("adjust", "smock.svg", *steps, "--dry-run", "--json")
    report = json.loads(done.out)
    assert done.status == 0
    assert any("cap height is stated twice, 6 in" in text and "the last one" in text for text in report["warnings"])
    again = svgfit("adjust", "smock.svg", *steps[:2], "--ends", "cap-height='5.8 in'", "--dry-run", "--json")
    assert any("cap height is stated twice" in text for text in json.loads(again.out)["warnings"])


def test_an_end_tried_after_one_that_could_not_be_had_says_on_what(svgfit, here):
    _, _, report = adjusted(svgfit, "cap-height='3 in' cap-ease='1/2 in'")
    checks = {check["name"]: check for check in report["checks"]}
    assert checks["end: cap height"]["status"] == "fail"
    assert checks["end: cap ease"]["status"] == "pass"
    assert "on the cap as it is without the cap height that could not be had" in checks["end: cap ease"]["message"]
    _, _, fine = adjusted(svgfit, "cap-height='5 5/8 in' cap-ease='1/2 in'")
    assert not any("could not be had" in check["message"] for check in fine["checks"])


@pytest.mark.slow_after(2)
@pytest.mark.parametrize("share", ["0,55", "0.55", "'55 %'", "55,0%"])
def test_a_share_may_have_a_decimal_comma(svgfit, here, share):
    status, found, _ = adjusted(svgfit, f"cap-ease='3/4 in' share-to-the-back={share}")
    assert status == 0
    assert found["cap ease back"] == pytest.approx(0.55 * found["cap ease"], abs=0.01)


@pytest.mark.slow_after(2)
@pytest.mark.parametrize(("share", "warned"), [("0.9", True), ("0,45", True), ("0.5", False), ("60%", False)])
def test_a_share_that_practice_does_not_know_is_warned_of(svgfit, here, share, warned):
    _, _, report = adjusted(svgfit, f"share-to-the-back={share}")
    assert any("practice gives the back 50 to 60 %" in text for text in report["warnings"]) == warned


def test_an_end_that_is_only_measured_is_not_tried(svgfit, here):
    status, _, report = adjusted(svgfit, "bicep-width='14 in' measure-only=true")
    assert status == 1
    assert report["steps"] == []
    (check,) = (check for check in report["checks"] if check["name"] == "wanted: bicep width")
    assert check["status"] == "fail"
    assert "only to be measured" in check["message"]


def test_measure_only_is_true_or_false(refused, here):
    told = refused("adjust", "smock.svg", "--ends", "cap-ease=1in measure-only=maybe", "--dry-run")
    assert "neither true nor false" in told


@pytest.mark.parametrize(
    ("older", "today"), [("reach=false", "measure-only=true"), ("reach=true", "measure-only=false")]
)
def test_plans_of_before_say_reach(svgfit, here, older, today):
    def ran(said: str) -> tuple[int, str]:
        status, out, _ = svgfit("adjust", "smock.svg", "--ends", f"bicep-width='14 in' {said}", "--dry-run")
        return status, out

    assert ran(older) == ran(today)
    assert ran(older) != ran(today.replace("true", "maybe").replace("false", "true").replace("maybe", "false"))


def test_ends_are_not_told_twice_what_to_do_with_them(refused, here):
    told = refused("adjust", "smock.svg", "--ends", "cap-ease=1in reach=true measure-only=false", "--dry-run")
    assert "older way to say 'measure only'" in told
