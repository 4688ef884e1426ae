"""What a run leaves that can't be sewn is told, and changes nothing else."""

from __future__ import annotations

import json

import pytest


def warnings(svgfit, *steps: str, more: tuple[str, ...] = ()) -> tuple[int, list[str], list[dict]]:
    asked = [word for step in steps for word in ("--do", step)]
    done = svgfit("adjust", "smock.svg", *asked, *more, "--dry-run", "--json")
    report = json.loads(done.out)
    return done.status, report["warnings"], report["checks"]


def test_a_cap_shorter_than_its_armhole_is_told_with_its_figure(svgfit, here):
    status, told, checks = warnings(svgfit, "armhole-adjust lower='1 in'")
    assert status == 0
    assert all(check["status"] == "pass" for check in checks)
    assert any("the cap is 1 3/16 in shorter than its armhole" in text for text in told)


def test_less_than_a_quarter_short_is_let_be(svgfit, here):
    _, told, _ = warnings(svgfit, "armhole-adjust lower='3/8 in'")
    assert not any("shorter than its armhole" in text for text in told)


@pytest.mark.parametrize(("ease", "told"), [("2 7/8 in", False), ("3 in", True)])
def test_what_can_only_be_gathered_is_told(svgfit, here, ease, told):
    _, found, _ = warnings(svgfit, f"cap-redraw ease='{ease}' outwards='5 in' inwards='5 in' within=whole")
    assert any("only gathered, pleated or darted" in text for text in found) == told


def test_where_the_cap_is_to_be_gathered_it_is_not(svgfit, here):
    with open("gathered.toml", "w", encoding="utf-8") as file:
        file.write("[walk]\ngathered = true\n")
    more = ("--convention", "gathered.toml")
    _, found, _ = warnings(svgfit, "cap-redraw ease='3 in' outwards='5 in' inwards='5 in' within=whole", more=more)
    assert not any("only gathered" in text for text in found)


def test_zones_below_the_notches_that_part_are_told_until_they_are_matched(svgfit, here):
    _, told, _ = warnings(svgfit, "bicep-widen amount='1 in' how=underarm")
    parted = [text for text in told if "underarm to notch: the cap is" in text]
    assert len(parted) == 2
    assert "7/16 in longer" in parted[0]
    _, told, _ = warnings(svgfit, "bicep-widen amount='1 in' how=underarm", "notch-match")
    assert not any("underarm to notch" in text for text in told)


def test_workable_is_the_conventions(svgfit, here):
    with open("loose.toml", "w", encoding="utf-8") as file:
        file.write('[walk]\nworkable = "1/2 in"\n')
    step = "bicep-widen amount='1 in' how=underarm"
    _, told, _ = warnings(svgfit, step, more=("--convention", "loose.toml"))
    assert not any("underarm to notch" in text for text in told)


@pytest.mark.parametrize(("amount", "told"), [("1 in", False), ("6 in", True)])
def test_a_bend_like_a_corner_at_the_notch_is_told(svgfit, here, amount, told):
    _, found, _ = warnings(svgfit, f"bicep-widen amount='{amount}' how=underarm")
    assert any("the cap bends as at a corner now" in text for text in found) == told


@pytest.mark.parametrize("step", ["cap-raise amount='1/4 in'", "seam-allowance piece=Sleeve width='1/2 in'"])
def test_what_can_be_sewn_needs_no_word(svgfit, here, step):
    assert warnings(svgfit, step)[1] == []
